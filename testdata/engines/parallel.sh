#!/usr/bin/env bash
# A folder of drawings over several hosts with GNU parallel, joined to one result.
#
#   parallel.sh FOLDER OUT SHARDS [HOSTS] [FLAG...]
#
#   FOLDER  drawings, under the same path on every host
#   OUT     folder for the results; all.jsonl in it is the whole
#   SHARDS  shares of the work, some for each host
#   HOSTS   as for ssh, with commas between them; ":" is this machine (default)
#   FLAG    of "burrcast check", the same for every share: --shop, --material, ...
#
# Every host needs burrcast, of one version, in its PATH. A share that failed is
# tried again elsewhere; what is done is not done again when the script is run
# once more with the same OUT. Take a new OUT when drawings or flags changed.
set -euo pipefail
[ $# -ge 3 ] || { sed -n '2,/^set/{/^set/d;s/^# \{0,1\}//;p}' "$0" >&2; exit 2; }
folder=$1 out=$2 shards=$3 hosts=${4:-:}
shift $(($# < 4 ? $# : 4))

mkdir -p "$out"
check="burrcast check --quiet --format jsonl"
for word in "$@"; do check+=" $(printf %q "$word")"; done
check+=" --shard {}/$shards $(printf %q "$folder")"

# One share at a time a host: the program uses all cores by itself. Its exit
# codes 1 and 3 are answers, only 2 is a failure. Standard output comes back to
# this machine whatever the host; a share counts when its last line has its end.
for shard in $(seq "$shards"); do
    tail -n 1 "$out/$shard.jsonl" 2>/dev/null | grep -q '"end":{' || echo "$shard"
done | parallel --sshlogin "$hosts" --jobs "${JOBS:-1}" --retries 3 --results "$out/{}.jsonl" \
    "$check; [ \$? -ne 2 ]" >/dev/null

results=()
for shard in $(seq "$shards"); do results+=("$out/$shard.jsonl"); done
code=0
burrcast merge --quiet --format jsonl "${results[@]}" >"$out/all.jsonl.part" || code=$?
[ $code -ne 2 ]
mv "$out/all.jsonl.part" "$out/all.jsonl"
