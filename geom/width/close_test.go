package width

import (
	"math"
	"math/rand/v2"
	"testing"

	"burrcast/geom"
)

// Strips close on shapes of every kind, and give what tracing gives. Where they
// do not, on one shape in some hundreds, tracing stands in.
func TestClosingAgainstTracing(t *testing.T) {
	const seed = 29
	rng := rand.New(rand.NewPCG(seed, 1))
	shapes, traced := 0, 0
	for k := range 300 {
		contours := randomShape(rng)
		for _, region := range [][][]geom.Curve{contours, {geom.ReverseLoop(contours[0])}} {
			f := field(t, region...)
			if shapes++; !f.closed {
				traced++
				continue
			}
			g := &Field{elems: f.elems, rings: f.rings, far: f.far, origin: f.origin}
			g.tree = newTree(g.elems, g.rings)
			g.traceAll()
			for id := range f.elems {
				for range 8 {
					u := 0.01 + 0.98*rng.Float64()
					a, b := f.envelopeAt(int32(id), u), g.envelopeAt(int32(id), u)
					// Tracing may miss a dip that closing finds, not the other way.
					if a > b*(1+1e-6)+1e-9*f.far {
						t.Errorf("seed %d shape %d, element %d at %g: closed %.12g, traced %.12g", seed, k, id, u, a, b)
					}
				}
			}
		}
	}
	if traced*100 > shapes {
		t.Errorf("%d of %d shapes did not close", traced, shapes)
	}
}

// A spike 1 um wide points from one long wall at another: both see it, however
// narrow it is against them.
func TestTinyDip(t *testing.T) {
	const w = 0.001
	for _, x := range []float64{13.37, 400, 801.234, 990.1} {
		loop := poly(0, 0, x-w/2, 0, x, 6, x+w/2, 0, 1000, 0, 1000, 10, 0, 10)
		f := field(t, loop)
		if !f.closed {
			t.Errorf("spike at %g: strips did not close", x)
		}
		s := saddlesOf(f)
		if len(s) != 1 || math.Abs(s[0].Disc.Diameter()-4) > 1e-9 {
			t.Errorf("spike at %g: saddles %+v, want one of 4 mm", x, s)
		}
	}
}

// The shapes that are timed close, or what is timed is the tracing that stands in.
func TestTimedShapesClose(t *testing.T) {
	for _, n := range []int{100, 1000, 10_000} {
		for name, loop := range map[string][]geom.Curve{"smooth": smoothOutline(n), "jagged": jaggedOutline(n), "comb": combOutline(n)} {
			for side, l := range map[string][]geom.Curve{"material": loop, "void": geom.ReverseLoop(loop)} {
				f, err := New([][]geom.Curve{l}, 0)
				if err != nil {
					t.Fatal(err)
				}
				if !f.closed {
					t.Errorf("%s of %d edges, %s: strips are left", name, n, side)
				}
			}
		}
	}
}
