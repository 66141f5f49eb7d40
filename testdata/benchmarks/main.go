// Benchmarks measures the program on this machine and writes a page of results:
//
//	go run ./testdata/benchmarks [-n DRAWINGS] [-o FILE] [FOLDER|FILE...]
//
// It is run in the project's folder. Without folders the drawings are copies of
// the demo, each moved by an amount of its own, so that no store and no cache
// knows any of them. Reading alone is also measured with two libraries of other
// make, where they are installed: python3-ezdxf, and dxf-parser, which npm puts
// in a temporary folder.
package main

import (
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
)

func main() {
	n := flag.Int("n", 1000, "`DRAWINGS` in the largest folder")
	out := flag.String("o", "testdata/benchmarks/RESULTS.md", "`FILE` to write")
	flag.Parse()
	if err := run(*n, *out, flag.Args()); err != nil {
		fmt.Fprintln(os.Stderr, "benchmarks: error:", err)
		os.Exit(1)
	}
}

// bench is what all measurements share.
type bench struct {
	dir     string // temporary
	program string
	many    string // folder of n drawings
	few     string // a tenth of them
	n       int
	page    page
}

func run(n int, out string, from []string) error {
	if n < 20 {
		return fmt.Errorf("-n %d: too few to measure anything", n)
	}
	dir, err := os.MkdirTemp("", "benchmarks")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	b := &bench{dir: dir, program: filepath.Join(dir, "burrcast.exe"), many: filepath.Join(dir, "many"), few: filepath.Join(dir, "few"), n: n}
	tell("building")
	if err := command("go", "build", "-trimpath", "-o", b.program, "./cmd/burrcast"); err != nil {
		return err
	}
	for _, f := range []struct {
		dir string
		n   int
	}{{b.many, n}, {b.few, n / 10}} {
		args := append([]string{"run", "./testdata/many", "-n", fmt.Sprint(f.n), f.dir}, from...)
		if err := command("go", args...); err != nil {
			return err
		}
	}
	b.head(from)
	for _, step := range []struct {
		what string
		do   func() error
	}{
		{"stages", b.stages}, {"reading", b.reading}, {"sizes", b.sizes}, {"throughput", b.throughput}, {"memory", b.memory},
	} {
		tell(step.what)
		if err := step.do(); err != nil {
			return fmt.Errorf("%s: %w", step.what, err)
		}
	}
	if err := os.WriteFile(out, []byte(b.page.String()), 0o666); err != nil {
		return err
	}
	tell("written to " + out)
	return nil
}

func tell(what string) { fmt.Fprintln(os.Stderr, "benchmarks:", what) }

// command runs a program whose output is of no interest.
func command(name string, args ...string) error {
	cmd := exec.Command(name, args...)
	if out, err := cmd.CombinedOutput(); err != nil {
		return fmt.Errorf("%s %s: %w\n%s", name, strings.Join(args, " "), err, out)
	}
	return nil
}

// head says what was measured on what.
func (b *bench) head(from []string) {
	what := "copies of the demo"
	if len(from) > 0 {
		what = "copies of drawings given"
	}
	said, _ := exec.Command(b.program, "version").Output()
	version, _, _ := strings.Cut(string(said), "\n")
	b.page.text("# Results", "Written by `go run ./testdata/benchmarks -n %d`; see there for what each number is. One run on a machine\n"+
		"that may do other things at the same time: what counts is what stands beside each other.", b.n)
	b.page.table([]string{"", ""}, [][]string{
		{"program", strings.TrimSpace(version)},
		{"machine", fmt.Sprintf("%s, %d processors, %s/%s", processor(), runtime.NumCPU(), runtime.GOOS, runtime.GOARCH)},
		{"drawings", fmt.Sprintf("%s, each moved by an amount of its own: %d, %.1f MB", what, b.n, float64(sizeOf(b.many))/1e6)},
	})
}

// processor names what the machine computes with, where the system says it.
func processor() string {
	text, err := os.ReadFile("/proc/cpuinfo")
	if err != nil {
		return runtime.GOARCH
	}
	for line := range strings.Lines(string(text)) {
		if name, value, ok := strings.Cut(line, ":"); ok && strings.TrimSpace(name) == "model name" {
			return strings.TrimSpace(value)
		}
	}
	return runtime.GOARCH
}

// drawings lists the files of a folder.
func drawings(dir string) []string {
	files, err := filepath.Glob(filepath.Join(dir, "*", "*.dxf"))
	if err != nil {
		panic(err) // the pattern is ours
	}
	return files
}

func sizeOf(dir string) int64 {
	var sum int64
	for _, f := range drawings(dir) {
		if info, err := os.Stat(f); err == nil {
			sum += info.Size()
		}
	}
	return sum
}
