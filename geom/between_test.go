package geom

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"
)

// The twin looks at points along both curves: never nearer than the closed form,
// and farther by no more than the steps between its points.
func TestBetweenAgreesWithItsTwin(t *testing.T) {
	const seed, steps = 41, 64
	rng := rand.New(rand.NewPCG(seed, seed))
	some := func() Curve {
		p := r2.Point{X: 20 * rng.Float64(), Y: 20 * rng.Float64()}
		switch rng.IntN(4) {
		case 0:
			return Circle(p, 1+3*rng.Float64())
		case 1:
			return Arc(p, 1+5*rng.Float64(), s1.Angle(6*rng.Float64()), s1.Angle(10*rng.Float64()-5))
		}
		return Line(p, p.Add(r2.Point{X: 8 * rng.Float64(), Y: 8*rng.Float64() - 4}))
	}
	for range 3000 {
		c, d := some(), some()
		got, p, q := Between(c, d)
		if _, near := c.Closest(p); near.Sub(p).Norm() > 1e-9 {
			t.Fatalf("seed %d: %v lies off the first curve %+v", seed, p, c)
		}
		if _, near := d.Closest(q); near.Sub(q).Norm() > 1e-9 {
			t.Fatalf("seed %d: %v lies off the second curve %+v", seed, q, d)
		}
		if math.Abs(p.Sub(q).Norm()-got) > 1e-9 {
			t.Fatalf("seed %d: points %v and %v are not %g apart", seed, p, q, got)
		}
		twin := math.Inf(1)
		for i := range steps + 1 {
			a := c.At(float64(i) / steps)
			_, b := d.Closest(a)
			twin = math.Min(twin, a.Sub(b).Norm())
		}
		if slack := c.Length() / steps; got > twin+1e-9 || twin > got+slack {
			t.Fatalf("seed %d: %g, the twin says %g within %g\n%+v\n%+v", seed, got, twin, slack, c, d)
		}
	}
}

func TestBetweenSpecialPlaces(t *testing.T) {
	o := r2.Point{}
	for _, c := range []struct {
		name string
		a, b Curve
		want float64
	}{
		{"circles round one centre", Circle(o, 3), Circle(o, 5), 2},
		{"circle in a circle", Circle(o, 5), Circle(r2.Point{X: 1}, 2), 2},
		{"one line on another", Line(o, r2.Point{X: 5}), Line(r2.Point{X: 3}, r2.Point{X: 9}), 0},
		{"lines in a row", Line(o, r2.Point{X: 5}), Line(r2.Point{X: 7}, r2.Point{X: 9}), 2},
		{"line beside a circle", Line(r2.Point{X: -9, Y: 4}, r2.Point{X: 9, Y: 4}), Circle(o, 3), 1},
		{"points", Line(o, o), Line(r2.Point{X: 3, Y: 4}, r2.Point{X: 3, Y: 4}), 5},
	} {
		if got, _, _ := Between(c.a, c.b); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("%s: %g, want %g", c.name, got, c.want)
		}
	}
}
