package cli

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"strings"
	"testing"
)

// The files of testdata/engines do what they say: with workers on this machine,
// the union of the shares is the unsplit run, byte for byte.

// engines is their folder, with the program built and in the PATH.
func engines(t *testing.T) (dir, drawings, want string, env []string) {
	t.Helper()
	if runtime.GOOS == "windows" {
		t.Skip("the engines run on systems with bash")
	}
	tool(t, "bash")
	dir, err := filepath.Abs(filepath.Join(root, "testdata/engines"))
	if err != nil {
		t.Fatal(err)
	}
	bin := t.TempDir()
	build := exec.CommandContext(t.Context(), "go", "build", "-o", filepath.Join(bin, "burrcast"), "./cmd/burrcast")
	build.Dir = root
	if out, err := build.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	drawings, err = filepath.Abs(demo)
	if err != nil {
		t.Fatal(err)
	}
	env = append(os.Environ(), "PATH="+bin+string(os.PathListSeparator)+os.Getenv("PATH"), "BURRCAST_CACHE=off")
	cmd := exec.CommandContext(t.Context(), filepath.Join(bin, "burrcast"), "check", "--quiet", "--format", "jsonl", drawings)
	cmd.Env = env
	out, _ := cmd.Output() // the exit code tells of bench work
	if want = string(out); strings.Count(want, "\n") != 15 {
		t.Fatalf("the unsplit run says %.200s", want)
	}
	return dir, drawings, want, env
}

// engine runs one script and wants it to work.
func engine(t *testing.T, env []string, dir, name string, args ...string) {
	t.Helper()
	cmd := exec.CommandContext(t.Context(), name, args...)
	cmd.Env, cmd.Dir = env, dir
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%s %v: %v\n%s", name, args, err, out)
	}
}

func sameFile(t *testing.T, file, want string) {
	t.Helper()
	got, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if string(got) != want {
		t.Errorf("%s has %d bytes and is not the unsplit run of %d", file, len(got), len(want))
	}
}

func TestEnginesParse(t *testing.T) {
	dir, err := filepath.Abs(filepath.Join(root, "testdata/engines"))
	if err != nil {
		t.Fatal(err)
	}
	scripts, err := filepath.Glob(filepath.Join(dir, "*.sh"))
	if err != nil || len(scripts) != 2 {
		t.Fatalf("%v, %v", scripts, err)
	}
	bash := tool(t, "bash")
	for _, s := range scripts {
		if out, err := exec.CommandContext(t.Context(), bash, "-n", s).CombinedOutput(); err != nil || len(out) > 0 {
			t.Errorf("%v\n%s", err, out)
		}
	}
}

func TestParallel(t *testing.T) {
	tool(t, "parallel")
	dir, drawings, want, env := engines(t)
	work := t.TempDir()
	script := filepath.Join(dir, "parallel.sh")
	engine(t, append(env, "JOBS=2"), work, script, drawings, "out put", "7")
	sameFile(t, filepath.Join(work, "out put", "all.jsonl"), want)

	// A share that was cut off is done again, and no other.
	share := filepath.Join(work, "out put", "4.jsonl")
	text, err := os.ReadFile(share)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(share, text[:len(text)/2], 0o644); err != nil {
		t.Fatal(err)
	}
	before, err := os.Stat(filepath.Join(work, "out put", "5.jsonl"))
	if err != nil {
		t.Fatal(err)
	}
	engine(t, env, work, script, drawings, "out put", "7")
	sameFile(t, filepath.Join(work, "out put", "all.jsonl"), want)
	after, err := os.Stat(filepath.Join(work, "out put", "5.jsonl"))
	if err != nil || !after.ModTime().Equal(before.ModTime()) {
		t.Errorf("a share that was done is done again, %v", err)
	}

	// Flags reach every share; a wrong one is a failure that is told.
	engine(t, env, work, script, drawings, "steel", "3", ":", "--material", "EN AW-5754", "--quantity", "3")
	steel, err := os.ReadFile(filepath.Join(work, "steel", "all.jsonl"))
	if err != nil || !bytes.Contains(steel, []byte(`"flags":{"material":"EN AW-5754","quantity":"3"}`)) {
		t.Errorf("the flags are lost, %v", err)
	}
	cmd := exec.CommandContext(t.Context(), script, drawings, "wrong", "2", ":", "--materiel", "S235")
	cmd.Env, cmd.Dir = env, work
	if out, err := cmd.CombinedOutput(); err == nil {
		t.Errorf("a wrong flag is no failure:\n%s", out)
	}
	if _, err := os.Stat(filepath.Join(work, "wrong", "all.jsonl")); err == nil {
		t.Error("there is a result of a run that failed")
	}
}

// The array script, run as the scheduler would run each of its tasks.
func TestArray(t *testing.T) {
	dir, drawings, want, env := engines(t)
	work := t.TempDir()
	const tasks = 4
	for n := 1; n <= tasks; n++ {
		engine(t, append(env, fmt.Sprintf("SHARDS=%d", tasks), fmt.Sprintf("SLURM_ARRAY_TASK_ID=%d", n), "SLURM_CPUS_PER_TASK=1"), work,
			filepath.Join(dir, "slurm.sh"), drawings, "out")
	}
	files, err := filepath.Glob(filepath.Join(work, "out", "*.jsonl"))
	if err != nil || len(files) != tasks {
		t.Fatalf("%v, %v", files, err)
	}
	if got := merged(t, append([]string{"--format", "jsonl"}, files...)...); got != want {
		// The program under test and the one built name themselves alike or not.
		same := regexp.MustCompile(`"program":"[^"]*"`)
		if same.ReplaceAllString(got, "") != same.ReplaceAllString(want, "") {
			t.Error("the union of the tasks is not the unsplit run")
		}
	}
	text, err := os.ReadFile(filepath.Join(dir, "slurm.sh"))
	if err != nil {
		t.Fatal(err)
	}
	array := regexp.MustCompile(`--array=1-(\d+)\n`).FindSubmatch(text)
	if array == nil || !bytes.Contains(text, []byte("${SHARDS:-"+string(array[1])+"}")) {
		t.Error("the array has not as many tasks as there are shards")
	}
}

// The jobs' commands, taken out of the manifests by another program and run as
// every pod would run them.
func TestIndexedJob(t *testing.T) {
	dir, drawings, want, env := engines(t)
	python := ""
	for _, name := range []string{"python3", "/usr/bin/python3"} {
		if exec.Command(name, "-c", "import yaml").Run() == nil {
			python = name
			break
		}
	}
	if python == "" {
		if os.Getenv("BURRCAST_WITNESS") == "all" {
			t.Fatal("python3-yaml is missing")
		}
		t.Skip("python3-yaml is not installed")
	}
	const ask = `
import sys, yaml
job = yaml.safe_load(open(sys.argv[1]))
assert job["apiVersion"] == "batch/v1" and job["kind"] == "Job", job
spec = job["spec"]
(c,) = spec["template"]["spec"]["containers"]
names = {v["name"] for v in spec["template"]["spec"]["volumes"]}
assert {m["name"] for m in c["volumeMounts"]} <= names, names
assert c["command"] == ["/bin/sh", "-euc"] and len(c["args"]) == 1
shards = {e["name"]: e["value"] for e in c.get("env", [])}.get("SHARDS", "")
if "completions" in spec:
    assert spec["completionMode"] == "Indexed" and str(spec["completions"]) == shards, spec
print(shards)
print(c["args"][0])
`
	work := t.TempDir()
	results := filepath.Join(work, "results")
	if err := os.Mkdir(results, 0o755); err != nil {
		t.Fatal(err)
	}
	command := func(manifest string) (shards, script string) {
		out, err := exec.CommandContext(t.Context(), python, "-c", ask, filepath.Join(dir, manifest)).CombinedOutput()
		if err != nil {
			t.Fatalf("%s: %v\n%s", manifest, err, out)
		}
		shards, script, _ = strings.Cut(string(out), "\n")
		return shards, strings.NewReplacer("/drawings", single(drawings), "/results", results).Replace(script)
	}
	shards, script := command("kubernetes.yaml")
	if shards != "16" {
		t.Fatalf("%q shards", shards)
	}
	for n := range 16 {
		engine(t, append(env, "SHARDS="+shards, fmt.Sprintf("JOB_COMPLETION_INDEX=%d", n)), work, "sh", "-euc", script)
	}
	_, script = command("kubernetes-merge.yaml")
	engine(t, env, work, "sh", "-euc", script)
	sameFile(t, filepath.Join(results, "all"), want)
	if _, err := os.Stat(filepath.Join(results, "report", "index.html")); err != nil {
		t.Error(err)
	}
}
