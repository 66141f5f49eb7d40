package geom

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"
)

// sampled returns n chords of a curve over [0, 1], with coordinates rounded to
// a grid if that is not 0.
func sampled(f func(t float64) r2.Point, n int, grid float64) []Curve {
	at := func(i int) r2.Point {
		p := f(float64(i) / float64(n))
		if grid > 0 {
			p = r2.Point{X: math.Round(p.X/grid) * grid, Y: math.Round(p.Y/grid) * grid}
		}
		return p
	}
	out := make([]Curve, 0, n)
	for i := range n {
		out = append(out, Line(at(i), at(i+1)))
	}
	out[n-1].End = at(n)
	return out
}

func closedUp(c []Curve) []Curve {
	c[len(c)-1].End = c[0].Start
	return c
}

// farthestFrom samples f densely and returns how far it strays from curves.
func farthestFrom(f func(t float64) r2.Point, curves []Curve) float64 {
	worst := 0.0
	for i := range 4001 {
		p := f(float64(i) / 4000)
		near := math.Inf(1)
		for _, c := range curves {
			_, q := c.Closest(p)
			near = min(near, q.Sub(p).Norm())
		}
		worst = max(worst, near)
	}
	return worst
}

// tangentJoints returns the largest turn at a joint, in radians.
func tangentJoints(c []Curve, closed bool) float64 {
	worst := 0.0
	for i := range c {
		if i == 0 && !closed {
			continue
		}
		a, b := c[(i+len(c)-1)%len(c)].Tangent(1), c[i].Tangent(0)
		worst = max(worst, math.Abs(math.Atan2(Cross(a, b), a.Dot(b))))
	}
	return worst
}

func circleAt(r float64) func(float64) r2.Point {
	return func(t float64) r2.Point {
		return r2.Point{X: 40, Y: -7}.Add(Direction(s1.Angle(2 * math.Pi * t)).Mul(r))
	}
}

func ellipseOf(a, b float64) func(float64) r2.Point {
	return func(t float64) r2.Point {
		sin, cos := math.Sincos(2 * math.Pi * t)
		return r2.Point{X: a * cos, Y: b * sin}
	}
}

func cubicOf(p0, p1, p2, p3 r2.Point) func(float64) r2.Point {
	return func(t float64) r2.Point {
		u := 1 - t
		return p0.Mul(u * u * u).Add(p1.Mul(3 * u * u * t)).Add(p2.Mul(3 * u * t * t)).Add(p3.Mul(t * t * t))
	}
}

// TestRefitCircles: polygons with many corners are the circles they came from.
func TestRefitCircles(t *testing.T) {
	for _, n := range []int{20, 24, 32, 36, 64, 100, 360, 2000} {
		for _, r := range []float64{0.5, 3, 10} {
			for _, grid := range []float64{0, 1e-6, 1e-4} {
				rise := r * (1 - math.Cos(math.Pi/float64(n)))
				if rise > DefaultRefit().Rise || grid > 0 && 2*math.Pi*r/float64(n) < 100*grid {
					continue
				}
				in := closedUp(sampled(circleAt(r), n, grid))
				for _, c := range [][]Curve{in, ReverseLoop(in)} {
					out, index, did := RefitChords(c, true, DefaultRefit())
					name := fmt.Sprintf("%d chords, radius %g, grid %g", n, r, grid)
					if len(out) != 1 || len(index) != 1 || !out[0].IsCircle() {
						t.Errorf("%s: %d curves", name, len(out))
						continue
					}
					if math.Abs(out[0].Radius-r) > grid+1e-9 || (out[0].Sweep > 0) != (areaOf(c) > 0) {
						t.Errorf("%s: %+v", name, out[0])
					}
					if did.Runs != 1 || did.Chords != n || did.Arcs != 1 || did.Deviation > grid+1e-9 || math.Abs(did.Rise-rise) > grid+1e-9 {
						t.Errorf("%s: %+v, rise %g", name, did, rise)
					}
				}
			}
		}
	}
}

// areaOf is the signed area of a loop.
func areaOf(c []Curve) float64 { return Integrate(c).Area }

// TestRefitLeaves: true polygons, bevels and short edges come back bit for bit.
func TestRefitLeaves(t *testing.T) {
	polygon := func(n int, r float64) []Curve { return closedUp(sampled(circleAt(r), n, 0)) }
	cases := map[string][]Curve{
		"rectangle": {Line(r2.Point{}, r2.Point{X: 9}), Line(r2.Point{X: 9}, r2.Point{X: 9, Y: 4}),
			Line(r2.Point{X: 9, Y: 4}, r2.Point{Y: 4}), Line(r2.Point{Y: 4}, r2.Point{})},
		"large 24-gon": polygon(24, 100),
		"empty":        nil,
	}
	for _, n := range []int{3, 4, 5, 6, 8, 10, 12, 16, 18, 19} {
		for _, r := range []float64{0.05, 1, 10} {
			cases[fmt.Sprintf("%d-gon of radius %g", n, r)] = polygon(n, r)
		}
	}
	// Saw teeth, steps, a zigzag as fine as a knurl, a straight side in pieces.
	cases["saw teeth"] = sampled(func(t float64) r2.Point {
		i := math.Round(t * 40)
		return r2.Point{X: i, Y: math.Mod(i, 2)}
	}, 40, 0)
	cases["flat zigzag"] = sampled(func(t float64) r2.Point {
		i := math.Round(t * 40)
		return r2.Point{X: i, Y: 0.1 * math.Mod(i, 2)}
	}, 40, 0)
	cases["straight pieces"] = sampled(func(t float64) r2.Point { return r2.Point{X: 40 * t, Y: 13 * t} }, 40, 0)
	cases["straight pieces, rounded"] = sampled(func(t float64) r2.Point { return r2.Point{X: 40 * t, Y: 13.37 * t} }, 40, 1e-4)
	// A rectangle whose corners are cut by one, two or three chords.
	for _, k := range []int{1, 2, 3} {
		var pts []r2.Point
		for q := range 4 {
			c := r2.Point{X: []float64{20, -20, -20, 20}[q], Y: []float64{10, 10, -10, -10}[q]}
			for i := range k + 1 {
				pts = append(pts, c.Add(Direction(s1.Angle(math.Pi/2*(float64(q)+float64(i)/float64(k)))).Mul(4)))
			}
		}
		var c []Curve
		for i := range pts {
			c = append(c, Line(pts[i], pts[(i+1)%len(pts)]))
		}
		cases[fmt.Sprintf("corners of %d chords", k)] = c
	}
	// Short edges that turn at random by up to 15 degrees.
	for seed := range uint64(40) {
		rng := rand.New(rand.NewPCG(seed, 1))
		var c []Curve
		p, a := r2.Point{}, 0.0
		for range 60 {
			a += (rng.Float64() - 0.4) * 0.5
			q := p.Add(Direction(s1.Angle(a)).Mul(1 + rng.Float64()))
			c = append(c, Line(p, q))
			p = q
		}
		cases[fmt.Sprintf("random edges %d", seed)] = c
	}
	for name, in := range cases {
		for _, closed := range []bool{false, true} {
			if closed && (len(in) == 0 || in[len(in)-1].End != in[0].Start) {
				continue
			}
			out, index, did := RefitChords(in, closed, DefaultRefit())
			same := len(out) == len(in) && index == nil && did == Refitted{}
			for i := 0; same && i < len(in); i++ {
				same = out[i] == in[i]
			}
			if !same {
				t.Errorf("%s, closed %v: %d of %d curves, %+v", name, closed, len(out), len(in), did)
			}
		}
	}
}

// TestRefitCurves: chords of ellipses and free curves become few tangent arcs
// near the curve they came from.
func TestRefitCurves(t *testing.T) {
	s := cubicOf(r2.Point{}, r2.Point{X: 30, Y: 40}, r2.Point{X: 20, Y: -40}, r2.Point{X: 60})
	c := cubicOf(r2.Point{}, r2.Point{X: 5, Y: 30}, r2.Point{X: 50, Y: 30}, r2.Point{X: 50, Y: 3})
	for _, k := range []struct {
		name   string
		f      func(float64) r2.Point
		n      int
		grid   float64
		closed bool
		most   int // arcs
	}{
		{"ellipse", ellipseOf(40, 25), 400, 0, true, 58},
		{"ellipse, rounded", ellipseOf(40, 25), 400, 1e-4, true, 58},
		{"ellipse, coarse", ellipseOf(12, 8), 180, 0, true, 40},
		{"flat ellipse", ellipseOf(40, 10), 1000, 1e-6, true, 76},
		{"s curve", s, 300, 0, false, 44},
		{"s curve, rounded", s, 300, 1e-4, false, 44},
		{"bow", c, 200, 1e-5, false, 26},
		{"bow, fine", c, 5000, 1e-6, false, 26},
		{"half circle", func(t float64) r2.Point { return circleAt(9)(t / 2) }, 60, 1e-4, false, 1},
		{"three quarters", func(t float64) r2.Point { return circleAt(9)(t * 0.75) }, 90, 0, false, 1},
	} {
		in := sampled(k.f, k.n, k.grid)
		if k.closed {
			in = closedUp(in)
		}
		out, index, did := RefitChords(in, k.closed, DefaultRefit())
		off := farthestFrom(k.f, out)
		t.Logf("%s: %d chords, %d curves, %.2g mm off, said %.2g, chords %.2g", k.name, k.n, len(out), off, did.Deviation, did.Rise)
		if did.Runs == 0 || len(out) > k.most {
			t.Errorf("%s: %d curves, %+v", k.name, len(out), did)
		}
		if limit := 1.05*max(1e-3, did.Rise/4) + k.grid; off > limit {
			t.Errorf("%s: %g mm from the curve, want %g", k.name, off, limit)
		}
		if turn := tangentJoints(out, k.closed); turn > 1e-9 {
			t.Errorf("%s: a turn of %g at a joint", k.name, turn)
		}
		// What is said of the vertices is true.
		worst := 0.0
		for _, l := range in {
			near := math.Inf(1)
			for _, c := range out {
				_, q := c.Closest(l.Start)
				near = min(near, q.Sub(l.Start).Norm())
			}
			worst = max(worst, near)
		}
		if worst > did.Deviation+1e-12 {
			t.Errorf("%s: a vertex %g off, said %g", k.name, worst, did.Deviation)
		}
		for i := range out {
			if i > 0 && (out[i].Start != out[i-1].End || index[i] < index[i-1]) {
				t.Errorf("%s: gap or disorder before curve %d", k.name, i)
			}
		}
		if out[0].Start != in[0].Start || out[len(out)-1].End != in[len(in)-1].End {
			t.Errorf("%s: ends moved", k.name)
		}
	}
}

// TestRefitMixed: in a slot drawn as a polyline the sides stay, the ends become
// half circles, wherever the loop begins.
func TestRefitMixed(t *testing.T) {
	var pts []r2.Point
	const n = 16
	for i := range n + 1 {
		pts = append(pts, r2.Point{X: 20}.Add(Direction(s1.Angle(-math.Pi/2+math.Pi*float64(i)/n)).Mul(3)))
	}
	for i := range n + 1 {
		pts = append(pts, r2.Point{}.Add(Direction(s1.Angle(math.Pi/2+math.Pi*float64(i)/n)).Mul(3)))
	}
	for shift := range pts {
		var in []Curve
		for i := range pts {
			in = append(in, Line(pts[(i+shift)%len(pts)], pts[(i+shift+1)%len(pts)]))
		}
		out, index, did := RefitChords(in, true, DefaultRefit())
		if len(out) != 4 || did.Runs != 2 || did.Chords != 2*n || did.Arcs != 2 {
			t.Fatalf("shift %d: %d curves, %+v", shift, len(out), did)
		}
		for k, c := range out {
			if in[index[k]].Start != c.Start {
				t.Errorf("shift %d: curve %d starts elsewhere than curve %d of the input", shift, k, index[k])
			}
			if c.IsArc() && math.Abs(c.Radius-3) > 1e-9 {
				t.Errorf("shift %d: radius %g", shift, c.Radius)
			}
		}
		if turn := tangentJoints(out, true); turn > 1e-6 {
			t.Errorf("shift %d: a turn of %g", shift, turn)
		}
		want := 20*6 + math.Pi*9
		if a := areaOf(out); math.Abs(a-want) > 1e-6 {
			t.Errorf("shift %d: area %.9g, want %.9g", shift, a, want)
		}
	}
}

// TestRefitCorner: a corner between two runs stays a corner.
func TestRefitCorner(t *testing.T) {
	var in []Curve
	a := sampled(func(t float64) r2.Point { return Direction(s1.Angle(math.Pi / 2 * t)).Mul(10) }, 30, 0)
	in = append(in, a...)
	end := a[len(a)-1].End
	// The second bow leaves at 12 degrees from the first one's direction.
	turn := Rotation(12 * s1.Degree)
	for _, l := range a {
		v := func(p r2.Point) r2.Point {
			q := turn.Vector(r2.Point{X: -(p.Y), Y: p.X - 10})
			return end.Add(q)
		}
		in = append(in, Line(v(l.Start), v(l.End)))
	}
	in[30].Start = end
	out, _, did := RefitChords(in, false, DefaultRefit())
	if len(out) != 2 || did.Runs != 2 {
		t.Fatalf("%d curves, %+v", len(out), did)
	}
	if got := tangentJoints(out, false); math.Abs(got-12*math.Pi/180) > 1e-6 {
		t.Errorf("the corner turns by %g degrees", got*180/math.Pi)
	}
}

// TestRefitScaled: scaled together with its options a chain gives the same arcs.
func TestRefitScaled(t *testing.T) {
	in := closedUp(sampled(ellipseOf(40, 25), 400, 0))
	want, _, _ := RefitChords(in, true, DefaultRefit())
	opt := DefaultRefit()
	opt.Tolerance *= 1024
	opt.Rise *= 1024
	var big []Curve
	for _, c := range in {
		big = append(big, c.Transformed(Scaling(1024, 1024)))
	}
	got, _, _ := RefitChords(big, true, opt)
	if len(got) != len(want) {
		t.Fatalf("%d curves, want %d", len(got), len(want))
	}
	for i := range got {
		if d := got[i].End.Sub(want[i].End.Mul(1024)).Norm(); d > 1e-6 {
			t.Errorf("curve %d ends %g away", i, d)
		}
	}
}

func BenchmarkRefitChords(b *testing.B) {
	in := closedUp(sampled(ellipseOf(400, 250), 20000, 1e-6))
	for b.Loop() {
		RefitChords(in, true, DefaultRefit())
	}
}
