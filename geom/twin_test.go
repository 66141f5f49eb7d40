package geom

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"
)

// The twins: slow and simple answers by dense sampling.

func pt(x, y float64) r2.Point { return r2.Point{X: x, Y: y} }

// source returns the seeded generator that a test draws from.
func source(t *testing.T) *rand.Rand {
	const seed = 20260101
	t.Logf("seed %d", seed)
	return rand.New(rand.NewPCG(seed, 0))
}

func somewhere(r *rand.Rand) r2.Point { return pt(r.Float64()*20-10, r.Float64()*20-10) }

// someCurve draws a line, an arc of either turn, or a full circle.
func someCurve(r *rand.Rand) Curve {
	switch r.IntN(5) {
	case 0, 1:
		return Line(somewhere(r), somewhere(r))
	case 2:
		return Arc(somewhere(r), 0.1+5*r.Float64(), s1.Angle(r.Float64()*20-10), s1.Angle(math.Copysign(2*math.Pi, r.Float64()-0.5)))
	}
	return Arc(somewhere(r), 0.1+5*r.Float64(), s1.Angle(r.Float64()*20-10), s1.Angle((r.Float64()*2-1)*2*math.Pi))
}

// someLoop draws a closed chain of lines and arcs that need not be simple.
func someLoop(r *rand.Rand) []Curve {
	n := 2 + r.IntN(5)
	pts := make([]r2.Point, n)
	for i := range pts {
		pts[i] = somewhere(r)
	}
	var out []Curve
	for i, p := range pts {
		q := pts[(i+1)%n]
		if r.IntN(2) == 0 {
			out = append(out, Line(p, q))
		} else {
			out = append(out, Bulge(p, q, r.NormFloat64()))
		}
	}
	return out
}

func samples(c Curve, n int) []r2.Point {
	out := make([]r2.Point, n+1)
	for i := range out {
		out[i] = c.At(float64(i) / float64(n))
	}
	return out
}

// near reports whether a and b differ by no more than tol absolutely.
func near(a, b, tol float64) bool { return math.Abs(a-b) <= tol }

func nearPoint(a, b r2.Point, tol float64) bool { return a.Sub(b).Norm() <= tol }
