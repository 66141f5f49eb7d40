package geom

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/golang/geo/r2"
)

// chain is a curve of cubics, each from its first control point to the next one's.
func chain(c [][4]r2.Point) func(t float64) (p, d r2.Point) {
	pieces := make([]func(float64) (p, d r2.Point), len(c))
	for i := range c {
		pieces[i] = bezier(c[i])
	}
	return func(t float64) (p, d r2.Point) {
		i := max(0, min(int(t), len(c)-1))
		return pieces[i](t - float64(i))
	}
}

// randomChain draws cubics that meet at corners, in one tangent, or with continuous
// derivatives; some have a control point twice, some are straight.
func randomChain(rnd *rand.Rand) [][4]r2.Point {
	size := math.Exp(rnd.Float64()*6 - 1)
	at := func(p r2.Point) r2.Point {
		return p.Add(r2.Point{X: rnd.NormFloat64() * size, Y: rnd.NormFloat64() * size})
	}
	out := make([][4]r2.Point, 1+rnd.IntN(6))
	for i := range out {
		c := &out[i]
		if i == 0 {
			c[0] = at(r2.Point{X: rnd.Float64() * 1000})
			c[1] = at(c[0])
		} else {
			b := out[i-1]
			c[0] = b[3]
			step := b[3].Sub(b[2])
			switch rnd.IntN(4) {
			case 0:
				c[1] = at(c[0])
			case 1:
				c[1] = c[0].Add(step.Mul(0.2 + 2*rnd.Float64()))
			default:
				c[1] = c[0].Add(step)
			}
		}
		c[2] = at(c[1])
		c[3] = at(c[2])
		switch rnd.IntN(8) {
		case 0:
			c[2] = c[3]
		case 1:
			if d := c[1].Sub(c[0]); d.Norm() > 0 {
				c[2], c[3] = c[0].Add(d.Mul(2)), c[0].Add(d.Mul(3))
			}
		case 2: // a quarter of a circle, nearly
			d := c[1].Sub(c[0])
			e := Left(d)
			c[2] = c[0].Add(d.Mul(1 / 0.5523)).Add(e.Mul(1/0.5523 - 1))
			c[3] = c[0].Add(d.Mul(1 / 0.5523)).Add(e.Mul(1 / 0.5523))
		}
	}
	return out
}

// TestFitArcsRandom holds the stated distance of random curves against dense
// sampling, and their joints to the tangent where the curve has no corner.
func TestFitArcsRandom(t *testing.T) {
	n := 150
	if testing.Short() {
		n = 30
	}
	total := map[float64]int{}
	for seed := range n {
		rnd := rand.New(rand.NewPCG(uint64(seed), 7))
		c := randomChain(rnd)
		f := chain(c)
		breaks := make([]float64, len(c)+1)
		for i := range breaks {
			breaks[i] = float64(i)
		}
		for _, tol := range []float64{0.01, 1e-3, 1e-5} {
			curves, worst, err := FitArcs(f, breaks, tol, 100000)
			if err != nil {
				t.Errorf("seed %d, %g: %v", seed, tol, err)
				continue
			}
			total[tol] += len(curves)
			if worst > tol {
				t.Errorf("seed %d, %g: deviation %g", seed, tol, worst)
			}
			far, where := strays(f, breaks, curves, tol)
			if far > 1.08*worst+1e-12*1e3 {
				t.Errorf("seed %d, %g: deviation %g at %g, stated %g (%d curves)", seed, tol, far, where, worst, len(curves))
			}
		}
	}
	t.Log(fmt.Sprint(total))
}

// strays returns the largest distance of the curve f from arcs that follow
// it, by sampling, and the parameter there.
func strays(f func(t float64) (p, d r2.Point), breaks []float64, arcs []Curve, tol float64) (far, where float64) {
	const n = 2500
	first, last := breaks[0], breaks[len(breaks)-1]
	near := 0 // arcs are met in order
	for i := range n + 1 {
		t := first + (last-first)*float64(i)/n
		p, _ := f(t)
		best := math.Inf(1)
		at := near
		for k := max(0, near-2); k < min(len(arcs), near+40); k++ {
			if d := distanceTo(arcs[k], p); d < best {
				best, at = d, k
			}
		}
		if best > tol/2 {
			for k := range arcs {
				if d := distanceTo(arcs[k], p); d < best {
					best, at = d, k
				}
			}
		}
		near = at
		if best > far {
			far, where = best, t
		}
	}
	return far, where
}
