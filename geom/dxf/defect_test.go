package dxf

import (
	"errors"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"burrcast/geom"
)

// defect is what one drawing of testdata must give. Most hold a line of 10 mm
// and a square of 10 mm.
type defect struct {
	paths   int
	length  float64 // of all curves, mm
	repairs string  // codes in order
	partial bool
	skipped string // "TYPE why" in order
	err     string // code of the Error
}

const lineAndSquare = 50.0

var whole = defect{paths: 2, length: lineAndSquare}

// lineOnly is a drawing whose second entity was rejected.
func lineOnly(repair string) defect {
	return defect{paths: 1, length: 10, repairs: repair, partial: true}
}

func mended(repairs string) defect {
	return defect{paths: 2, length: lineAndSquare, repairs: repairs}
}

var defects = map[string]defect{
	"plain":                  whole,
	"crlf":                   whole,
	"cr":                     whole,
	"byte-order-mark":        whole,
	"utf-16":                 whole,
	"comments":               whole,
	"lower-case-words":       whole,
	"blanks-round-numbers":   whole,
	"application-data":       whole,
	"embedded-object":        whole,
	"line-codes-10-11-20-21": whole,
	"sections-out-of-order":  whole,
	"model-space-block":      whole,
	"code-page-1251":         whole,
	"utf-8-in-old-version":   whole,
	// The ends together make no closed polyline, but a closed run of lines.
	"open-with-ends-together": whole,

	"doubled-line-ends":      mended("doubled-line-ends"),
	"missing-endsec":         mended("missing-endsec"),
	"missing-eof":            mended("missing-eof"),
	"missing-both-ends":      mended("missing-endsec missing-eof"),
	"junk-after-eof":         mended("junk-after-eof"),
	"junk-before":            mended("junk-before"),
	"outside-section":        mended("outside-section"),
	"entities-after-endsec":  mended("outside-section stray-endsec"),
	"swapped-xy":             mended("swapped-xy"),
	"orphan-seqend":          mended("orphan-seqend"),
	"missing-seqend":         mended("missing-seqend"),
	"missing-endblk":         mended("missing-endblk"),
	"real-for-integer":       mended("real-for-integer"),
	"blank-line":             mended("blank-line"),
	"text-on-two-lines":      mended("bad-code"),
	"vertex-count":           mended("vertex-count"),
	"zero-extrusion":         mended("zero-extrusion"),
	"upright":                mended("turned-flat"),
	"paper-space-only":       mended("paper-space-read"),
	"paper-space-block-only": mended("paper-space-read"),

	// Full circles of radius 2; a straight spline of 20 mm that says it is closed.
	"equal-angles":         {paths: 2, length: 10 + 4*math.Pi, repairs: "equal-angles"},
	"equal-ellipse-angles": {paths: 2, length: 10 + 4*math.Pi, repairs: "equal-angles"},
	"open-spline":          {paths: 2, length: 10 + 20, repairs: "open-spline"},
	"width":                {paths: 3, length: 10 + 40 + 5, repairs: "width-ignored"},
	"true-color":           whole,
	"paper-space-note":     {paths: 2, length: lineAndSquare, skipped: "INSERT paper space; LINE paper space"},

	"orphan-vertex":         {paths: 2, length: lineAndSquare, repairs: "orphan-vertex", partial: true},
	"bad-group-code":        {paths: 2, length: lineAndSquare, repairs: "broken-entity bad-code", partial: true},
	"decimal-comma":         lineOnly("bad-number"),
	"blank-inside-number":   lineOnly("bad-number"),
	"not-a-number":          lineOnly("bad-number"),
	"infinite":              lineOnly("bad-number"),
	"huge-coordinate":       lineOnly("huge-number"),
	"far-away":              lineOnly("huge-number"),
	"missing-number":        lineOnly("missing-number"),
	"missing-seqend-at-end": lineOnly("missing-seqend missing-endsec missing-eof"),
	"negative-radius":       lineOnly("bad-radius"),
	"zero-ellipse-axis":     lineOnly("zero-axis"),
	"too-few-knots":         lineOnly("bad-spline"),
	"falling-knots":         lineOnly("bad-spline"),
	"zero-weight":           lineOnly("bad-spline"),
	"missing-block":         lineOnly("missing-block"),
	"external-reference":    lineOnly("external-reference"),
	"zero-scale":            lineOnly("zero-scale"),
	"bad-base-point":        lineOnly("bad-number bad-number"),
	"not-flat":              lineOnly("not-flat not-flat"),
	"block-cycle":           {paths: 2, length: 20, repairs: "block-cycle", partial: true},
	"truncated-number":      {paths: 1, length: 40, repairs: "truncated missing-endsec missing-eof", partial: true},
	"truncated-tag":         {paths: 1, length: 40, repairs: "truncated missing-endsec missing-eof", partial: true},

	// The natural cubic through (0,0) (10,5) (20,0) (30,5) by chord length: its
	// second derivatives solved by elimination, its length from 60,000 chords,
	// 34.29986, and the line's 10.
	"fit-points-only": {paths: 2, length: 44.29986, repairs: "fit-points-only"},

	"layer-frozen":    {paths: 2, length: lineAndSquare, skipped: "LINE layer frozen"},
	"layer-off":       {paths: 2, length: lineAndSquare, skipped: "LINE layer off"},
	"invisible":       {paths: 2, length: lineAndSquare, skipped: "LINE invisible"},
	"no-length":       {paths: 2, length: lineAndSquare, skipped: "CIRCLE no length; LINE no length"},
	"unknown-entity":  {paths: 2, length: lineAndSquare, skipped: "FROBNICATE not a curve that is read"},
	"paper-space":     {paths: 3, length: lineAndSquare + 2*math.Pi, skipped: "LINE paper space"},
	"dimension-block": {paths: 1, length: 10, skipped: "DIMENSION dimension or callout; INSERT picture of a dimension"},

	"solids-only": {err: CodeNothing, skipped: "3DSOLID solid model, not a curve; " +
		"HATCH filled area, not a curve; REGION solid model, not a curve"},
	"texts-only":      {err: CodeNothing},
	"empty-drawing":   {err: CodeNothing},
	"empty":           {err: CodeEmpty},
	"blanks-only":     {err: CodeEmpty},
	"words":           {err: CodeNotDXF},
	"numbers":         {err: CodeNotDXF},
	"nothing-but-eof": {err: CodeNotDXF},
	"random-bytes":    {err: CodeBinary},
	"dwg":             {err: CodeDWG},
}

// TestDefects reads every drawing of testdata; each has its row.
func TestDefects(t *testing.T) {
	files, err := filepath.Glob("testdata/*.dxf")
	if err != nil || len(files) != len(defects) {
		t.Errorf("%d drawings for %d rows, %v", len(files), len(defects), err)
	}
	for _, path := range files {
		name := strings.TrimSuffix(filepath.Base(path), ".dxf")
		t.Run(name, func(t *testing.T) {
			want, ok := defects[name]
			if !ok {
				t.Fatal("no row")
			}
			data, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			// Lengths are held to 1e-4, closer than arcs at the usual tolerance keep them.
			d, err := ReadBytes(data, Options{CurveTolerance: 1e-5})
			checkDefect(t, want, d, err)
		})
	}
}

func checkDefect(t *testing.T, want defect, d *Drawing, err error) {
	t.Helper()
	code := ""
	var e *Error
	if errors.As(err, &e) {
		code = e.Code
	} else if err != nil {
		t.Errorf("%v is no *Error", err)
	}
	if code != want.err {
		t.Fatalf("error %q (%v), want %q", code, err, want.err)
	}
	if d == nil {
		return
	}
	var repairs, skipped []string
	last := 0
	for _, r := range d.Repairs {
		repairs = append(repairs, r.Code)
		if r.Line < last || r.Line < 1 {
			t.Errorf("repair on line %d behind one on line %d", r.Line, last)
		}
		last = r.Line
		if r.Text == "" {
			t.Errorf("repair %s without words", r.Code)
		}
	}
	for _, s := range d.Skipped {
		skipped = append(skipped, s.Type+" "+s.Why)
	}
	got := defect{
		paths: len(d.Paths), length: totalLength(d), partial: d.Partial,
		repairs: strings.Join(repairs, " "), skipped: strings.Join(skipped, "; "), err: code,
	}
	if math.Abs(got.length-want.length) <= 1e-4 {
		got.length = want.length
	}
	if got != want {
		t.Errorf("got  %+v\nwant %+v", got, want)
	}
	for _, p := range d.Paths {
		checkPath(t, p)
		if p.Entity != strings.ToUpper(p.Entity) {
			t.Errorf("entity type %s is not in capitals", p.Entity)
		}
	}
}

func totalLength(d *Drawing) float64 {
	sum := 0.0
	for _, p := range d.Paths {
		sum += geom.LoopLength(p.Curves)
	}
	return sum
}

// TestExternalReference: a block in another file is told with the file's name.
func TestExternalReference(t *testing.T) {
	data := drawingOf("0 BLOCK 2 frame 70 4 10 0 20 0 1 ../frames/a3.dxf 0 ENDBLK",
		"0 LINE 8 0 10 0 20 0 11 10 21 0 0 INSERT 8 0 2 frame 10 0 20 0 0 INSERT 8 0 2 frame 10 9 20 0")
	d, err := ReadBytes(data, Options{})
	if err != nil || !d.Partial || len(d.Paths) != 1 {
		t.Fatalf("%v, %+v", err, d)
	}
	for _, r := range d.Repairs {
		if r.Code != "external-reference" || !r.Rejected || !strings.Contains(r.Text, `"../frames/a3.dxf"`) || !strings.Contains(r.Text, `"frame"`) {
			t.Errorf("%+v", r)
		}
	}
	if len(d.Repairs) != 2 {
		t.Errorf("%d repairs, want one for each place", len(d.Repairs))
	}
}

// checkPath checks what every path promises.
func checkPath(t *testing.T, p Path) {
	t.Helper()
	if len(p.Curves) == 0 || p.Line < 1 || p.Layer == "" || p.Entity == "" || p.LineType == "" {
		t.Errorf("incomplete path %+v", p)
		return
	}
	for i, c := range p.Curves {
		if !c.Finite() {
			t.Errorf("line %d: %+v is not finite", p.Line, c)
		}
		if i > 0 && p.Curves[i-1].End != c.Start {
			t.Errorf("line %d: gap before curve %d", p.Line, i)
		}
	}
	if p.Closed && p.Curves[len(p.Curves)-1].End != p.Curves[0].Start {
		t.Errorf("line %d: closed path is open", p.Line)
	}
}
