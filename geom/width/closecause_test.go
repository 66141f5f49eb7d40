package width

import (
	"math"
	"math/rand/v2"
	"testing"

	"burrcast/geom"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"
)

// closes checks that the strips of a region close and that its discs are right.
func closes(t *testing.T, name string, contours ...[]geom.Curve) {
	t.Helper()
	f := field(t, contours...)
	if !f.closed {
		t.Errorf("%s: strips did not close", name)
	}
	if err := checkDiscs(f, contours, rand.New(rand.NewPCG(3, 1)), 400); err != nil {
		t.Errorf("%s: %v", name, err)
	}
	if d, ok := f.Inscribed(); ok {
		clear := math.Inf(1)
		for _, loop := range contours {
			for _, c := range loop {
				_, q := c.Closest(d.Center)
				clear = math.Min(clear, q.Sub(d.Center).Norm())
			}
		}
		if math.Abs(clear-d.Radius) > 2*lastSlack*d.Radius {
			t.Errorf("%s: inscribed radius %.12g, clear %.12g", name, d.Radius, clear)
		}
	}
}

// bothSides checks a region and the void round its outline.
func bothSides(t *testing.T, name string, contours ...[]geom.Curve) {
	t.Helper()
	closes(t, name, contours...)
	closes(t, name+", void", geom.ReverseLoop(contours[0]))
}

// Walls drawn as arcs that rise over their chord by a hair have radii of up to
// 1e10: their centres and squares are rounding.
func TestClosingNearlyStraightArcs(t *testing.T) {
	corners := []r2.Point{pt(0, 0), pt(449, 3), pt(452, 101), pt(240, 97), pt(238, 180), pt(-7, 176)}
	for _, b := range []float64{2e-8, 6e-8, 3e-7, 4e-6, 2e-5} {
		for _, sign := range []float64{1, -1} {
			var loop []geom.Curve
			for k, p := range corners {
				s := sign
				if k%3 == 1 {
					s = -s
				}
				loop = append(loop, geom.Bulge(p, corners[(k+1)%len(corners)], s*b*float64(k+1)))
			}
			hole := geom.ReverseLoop([]geom.Curve{
				geom.Bulge(pt(20, 20), pt(90, 22), b), geom.Bulge(pt(90, 22), pt(93, 60), -b), geom.Bulge(pt(93, 60), pt(18, 58), 2*b), geom.Bulge(pt(18, 58), pt(20, 20), -b),
			})
			if b > 2e-7 {
				bothSides(t, "nearly straight", loop, hole)
			} else if !field(t, loop, hole).closed || !field(t, geom.ReverseLoop(loop)).closed {
				t.Errorf("nearly straight by %g: strips did not close", b)
			}
		}
	}
}

// Holes in rows and columns touch their discs at the start of their circles,
// where a circle goes on into itself.
func TestClosingHolesInRows(t *testing.T) {
	for k, turn := range []float64{0, 0, 0, 0, 1e-9, -3e-7, 3e-6, -2e-5, 0.3} {
		from := [...]s1.Angle{0, math.Pi, math.Pi - 2.9e-6, math.Pi + 2.9e-6}[k%4] // where the circles start
		sin, cos := math.Sincos(turn)
		place := func(x, y float64) r2.Point { return pt(x*cos-y*sin, x*sin+y*cos) }
		hole := func(x, y, r float64) []geom.Curve {
			return []geom.Curve{geom.Arc(place(x, y), r, from, -2*math.Pi)}
		}
		plate := func(w, h, corner float64) []geom.Curve {
			var xy []float64
			for _, p := range []r2.Point{{X: corner}, {X: w - corner}, {X: w, Y: corner}, {X: w, Y: h - corner}, {X: w - corner, Y: h}, {X: corner, Y: h}, {Y: h - corner}, {Y: corner}} {
				q := place(p.X, p.Y)
				xy = append(xy, q.X, q.Y)
			}
			return poly(xy...)
		}
		for _, x := range []float64{7.4, 7.4375, 8} {
			bothSides(t, "row", plate(60, 14, 1), hole(x, 7, 2.55), hole(x+11, 7, 2.55), hole(x+22, 7, 2.55), hole(x+33, 7, 2.55), hole(x+44, 7, 2.55))
			bothSides(t, "column", plate(22, 46, 2), hole(x, 16, 2.5), hole(x, 30, 2.5))
			bothSides(t, "column to the right", plate(22, 46, 2), hole(22-x, 16, 2.5), hole(22-x, 30, 2.5))
			bothSides(t, "grid", plate(40, 46, 2), hole(x, 16, 2.5), hole(x, 30, 2.5), hole(25, 16, 2.5), hole(25, 30, 2.5))
		}
	}
}

// Joints that are tangent but for a millionth: less than a corner that counts,
// more than rounding.
func TestClosingNearlyTangentJoints(t *testing.T) {
	for _, off := range []float64{1e-7, 2e-6, 3e-5, -2e-6, -3e-5} {
		// A wavy strip of tangent quarter arcs whose joints are moved by off.
		var loop []geom.Curve
		add := func(p, q r2.Point, b float64) { loop = append(loop, geom.Bulge(p, q, b)) }
		q := math.Tan(math.Pi / 8)
		for k := range 4 {
			x := 20 * float64(k)
			add(pt(x, 0), pt(x+10, off), q)
			add(pt(x+10, off), pt(x+20, 0), -q)
		}
		loop = append(loop, geom.Line(pt(80, 0), pt(80, 7)))
		for k := 3; k >= 0; k-- {
			x := 20 * float64(k)
			add(pt(x+20, 7), pt(x+10, 7-off), q)
			add(pt(x+10, 7-off), pt(x, 7), -q)
		}
		loop = append(loop, geom.Line(pt(0, 7), pt(0, 0)))
		bothSides(t, "wave", loop)
	}
}

// The void of a smooth outline of very many chords: the discs of neighbours are
// the same to rounding, and feet wander over whole chords.
func TestClosingManyChords(t *testing.T) {
	for _, n := range []int{30_000, 100_000} {
		f := field(t, geom.ReverseLoop(smoothOutline(n)))
		if !f.closed {
			t.Errorf("%d chords: strips did not close", n)
		}
	}
}

// A circle drawn as arcs that are not quite one circle: an arc's own circle is a
// little too large to be a disc.
func TestClosingNearlyRound(t *testing.T) {
	const r, d, h = 25.0, 0.1, 0.2
	big := r + math.Hypot(d, h)
	half := math.Atan2(h, d) // of the small arcs
	for k := range 40 {
		sin, cos := math.Sincos(0.157 * float64(k))
		place := func(x, y float64) r2.Point { return pt(x*cos-y*sin, x*sin+y*cos) }
		x, y := d+r*math.Cos(half), r*math.Sin(half)
		loop := []geom.Curve{
			geom.Bulge(place(x, -y), place(x, y), math.Tan(half/2)), geom.Bulge(place(x, y), place(-x, y), math.Tan((math.Pi/2-half)/2)),
			geom.Bulge(place(-x, y), place(-x, -y), math.Tan(half/2)), geom.Bulge(place(-x, -y), place(x, -y), math.Tan((math.Pi/2-half)/2)),
		}
		closes(t, "oval", loop)
		if got, _ := field(t, loop).Inscribed(); math.Abs(got.Radius-(big-h)) > 1e-9 {
			t.Errorf("oval: inscribed %.12g, want %.12g", got.Radius, big-h)
		}
	}
	// Rounds that waver by a hundredth, of tangent arcs.
	rng := rand.New(rand.NewPCG(17, 1))
	for range 60 {
		a, b, p, q := 0.01*rng.Float64(), 0.003*rng.Float64(), 7*rng.Float64(), 7*rng.Float64()
		wavering := func(t float64) (r2.Point, r2.Point) {
			sin, cos := math.Sincos(t)
			r, d := 1+a*math.Cos(2*t+p)+b*math.Cos(3*t+q), -2*a*math.Sin(2*t+p)-3*b*math.Sin(3*t+q)
			return pt(r*cos, r*sin), pt(d*cos-r*sin, d*sin+r*cos)
		}
		loop, _, err := geom.FitArcs(wavering, []float64{0, math.Pi, 2 * math.Pi}, 1e-3, 1000)
		if err != nil {
			t.Fatal(err)
		}
		closes(t, "wavering", loop)
	}
	// Two halves whose radii differ by rounding.
	halves := []geom.Curve{geom.Bulge(pt(-6, 0), pt(6, 5e-4), 0.9999), geom.Bulge(pt(6, 5e-4), pt(-6, 0), 1.00012)}
	f := field(t, halves)
	if d, ok := f.Inscribed(); !f.closed || !ok || math.Abs(d.Radius-6) > 1e-6 {
		t.Errorf("two halves: closed %v, inscribed %.12g, want 6", f.closed, d.Radius)
	}
}

// Where strips are left, the rest is traced and what closed is kept: with strips
// left on purpose, the envelope stays what it was.
func TestTracingTheRest(t *testing.T) {
	const seed = 31
	rng := rand.New(rand.NewPCG(seed, 1))
	for k := range 200 {
		contours := randomShape(rng)
		f := field(t, contours...)
		if !f.closed {
			continue
		}
		g := &Field{elems: f.elems, rings: f.rings, far: f.far, origin: f.origin}
		c := closing{f: g}
		for id, runs := range f.runs {
			for _, rn := range runs {
				if rng.IntN(8) > 0 {
					c.found = append(c.found, foundRun{rn, int32(id)})
				}
			}
		}
		c.traceRest()
		for id := range f.elems {
			for range 8 {
				u := 0.01 + 0.98*rng.Float64()
				a, b := f.envelopeAt(int32(id), u), g.envelopeAt(int32(id), u)
				// Tracing may miss a dip.
				if a > b*(1+1e-6)+1e-9*f.far {
					t.Errorf("seed %d shape %d, element %d at %g: closed %.12g, rest traced %.12g", seed, k, id, u, a, b)
				}
			}
		}
	}
}

// A cut-out that touches the outline in a point, and one that crosses it.
func TestClosingContoursThatMeet(t *testing.T) {
	plate := poly(0, 0, 100, 0, 100, 50, 0, 50)
	touching := geom.ReverseLoop(poly(20, 10, 40, 0, 60, 10, 60, 30, 20, 30))
	f := field(t, plate, touching)
	if err := checkDiscs(f, [][]geom.Curve{plate, touching}, rand.New(rand.NewPCG(5, 1)), 400); err != nil {
		t.Error(err)
	}
	f = field(t, plate, geom.ReverseLoop(poly(80, 20, 110, 20, 110, 30, 80, 30)))
	if d, ok := f.LeastPassage(); !ok || d.Radius > 1e-9 {
		t.Errorf("contours that cross: least passage %v %v, want 0", d.Radius, ok)
	}
}
