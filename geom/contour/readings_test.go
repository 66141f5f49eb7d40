package contour

import (
	"math"
	"slices"
	"testing"

	"burrcast/geom"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"
)

func codes(res Result) []string {
	var out []string
	for _, p := range res.Problems {
		out = append(out, p.Code)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

func kinds(res Result) []string {
	var out []string
	for _, o := range res.Open {
		out = append(out, o.Kind)
	}
	slices.Sort(out)
	return out
}

// cells returns the lines of an m by n grid of squares, each side a line.
func cells(m, n int, side float64) []geom.Curve {
	var out []geom.Curve
	for i := range m + 1 {
		for j := range n {
			out = append(out, line(float64(i)*side, float64(j)*side, float64(i)*side, float64(j+1)*side))
		}
	}
	for j := range n + 1 {
		for i := range m {
			out = append(out, line(float64(i)*side, float64(j)*side, float64(i+1)*side, float64(j)*side))
		}
	}
	return out
}

// A case is a drawing with what must come out of it however it is ordered,
// turned and moved.
type reading struct {
	name  string
	in    []geom.Curve
	areas []float64 // of outlines, ascending
	holes int
	kinds []string // of open chains
	codes []string
}

func readings() []reading {
	box := rect(0, 0, 20, 10)
	chord := line(10, 0, 10, 10)
	// A base of 20 by 10 with four flanges 5 high: the corners are cut out.
	cross := poly(0, 0, 0, -5, 20, -5, 20, 0, 25, 0, 25, 10, 20, 10, 20, 15, 0, 15, 0, 10, -5, 10, -5, 0)
	folds := []geom.Curve{line(0, 0, 20, 0), line(20, 0, 20, 10), line(20, 10, 0, 10), line(0, 10, 0, 0)}
	hexagon := func(cx, cy float64) []geom.Curve {
		var xy []float64
		for k := range 6 {
			s, c := math.Sincos(math.Pi / 3 * float64(k))
			xy = append(xy, cx+10*c, cy+10*s)
		}
		return poly(xy...)
	}
	hexArea := 150 * math.Sqrt(3)
	slot := []geom.Curve{
		line(5, 4, 15, 4), geom.Arc(pt(15, 5), 1, -math.Pi/2, math.Pi),
		line(15, 6, 5, 6), geom.Arc(pt(5, 5), 1, math.Pi/2, math.Pi),
	}
	circle := []geom.Curve{geom.Circle(pt(10, 5), 3)}
	return []reading{
		{name: "bend line on the outline", in: append(box, chord), areas: []float64{200},
			kinds: []string{Chord}, codes: []string{"chord"}},
		{name: "two bend lines", in: join(box, []geom.Curve{chord, line(15, 0, 15, 10)}), areas: []float64{200},
			kinds: []string{Chord, Chord}, codes: []string{"chord"}},
		{name: "bend line a little short", in: append(box, line(10, 0.03, 10, 9.96)), areas: []float64{200},
			kinds: []string{Chord}, codes: []string{"chord"}},
		{name: "bend line that overshoots a little", in: append(box, line(10, -0.03, 10, 10.04)), areas: []float64{200},
			kinds: []string{Chord}, codes: []string{"chord"}},
		{name: "bend line that overshoots far", in: append(box, line(10, -3, 10, 13)), areas: []float64{200},
			kinds: []string{Across}, codes: []string{"chord"}},
		{name: "bend line interrupted by a hole", in: join(box, circle, []geom.Curve{line(10, 0, 10, 2), line(10, 8, 10, 10)}),
			areas: []float64{200}, holes: 1, kinds: []string{Chord, Chord}, codes: []string{"chord"}},
		{name: "bend line over a hole", in: join(box, circle, []geom.Curve{chord}),
			areas: []float64{200}, holes: 1, kinds: []string{Chord}, codes: []string{"chord"}},
		{name: "bend line over a slot", in: join(box, slot, []geom.Curve{chord}),
			areas: []float64{200}, holes: 1, kinds: []string{Chord}, codes: []string{"chord"}},
		{name: "bend lines between flanges", in: join(cross, folds), areas: []float64{500},
			kinds: []string{Chord, Chord, Chord, Chord}, codes: []string{"chord"}},
		{name: "centre lines over a hole", in: join(box, circle, []geom.Curve{line(5, 5, 15, 5), line(10, 1, 10, 9)}),
			areas: []float64{200}, holes: 1, kinds: []string{Across, Across}, codes: []string{"chord"}},
		{name: "centre lines in a disc", in: []geom.Curve{geom.Circle(pt(0, 0), 5), line(-5, 0, 5, 0), line(0, -5, 0, 5)},
			areas: []float64{25 * math.Pi}, kinds: []string{Chord, Chord}, codes: []string{"chord"}},
		{name: "rounded corner whose lines were not trimmed", in: append(box, geom.Arc(pt(2, 2), 2, math.Pi, math.Pi/2)),
			areas: []float64{4 - math.Pi, 196 + math.Pi}},
		{name: "centre line over a disc", in: []geom.Curve{geom.Circle(pt(0, 0), 5), line(-7, 0, 7, 0)},
			areas: []float64{25 * math.Pi}, kinds: []string{Across}, codes: []string{"chord"}},
		{name: "bend line drawn twice", in: join(box, []geom.Curve{chord, chord}), areas: []float64{200},
			kinds: []string{Chord}, codes: []string{"chord"}},
		{name: "bend line drawn twice in part", in: join(box, circle, []geom.Curve{chord, line(10, 3, 10, 7)}),
			areas: []float64{200}, holes: 1, kinds: []string{Chord}, codes: []string{"chord"}},
		{name: "two parts drawn whole, meeting in an inside corner", in: join(rect(0, 0, 10, 10), poly(10, 0, 25, -5, 25, 15, 10, 10)),
			areas: []float64{100, 225}},
		{name: "two parts drawn whole, side by side", in: join(rect(0, 0, 10, 10), rect(10, 0, 20, 10)),
			areas: []float64{100, 100}},
		{name: "two parts of unequal height drawn whole", in: join(rect(0, 0, 10, 10), rect(10, 2, 20, 8)),
			areas: []float64{60, 100}},
		{name: "the second part without the shared edge", in: join(rect(0, 0, 10, 10), rect(10, 2, 20, 8)[:3]),
			areas: []float64{60, 100}},
		{name: "two parts, one edge drawn once", in: cells(2, 1, 10), areas: []float64{100, 100}, codes: []string{"shared-cut"}},
		{name: "grid of broken lines", in: cells(4, 3, 10), areas: slices.Repeat([]float64{100}, 12), codes: []string{"shared-cut"}},
		{name: "grid of long lines", in: []geom.Curve{
			line(0, 0, 20, 0), line(0, 10, 20, 10), line(0, 20, 20, 20), line(0, 0, 0, 20), line(10, 0, 10, 20), line(20, 0, 20, 20)},
			areas: slices.Repeat([]float64{100}, 4), codes: []string{"shared-cut"}},
		{name: "grid of lines that overshoot", in: []geom.Curve{
			line(-1, 0, 21, 0), line(-1, 10, 21, 10), line(-1, 20, 21, 20), line(0, -1, 0, 21), line(10, -1, 10, 21), line(20, -1, 20, 21)},
			areas: slices.Repeat([]float64{100}, 4), codes: []string{"shared-cut"},
			kinds: slices.Repeat([]string{Spur}, 12)},
		{name: "two hexagons, one edge drawn once", in: join(hexagon(0, 0), hexagon(0, 10*math.Sqrt(3))[:4], hexagon(0, 10*math.Sqrt(3))[5:]),
			areas: []float64{hexArea, hexArea}, codes: []string{"shared-cut"}},
		{name: "lead-in to an edge", in: append(box, line(8, -4, 10, 0)), areas: []float64{200}, kinds: []string{Spur}},
		{name: "lead-in to a corner", in: append(box, line(-3, -4, 0, 0)), areas: []float64{200}, kinds: []string{Spur}},
		{name: "lead-in to a circle", in: join(box, circle, []geom.Curve{line(10, 5, 13, 5)}), areas: []float64{200}, holes: 1,
			kinds: []string{Spur}},
		{name: "lines that overshoot at the corners", in: []geom.Curve{
			line(-1, 0, 21, 0), line(20, -1, 20, 11), line(21, 10, -1, 10), line(0, 11, 0, -1)},
			areas: []float64{200}, kinds: slices.Repeat([]string{Spur}, 8)},
		{name: "overshoot no longer than the tolerance", in: []geom.Curve{
			line(-0.04, 0, 20, 0), line(20, 0, 20, 10), line(20, 10, 0, 10), line(0, 10, 0, -0.04)},
			areas: []float64{200}},
		{name: "figure eight touching at a vertex", in: join(poly(0, 0, 5, 5, -5, 5), poly(0, 0, -5, -5, 5, -5)),
			areas: []float64{25, 25}, codes: []string{"touching"}},
		{name: "outline that crosses itself", in: poly(0, 0, 10, 10, 10, 0, 0, 10), areas: []float64{25, 25},
			codes: []string{"crossing"}},
		{name: "two outlines that cross", in: join(rect(0, 0, 10, 10), rect(8, 2, 20, 8)), areas: []float64{72, 100},
			codes: []string{"crossing"}},
		{name: "circles that touch outside", in: []geom.Curve{geom.Circle(pt(0, 0), 5), geom.Circle(pt(8, 0), 3)},
			areas: []float64{9 * math.Pi, 25 * math.Pi}, codes: []string{"touching"}},
		{name: "circles nested and touching", in: []geom.Curve{geom.Circle(pt(0, 0), 5), geom.Circle(pt(2, 0), 3)},
			areas: []float64{25 * math.Pi}, holes: 1, codes: []string{"touching"}},
		{name: "corner touching an edge", in: join(rect(0, 0, 10, 10), poly(10, 5, 15, 0, 15, 10)),
			areas: []float64{25, 100}, codes: []string{"touching"}},
		{name: "hole touching the outline at a corner", in: join(rect(0, 0, 10, 10), poly(0, 0, 5, 2, 2, 5)),
			areas: []float64{100}, holes: 1, codes: []string{"touching"}},
		{name: "notch drawn as a rectangle on the outline", in: join(box, rect(5, 0, 9, 3)), areas: []float64{188},
			codes: []string{"notch"}},
		{name: "notch drawn as a slot on the outline", in: join(box, []geom.Curve{
			line(5, 0, 7, 0), line(7, 0, 7, 4), geom.Arc(pt(6, 4), 1, 0, math.Pi), line(5, 4, 5, 0)}),
			areas: []float64{200 - 8 - math.Pi/2}, codes: []string{"notch"}},
		{name: "notch drawn in a corner", in: join(box, rect(0, 0, 4, 3)), areas: []float64{188}, codes: []string{"notch"}},
		{name: "two notches drawn on one edge", in: join(box, rect(5, 0, 9, 3), rect(11, 0, 12, 3)), areas: []float64{185},
			codes: []string{"notch"}},
		{name: "drawn twice", in: join(box, box), areas: []float64{200}},
		{name: "drawn twice a little aside", in: join(box, rect(0.02, 0.01, 20.02, 10.01)), areas: []float64{200}},
		{name: "drawn twice a little smaller", in: join(box, rect(0.02, 0.02, 19.98, 9.98)), areas: []float64{200}},
		{name: "hole drawn twice a little aside", in: join(box, circle, []geom.Curve{geom.Circle(pt(10.01, 5), 3.002)}),
			areas: []float64{200}, holes: 1},
		{name: "line drawn again a little beside an edge", in: append(box, line(5, 0.02, 11, 0.02)), areas: []float64{200}},
		{name: "circle drawn twice", in: join(circle, []geom.Curve{geom.Arc(pt(10, 5), 3, 1, -7)}), areas: []float64{9 * math.Pi}},
		{name: "half of a circle drawn again", in: append(circle, geom.Arc(pt(10, 5), 3, 1, 2)), areas: []float64{9 * math.Pi}},
		{name: "circle of overlapping arcs", in: []geom.Curve{
			geom.Arc(pt(0, 0), 3, 0, 4), geom.Arc(pt(0, 0), 3, 3, 4)}, areas: []float64{9 * math.Pi}},
		{name: "edge drawn as two overlapping lines", in: append(box[1:], line(0, 0, 12, 0), line(8, 0, 20, 0)), areas: []float64{200}},
		{name: "slot inside a rectangle", in: join(box, slot), areas: []float64{200}, holes: 1},
		{name: "grid of cuts in a border", in: join(rect(-5, -5, 25, 25), cells(2, 2, 10)), areas: []float64{900}, holes: 1,
			kinds: slices.Repeat([]string{Chord}, 4), codes: []string{"shared-cut"}},
		{name: "islands cut in a grid", in: join(rect(-9, -9, 29, 29), rect(-5, -5, 25, 25), cells(2, 2, 10)),
			areas: []float64{100, 100, 100, 100, 1444}, holes: 1, codes: []string{"shared-cut"}},
		{name: "open strokes", in: []geom.Curve{line(0, 0, 5, 0), line(0, 9, 5, 9), line(30, 0, 5, 3)},
			kinds: []string{Loose, Loose, Loose}},
	}
}

func (r reading) check(t *testing.T, in []geom.Curve) {
	t.Helper()
	res := build(t, in)
	var areas []float64
	holes := 0
	for _, g := range res.Regions {
		areas = append(areas, geom.Integrate(g.Outline.Curves).Area)
		holes += len(g.Holes)
	}
	slices.Sort(areas)
	ok := len(areas) == len(r.areas) && holes == r.holes
	for i := 0; ok && i < len(areas); i++ {
		ok = math.Abs(areas[i]-r.areas[i]) <= 1e-7*r.areas[i]
	}
	if !ok {
		t.Errorf("outlines %v, %d holes; want %v, %d", areas, holes, r.areas, r.holes)
	}
	if got := kinds(res); !slices.Equal(got, r.kinds) {
		t.Errorf("open chains %v, want %v", got, r.kinds)
	}
	if got := codes(res); !slices.Equal(got, r.codes) {
		t.Errorf("problems %v, want %v: %+v", got, r.codes, res.Problems)
	}
}

func TestReadings(t *testing.T) {
	for _, r := range readings() {
		t.Run(r.name, func(t *testing.T) {
			for seed := range uint64(6) {
				in := shuffled(r.in, seed)
				if seed == 0 {
					in = r.in
				}
				m := geom.Rotation(s1.Angle(0.3 * float64(seed%4)))
				if seed >= 3 {
					m = m.Then(geom.Translation(r2.Point{X: 1e6, Y: -3e5}))
				}
				if seed == 5 {
					m = geom.Scaling(-1, 1).Then(m)
				}
				for i := range in {
					in[i] = in[i].Transformed(m)
				}
				r.check(t, in)
				if t.Failed() {
					t.Fatalf("seed %d", seed)
				}
			}
		})
	}
}
