package analyze

import (
	"math"
	"testing"

	"burrcast/geom/dxf"
)

// A right triangle with legs of 30 mm along X and 60 mm along Y has its centre of
// gravity a third of each leg from the right angle, wherever it lies in the
// drawing.
func TestLead(t *testing.T) {
	const triangle = "0\nSECTION\n2\nENTITIES\n0\nLWPOLYLINE\n8\nCUT\n90\n3\n70\n1\n10\n500\n20\n700\n10\n530\n20\n700\n10\n500\n20\n760\n0\nENDSEC\n0\nEOF\n"
	d, err := dxf.ReadBytes([]byte(triangle), dxf.Options{Units: "mm"})
	if err != nil {
		t.Fatal(err)
	}
	r := Analyze(d, Options{})
	if len(r.Parts) != 1 {
		t.Fatalf("%d parts", len(r.Parts))
	}
	for _, f := range r.Parts[0].Measure.Feeds {
		// At 0 the corner at X 30 leads; at 90 the feed runs against Y, so that
		// the leg along X leads.
		want, ok := map[float64]float64{0: 20, 90: 20}[f.Angle]
		if ok && math.Abs(f.Lead-want) > 1e-9 {
			t.Errorf("at %g degrees the centre of gravity lies %g mm behind the front, want %g", f.Angle, f.Lead, want)
		}
		if !(f.Lead > 0) || f.Lead >= f.Length {
			t.Errorf("at %g degrees: lead %g, length %g", f.Angle, f.Lead, f.Length)
		}
	}
}

// Lines drawn twice are counted, and their places are told.
func TestDuplicatesHaveAPlace(t *testing.T) {
	const line = "0\nLINE\n8\nCUT\n10\n0\n20\n0\n11\n50\n21\n0\n"
	const rest = "0\nLINE\n8\nCUT\n10\n50\n20\n0\n11\n50\n21\n40\n0\nLINE\n8\nCUT\n10\n50\n20\n40\n11\n0\n21\n0\n"
	d, err := dxf.ReadBytes([]byte("0\nSECTION\n2\nENTITIES\n"+line+line+rest+"0\nENDSEC\n0\nEOF\n"), dxf.Options{Units: "mm"})
	if err != nil {
		t.Fatal(err)
	}
	m := Analyze(d, Options{}).Drawing
	if m.Duplicates != 1 || len(m.DuplicatesAt) != 1 {
		t.Fatalf("%d duplicates, %d places", m.Duplicates, len(m.DuplicatesAt))
	}
	if p := m.DuplicatesAt[0].At; p.X != 0 || p.Y != 0 {
		t.Errorf("place %v", p)
	}
}
