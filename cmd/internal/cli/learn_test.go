package cli

import (
	"bytes"
	"fmt"
	"io/fs"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"burrcast/cmd/internal/report"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/xuri/excelize/v2"
)

// contents is every file below a folder with what it holds.
func contents(t *testing.T, dir string) map[string]string {
	t.Helper()
	files := map[string]string{}
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := os.ReadFile(path)
		files[path] = string(data)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return files
}

// Nothing is written without --write: whatever else is said, every file stays as
// it is.
func TestLearnWritesNothingUnasked(t *testing.T) {
	data, err := os.ReadFile(demo + "/samples.csv")
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir(t.TempDir())
	write(t, "samples.csv", string(data))
	write(t, "shop.toml", "# ours\n")
	before := contents(t, ".")
	for _, args := range [][]string{
		{"samples.csv"}, {"--shop", "shop.toml", "samples.csv"}, {"--shop", "shop.toml", "--format", "json", "samples.csv"},
		{"--shop", "shop.toml", "--share", "0.9", "--since", "2026-01-01", "samples.csv"}, {"--shop", "shop.toml", "--quiet", "samples.csv"},
	} {
		if code, _, errs := burrcast(t, append([]string{"learn"}, args...)...); code != exitClean {
			t.Errorf("%v: exit %d: %s", args, code, errs)
		}
		after := contents(t, ".")
		for name, text := range before {
			if after[name] != text {
				t.Errorf("%v: %s changed", args, name)
			}
		}
		if len(after) != len(before) {
			t.Errorf("%v: %d files, not %d", args, len(after), len(before))
		}
	}
}

// What the demo says is what its generator put in: the true limits, 2.9 mm for
// holes and 2.2 mm for slots, lie inside the intervals.
func TestDemoSamples(t *testing.T) {
	code, out, errs := burrcast(t, "learn", "--format", "json", demo+"/samples.csv")
	if code != exitClean {
		t.Fatal(code, errs)
	}
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(report.LearnSchemaJSON))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("urn:burrcast:learn:1", doc); err != nil {
		t.Fatal(err)
	}
	schema, err := c.Compile("urn:burrcast:learn:1")
	if err != nil {
		t.Fatal(err)
	}
	if err := validate(schema, []byte(out)); err != nil {
		t.Error(err)
	}
	v, err := jsonschema.UnmarshalJSON(strings.NewReader(out))
	if err != nil {
		t.Fatal(err)
	}
	number := func(v any) float64 {
		f, err := v.(interface{ Float64() (float64, error) }).Float64()
		if err != nil {
			t.Fatal(err)
		}
		return f
	}
	want := map[string]float64{"hole-reach": 2.9, "slot-reach": 2.2}
	for _, g := range v.(map[string]any)["groups"].([]any) {
		g := g.(map[string]any)
		truth, ok := want[g["rule"].(string)]
		if !ok {
			continue
		}
		delete(want, g["rule"].(string))
		fit := g["fit"].(map[string]any)
		if low, high := number(fit["low"]), number(fit["high"]); truth < low || truth > high || math.Abs(number(fit["limit"])/truth-1) > 0.15 || g["settled"] != true {
			t.Errorf("%s: %v (%v to %v), true %v", g["rule"], fit["limit"], low, high, truth)
		}
	}
	if len(want) > 0 {
		t.Errorf("no fit of %v", want)
	}
}

// From drawing to form, from the filled form to the shop file, and back into the
// judgement of the drawing: the whole round, with an inspector whose line cleans
// holes from 3.2 mm on.
func TestSampleRound(t *testing.T) {
	t.Chdir(t.TempDir())
	rng := rand.New(rand.NewPCG(13, 13))
	var holes []float64
	for i := range 30 {
		holes = append(holes, 15+float64(i%10)*40, 30+float64(i/10)*100, 2+0.07*float64(i))
	}
	write(t, "strip.dxf", plate(0, holes...))
	known := []string{"--material", "S235", "--thickness", "1", "--process", "laser-n2", "--edge", "safe-to-handle"}
	run := func(want int, args ...string) string {
		t.Helper()
		code, out, errs := burrcast(t, args...)
		if code != want {
			t.Fatalf("%v: exit %d: %s", args, code, errs)
		}
		return out
	}
	// Two lots of the same strip, one after the other.
	for _, lot := range []string{"first", "second"} {
		run(exitFound, append([]string{"check", "--quantity", "2", "--samples-form", lot, "strip.dxf"}, known...)...)
		name := filepath.Join(lot, report.FormBook)
		f, err := excelize.OpenFile(name)
		if err != nil {
			t.Fatal(err)
		}
		rows, err := f.GetRows("Samples", excelize.Options{RawCellValue: true})
		if err != nil {
			t.Fatal(err)
		}
		at := map[string]int{}
		for k, head := range rows[0] {
			at[head] = k
		}
		for i, row := range rows[1:] {
			if row[at["Rule"]] != "hole-reach" {
				continue // not inspected
			}
			if row[at["Drawing"]] != "strip.dxf" || row[at["Material"]] != "S235" {
				t.Fatalf("%v", row)
			}
			var width float64
			if _, err := fmt.Sscan(row[at["Measured"]], &width); err != nil {
				t.Fatal(err)
			}
			outcome := "burr"
			if rng.Float64() < 1/(1+math.Exp(-20*math.Log(width/3.2))) {
				outcome = "clean"
			}
			for head, v := range map[string]any{"Outcome": outcome, "Order": lot, "Date": "2026-04-02"} {
				cell, err := excelize.CoordinatesToCellName(at[head]+1, i+2)
				if err != nil {
					t.Fatal(err)
				}
				if err := f.SetCellValue("Samples", cell, v); err != nil {
					t.Fatal(err)
				}
			}
		}
		if err := f.Save(); err != nil {
			t.Fatal(err)
		}
		if err := f.Close(); err != nil {
			t.Fatal(err)
		}
	}
	write(t, "shop.toml", "# ours\n")
	out := run(exitClean, "learn", "--shop", "shop.toml", "--write", "first/samples.xlsx", "second/samples.xlsx")
	if !strings.Contains(out, "written to shop.toml: 1 entry") {
		t.Fatal(out)
	}
	out = run(exitFound, append([]string{"check", "--format", "json", "--shop", "shop.toml", "strip.dxf"}, known...)...)
	before := run(exitFound, append([]string{"check", "--format", "json", "strip.dxf"}, known...)...)
	if a, b := strings.Count(out, `"rule": "hole-reach"`), strings.Count(before, `"rule": "hole-reach"`); a <= b+5 {
		t.Errorf("%d holes for the bench with the samples, %d without", a, b)
	}
	if a, b := strings.Count(out, `"rule": "hole-reach"`), strings.Count(out, `"provenance": "shop samples"`); a != b {
		t.Errorf("%d findings, %d of them from samples", a, b)
	}
}

// A shop file that is a link stays one, and keeps its permissions; a folder that
// cannot be written to is an error, and the file stays.
func TestReplaceKeepsTheFile(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("links and permissions of another kind")
	}
	dir := t.TempDir()
	real, link := filepath.Join(dir, "real.toml"), filepath.Join(dir, "link.toml")
	if err := os.WriteFile(real, []byte("old"), 0o640); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink("real.toml", link); err != nil {
		t.Fatal(err)
	}
	if err := replace(link, []byte("new")); err != nil {
		t.Fatal(err)
	}
	info, err := os.Lstat(link)
	if err != nil || info.Mode()&os.ModeSymlink == 0 {
		t.Errorf("%v %v", info, err)
	}
	info, err = os.Stat(real)
	if err != nil || info.Mode().Perm() != 0o640 {
		t.Errorf("%v %v", info, err)
	}
	if data, err := os.ReadFile(real); err != nil || string(data) != "new" {
		t.Errorf("%q %v", data, err)
	}
	if err := replace(filepath.Join(dir, "none.toml"), nil); err == nil {
		t.Error("a file that is not there is replaced")
	}
	if left, _ := filepath.Glob(filepath.Join(dir, ".*")); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
}
