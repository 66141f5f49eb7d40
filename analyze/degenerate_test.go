package analyze

import (
	"math"
	"testing"

	"burrcast/geom"
	"burrcast/geom/dxf"

	"github.com/golang/geo/r2"
)

func rectangle(x0, y0, x1, y1 float64) []geom.Curve {
	a, b := r2.Point{X: x0, Y: y0}, r2.Point{X: x1, Y: y0}
	c, d := r2.Point{X: x1, Y: y1}, r2.Point{X: x0, Y: y1}
	return []geom.Curve{geom.Line(a, b), geom.Line(b, c), geom.Line(c, d), geom.Line(d, a)}
}

func circleAt(x, y, r float64) []geom.Curve {
	return []geom.Curve{geom.Circle(r2.Point{X: x, Y: y}, r)}
}

func understood(loops ...[]geom.Curve) Result {
	d := &dxf.Drawing{}
	for _, loop := range loops {
		d.Paths = append(d.Paths, dxf.Path{Curves: loop, Closed: true, Entity: "LWPOLYLINE"})
	}
	return Analyze(d, Options{Tools: []float64{2.4}})
}

// checkNumbers fails on a number that cannot be: not finite, negative, or a
// width beyond the part.
func checkNumbers(t *testing.T, res Result) {
	t.Helper()
	for _, p := range res.Parts {
		size := p.Measure.BBox.Size().Norm()
		for _, s := range scalars(Result{Parts: []Part{p}}) {
			if math.IsNaN(s.v) || math.IsInf(s.v, 0) || s.v < 0 {
				t.Errorf("%s = %g", s.what, s.v)
			}
			if s.power == 1 && s.v > size*1000 {
				t.Errorf("%s = %g on a part of %g", s.what, s.v, size)
			}
		}
	}
}

func TestShapesAtTheEdge(t *testing.T) {
	t.Run("no area", func(t *testing.T) {
		a, b := r2.Point{}, r2.Point{X: 50}
		res := understood([]geom.Curve{geom.Line(a, b), geom.Line(b, a)})
		checkNumbers(t, res)
		if len(res.Parts) != 0 || len(res.Messages) == 0 {
			t.Errorf("%d parts, messages %v", len(res.Parts), res.Messages)
		}
	})
	t.Run("bow tie", func(t *testing.T) {
		p := []r2.Point{{X: 0, Y: 0}, {X: 40, Y: 30}, {X: 40, Y: 0}, {X: 0, Y: 30}}
		var loop []geom.Curve
		for k := range p {
			loop = append(loop, geom.Line(p[k], p[(k+1)%4]))
		}
		res := understood(loop)
		checkNumbers(t, res)
		crossing := false
		for _, m := range res.Messages {
			crossing = crossing || m.Code == "crossing"
		}
		if !crossing {
			t.Errorf("a crossing outline is not named: %v", res.Messages)
		}
	})
	t.Run("circles sharing a point", func(t *testing.T) {
		res := understood(circleAt(0, 0, 20), circleAt(10, 0, 10))
		checkNumbers(t, res)
		if len(res.Parts) != 1 || len(res.Parts[0].Measure.Cutouts) != 1 {
			t.Fatalf("%d parts: %v", len(res.Parts), res.Messages)
		}
		if gap := res.Parts[0].Measure.Cutouts[0].EdgeGap.V; gap > 1e-6 {
			t.Errorf("distance of touching circles %g", gap)
		}
	})
	t.Run("contours a nanometre apart", func(t *testing.T) {
		// 1e-6 mm is what the drawing holds; the web is as thin.
		res := understood(rectangle(0, 0, 100, 60), rectangle(1e-6, 10, 50, 50))
		checkNumbers(t, res)
		for _, p := range res.Parts {
			for _, c := range p.Measure.Cutouts {
				if gap, ok := c.EdgeGap.Get(); ok && gap > 2e-6 {
					t.Errorf("web %g, want 1e-6", gap)
				}
			}
		}
	})
	for _, size := range []float64{1e-3, 1, 1e5} {
		res := understood(rectangle(0, 0, size, 0.6*size), circleAt(0.3*size, 0.3*size, 0.1*size))
		if len(res.Parts) != 1 || len(res.Parts[0].Measure.Cutouts) != 1 {
			t.Errorf("part of %g mm: %d parts: %v", size, len(res.Parts), res.Messages)
			continue
		}
		m := &res.Parts[0].Measure
		want := []struct {
			what string
			got  float64
			want float64
		}{
			{"area", m.Area.V, (0.6 - math.Pi*0.01) * size * size},
			{"least width", m.MinWidth.V, 0.6 * size},
			{"inscribed", m.Cutouts[0].Inscribed.V, 0.2 * size},
			{"gap", m.Cutouts[0].EdgeGap.V, 0.2 * size},
		}
		for _, w := range want {
			if math.Abs(w.got-w.want) > 1e-9*w.want {
				t.Errorf("part of %g mm: %s %g, want %g", size, w.what, w.got, w.want)
			}
		}
	}
}

// A hundred thousand chords: an answer that agrees with the circle they stand
// for, within the sagitta.
func TestHundredThousandChords(t *testing.T) {
	if testing.Short() {
		t.Skip("takes seconds")
	}
	const n, r = 100000, 150.0
	at := func(k int) r2.Point {
		s, c := math.Sincos(2 * math.Pi * float64(k%n) / n)
		return r2.Point{X: r * c, Y: r * s}
	}
	loop := make([]geom.Curve, n)
	for k := range loop {
		loop[k] = geom.Line(at(k), at(k+1))
	}
	res := understood(loop)
	if len(res.Parts) != 1 {
		t.Fatalf("%d parts", len(res.Parts))
	}
	m := &res.Parts[0].Measure
	sagitta := r * (1 - math.Cos(math.Pi/n))
	if d := math.Abs(m.Inscribed.V - 2*r); d > 4*sagitta+m.Inscribed.Err {
		t.Errorf("inscribed circle off by %g", d)
	}
	if d := math.Abs(m.MinWidth.V - 2*r); d > 4*sagitta+m.MinWidth.Err {
		t.Errorf("least width off by %g", d)
	}
}
