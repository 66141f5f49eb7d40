package cli

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"burrcast/cmd/internal/report"
)

// reportOf writes the report on paths into a new folder.
func reportOf(t *testing.T, args ...string) (dir string, r report.Report) {
	t.Helper()
	dir = filepath.Join(t.TempDir(), "report")
	code, _, errs := burrcast(t, append([]string{"check", "--quiet", "--report", dir}, args...)...)
	if code == exitCannot {
		t.Fatal(errs)
	}
	data, err := os.ReadFile(filepath.Join(dir, report.ProgramFile))
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(data, &r); err != nil {
		t.Fatal(err)
	}
	return dir, r
}

// picture is one part's picture in a page: its id, its scale, its edges.
var picture = regexp.MustCompile(`(?s)<details class="part" id="p(\d+)".*?<svg class="pic"[^>]* data-scale="([^"]+)".*?<path class="part" d="([^"]+)"`)

// What the page draws is as long as what was measured, part by part.
func TestPageDrawsWhatWasMeasured(t *testing.T) {
	dir, r := reportOf(t, demo)
	page, err := os.ReadFile(filepath.Join(dir, report.PageFile))
	if err != nil {
		t.Fatal(err)
	}
	var parts []report.Part
	for _, d := range r.Drawings {
		if len(d.Parts) == 0 {
			parts = append(parts, report.Part{})
		}
		parts = append(parts, d.Parts...)
	}
	found := 0
	for piece := range strings.SplitSeq(string(page), "</details>\n<details class=\"part\"") {
		m := picture.FindStringSubmatch(`<details class="part"` + strings.TrimPrefix(piece[max(0, strings.Index(piece, ` id="p`)):], `<details class="part"`))
		if m == nil {
			continue
		}
		found++
		n, _ := strconv.Atoi(m[1])
		scale, _ := strconv.ParseFloat(m[2], 64)
		p := parts[n-1]
		outline, all := pathLengths(t, m[3])
		if got, want := outline.length/scale, float64(*p.OutlineLength); math.Abs(got-want) > outline.slack/scale || outline.slack > 0.01*outline.length {
			t.Errorf("%s: the outline drawn is %.4f mm, measured %.4f", p.ID, got, want)
		}
		if got, want := all.length/scale, float64(*p.CutLength); math.Abs(got-want) > all.slack/scale {
			t.Errorf("%s: the edges drawn are %.4f mm, measured %.4f", p.ID, got, want)
		}
	}
	if found != r.Totals.Parts || found < 12 {
		t.Errorf("%d pictures of %d parts", found, r.Totals.Parts)
	}
}

// drawnLength is a length in px with a bound on its error: every number of a
// picture is rounded to a thousandth.
type drawnLength struct{ length, slack float64 }

func (l *drawnLength) add(length, slack float64) { l.length += length; l.slack += slack }

// pathLengths are the lengths of a path's first loop and of all of them.
func pathLengths(t *testing.T, d string) (first, all drawnLength) {
	t.Helper()
	const rounding = 0.002 // px of a chord, both ends rounded
	var at, start [2]float64
	loops := 0
	for _, m := range regexp.MustCompile(`([MLAZ])([^MLAZ]*)`).FindAllStringSubmatch(d, -1) {
		var v []float64
		for _, f := range strings.Fields(m[2]) {
			n, err := strconv.ParseFloat(f, 64)
			if err != nil {
				t.Fatal(err)
			}
			v = append(v, n)
		}
		to := start
		if len(v) >= 2 {
			to = [2]float64{v[len(v)-2], v[len(v)-1]}
		}
		step, slack := math.Hypot(to[0]-at[0], to[1]-at[1]), rounding
		switch m[1] {
		case "M":
			start, step, slack = to, 0, 0
			loops++
		case "A": // half a turn at most, and near it a chord says little of the arc
			r := v[0]
			share, off := math.Min(1, step/(2*r)), rounding/(2*r)
			step = 2 * r * math.Asin(share)
			slack = 2 * r * math.Sqrt(2*off)
			if share < 1 {
				slack = math.Min(slack, rounding/math.Sqrt(1-share*share)) + rounding
			}
		}
		all.add(step, slack)
		if loops == 1 {
			first.add(step, slack)
		}
		at = to
	}
	return first, all
}

// A marked drawing is the drawing: read again it has the same parts with the
// same findings at the same places, whatever was drawn over it.
func TestMarkedDrawingsReadTheSame(t *testing.T) {
	dir, want := reportOf(t, demo)
	_, got := reportOf(t, filepath.Join(dir, report.MarkedDir))
	if len(got.Drawings) != len(want.Drawings) {
		t.Fatalf("%d marked drawings of %d", len(got.Drawings), len(want.Drawings))
	}
	places := func(d *report.Drawing) string {
		var b strings.Builder
		for _, p := range d.Parts {
			fmt.Fprintf(&b, "%s x%d %s %.6f\n", p.ID, p.Quantity, p.Treatment, float64(*p.CutLength))
			for _, f := range p.Findings {
				fmt.Fprintf(&b, "  %s %s %s %.6f %.6f\n", f.Rule, f.Treatment, f.Feature, float64(f.X)+1e-9, float64(f.Y)+1e-9)
			}
		}
		return b.String()
	}
	marks := 0
	for i := range want.Drawings {
		w, g := &want.Drawings[i], &got.Drawings[i]
		if filepath.Base(w.File) != filepath.Base(g.File) {
			t.Fatalf("%s beside %s", w.File, g.File)
		}
		if a, b := places(w), places(g); a != b {
			t.Errorf("%s:\n%s\nmarked:\n%s", w.File, a, b)
		}
		data, err := os.ReadFile(filepath.Join(dir, report.MarkedDir, filepath.Base(w.File)))
		if err != nil {
			t.Fatal(err)
		}
		marks += bytes.Count(data, []byte("\nBURRCAST_MARK\n"))
	}
	if marks < 20 {
		t.Errorf("%d marks in all drawings", marks)
	}
	auditAll(t, filepath.Join(dir, report.MarkedDir), demo, 15)
}

// auditAll has another program look for mistakes in every marked drawing: none
// may have one that the drawing does not have, and so many must have none.
func auditAll(t *testing.T, dir, was string, least int) {
	t.Helper()
	python := ""
	for _, name := range []string{"python3", "/usr/bin/python3"} {
		if exec.Command(name, "-c", "import ezdxf").Run() == nil {
			python = name
			break
		}
	}
	if python == "" {
		if os.Getenv("BURRCAST_WITNESS") == "all" {
			t.Fatal("python3-ezdxf is missing")
		}
		t.Skip("python3-ezdxf is not installed")
	}
	const script = `
import pathlib, sys, ezdxf
def faults(file):
    try:
        audit = ezdxf.readfile(file).audit()
    except Exception as e:
        return ["does not open: " + "".join(c for c in str(e) if not c.isdigit())] # lines moved
    return sorted(str(e.code) for e in audit.errors + audit.fixes)
n = 0
marked, was = map(pathlib.Path, sys.argv[1:])
for file in sorted(marked.rglob("*.[dD][xX][fF]")):
    found = faults(file)
    if found and found != faults(was / file.relative_to(marked)):
        print(file.name, found)
    n += not found
print("sound:", n)
`
	said, err := exec.CommandContext(t.Context(), python, "-c", script, dir, was).CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, said)
	}
	if sound := 0; strings.Count(string(said), "\n") != 1 {
		t.Errorf("%s", said)
	} else if _, err := fmt.Sscanf(string(said), "sound: %d", &sound); err != nil || sound < least {
		t.Errorf("%sof at least %d, %v", said, least, err)
	}
}

// The report over a folder of real drawings is made in time and can be sent.
func TestReportOfTheCorpus(t *testing.T) {
	if testing.Short() {
		t.Skip("reads the whole corpus")
	}
	folder := sharedFolder(t, "corpus/parts")
	start := time.Now()
	dir, r := reportOf(t, folder)
	if took := time.Since(start); took > 60*time.Second {
		t.Errorf("the report took %v", took) // under 10 s on an idle machine
	}
	info, err := os.Stat(filepath.Join(dir, report.PageFile))
	if err != nil {
		t.Fatal(err)
	}
	if info.Size() > 15<<20 {
		t.Errorf("the page has %d bytes", info.Size())
	}
	measured := 0
	for _, d := range r.Drawings {
		if len(d.Parts) > 0 {
			measured++
		}
	}
	files := 0
	err = filepath.WalkDir(filepath.Join(dir, report.MarkedDir), func(path string, e os.DirEntry, err error) error {
		if err == nil && !e.IsDir() {
			files++
		}
		return err
	})
	if err != nil || files != measured || measured < 100 {
		t.Errorf("%d marked drawings of %d measured, %v", files, measured, err)
	}
	auditAll(t, filepath.Join(dir, report.MarkedDir), folder, 100)
}
