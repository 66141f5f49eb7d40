package contour

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"burrcast/geom"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"
	"pgregory.net/rapid"
)

func TestRefusedByName(t *testing.T) {
	nan := math.NaN()
	in := append(rect(0, 0, 10, 5),
		line(nan, 0, 1, 1), line(0, 0, math.Inf(1), 0), geom.Circle(pt(nan, 0), 1),
		line(0, 0, 1e300, 0), line(3, 3, 3, 3), geom.Arc(pt(1, 1), 2, 1, 0))
	res := build(t, in)
	if !slices.Equal(res.Rejected, []int{4, 5, 6, 7}) || !slices.Equal(res.Degenerate, []int{8, 9}) {
		t.Errorf("rejected %v, degenerate %v", res.Rejected, res.Degenerate)
	}
	if want := []string{"not-finite", "out-of-range"}; !slices.Equal(codes(res), want) {
		t.Errorf("problems %v", codes(res))
	}
	if len(res.Regions) != 1 {
		t.Errorf("%d regions", len(res.Regions))
	}
}

func TestAnyOptionsJoinExactEnds(t *testing.T) {
	in := rect(0, 0, 10, 5)
	for _, v := range []float64{0, -1, math.NaN(), 1e-300, 0.01} {
		res := Build(in, Options{Join: v, JointLimit: v})
		checkInvariants(t, in, res)
		if len(res.Regions) != 1 {
			t.Errorf("tolerance %g: %d regions", v, len(res.Regions))
		}
	}
	for _, v := range []float64{1e300, math.Inf(1)} {
		checkInvariants(t, nil, Build(nil, Options{Join: v, JointLimit: v}))
		Build(in, Options{Join: v, JointLimit: v}) // no sense to be had, but an end
	}
}

func TestContourWithoutArea(t *testing.T) {
	in := []geom.Curve{line(0, 0, 10, 0), line(10, 0, 20, 0), line(20, 0, 10, 1e-12), line(10, 1e-12, 0, 0)}
	res := build(t, in)
	if len(res.Regions) != 0 {
		t.Errorf("%d regions from a line drawn there and back", len(res.Regions))
	}
}

// What is left of a line that another covers may be too short to keep: the line
// was drawn twice all the same, and is not one without length.
func TestRestOfACoveredLine(t *testing.T) {
	res := build(t, []geom.Curve{line(8, -19.25, -19.25, -19.25), line(-19, -19.25, -19.30078125, -19.25), line(-19.25, -19.25, -19.55078125, -19.55078125)})
	if !slices.Equal(res.Duplicates, []int{1}) || len(res.Degenerate) > 0 {
		t.Errorf("duplicates %v, degenerate %v", res.Duplicates, res.Degenerate)
	}
}

func TestSnowballOfEndsStaysSmall(t *testing.T) {
	// A fan of lines whose lower ends lie 0.04 apart in a row: each within the
	// tolerance of the next.
	var in []geom.Curve
	for i := range 40 {
		in = append(in, line(0.04*float64(i), 0, 10*float64(i), 50))
	}
	res := build(t, in)
	checkLengths(t, in, res)
	for _, o := range res.Open {
		for i, c := range o.Curves {
			p := in[o.Sources[i]].Start
			if d := min(c.Start.Sub(p).Norm(), c.End.Sub(p).Norm()); d > 2*Defaults().Join {
				t.Errorf("end of %d moved by %g", o.Sources[i], d)
			}
		}
	}
	if !slices.Contains(codes(res), "gap-cluster") {
		t.Errorf("problems %v", codes(res))
	}
}

// An exact drawing must come through to the last digits, near and far.
func TestExactDrawingIsKept(t *testing.T) {
	for _, at := range []float64{0, 1e3, 1e6} {
		d := pt(at, -at)
		in := []geom.Curve{
			line(3, 0, 47, 0), geom.Arc(pt(47, 3), 3, -math.Pi/2, math.Pi/2),
			line(50, 3, 50, 27), geom.Arc(pt(47, 27), 3, 0, math.Pi/2),
			line(47, 30, 3, 30), geom.Arc(pt(3, 27), 3, math.Pi/2, math.Pi/2),
			line(0, 27, 0, 3), geom.Arc(pt(3, 3), 3, math.Pi, math.Pi/2),
		}
		for i := range in {
			in[i] = in[i].Moved(d)
		}
		res := build(t, shuffled(in, 3))
		got := geom.Integrate(res.Regions[0].Outline.Curves).Area
		want := 50*30 - (4-math.Pi)*9
		if math.Abs(got-want) > 1e-12*want*max(1, at/1e2) {
			t.Errorf("at %g: area off by %g", at, got-want)
		}
		for _, c := range res.Regions[0].Outline.Curves {
			if c.IsArc() && math.Abs(c.Radius-3) > 1e-15 {
				t.Errorf("at %g: radius %.17g", at, c.Radius)
			}
		}
	}
}

// Joining with gaps of a given size moves nothing by more than that, and lines
// still run tangent into arcs.
func TestTangencySurvivesJoining(t *testing.T) {
	slot := []geom.Curve{
		line(0, 0, 40, 0.02), geom.Arc(pt(40, 5), 5, -math.Pi/2, math.Pi),
		line(40.01, 10, 0, 10), geom.Arc(pt(0, 5), 5, math.Pi/2, math.Pi),
	}
	res := build(t, slot)
	c := res.Regions[0].Outline.Curves
	for i := range c {
		a, b := c[i].Tangent(1), c[(i+1)%len(c)].Tangent(0)
		if turn := math.Asin(geom.Cross(a, b)); math.Abs(turn) > 0.01 {
			t.Errorf("corner of %g rad after curve %d", turn, i)
		}
	}
}

func TestNearlyFullCircle(t *testing.T) {
	for _, gap := range []float64{1e-7, 0.001, 0.03} {
		in := []geom.Curve{geom.Arc(pt(3, 4), 5, 1, s1.Angle(2*math.Pi-gap/5))}
		res := build(t, in)
		if len(res.Regions) != 1 || len(res.Regions[0].Outline.Curves) != 1 || !res.Regions[0].Outline.Curves[0].IsCircle() {
			t.Fatalf("gap %g: %+v", gap, res)
		}
		if math.Abs(res.LargestGap-gap) > 1e-3*gap+1e-12 {
			t.Errorf("gap %g reported as %g", gap, res.LargestGap)
		}
	}
	// An arc that falls short by more than a joint is open.
	if res := build(t, []geom.Curve{geom.Arc(pt(3, 4), 50, 1, 6)}); len(res.Open) != 1 {
		t.Errorf("%d open", len(res.Open))
	}
}

// anyCurve draws curves on a coarse lattice now and then, so that ends meet,
// lines overlap and arcs touch.
func anyCurve(t *rapid.T) geom.Curve {
	coord := func(name string) float64 {
		if rapid.IntRange(0, 3).Draw(t, name+" free") == 0 {
			return rapid.Float64Range(-10, 10).Draw(t, name)
		}
		return float64(rapid.IntRange(-4, 4).Draw(t, name))
	}
	p := pt(coord("x"), coord("y"))
	switch rapid.IntRange(0, 4).Draw(t, "kind") {
	case 0:
		return geom.Arc(p, float64(rapid.IntRange(1, 8).Draw(t, "r"))/2,
			s1.Angle(float64(rapid.IntRange(0, 3).Draw(t, "from"))*math.Pi/2),
			s1.Angle(float64(rapid.IntRange(-4, 4).Draw(t, "sweep"))*math.Pi/2))
	case 1:
		return geom.Bulge(p, pt(coord("x2"), coord("y2")), float64(rapid.IntRange(-3, 3).Draw(t, "bulge"))/2)
	}
	return geom.Line(p, pt(coord("x2"), coord("y2")))
}

// Rounding can hide where curves cross; a walk round such a place may come back
// to a node at once.
func TestWalkThatTurnsBack(t *testing.T) {
	build(t, []geom.Curve{
		line(1, 0, -1, 0), geom.Bulge(pt(0.5, 1), pt(0, -3.375), -0.5), line(0, 0.125, -1.375, 0),
		line(0, 1, -1, -2), line(-3, -1, 1, 0.625),
	})
}

func TestAnyDrawing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := rapid.SliceOfN(rapid.Custom(anyCurve), 0, 30).Draw(t, "curves")
		res := Build(in, Defaults())
		checkInvariants(t, in, res)
		checkLengths(t, in, res)
		checkDisjoint(t, in, res)
	})
}

// checkLengths holds for every input: nothing that was drawn gets lost. Each
// input is walked, and what lies on none of the curves that came out must be
// short. The mouth of a notch is dropped on purpose.
func checkLengths(t tester, in []geom.Curve, res Result) {
	t.Helper()
	if slices.Contains(codes(res), "notch") {
		return
	}
	var out []geom.Curve
	for _, r := range res.Regions {
		out = append(out, r.Outline.Curves...)
		for _, h := range r.Holes {
			out = append(out, h.Curves...)
		}
	}
	for _, o := range res.Open {
		out = append(out, o.Curves...)
	}
	tol := 2 * Defaults().Join
	for i, c := range in {
		const n = 50
		lost := 0.0
		for k := range n {
			p := c.At((float64(k) + 0.5) / n)
			on := slices.ContainsFunc(out, func(o geom.Curve) bool {
				_, q := o.Closest(p)
				return near(p, q, tol)
			})
			if !on {
				lost += c.Length() / n
			}
		}
		if lost > tol {
			t.Errorf("input %d (%+v): %g mm lost", i, c, lost)
		}
	}
}

// checkDisjoint holds where no contours were reported to cross: no point lies
// inside two regions. A point is inside a region when it is inside its outline
// and in no cut-out.
func checkDisjoint(t tester, in []geom.Curve, res Result) {
	t.Helper()
	if slices.Contains(codes(res), "crossing") {
		return
	}
	type solid struct {
		outline *loop
		holes   []*loop
	}
	var solids []solid
	for _, r := range res.Regions {
		s := solid{outline: newLoop(r.Outline.Curves)}
		for _, h := range r.Holes {
			s.holes = append(s.holes, newLoop(h.Curves))
		}
		solids = append(solids, s)
	}
	r := rand.New(rand.NewPCG(uint64(len(in)), 7))
	clear := func(p r2.Point) bool { // of every curve, so that rounding decides nothing
		return !slices.ContainsFunc(in, func(c geom.Curve) bool {
			_, q := c.Closest(p)
			return near(p, q, 3*Defaults().Join)
		})
	}
	for range 200 {
		p := pt(r.Float64()*24-12, r.Float64()*24-12)
		if !clear(p) {
			continue
		}
		n := 0
		for _, s := range solids {
			if s.outline.contains(p) && !slices.ContainsFunc(s.holes, func(h *loop) bool { return h.contains(p) }) {
				n++
			}
		}
		if n > 1 {
			t.Errorf("%v lies in %d regions", p, n)
		}
	}
}

func FuzzBuild(f *testing.F) {
	f.Add([]byte{0, 0, 0, 4, 0, 0, 4, 0, 4, 4, 0, 4, 4, 0, 0})
	f.Add([]byte{1, 2, 3, 4, 5, 2, 2, 3, 4, 5, 3, 1, 1, 1, 1})
	f.Add([]byte("0\x00\x00\x04\x00000\x04\x020\x00\x0400700\xc6\xc6YCCC\x8d\x8d10\x00\x040000 9\x8d0*20A0")) // a sliver between two cuts in a cut-out
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) > 400 {
			return
		}
		var in []geom.Curve
		for ; len(data) >= 5; data = data[5:] {
			v := func(k int) float64 { return float64(int8(data[k])) / 4 }
			switch data[0] % 4 {
			case 0:
				in = append(in, line(v(1), v(2), v(3), v(4)))
			case 1:
				in = append(in, geom.Bulge(pt(v(1), v(2)), pt(v(3), v(4)), float64(int8(data[0]))/32))
			case 2:
				in = append(in, geom.Arc(pt(v(1), v(2)), math.Abs(v(3)), s1.Angle(v(4)), s1.Angle(float64(int8(data[0]))/16)))
			case 3:
				in = append(in, line(v(1), v(2), v(1)+v(3)/64, v(2)+v(4)/64))
			}
		}
		done := make(chan Result, 1)
		go func() { done <- Build(in, Defaults()) }()
		select {
		case res := <-done:
			checkInvariants(t, in, res)
		case <-time.After(20 * time.Second):
			t.Fatalf("%d curves take longer than 20 s: %v", len(in), in)
		}
	})
}

// TestOrderDoesNotMatter holds for drawings whose ends meet exactly.
func TestOrderDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 25).Draw(t, "n")
		var in []geom.Curve
		for range n {
			v := rapid.SliceOfN(rapid.IntRange(0, 5), 4, 4).Draw(t, "v")
			p, q := pt(float64(v[0]), float64(v[1])), pt(float64(v[2]), float64(v[3]))
			switch rapid.IntRange(0, 4).Draw(t, "kind") {
			case 0:
				in = append(in, geom.Bulge(p, q, 1))
			case 1:
				in = append(in, rect(p.X, p.Y, q.X+1, q.Y+1)...)
			default:
				in = append(in, geom.Line(p, q))
			}
		}
		want := shapeOf(Build(in, Defaults()))
		for seed := range uint64(3) {
			got := shapeOf(Build(shuffled(in, seed), Defaults()))
			if math.Abs(got.area-want.area) > 1e-6 || got.regions != want.regions || got.holes != want.holes {
				t.Errorf("seed %d: %+v, want %+v: %v", seed, got, want, in)
			}
		}
	})
}
