package cli

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"burrcast/analyze"
	"burrcast/cmd/internal/report"
	"burrcast/geom/dxf"
	"burrcast/rules"

	"github.com/spf13/pflag"
)

// plate draws a panel with round holes, R12 style: x, y, diameter each. With
// split its first corner stays open by that much.
func plate(split float64, holes ...float64) string {
	var b strings.Builder
	b.WriteString("0\nSECTION\n2\nENTITIES\n")
	for _, l := range [][4]float64{{split, 0, 400, 0}, {400, 0, 400, 300}, {400, 300, 0, 300}, {0, 300, 0, 0}} {
		fmt.Fprintf(&b, "0\nLINE\n8\n0\n10\n%g\n20\n%g\n11\n%g\n21\n%g\n", l[0], l[1], l[2], l[3])
	}
	for i := 0; i < len(holes); i += 3 {
		fmt.Fprintf(&b, "0\nCIRCLE\n8\n0\n10\n%g\n20\n%g\n40\n%g\n", holes[i], holes[i+1], holes[i+2]/2)
	}
	b.WriteString("0\nENDSEC\n0\nEOF\n")
	return b.String()
}

// oval is an ellipse in a file of its own: the one shape that is not exact.
const oval = "0\nSECTION\n2\nHEADER\n9\n$ACADVER\n1\nAC1015\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n" +
	"0\nELLIPSE\n8\n0\n10\n0\n20\n0\n11\n100\n21\n0\n40\n0.5\n41\n0\n42\n6.283185307179586\n0\nENDSEC\n0\nEOF\n"

// facets is a disc drawn as a polygon of n sides.
func facets(n int, r float64) string {
	var b strings.Builder
	fmt.Fprintf(&b, "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n0\nLWPOLYLINE\n8\n0\n90\n%d\n70\n1\n", n)
	for i := range n {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		fmt.Fprintf(&b, "10\n%.6f\n20\n%.6f\n", r*cos, r*sin)
	}
	return b.String() + "0\nENDSEC\n0\nEOF\n"
}

func write(t *testing.T, name, text string) string {
	t.Helper()
	if err := os.WriteFile(name, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	return name
}

// burrcast runs the command and returns its exit code and what it says.
func burrcast(t *testing.T, args ...string) (code int, stdout, stderr string) {
	t.Helper()
	var out, errs bytes.Buffer
	code = Run(t.Context(), args, nil, &out, &errs)
	return code, out.String(), errs.String()
}

// Every flag does something: without it the output is as said, with it as said.
func TestFlags(t *testing.T) {
	bent := own(t, "bend-from-edge-to-edge")
	nest := own(t, "sheet-round-parts-with-holes")
	sunk := own(t, "countersink")
	t.Chdir(t.TempDir())
	flat := write(t, "flat.dxf", plate(0, 200, 150, 60))
	gap := write(t, "gap.dxf", plate(0.2, 200, 150, 60))
	slight := write(t, "slight.dxf", plate(0, 200, 150, 1.2))
	round := write(t, "oval.dxf", oval)
	chords := write(t, "chords.dxf", facets(72, 50))
	note := write(t, "letter.dxf", "a letter")
	other := write(t, "own.toml", "[limit]\nhole-reach = 500\n")
	known := []string{"--material", "S235", "--thickness", "1", "--process", "laser-n2", "--edge", "-0.3"}
	jobs := write(t, "jobs.csv", "drawing;material\nflat.dxf;S235\n")
	_, before, _ := burrcast(t, "check", "--format", "json", flat)
	older := write(t, "older.json", before)
	tested := map[string]bool{}
	with := func(args ...string) []string { return append(append([]string{}, known...), args...) }

	for _, c := range []struct {
		flag            string
		base, more      []string // arguments without and with the flag
		without, withIt string   // what the output holds, as patterns
	}{
		{"material", []string{flat}, []string{"--material", "S235"}, `^\? material: `, `S235 \(flag --material\)`},
		{"thickness", []string{flat}, []string{"--thickness", "2"}, `^\? thickness: `, `2 mm \(flag --thickness\)`},
		{"process", []string{flat}, []string{"--process", "punch"}, `^\? process: `, `punch \(flag --process\)`},
		{"edge", []string{flat}, []string{"--edge", "-0.3"}, `^\? edge: `, `edge -0\.3 \(flag --edge\)`},
		{"line", []string{flat}, []string{"--line", otherLine(t)}, `^judged for line .* \(shop file\)`, `^judged for line ` + otherLine(t) + ` \(flag --line\)`},
		{"quantity", []string{flat}, []string{"--quantity", "25"}, `, 1 piece;`, `, 25 pieces;`},
		{"units", []string{flat}, []string{"--units", "inch"}, `400 x 300 mm`, `10160 x 7620 mm`},
		{"shop", with(flat), []string{"--shop", other}, `^LINE `, `hole-reach: C1 at \(200, 150\) 60 mm, limit 500 mm`},
		{"jobs", []string{flat}, []string{"--jobs", jobs}, `^\? material: `, `S235 \(job table jobs.csv, line 2\)`},
		{"against", []string{flat}, []string{"--against", older}, `^1 drawing, `, `^against older.json: 0 drawings changed, 0 new, 0 gone, 1 the same$`},
		{"format", []string{flat}, []string{"--format", "csv"}, `^1 drawing, `, `^file,status,part,`},
		{"report", []string{flat}, []string{"--report", "folder"}, `\AE`, `burrcast: hint: the report is in folder/index.html`},
		{"samples-form", []string{slight}, []string{"--samples-form", "form"}, `\AE`, `burrcast: hint: the form for samples \(1 row on 1 part\) is form/samples.html`},
		{"join", with("--fail-on", "ask", gap), []string{"--join", "0.5"}, `.`, `^LINE `},
		{"curve-tolerance", []string{"--format", "json", round}, []string{"--curve-tolerance", "0.5"},
			`"area_mm2": 15707\.9`, `"area_mm2": 15[67]\d\d\.[0-8]`},
		{"keep-chords", []string{"--format", "json", chords}, []string{"--keep-chords"}, `"area_mm2": 7853\.9`, `"area_mm2": 7844\.0`},
		{"chords", []string{bent}, []string{"--chords", "cut"}, `, 1 piece;`, `, 2 pieces;`},
		{"keep-border", []string{nest}, []string{"--keep-border"}, `, 3 pieces;`, `, 4 pieces;`},
		{"keep-rings", []string{sunk}, []string{"--keep-rings"}, `, 1 piece;`, `, 2 pieces;`},
		{"fail-on", with(slight), []string{"--fail-on", "ask"}, `exit 1`, `exit 0`},
		{"workers", []string{flat}, []string{"--workers", "3"}, `^1 drawing, `, `^1 drawing, `},
		{"quiet", []string{"--format", "csv", flat}, []string{"--quiet"}, `burrcast: hint: `, `\AE`},
		{"help", []string{note}, []string{"--help"}, `UNREAD`, `usage: burrcast check PATH`},
	} {
		t.Run(c.flag, func(t *testing.T) {
			run := func(args []string) string {
				code, out, errs := burrcast(t, append([]string{"check"}, args...)...)
				if code == exitCannot {
					t.Fatalf("%v: %s", args, errs)
				}
				if c.flag == "quiet" || c.flag == "report" || c.flag == "samples-form" {
					return errs + "E"
				}
				return fmt.Sprintf("%sexit %d\n", out, code)
			}
			for _, try := range []struct {
				args []string
				want string
			}{{c.base, c.without}, {append(append([]string{}, c.more...), c.base...), c.withIt}} {
				if out := run(try.args); !regexp.MustCompile("(?m)" + try.want).MatchString(out) {
					t.Errorf("check %v: no %q in\n%s", try.args, try.want, out)
				}
			}
		})
		tested[c.flag] = true
	}
	tested["open"] = true     // TestOpen
	tested["no-cache"] = true // TestNoCache
	tested["shard"] = true    // TestShardUsage, TestShardsMakeTheWhole
	new(checkFlags).flagSet().VisitAll(func(f *pflag.Flag) {
		if !tested[f.Name] {
			t.Errorf("--%s has no test", f.Name)
		}
	})

	// A gap bridged by --join is no joint any more.
	_, tight, _ := burrcast(t, append([]string{"check", "--format", "json"}, gap)...)
	_, wide, _ := burrcast(t, append([]string{"check", "--format", "json", "--join", "0.5"}, gap)...)
	if !strings.Contains(tight, `"gap_mm": 0.2`) || strings.Contains(wide, `"gap_mm"`) {
		t.Error("--join does not decide what a joint is")
	}
}

// otherLine is a line of the built-in shop that is not the default one.
func otherLine(t *testing.T) string {
	t.Helper()
	shop := rules.DefaultShop()
	for _, name := range shop.LineNames() {
		if name != shop.LineName("") {
			return name
		}
	}
	t.Fatal("the built-in shop has one line only")
	return ""
}

// A mistake of the program in one drawing is that drawing's message, and the
// others are done all the same.
func TestPanicStopsOneDrawingOnly(t *testing.T) {
	t.Chdir(t.TempDir())
	write(t, "a.dxf", plate(0))
	write(t, "b.dxf", plate(0, 200, 150, 60))
	write(t, "c.dxf", plate(0))
	var f checkFlags
	paths, err := f.parse([]string{"--format", "json", "--workers", "2", "."})
	if err != nil {
		t.Fatal(err)
	}
	var stdout, stderr bytes.Buffer
	e := &env{ctx: t.Context(), stdout: &stdout, stderr: &stderr}
	c := newChecker(&f, rules.DefaultShop(), e)
	c.analyze = func(d *dxf.Drawing, opt analyze.Options) analyze.Result {
		if len(d.Paths) == 5 {
			var nothing []int
			_ = nothing[len(d.Paths)]
		}
		return analyze.Analyze(d, opt)
	}
	if code := e.run(c, &f, walk(paths).found); code != exitUnread {
		t.Errorf("exit code %d", code)
	}
	var r report.Report
	if err := json.Unmarshal(stdout.Bytes(), &r); err != nil {
		t.Fatal(err)
	}
	if len(r.Drawings) != 3 || r.Drawings[0].Status != report.OK || r.Drawings[2].Status != report.OK {
		t.Fatalf("the other drawings: %+v", r.Drawings)
	}
	if b := r.Drawings[1]; b.File != "b.dxf" || b.Status != report.Unreadable || len(b.Messages) != 1 ||
		b.Messages[0].Code != "implementation-error" {
		t.Errorf("the broken drawing: %+v", b)
	}
	if got := stderr.String(); !strings.HasPrefix(got, "burrcast: error: b.dxf: implementation error: ") || strings.Count(got, "\n") != 1 {
		t.Errorf("stderr: %s", got)
	}
}

// A run that is stopped leaves a whole report of what was done.
func TestInterrupted(t *testing.T) {
	t.Chdir(t.TempDir())
	for i := range 40 {
		write(t, fmt.Sprintf("%02d.dxf", i), plate(0))
	}
	var f checkFlags
	paths, err := f.parse([]string{"--format", "json", "--workers", "1", "."})
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(t.Context())
	defer stop()
	var stdout, stderr bytes.Buffer
	e := &env{ctx: ctx, stdout: &stdout, stderr: &stderr}
	c := newChecker(&f, rules.DefaultShop(), e)
	n := 0
	c.analyze = func(d *dxf.Drawing, opt analyze.Options) analyze.Result {
		if n++; n == 5 {
			stop()
		}
		return analyze.Analyze(d, opt)
	}
	if code := e.run(c, &f, walk(paths).found); code != exitCannot {
		t.Errorf("exit code %d", code)
	}
	whole, _, err := compileSchema()
	if err != nil {
		t.Fatal(err)
	}
	if err := validate(whole, stdout.Bytes()); err != nil {
		t.Error(err)
	}
	var r report.Report
	if err := json.Unmarshal(stdout.Bytes(), &r); err != nil {
		t.Fatal(err)
	}
	if len(r.Drawings) < 5 || len(r.Drawings) > 6 || r.Totals.Drawings != len(r.Drawings) {
		t.Errorf("%d drawings in the report, %d in the totals", len(r.Drawings), r.Totals.Drawings)
	}
	if want := fmt.Sprintf("burrcast: error: interrupted after %d of 40 drawings; the report holds these\n", len(r.Drawings)); stderr.String() != want {
		t.Errorf("stderr: %s", &stderr)
	}
}

// Paths are written with "/" whatever the system writes.
func TestNames(t *testing.T) {
	if got := (source{path: filepath.Join("a", "b.dxf")}).name(); got != "a/b.dxf" {
		t.Errorf("named %s", got)
	}
}

func TestColourAndProgressNeedATerminal(t *testing.T) {
	var b bytes.Buffer
	if isTerminal(&b) || wantsColor(&b) {
		t.Error("a buffer is taken for a terminal")
	}
	null, err := os.OpenFile(os.DevNull, os.O_WRONLY, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer null.Close()
	if isTerminal(null) {
		t.Error("the null device is taken for a terminal")
	}
	file, err := os.Create(filepath.Join(t.TempDir(), "out"))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	if isTerminal(file) {
		t.Error("a file is taken for a terminal")
	}
}

// own returns one of the drawings kept with the package that reads them, by its
// absolute path.
func own(t *testing.T, name string) string {
	t.Helper()
	path, err := filepath.Abs(filepath.Join(root, "analyze/testdata/reading", name+".dxf"))
	if err != nil {
		t.Fatal(err)
	}
	return path
}
