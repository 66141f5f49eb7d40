package contour

import (
	"math"
	"math/rand/v2"
	"testing"

	"burrcast/geom"

	"github.com/golang/geo/r2"
)

// tester is what tests, fuzz targets and property checks have in common.
type tester interface {
	Helper()
	Errorf(format string, args ...any)
	Fatalf(format string, args ...any)
}

func pt(x, y float64) r2.Point { return r2.Point{X: x, Y: y} }

// poly returns the lines through the points (x, y pairs), closed.
func poly(xy ...float64) []geom.Curve {
	var out []geom.Curve
	n := len(xy) / 2
	for i := range n {
		j := (i + 1) % n
		out = append(out, geom.Line(pt(xy[2*i], xy[2*i+1]), pt(xy[2*j], xy[2*j+1])))
	}
	return out
}

func rect(x0, y0, x1, y1 float64) []geom.Curve { return poly(x0, y0, x1, y0, x1, y1, x0, y1) }

func line(x0, y0, x1, y1 float64) geom.Curve { return geom.Line(pt(x0, y0), pt(x1, y1)) }

func join(groups ...[]geom.Curve) []geom.Curve {
	var out []geom.Curve
	for _, g := range groups {
		out = append(out, g...)
	}
	return out
}

func shuffled(curves []geom.Curve, seed uint64) []geom.Curve {
	r := rand.New(rand.NewPCG(seed, 1))
	out := append([]geom.Curve{}, curves...)
	r.Shuffle(len(out), func(i, j int) { out[i], out[j] = out[j], out[i] })
	for i := range out {
		if r.IntN(2) == 0 {
			out[i] = out[i].Reversed()
		}
	}
	return out
}

// checkInvariants holds for every input: contours are closed bit for bit and
// turned the right way, and every input is accounted for.
func checkInvariants(t tester, in []geom.Curve, res Result) {
	t.Helper()
	seen := make([]int, len(in)) // bits: 1 contour or open, 2 duplicate, 4 degenerate, 8 rejected
	contour := func(c Contour, sign float64) {
		if len(c.Curves) == 0 || len(c.Curves) != len(c.Sources) {
			t.Fatalf("contour with %d curves and %d sources", len(c.Curves), len(c.Sources))
		}
		for i, cv := range c.Curves {
			next := c.Curves[(i+1)%len(c.Curves)]
			if cv.End != next.Start {
				t.Errorf("contour not closed at %d: %v, %v", i, cv.End, next.Start)
			}
			if !cv.Finite() {
				t.Errorf("curve %v not finite", cv)
			}
			if s := c.Sources[i]; s >= 0 {
				seen[s] |= 1
			}
		}
		if a := geom.Integrate(c.Curves).Area; a*sign <= 0 {
			t.Errorf("contour area %g turned the wrong way", a)
		}
	}
	for i, r := range res.Regions {
		contour(r.Outline, 1)
		for _, h := range r.Holes {
			contour(h, -1)
		}
		if (r.Parent < 0) != (r.Depth == 0) || r.Parent >= i {
			t.Errorf("region %d: parent %d at depth %d", i, r.Parent, r.Depth)
		}
		if r.Parent >= 0 && (r.Cutout < 0 || r.Cutout >= len(res.Regions[r.Parent].Holes)) {
			t.Errorf("region %d: cut-out %d of parent %d", i, r.Cutout, r.Parent)
		}
	}
	for _, o := range res.Open {
		if len(o.Curves) == 0 || len(o.Curves) != len(o.Sources) {
			t.Fatalf("open chain with %d curves and %d sources", len(o.Curves), len(o.Sources))
		}
		for i, cv := range o.Curves {
			if i > 0 && o.Curves[i-1].End != cv.Start {
				t.Errorf("open chain breaks at %d", i)
			}
			if s := o.Sources[i]; s >= 0 {
				seen[s] |= 1
			}
		}
		if o.Region < -1 || o.Region >= len(res.Regions) {
			t.Errorf("open chain in region %d of %d", o.Region, len(res.Regions))
		}
	}
	for bit, list := range map[int][]int{2: res.Duplicates, 4: res.Degenerate, 8: res.Rejected} {
		for _, s := range list {
			if seen[s]&bit != 0 {
				t.Errorf("input %d listed twice", s)
			}
			seen[s] |= bit
		}
	}
	for _, s := range res.Degenerate {
		if in[s].Length() > 3*Defaults().Join { // ends may have moved by as much
			t.Errorf("input %d of length %g counts as too short", s, in[s].Length())
		}
	}
	for i, s := range seen {
		if s != 1 && s != 2 && s != 4 && s != 8 {
			t.Errorf("input %d (%+v) accounted as %b", i, in[i], s)
		}
	}
}

func build(t tester, in []geom.Curve) Result {
	t.Helper()
	res := Build(in, Defaults())
	checkInvariants(t, in, res)
	return res
}

// shape is what must not change under reordering, reversing and moving.
type shape struct {
	regions, holes, open int
	area                 float64
}

func shapeOf(res Result) shape {
	s := shape{regions: len(res.Regions), open: len(res.Open)}
	for _, r := range res.Regions {
		s.area += geom.Integrate(r.Outline.Curves).Area
		for _, h := range r.Holes {
			s.holes++
			s.area += geom.Integrate(h.Curves).Area
		}
	}
	return s
}

func TestRegions(t *testing.T) {
	slot := []geom.Curve{
		line(0, 0, 10, 0), geom.Arc(pt(10, 2), 2, -math.Pi/2, math.Pi),
		line(10, 4, 0, 4), geom.Arc(pt(0, 2), 2, math.Pi/2, math.Pi),
	}
	tests := []struct {
		name string
		in   []geom.Curve
		want shape
	}{
		{"nothing", nil, shape{}},
		{"rectangle", rect(0, 0, 10, 5), shape{1, 0, 0, 50}},
		{"circle", []geom.Curve{geom.Circle(pt(3, 4), 2)}, shape{1, 0, 0, 4 * math.Pi}},
		{"slot", slot, shape{1, 0, 0, 40 + 4*math.Pi}},
		{"rectangle with hole", append(rect(0, 0, 10, 5), geom.Circle(pt(3, 2), 1)), shape{1, 1, 0, 50 - math.Pi}},
		{"island", join(rect(0, 0, 10, 10), rect(1, 1, 9, 9), rect(2, 2, 8, 8)), shape{2, 1, 0, 100 - 64 + 36}},
		{"two parts", join(rect(0, 0, 10, 10), rect(20, 0, 21, 1)), shape{2, 0, 0, 101}},
		{"two half circles", []geom.Curve{
			geom.Arc(pt(0, 0), 5, 0, math.Pi), geom.Arc(pt(0, 0), 5, math.Pi, math.Pi)}, shape{1, 0, 0, 25 * math.Pi}},
		{"open", rect(0, 0, 10, 5)[:3], shape{0, 0, 1, 0}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			for seed := range uint64(4) {
				for _, d := range []r2.Point{{}, pt(1e6, -2e6)} {
					in := shuffled(tt.in, seed)
					for i := range in {
						in[i] = in[i].Moved(d)
					}
					got := shapeOf(build(t, in))
					if math.Abs(got.area-tt.want.area) > 1e-8*math.Abs(tt.want.area) {
						t.Errorf("seed %d: area %g, want %g", seed, got.area, tt.want.area)
					}
					got.area = tt.want.area
					if got != tt.want {
						t.Errorf("seed %d: got %+v, want %+v", seed, got, tt.want)
					}
				}
			}
		})
	}
}

func TestGapWithinJoinIsBridged(t *testing.T) {
	in := rect(0, 0, 10, 5)
	in[1].Start.Y += 0.03
	res := build(t, in)
	if len(res.Regions) != 1 || math.Abs(res.LargestGap-0.03) > 1e-12 {
		t.Errorf("regions %d, largest gap %g", len(res.Regions), res.LargestGap)
	}
}

func TestDetailsSmallerThanJoinSurvive(t *testing.T) {
	// A circle of 2 mm as 2,000 chords of 0.003 mm, one chord missing.
	const n = 2000
	var xy []float64
	for i := range n {
		s, c := math.Sincos(2 * math.Pi * float64(i) / n)
		xy = append(xy, c, s)
	}
	in := poly(xy...)
	for _, drop := range []int{0, 1} {
		res := build(t, in[drop:])
		if len(res.Regions) != 1 || len(res.Regions[0].Outline.Curves) != n-drop {
			t.Errorf("%d dropped: got %d regions, %d open", drop, len(res.Regions), len(res.Open))
		}
	}
}
