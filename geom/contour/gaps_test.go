package contour

import (
	"math"
	"math/rand/v2"
	"testing"

	"burrcast/geom"
)

// twinGaps compares every curve with every other.
func twinGaps(regions []Region) map[int]float64 {
	out := make(map[int]float64)
	curves := func(r *Region) []geom.Curve {
		all := append([]geom.Curve(nil), r.Outline.Curves...)
		for _, h := range r.Holes {
			all = append(all, h.Curves...)
		}
		return all
	}
	for i := range regions {
		out[i] = math.Inf(1)
		for k := range regions {
			if i == k {
				continue
			}
			for _, c := range curves(&regions[i]) {
				for _, d := range curves(&regions[k]) {
					dist, _, _ := geom.Between(c, d)
					out[i] = min(out[i], dist)
				}
			}
		}
	}
	return out
}

func TestGapsAgreeWithTheirTwin(t *testing.T) {
	const seed = 5
	rng := rand.New(rand.NewPCG(seed, seed))
	for range 60 {
		var in []geom.Curve
		n := 2 + rng.IntN(12)
		spread := math.Pow(10, 4*rng.Float64())
		for i := range n {
			// Off a grid, so that no two cross.
			x, y := spread*float64(i%4)+30*float64(i%4), spread*float64(i/4)+30*float64(i/4)
			if rng.IntN(2) == 0 {
				in = append(in, geom.Circle(pt(x+10, y+10), 3+9*rng.Float64()))
				continue
			}
			in = append(in, rect(x, y, x+5+20*rng.Float64(), y+5+20*rng.Float64())...)
			in = append(in, geom.Circle(pt(x+2.5, y+2.5), 2))
		}
		res := Build(in, Defaults())
		gaps, ok := Gaps(res.Regions)
		if !ok {
			t.Fatalf("seed %d: given up on %d regions", seed, len(res.Regions))
		}
		got := make(map[int]float64)
		for _, g := range gaps {
			if math.Abs(g.P.Sub(g.Q).Norm()-g.Distance) > 1e-9 || g.A >= g.B {
				t.Fatalf("seed %d: %+v does not show its distance", seed, g)
			}
			for _, r := range [2]int{g.A, g.B} {
				if d, ok := got[r]; !ok || g.Distance < d {
					got[r] = g.Distance
				}
			}
		}
		for r, want := range twinGaps(res.Regions) {
			if d, ok := got[r]; !ok || math.Abs(d-want) > 1e-9 {
				t.Fatalf("seed %d: region %d of %d at %g, the twin says %g", seed, r, len(res.Regions), d, want)
			}
		}
	}
}

func TestGapsOfPartsThatShareCuts(t *testing.T) {
	in := join(cells(2, 2, 10), rect(50, 0, 60, 10))
	res := Build(in, Defaults())
	gaps, ok := Gaps(res.Regions)
	if !ok || len(gaps) == 0 {
		t.Fatalf("%v, %v", gaps, ok)
	}
	for _, g := range gaps {
		if g.Distance == 0 {
			t.Errorf("parts of one grid of cuts are told as neighbours: %+v", g)
		}
	}
	if d := gaps[len(gaps)-1].Distance; d != 30 {
		t.Errorf("the part aside is %g away, want 30", d)
	}
	// With a hole in each, no way from a shared corner to a neighbour's hole is a gap:
	// what is left are the ways to the part aside.
	for k := range 4 {
		in = append(in, geom.Circle(pt(float64(5+k%2*10), float64(5+k/2*10)), 2))
	}
	res = Build(in, Defaults())
	gaps, ok = Gaps(res.Regions)
	if !ok || len(gaps) != 4 {
		t.Fatalf("%+v, %v", gaps, ok)
	}
	for _, g := range gaps {
		if g.Distance < 30 {
			t.Errorf("a hole in a grid of cuts has a neighbour: %+v", g)
		}
	}
}

// A part in another's cut-out is its neighbour through that cut-out, and holes that
// nothing lies in are nobody's.
func TestGapsToIslands(t *testing.T) {
	in := join(rect(0, 0, 100, 100), rect(105, 0, 130, 100),
		[]geom.Curve{geom.Circle(pt(30, 30), 20), geom.Circle(pt(35, 30), 5), geom.Circle(pt(80, 80), 15)})
	res := Build(in, Defaults())
	gaps, ok := Gaps(res.Regions)
	if !ok || len(res.Regions) != 3 || len(gaps) != 2 {
		t.Fatalf("%d regions, %+v, %v", len(res.Regions), gaps, ok)
	}
	if a, b := gaps[0].Distance, gaps[1].Distance; math.Abs(min(a, b)-5) > 1e-9 || math.Abs(max(a, b)-10) > 1e-9 {
		t.Errorf("gaps of %g and %g, want 5 and 10", a, b)
	}
}

func TestGapsOfFewRegions(t *testing.T) {
	for _, in := range [][]geom.Curve{nil, rect(0, 0, 1, 1)} {
		if gaps, ok := Gaps(Build(in, Defaults()).Regions); !ok || len(gaps) != 0 {
			t.Errorf("%v, %v", gaps, ok)
		}
	}
}

// Every place agrees with a walk over all contours.
func TestLocatorAgreesWithItsTwin(t *testing.T) {
	const seed = 11
	rng := rand.New(rand.NewPCG(seed, seed))
	in := join(rect(0, 0, 100, 100), rect(20, 20, 80, 80), rect(30, 30, 60, 60), rect(120, 0, 150, 90),
		[]geom.Curve{geom.Circle(pt(45, 45), 9), geom.Circle(pt(135, 40), 10)})
	res := Build(in, Defaults())
	l := NewLocator(res.Regions)
	for range 3000 {
		p := pt(-10+180*rng.Float64(), -10+120*rng.Float64())
		want, least := Place{-1, -1}, math.Inf(1)
		for i, r := range res.Regions {
			for k, c := range append([]Contour{r.Outline}, r.Holes...) {
				if a := math.Abs(geom.Integrate(c.Curves).Area); a < least && Contains(c.Curves, p) {
					want, least = Place{i, k - 1}, a
				}
			}
		}
		if got := l.At(p); got != want {
			t.Fatalf("seed %d: %v lies in %+v, the twin says %+v", seed, p, got, want)
		}
	}
	near := map[Place]bool{}
	l.Near(pt(54, 45), 0.01, func(at Place) bool { near[at] = true; return true })
	if len(near) != 1 {
		t.Errorf("%v pass the edge of the inner hole", near)
	}
	calls := 0
	l.Near(pt(50, 50), 1000, func(Place) bool { calls++; return false })
	if calls != 1 {
		t.Errorf("asked to stop, went on to %d", calls)
	}
}

func TestReadingsOfChords(t *testing.T) {
	bent := append(rect(0, 0, 20, 10), line(10, 0, 10, 10))
	for _, c := range []struct {
		name    string
		in      []geom.Curve
		reading Reading
		regions int
	}{
		{"bend, likely", bent, Likely, 1},
		{"bend, all marks", bent, AllMarks, 1},
		{"bend, all cuts", bent, AllCuts, 2},
		{"shared cut, likely", cells(2, 1, 10), Likely, 2},
		{"shared cut, all marks", cells(2, 1, 10), AllMarks, 1},
		{"shared cut, all cuts", cells(2, 1, 10), AllCuts, 2},
	} {
		opt := Defaults()
		opt.Chords = c.reading
		res := Build(c.in, opt)
		checkInvariants(t, c.in, res)
		if len(res.Regions) != c.regions {
			t.Errorf("%s: %d regions, want %d", c.name, len(res.Regions), c.regions)
		}
	}
}

// Where two parts lie near each other in several places, all of them nearer than
// the first window is wide, the nearest counts.
func TestGapsOfTeeth(t *testing.T) {
	for _, step := range []float64{-0.01, 0.01} {
		var up, down []float64
		for i := range 10 {
			x, gap := 10*float64(i), 0.15+step*(float64(i)-4.5)
			up, down = append(up, x, 5, x+5, gap/2), append(down, x, -5, x+5, -gap/2)
		}
		upper, lower := poly(append(up, 100, 5, 100, 30, 0, 30)...), poly(append(down, 100, -5, 100, -30, 0, -30)...)
		res := build(t, join(upper, lower, rect(0, 900, 100, 1000)))
		gaps, ok := Gaps(res.Regions)
		if !ok || len(gaps) == 0 {
			t.Fatalf("%d gaps, found %t", len(gaps), ok)
		}
		if least := gaps[0].Distance; math.Abs(least-0.105) > 1e-9 {
			t.Errorf("the least is %g, want 0.105", least)
		}
	}
}
