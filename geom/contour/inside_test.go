package contour

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"burrcast/geom"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"
)

// anyLoop draws a closed chain of lines and arcs, which may cross itself.
func anyLoop(r *rand.Rand, n int) []geom.Curve {
	pts := make([]r2.Point, n)
	for i := range pts {
		pts[i] = pt(math.Round(r.Float64()*16-8), math.Round(r.Float64()*16-8))
	}
	var out []geom.Curve
	for i, p := range pts {
		q := pts[(i+1)%n]
		if p == q {
			continue
		}
		out = append(out, geom.Bulge(p, q, float64(r.IntN(7)-3)/2))
	}
	return out
}

// polygonParity is the twin: ray parity on many chords.
func polygonParity(loop []geom.Curve, p r2.Point) bool {
	in := false
	for _, c := range loop {
		const n = 400
		for i := range n {
			a, b := c.At(float64(i)/n), c.At(float64(i+1)/n)
			if (a.Y > p.Y) != (b.Y > p.Y) && p.X < a.X+(p.Y-a.Y)/(b.Y-a.Y)*(b.X-a.X) {
				in = !in
			}
		}
	}
	return in
}

func TestContainsAgainstPolygon(t *testing.T) {
	const seed = 20260101
	t.Logf("seed %d", seed)
	r := rand.New(rand.NewPCG(seed, 0))
	tried := 0
	for range 60 {
		loop := anyLoop(r, 2+r.IntN(6))
		big := loop // the same loop in so many pieces that the tree is used
		for len(big) < 40 && len(big) > 0 {
			var halves []geom.Curve
			for _, c := range big {
				halves = append(halves, c.Sub(0, 0.5), c.Sub(0.5, 1))
			}
			big = halves
		}
		few, many := newLoop(loop), newLoop(big)
		for range 60 {
			// Heights of vertices and of turning points are tried on purpose.
			p := pt(r.Float64()*20-10, math.Round(r.Float64()*40-20)/2)
			if slices.ContainsFunc(loop, func(c geom.Curve) bool { _, q := c.Closest(p); return near(p, q, 0.01) }) {
				continue
			}
			tried++
			want := polygonParity(loop, p.Add(pt(0, 1e-7)))
			if few.contains(p) != want || many.contains(p) != want {
				t.Fatalf("%v in %v: %v and %v, want %v", p, loop, few.contains(p), many.contains(p), want)
			}
		}
	}
	if tried < 1000 {
		t.Errorf("only %d points tried", tried)
	}
}

func TestBoxTreeAgainstAll(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 0))
	some := func(size float64) box {
		x, y := r.Float64()*100, r.Float64()*100
		return box{x, y, x + r.Float64()*size, y + r.Float64()*size}
	}
	for _, n := range []int{0, 1, 2, 7, 8, 9, 63, 64, 65, 500} {
		boxes := make([]box, n)
		for i := range boxes {
			boxes[i] = some(10)
		}
		tree := newBoxTree(boxes)
		for range 50 {
			q := some(30)
			var got, want []int
			tree.query(q, func(i int) bool { got = append(got, i); return true })
			for i, b := range boxes {
				if b.meets(q) {
					want = append(want, i)
				}
			}
			slices.Sort(got)
			if !slices.Equal(got, want) {
				t.Fatalf("%d boxes: got %v, want %v", n, got, want)
			}
			calls := 0
			tree.query(q, func(int) bool { calls++; return false })
			if calls > 1 {
				t.Errorf("%d calls after the first said stop", calls)
			}
		}
	}
}

func TestRaysAreSortedBySmallCircle(t *testing.T) {
	o := pt(0, 0)
	curves := []geom.Curve{ // all leave o; the order expected is their own
		geom.Bulge(o, pt(4, -1), 0.4), // to the right at first
		geom.Arc(pt(0, -5), 5, math.Pi/2, -1),
		geom.Arc(pt(0, -9), 9, math.Pi/2, -1),
		geom.Line(o, pt(7, 0)),
		geom.Arc(pt(0, 9), 9, -math.Pi/2, 1),
		geom.Arc(pt(0, 5), 5, -math.Pi/2, 1),
		geom.Line(o, pt(0, 3)),
		geom.Line(o, pt(-3, 0)),
	}
	for seed := range uint64(20) {
		r := rand.New(rand.NewPCG(seed, 0))
		perm := r.Perm(len(curves))
		rays := make([]ray, len(curves))
		for i, k := range perm {
			c := curves[k].Transformed(geom.Rotation(s1.Angle(seed)))
			// Noise in the tangents must not change the order of tangent curves.
			c.From += s1.Angle((r.Float64() - 0.5) * 1e-9)
			if r.IntN(2) == 0 {
				rays[i] = newRay(c, 0, true)
			} else {
				rays[i] = newRay(c.Reversed(), 1, false)
			}
		}
		order := sortRays(rays)
		start := slices.Index(perm, 0)
		at := slices.Index(order, start)
		for k := range order {
			if got := perm[order[(at+k)%len(order)]]; got != k {
				t.Fatalf("seed %d: place %d is curve %d", seed, k, got)
			}
		}
	}
}

func TestArcsKeepTheirShapeWhenEndsMove(t *testing.T) {
	for _, sweep := range []float64{0.3, -2, 3.1, 3.2, -5, 6, 6.2} {
		c := geom.Arc(pt(3, 4), 10, 0.7, s1.Angle(sweep))
		for _, d := range [][2]r2.Point{{pt(0.03, 0), pt(0, 0)}, {pt(0.02, 0.01), pt(-0.02, 0.03)}, {pt(1e-12, 0), pt(0, 0)}} {
			p, q := c.Start.Add(d[0]), c.End.Add(d[1])
			m := moveEnds(c, p, q, 1e-9)
			// No arc through both ends can lie nearer than the turn of its chord
			// lets it.
			slack := 1e-9 + 0.05*(1+2*c.Radius/c.End.Sub(c.Start).Norm())
			if m.Start != p || m.End != q {
				t.Errorf("sweep %g: ends %v %v, want %v %v", sweep, m.Start, m.End, p, q)
			}
			for _, f := range []float64{0, 0.25, 0.5, 0.75, 1} {
				a := m.At(f)
				if _, b := c.Closest(a); !near(a, b, slack) {
					t.Errorf("sweep %g: %v lies %g aside", sweep, a, a.Sub(b).Norm())
				}
			}
			if m.Center.Sub(c.Center).Norm() > slack || math.Abs(m.Radius-c.Radius) > slack {
				t.Errorf("sweep %g: circle %v %g", sweep, m.Center, m.Radius)
			}
		}
	}
}

func TestIslandKnowsItsPlace(t *testing.T) {
	in := join(rect(100, 0, 140, 40), rect(0, 0, 40, 40), rect(102, 2, 110, 10), rect(120, 2, 138, 38), rect(122, 4, 130, 12),
		[]geom.Curve{line(104, 4, 106, 4), line(131, 30, 135, 30), line(5, 5, 9, 9), line(-5, 0, -5, 9)})
	res := build(t, shuffled(in, 5))
	if len(res.Regions) != 3 {
		t.Fatalf("%d regions", len(res.Regions))
	}
	// Outermost first, then from left to right.
	island := res.Regions[2]
	if island.Depth != 1 || island.Parent != 1 || res.Regions[1].Holes[island.Cutout].Curves[0].Start != pt(120, 2) {
		t.Errorf("island %+v", island)
	}
	want := map[r2.Point]int{pt(104, 4): 1, pt(131, 30): 1, pt(5, 5): 0, pt(-5, 0): -1}
	for _, o := range res.Open {
		for p, region := range want {
			if _, q := o.Curves[0].Closest(p); q == p && o.Region != region {
				t.Errorf("chain at %v in region %d, want %d", p, o.Region, region)
			}
		}
	}
}
