#!/usr/bin/env bash
# A folder of drawings as a Slurm array, one share a task:
#
#   job=$(sbatch --parsable slurm.sh FOLDER OUT [FLAG...])
#   sbatch --dependency=afterok:$job --wrap 'burrcast merge --report OUT/report OUT/*.jsonl || [ $? -ne 2 ]'
#
# FOLDER and OUT are seen by every node; FLAGs are those of "burrcast check", the
# same for all. To do failed tasks again: sbatch --array=3,7 slurm.sh ...
#
#SBATCH --job-name=burrcast
#SBATCH --array=1-16
#SBATCH --cpus-per-task=4
#SBATCH --mem=1G
#SBATCH --output=burrcast-%A_%a.log
set -euo pipefail
shards=${SHARDS:-16} # as many as the whole array has tasks
folder=$1 out=$2
shift 2

mkdir -p "$out"
file=$out/$SLURM_ARRAY_TASK_ID.jsonl
# Exit codes 1 and 3 are answers, only 2 is a failure.
code=0
burrcast check --quiet --format jsonl "$@" --shard "$SLURM_ARRAY_TASK_ID/$shards" \
    --workers "${SLURM_CPUS_PER_TASK:-1}" "$folder" >"$file.part" || code=$?
[ $code -ne 2 ]
mv "$file.part" "$file"
