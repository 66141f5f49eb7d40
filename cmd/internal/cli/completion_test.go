package cli

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// tool finds a program of other make that is a witness, or skips.
func tool(t *testing.T, name string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		if os.Getenv("BURRCAST_WITNESS") == "all" {
			t.Fatalf("%s is missing", name)
		}
		t.Skipf("%s is not installed", name)
	}
	return path
}

// completionFile writes a shell's completion to a file.
func completionFile(t *testing.T, shell string) string {
	t.Helper()
	code, out, errs := burrcast(t, "completion", shell)
	if code != exitClean || errs != "" {
		t.Fatalf("exit code %d, %s", code, errs)
	}
	return write(t, filepath.Join(t.TempDir(), "completion"), out)
}

// completions are what every shell has to offer: words typed, the last one half,
// and what follows.
var completions = []struct {
	typed string
	want  []string // some of them, or all if exact
	exact bool
}{
	{"me", []string{"merge"}, true},
	{"", []string{"check", "explain", "shop", "merge", "completion", "man", "version", "help"}, false},
	{"check --for", []string{"--format"}, true},
	{"check --format ", []string{"text", "json", "jsonl", "csv"}, true},
	{"check --format js", []string{"json", "jsonl"}, true},
	{"check --quiet --fail-on b", []string{"brush"}, true},
	{"check --process las", []string{"laser-n2", "laser-o2", "laser-air"}, true},
	{"check --line a", []string{"all"}, true},
	{"check --units i", []string{"inch"}, false},
	{"check --material S235 --chords ", []string{"likely", "bend", "cut"}, true},
	{"merge --inc", []string{"--incomplete"}, true},
	{"merge --", []string{"--format", "--report", "--help"}, false},
	{"explain hole-", []string{"hole-reach", "hole-thickness"}, true},
	{"help ver", []string{"version"}, true},
	{"completion f", []string{"fish"}, true},
}

func checkCompletions(t *testing.T, complete func(words []string) []string) {
	t.Helper()
	for _, c := range completions {
		got := complete(strings.Split(c.typed, " "))
		slices.Sort(got)
		want := slices.Sorted(slices.Values(c.want))
		ok := slices.Equal(got, want)
		if !c.exact {
			ok = !slices.ContainsFunc(want, func(w string) bool { return !slices.Contains(got, w) })
		}
		if !ok {
			t.Errorf("%q is completed with %v, not %v", c.typed, got, c.want)
		}
	}
	for _, v := range verbs() {
		for _, o := range v.options() {
			if got := complete([]string{v.name, "--" + o.name}); !slices.Contains(got, "--"+o.name) {
				t.Errorf("%s does not know --%s: %v", v.name, o.name, got)
			}
		}
	}
}

func TestBashCompletion(t *testing.T) {
	bash := tool(t, "bash")
	file := completionFile(t, "bash")
	run := func(script string) []string {
		t.Helper()
		out, err := exec.CommandContext(t.Context(), bash, "--norc", "-c", script).CombinedOutput()
		if err != nil {
			t.Fatalf("%v\n%s\n%s", err, out, script)
		}
		return strings.Fields(string(out))
	}
	complete := func(words []string) []string {
		quoted := []string{program}
		for _, w := range words {
			quoted = append(quoted, single(w))
		}
		return run(fmt.Sprintf("source %s\nCOMP_WORDS=(%s)\nCOMP_CWORD=%d\n_burrcast\nprintf '%%s\\n' \"${COMPREPLY[@]}\"",
			single(file), strings.Join(quoted, " "), len(words)))
	}
	checkCompletions(t, complete)
	// The shell makes three words of --format=js.
	if got := complete([]string{"check", "--format", "=", "js"}); !slices.Equal(got, []string{"json", "jsonl"}) {
		t.Errorf("--format=js: %v", got)
	}
	if got := complete([]string{"check", "--format", "="}); len(got) != 4 {
		t.Errorf("--format=: %v", got)
	}
	// Files are the shell's own affair, folders are not.
	dir := t.TempDir()
	for _, name := range []string{"out one", "out-two"} {
		if err := os.Mkdir(filepath.Join(dir, name), 0o755); err != nil {
			t.Fatal(err)
		}
	}
	write(t, filepath.Join(dir, "out.dxf"), "")
	if got := complete([]string{"check", filepath.Join(dir, "out")}); len(got) != 0 {
		t.Errorf("files: %v", got)
	}
	if got := complete([]string{"check", "--report", filepath.Join(dir, "out")}); len(got) != 3 { // "out one" is two fields
		t.Errorf("folders: %v", got)
	}
	if got := run("source " + single(file) + "\ncomplete -p burrcast"); !slices.Contains(got, "_burrcast") || !slices.Contains(got, "default") {
		t.Errorf("registered as %v", got)
	}
}

func TestFishCompletion(t *testing.T) {
	fish := tool(t, "fish")
	file := completionFile(t, "fish")
	home := t.TempDir()
	checkCompletions(t, func(words []string) []string {
		cmd := exec.CommandContext(t.Context(), fish, "--no-config", "-c",
			"source "+file+"; complete -C 'burrcast "+strings.Join(words, " ")+"'")
		cmd.Env = append(os.Environ(), "HOME="+home, "XDG_CONFIG_HOME="+home)
		cmd.Dir = home
		out, err := cmd.CombinedOutput()
		if err != nil {
			t.Fatalf("%v\n%s", err, out)
		}
		var got []string
		for line := range strings.Lines(string(out)) {
			word, _, _ := strings.Cut(strings.TrimSpace(line), "\t")
			got = append(got, word)
		}
		return got
	})
}

// The shell is asked through a terminal of its own, since nothing else makes it
// complete; what it would insert is caught where it gathers the words.
func TestZshCompletion(t *testing.T) {
	zsh := tool(t, "zsh")
	file := completionFile(t, "zsh")
	if out, err := exec.CommandContext(t.Context(), zsh, "-f", "-n", file).CombinedOutput(); err != nil || len(out) > 0 {
		t.Fatalf("%v\n%s", err, out)
	}
	dir := t.TempDir()
	const harness = `
zmodload zsh/zpty
zpty z zsh -f -i
zpty -w z "PS1=; cd $2; autoload -Uz compinit; compinit -u -d $2/dump; source $1"
zpty -w z 'compadd() { local -a words; builtin compadd -O words "$@"; print -l -- "<"$^words">" >> '$2'/got; builtin compadd "$@" }'
zpty -w z "zstyle ':completion:*' list-prompt ''; LISTMAX=100000; touch $2/ready"
n=0
until [[ -e $2/ready || $n -gt 200 ]]; do sleep 0.05; (( n++ )); done
zpty -n -w z "$3"$'\t'
n=0
until [[ -s $2/got || $n -gt 40 ]]; do sleep 0.05; (( n++ )); done
sleep 0.2
zpty -d z
`
	script := write(t, filepath.Join(dir, "harness"), harness)
	for _, c := range []struct {
		typed string
		want  []string
	}{
		{"me", []string{"merge"}},
		{"check --format js", []string{"json", "jsonl"}},
		{"merge --incom", []string{"--incomplete"}},
		{"explain hole-", []string{"hole-reach", "hole-thickness"}},
		{"completion f", []string{"fish"}},
	} {
		os.Remove(filepath.Join(dir, "got"))
		os.Remove(filepath.Join(dir, "ready"))
		if out, err := exec.CommandContext(t.Context(), zsh, "-f", script, file, dir, "burrcast "+c.typed).CombinedOutput(); err != nil {
			t.Fatalf("%v\n%s", err, out)
		}
		text, _ := os.ReadFile(filepath.Join(dir, "got"))
		var got []string
		for _, m := range regexp.MustCompile(`<([^>]*)>`).FindAllSubmatch(text, -1) {
			if w := strings.TrimSuffix(string(m[1]), "="); w != "" && !slices.Contains(got, w) {
				got = append(got, w)
			}
		}
		for _, w := range c.want {
			if !slices.Contains(got, w) {
				t.Errorf("%q is completed with %v, not %v", c.typed, got, c.want)
			}
		}
	}
}

// No shell of the last kind is at hand; every verb, flag and word stands in it,
// and its brackets and quotes are closed.
func TestPowershellCompletion(t *testing.T) {
	text, err := os.ReadFile(completionFile(t, "powershell"))
	if err != nil {
		t.Fatal(err)
	}
	for _, v := range verbs() {
		if !bytes.Contains(text, []byte("'"+v.name+"' = ")) {
			t.Errorf("no %s", v.name)
		}
		for _, o := range v.options() {
			if !bytes.Contains(text, []byte("'"+v.name+" --"+o.name+"' = ")) {
				t.Errorf("no --%s of %s", o.name, v.name)
			}
		}
	}
	bare := regexp.MustCompile(`'[^'\n]*'`).ReplaceAllString(strings.ReplaceAll(string(text), "''", ""), "")
	if strings.Contains(bare, "'") {
		t.Error("a quote is not closed")
	}
	for _, pair := range []string{"{}", "()", "[]"} {
		if a, b := strings.Count(bare, pair[:1]), strings.Count(bare, pair[1:]); a != b || a == 0 {
			t.Errorf("%d %s and %d %s", a, pair[:1], b, pair[1:])
		}
	}
}

func TestCompletionUsage(t *testing.T) {
	for _, args := range [][]string{{}, {"ksh"}, {"bash", "zsh"}} {
		code, out, errs := burrcast(t, append([]string{"completion"}, args...)...)
		if code != exitCannot || out != "" || !strings.Contains(errs, "bash, zsh, fish, powershell") {
			t.Errorf("%v: %d %s%s", args, code, out, errs)
		}
	}
	if code, out, _ := burrcast(t, "completion", "--help"); code != exitClean || !strings.Contains(out, "usage: burrcast completion SHELL") {
		t.Errorf("%d %s", code, out)
	}
}
