package cli

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"

	"burrcast/analyze"
	"burrcast/cmd/internal/report"
	"burrcast/geom/dxf"

	"github.com/spf13/pflag"
)

// runKept is what a run with a store says, and how many drawings it measured.
func runKept(t *testing.T, cache string, args ...string) (stdout string, measured int) {
	t.Helper()
	t.Setenv(cacheVariable, cache)
	var f checkFlags
	paths, err := f.parse(args)
	if err != nil {
		t.Fatal(err)
	}
	shop, err := f.loadShop()
	if err != nil {
		t.Fatal(err)
	}
	f.compare = f.comparing()
	var out, errs bytes.Buffer
	e := &env{ctx: t.Context(), stdout: &out, stderr: &errs}
	c := newChecker(&f, shop, e)
	var n atomic.Int64
	c.analyze = func(d *dxf.Drawing, opt analyze.Options) analyze.Result {
		n.Add(1)
		return analyze.Analyze(d, opt)
	}
	jobs, err := f.loadJobs(shop)
	if err != nil {
		t.Fatal(err)
	}
	sources := walk(paths).found
	if c.told, err = e.assignJobs(&f, jobs, sources); err != nil {
		t.Fatal(err)
	}
	if err := c.setStore(); err != nil {
		t.Fatal(err)
	}
	if code := e.runShard(c, &f, sources); code == exitCannot {
		t.Fatalf("%v: %s", args, &errs)
	}
	e.closeStore(c)
	if s := errs.String(); strings.Contains(s, "not kept") {
		t.Error(s)
	}
	return out.String(), int(n.Load())
}

// anew is what a run without a store says.
func anew(t *testing.T, args ...string) string {
	t.Helper()
	out, _ := runKept(t, "off", args...)
	return out
}

// What is found again is what was found before, byte for byte, in every format,
// whatever format it was kept for.
func TestRecalledIsTheSame(t *testing.T) {
	for _, dir := range []string{demo, "corpus/parts", "corpus/reader"} {
		t.Run(filepath.Base(dir), func(t *testing.T) {
			if dir != demo {
				dir = sharedFolder(t, dir)
				if testing.Short() {
					t.Skip("reads the whole corpus")
				}
			}
			cache := t.TempDir()
			formats := []string{"text", "json", "jsonl", "csv"}
			if dir != demo {
				formats = formats[:2] // takes long
			}
			for i, format := range formats {
				want := anew(t, "--quiet", "--format", format, dir)
				for again := range 2 {
					got, measured := runKept(t, cache, "--quiet", "--format", format, dir)
					if got != want {
						t.Errorf("%s, run %d: another report", format, again+1)
					}
					if first := i == 0 && again == 0; first != (measured > 0) {
						t.Errorf("%s, run %d: %d drawings were measured", format, again+1, measured)
					}
				}
			}
		})
	}
}

// The same for the files of a report, pictures and marked drawings among them.
func TestRecalledReportIsTheSame(t *testing.T) {
	cache, tmp := t.TempDir(), t.TempDir()
	written := func(name, cache string) (map[string]string, int) {
		dir := filepath.Join(tmp, name)
		_, measured := runKept(t, cache, "--quiet", "--report", dir, demo)
		files := map[string]string{}
		err := filepath.WalkDir(dir, func(path string, e fs.DirEntry, err error) error {
			if err != nil || e.IsDir() || filepath.Ext(path) == ".xlsx" { // holds the time of writing
				return err
			}
			data, err := os.ReadFile(path)
			rel, _ := filepath.Rel(dir, path)
			files[rel] = string(data)
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
		return files, measured
	}
	want, all := written("anew", "off")
	runKept(t, cache, "--quiet", "--format", "jsonl", demo) // keeps no pictures
	for _, name := range []string{"first", "second"} {
		got, measured := written(name, cache)
		if measured > 0 || all == 0 {
			t.Errorf("%s: %d drawings were measured", name, measured)
		}
		if len(got) != len(want) || len(want) < 15 {
			t.Errorf("%s: %d files, not %d", name, len(got), len(want))
		}
		for file := range want {
			if got[file] != want[file] {
				t.Errorf("%s: %s is another", name, file)
			}
		}
	}
}

// What is judged otherwise is judged from what was measured before, and comes to
// the same as if all was done anew.
func TestRejudgedIsTheSame(t *testing.T) {
	tmp := t.TempDir()
	shop := write(t, filepath.Join(tmp, "own.toml"), "[limit]\nhole-reach = 3.5\n")
	jobs := write(t, filepath.Join(tmp, "jobs.csv"), "drawing,quantity,material,edge\n*,5,S355,-0.2\n")
	others := write(t, filepath.Join(tmp, "others.csv"), "drawing,quantity,material,edge\n*,5,S355,-0.3\n")
	sets := [][]string{few()}
	if dir := filepath.Join(shared, "corpus/parts"); !testing.Short() {
		sets = append(sets, []string{demo})
		if _, err := os.Stat(dir); err == nil {
			sets = append(sets, []string{dir})
		}
	}
	cache := t.TempDir()
	all := [][]string{{"--shop", shop, "--thickness", "3", "--material", "S235"}, {"--jobs", jobs}, {}, {"--material", "1.4301"}, {"--thickness", "3"},
		{"--process", "plasma"}, {"--edge", "P2"}, {"--quantity", "9"}, {"--shop", shop}, {"--jobs", others}}
	for k, paths := range sets {
		runKept(t, cache, append([]string{"--quiet"}, paths...)...)
		was := ""
		for i, args := range all {
			if k > 0 && i == 2 {
				break // takes long
			}
			args = append(append([]string{"--quiet", "--format", "json"}, args...), paths...)
			want := anew(t, args...)
			got, measured := runKept(t, cache, args...)
			if measured > 0 {
				t.Errorf("%v: %d drawings were measured", args, measured)
			}
			if got != want {
				t.Errorf("%v: another report", args)
			}
			if got == was {
				t.Errorf("%v: judged as before", args)
			}
			was = got
			if again, _ := runKept(t, cache, args...); again != want {
				t.Errorf("%v: another report in the run after", args)
			}
		}
	}
	// Another line brings other tools, so its reach is measured.
	line := otherLine(t)
	got, measured := runKept(t, cache, append([]string{"--line", line}, few()...)...)
	if want := anew(t, append([]string{"--line", line}, few()...)...); got != want || measured == 0 {
		t.Errorf("%s: %d measured, the same report: %v", line, measured, got == want)
	}
	for range 2 { // all lines
		all := append([]string{"--line", "all"}, few()...)
		if got, _ := runKept(t, cache, all...); got != anew(t, all...) {
			t.Error("another comparison of lines")
		}
	}
}

// few are the quicker drawings of the demo.
func few() []string {
	var out []string
	for _, name := range []string{"cheek-plate_2mm", "clip-nest", "drive-bracket", "feed-chute", "key-hanger"} {
		out = append(out, filepath.Join(demo, name+".dxf"))
	}
	return out
}

// What reading or measuring depends on is in the key.
func TestReadOtherwise(t *testing.T) {
	cache := t.TempDir()
	for _, args := range [][]string{{}, {"--units", "inch"}, {"--join", "0.01"}, {"--curve-tolerance", "0.01"}, {"--keep-chords"},
		{"--chords", "cut"}, {"--keep-border"}, {"--keep-rings"}} {
		args := append(append([]string{"--quiet"}, args...), few()...)
		got, measured := runKept(t, cache, args...)
		if want := anew(t, args...); measured != 5 || got != want {
			t.Errorf("%v: %d drawings were measured, the same report: %v", args, measured, got == want)
		}
	}
}

// A drawing is known by what it holds; its name counts where names say things.
func TestMovedAndChanged(t *testing.T) {
	t.Chdir(t.TempDir())
	cache := t.TempDir()
	write(t, "a.dxf", plate(0))
	runKept(t, cache, "a.dxf")
	for _, c := range []struct {
		name, text string
		measured   int
	}{
		{"b/a.dxf", plate(0), 0},
		{"a.dxf", plate(0, 200, 150, 60), 1},
		{"a.dxf", plate(0), 0},
		{"a_S235_2mm.dxf", plate(0), 0},
		{"bad.dxf", "a letter", 0}, // is no drawing, so nothing is measured
		{"a.dxf", plate(0) + " ", 1},
	} {
		if err := os.MkdirAll(filepath.Dir(c.name), 0o755); err != nil {
			t.Fatal(err)
		}
		write(t, c.name, c.text)
		for again := range 2 {
			got, measured := runKept(t, cache, "--format", "json", c.name)
			if want := anew(t, "--format", "json", c.name); got != want {
				t.Errorf("%s: %s\nnot\n%s", c.name, got, want)
			}
			if again == 1 {
				c.measured = 0
			}
			if measured != c.measured {
				t.Errorf("%s, run %d: measured %d times, not %d", c.name, again+1, measured, c.measured)
			}
		}
	}
}

// Damage of any kind to what is kept costs time and nothing else.
func TestDamagedStore(t *testing.T) {
	cache := t.TempDir()
	want := anew(t, append([]string{"--format", "json"}, few()...)...)
	for name, damage := range map[string]func(data []byte) []byte{
		"emptied":  func([]byte) []byte { return nil },
		"cut":      func(d []byte) []byte { return d[:len(d)/2] },
		"flipped":  func(d []byte) []byte { d[len(d)*2/3] ^= 4; return d },
		"replaced": func([]byte) []byte { return []byte(want) },
	} {
		runKept(t, cache, append([]string{"--quiet"}, few()...)...)
		n := 0
		eachFile(t, cache, func(file string) {
			data, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			n++
			if err := os.WriteFile(file, damage(data), 0o600); err != nil {
				t.Fatal(err)
			}
		})
		got, measured := runKept(t, cache, append([]string{"--format", "json"}, few()...)...)
		if got != want || n != 10 || measured != 5 {
			t.Errorf("%s: %d files, %d measured, the same report: %v", name, n, measured, got == want)
		}
		if _, measured := runKept(t, cache, append([]string{"--format", "json"}, few()...)...); measured > 0 {
			t.Errorf("%s: %d drawings were measured in the run after", name, measured)
		}
	}
}

func eachFile(t *testing.T, dir string, do func(file string)) {
	t.Helper()
	err := filepath.WalkDir(dir, func(file string, e fs.DirEntry, err error) error {
		if err == nil && !e.IsDir() {
			do(file)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

// --no-cache finds nothing and keeps nothing.
func TestNoCache(t *testing.T) {
	cache := t.TempDir()
	runKept(t, cache, append([]string{"--no-cache"}, few()...)...)
	eachFile(t, cache, func(file string) { t.Errorf("%s was kept", file) })
	runKept(t, cache, few()...)
	if _, measured := runKept(t, cache, append([]string{"--no-cache"}, few()...)...); measured != 5 {
		t.Errorf("%d drawings were measured, not all", measured)
	}
}

// A mistake of the program is not kept: the next version may not make it.
func TestMistakesAreNotKept(t *testing.T) {
	t.Chdir(t.TempDir())
	t.Setenv(cacheVariable, filepath.Join(t.TempDir(), "cache"))
	write(t, "a.dxf", plate(0))
	for _, breaks := range []bool{true, false} {
		var f checkFlags
		paths, err := f.parse([]string{"--format", "json", "a.dxf"})
		if err != nil {
			t.Fatal(err)
		}
		var stdout, stderr bytes.Buffer
		e := &env{ctx: t.Context(), stdout: &stdout, stderr: &stderr}
		shop, err := f.loadShop()
		if err != nil {
			t.Fatal(err)
		}
		c := newChecker(&f, shop, e)
		c.analyze = func(d *dxf.Drawing, opt analyze.Options) analyze.Result {
			if breaks {
				panic("no")
			}
			return analyze.Analyze(d, opt)
		}
		if err := c.setStore(); err != nil {
			t.Fatal(err)
		}
		if code := e.run(c, &f, walk(paths).found); breaks != (code == exitUnread) {
			t.Errorf("exit code %d: %s", code, &stderr)
		}
		var r report.Report
		if err := json.Unmarshal(stdout.Bytes(), &r); err != nil || (r.Drawings[0].Status == report.OK) == breaks {
			t.Errorf("status %s, %v", r.Drawings[0].Status, err)
		}
	}
}

// A store that cannot be written is one hint.
func TestStoreThatCannotBeWritten(t *testing.T) {
	file := write(t, filepath.Join(t.TempDir(), "file"), "no folder")
	t.Setenv(cacheVariable, file)
	code, out, errs := burrcast(t, append([]string{"check", "--format", "json"}, few()...)...)
	if code != exitFound || out != anew(t, append([]string{"--format", "json"}, few()...)...) {
		t.Errorf("exit code %d", code)
	}
	t.Setenv(cacheVariable, file)
	if n := strings.Count(errs, "results are not kept for the next run: "); n != 1 {
		t.Errorf("%d hints in %s", n, errs)
	}
	if _, _, errs = burrcast(t, append([]string{"check", "--quiet"}, few()...)...); strings.Contains(errs, "kept") {
		t.Error(errs)
	}
	t.Setenv(limitVariable, "much")
	if code, _, errs = burrcast(t, "check", demo); code != exitCannot || !strings.Contains(errs, `BURRCAST_CACHE_LIMIT: "much" is not a size such as 500MB or 2GB`) {
		t.Errorf("exit code %d: %s", code, errs)
	}
}

func TestParseSize(t *testing.T) {
	for text, want := range map[string]int64{"0": 0, "1234": 1234, "1234B": 1234, "5k": 5000, "500MB": 500e6, " 2 GB ": 2e9, "1T": 1e12} {
		if got, err := parseSize(text); err != nil || got != want {
			t.Errorf("%q: %d, %v", text, got, err)
		}
	}
	for _, text := range []string{"", "MB", "-1", "1.5GB", "5 PB", "99999999999999999999", "9999999999T"} {
		if got, err := parseSize(text); err == nil {
			t.Errorf("%q: %d", text, got)
		}
	}
}

// Flags that are in no key are named for good reasons; a new flag is in the keys
// unless somebody thought of it.
func TestAsides(t *testing.T) {
	var f checkFlags
	known := map[string]bool{}
	f.flagSet().VisitAll(func(g *pflag.Flag) { known[g.Name] = true })
	for name := range asides {
		if !known[name] {
			t.Errorf("--%s is no flag", name)
		}
		if judging[name] && !fileFlags[name] {
			t.Errorf("--%s decides how drawings are judged and is in no key", name)
		}
	}
}

// A warm run is many times as fast as a cold one.
func BenchmarkWarm(b *testing.B) {
	b.Setenv(cacheVariable, b.TempDir())
	dir := b.TempDir()
	const n = 500
	for i := range n {
		if err := os.WriteFile(filepath.Join(dir, fmt.Sprintf("%d.dxf", i)), []byte(plate(0, 200, 150, 10+float64(i)/10, 100, 100, 2)), 0o644); err != nil {
			b.Fatal(err)
		}
	}
	for _, format := range []string{"jsonl", "json", "csv", "text"} {
		run := func() {
			var out bytes.Buffer
			if code := Run(b.Context(), []string{"check", "--quiet", "--format", format, dir}, nil, &out, &out); code == exitCannot {
				b.Fatal(out.String())
			}
		}
		run()
		b.Run(format, func(b *testing.B) {
			for b.Loop() {
				run()
			}
			b.ReportMetric(float64(n*b.N)/b.Elapsed().Seconds(), "drawings/s")
		})
	}
}
