package analyze

import (
	"math"
	"testing"

	"burrcast/analyze/measure"
	"burrcast/geom"
	"burrcast/geom/dxf"

	"github.com/golang/geo/r2"
)

// A plate with a slot of 30 by 6 between its ends' centres, 4 mm off the lower
// edge, and a notch 3 wide and 12 deep: each keeps its width along a stretch
// whose length follows from the drawing.
func TestLevels(t *testing.T) {
	at := func(x, y float64) r2.Point { return r2.Point{X: x, Y: y} }
	loop := func(p ...r2.Point) (out []geom.Curve) {
		for k := range p {
			out = append(out, geom.Line(p[k], p[(k+1)%len(p)]))
		}
		return out
	}
	outline := loop(at(0, 0), at(100, 0), at(100, 60), at(52, 60), at(52, 48), at(49, 48), at(49, 60), at(0, 60))
	slot := []geom.Curve{
		geom.Line(at(35, 4), at(65, 4)), geom.Bulge(at(65, 4), at(65, 10), 1),
		geom.Line(at(65, 10), at(35, 10)), geom.Bulge(at(35, 10), at(35, 4), 1),
	}
	res, err := Analyze(&dxf.Drawing{Paths: []dxf.Path{{Curves: outline}, {Curves: slot}}}, Options{}), error(nil)
	if err != nil || len(res.Parts) != 1 {
		t.Fatalf("%d parts, %v", len(res.Parts), err)
	}
	p := res.Parts[0].Measure
	check := func(what string, width measure.Value, l measure.Level, wide, long float64) {
		t.Helper()
		got, ok := l.Length.Get()
		if !ok || math.Abs(width.V-wide) > 1e-9 || math.Abs(got-long) > 1e-9 {
			t.Errorf("%s: %g wide along %g (%v), want %g along %g", what, width.V, got, ok, wide, long)
		}
		if d := l.Walls[0].A.Sub(l.Walls[1].A).Norm(); math.Abs(d-wide) > 1e-9 {
			t.Errorf("%s: walls %g apart at the start of the stretch", what, d)
		}
	}
	if len(p.Cutouts) != 1 || len(p.Notches) != 1 || len(p.Webs) == 0 {
		t.Fatalf("%d cut-outs, %d notches, %d webs", len(p.Cutouts), len(p.Notches), len(p.Webs))
	}
	check("slot", p.Cutouts[0].MinWidth, p.Cutouts[0].Level, 6, 30)
	// From half a width off its floor to where its walls end.
	check("notch", p.Notches[0].Width, p.Notches[0].Level, 3, 10.5)
	found := false
	for _, w := range p.Webs {
		if math.Abs(w.Width.V-4) < 1e-9 {
			found = true
			check("web", w.Width, w.Level, 4, 30)
		}
	}
	if !found {
		t.Errorf("no web of 4 mm: %+v", p.Webs)
	}
}
