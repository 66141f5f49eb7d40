package geom

import (
	"math"
	"testing"

	"github.com/golang/geo/s1"
)

func TestTransformedIsTheImageOfPoints(t *testing.T) {
	r := source(t)
	for range 300 {
		c := someCurve(r)
		scale := 0.1 + 3*r.Float64()
		mirror := math.Copysign(1, r.Float64()-0.5)
		m := Scaling(scale, scale*mirror).
			Then(Rotation(s1.Angle(r.Float64() * 7))).
			Then(Translation(somewhere(r)))
		got := c.Transformed(m)
		for _, f := range []float64{0, 0.1, 0.5, 0.9, 1} {
			if want := m.Point(c.At(f)); !nearPoint(got.At(f), want, 1e-11) {
				t.Errorf("%+v at %g: %v, want %v", c, f, got.At(f), want)
			}
		}
		if !near(m.Det(), scale*scale*mirror, 1e-12*scale*scale) {
			t.Errorf("det %g", m.Det())
		}
		s, ok := m.Similar(1e-12)
		if !ok || !near(s, scale, 1e-12*scale) {
			t.Errorf("similar: %g, %v", s, ok)
		}
		if d := somewhere(r); !nearPoint(c.Moved(d).At(0.3), c.At(0.3).Add(d), 1e-12) {
			t.Errorf("moved by %v", d)
		}
	}
}

func TestThenAppliesTheReceiverFirst(t *testing.T) {
	m := Translation(pt(1, 0)).Then(Rotation(math.Pi / 2))
	if got := m.Point(pt(1, 0)); !nearPoint(got, pt(0, 2), 1e-15) {
		t.Errorf("got %v", got)
	}
	if got := m.Vector(pt(1, 0)); !nearPoint(got, pt(0, 1), 1e-15) {
		t.Errorf("vector %v", got)
	}
	if Identity().Then(m) != m || m.Then(Identity()) != m {
		t.Error("the identity changes something")
	}
}

func TestUnequalScalesAreNotSimilar(t *testing.T) {
	shear := Affine{A: 1, B: 0.5, D: 1}
	for _, m := range []Affine{Scaling(1, 2), shear, {}, Scaling(1, 1.001)} {
		if _, ok := m.Similar(1e-6); ok {
			t.Errorf("%+v keeps circles round", m)
		}
	}
}
