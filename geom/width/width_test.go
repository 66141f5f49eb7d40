package width

import (
	"math"
	"testing"

	"burrcast/geom"

	"github.com/golang/geo/r2"
)

func pt(x, y float64) r2.Point { return r2.Point{X: x, Y: y} }

// poly returns the closed polygon through the points (x, y pairs).
func poly(xy ...float64) []geom.Curve {
	var loop []geom.Curve
	n := len(xy) / 2
	for i := range n {
		k := (i + 1) % n
		loop = append(loop, geom.Line(pt(xy[2*i], xy[2*i+1]), pt(xy[2*k], xy[2*k+1])))
	}
	return loop
}

// obround returns a slot with round ends of width w whose centres are l apart.
func obround(l, w float64) []geom.Curve {
	h := l / 2
	return []geom.Curve{
		geom.Line(pt(-h, -w/2), pt(h, -w/2)),
		geom.Bulge(pt(h, -w/2), pt(h, w/2), 1),
		geom.Line(pt(h, w/2), pt(-h, w/2)),
		geom.Bulge(pt(-h, w/2), pt(-h, -w/2), 1),
	}
}

func circle(x, y, r float64) []geom.Curve { return []geom.Curve{geom.Circle(pt(x, y), r)} }

func regular(n int, r, turn float64) []geom.Curve {
	var xy []float64
	for k := range n {
		s, c := math.Sincos(turn + 2*math.Pi*float64(k)/float64(n))
		xy = append(xy, r*c, r*s)
	}
	return poly(xy...)
}

func holes(outline []geom.Curve, cut ...[]geom.Curve) [][]geom.Curve {
	out := [][]geom.Curve{outline}
	for _, h := range cut {
		out = append(out, geom.ReverseLoop(h))
	}
	return out
}

func field(t testing.TB, contours ...[]geom.Curve) *Field {
	t.Helper()
	f, err := New(contours, 0)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func near(t *testing.T, what string, got, want float64) {
	t.Helper()
	if math.Abs(got-want) > 1e-9*math.Max(1, math.Abs(want)) {
		t.Errorf("%s = %.12g, want %.12g", what, got, want)
	}
}

// The values are closed forms from elementary geometry.
func TestInscribedAndLeastPassage(t *testing.T) {
	tests := []struct {
		name       string
		loop       []geom.Curve
		mic, least float64 // diameters; least < 0 for none
	}{
		{"circle", circle(3, 4, 5), 10, 10},
		{"square", poly(0, 0, 20, 0, 20, 20, 0, 20), 20, 20},
		{"rectangle", poly(0, 0, 100, 0, 100, 20, 0, 20), 20, 20},
		{"obround", obround(30, 6), 6, 6},
		{"hexagon", regular(6, 25, 0.17), 25 * math.Sqrt(3), 25 * math.Sqrt(3)},
		{"equilateral triangle", regular(3, 30, 0), 30, -1},
		{"3-4-5 triangle", poly(0, 0, 4, 0, 0, 3), 2, -1},
		// geometry.md 1.4: w1 tan(45+d/2) for a square-ended taper.
		{"taper slot 2..6 by 40", poly(0, -1, 40, -3, 40, 3, 0, 1), 6 * math.Tan(math.Pi/4-math.Atan(0.05)/2), 2 * math.Tan(math.Pi/4+math.Atan(0.05)/2)},
		{"20 degree rhombus", poly(0, 0, 50, 0, 50+50*math.Cos(math.Pi/9), 50*math.Sin(math.Pi/9), 50*math.Cos(math.Pi/9), 50*math.Sin(math.Pi/9)), 50 * math.Sin(math.Pi/9), 0},
		{"L", poly(0, 0, 50, 0, 50, 10, 12, 10, 12, 40, 0, 40), 0, 10},
	}
	// Largest disc of the L touches both outer walls and the inner vertex:
	// r + r - ... solves (12-r)^2 + (10-r)^2 = r^2.
	tests[len(tests)-1].mic = 2 * (22 - math.Sqrt(22*22-244))
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			f := field(t, tt.loop)
			d, ok := f.Inscribed()
			if !ok {
				t.Fatal("no inscribed circle")
			}
			near(t, "inscribed", d.Diameter(), tt.mic)
			p, ok := f.LeastPassage()
			if ok != (tt.least >= 0) {
				t.Fatalf("passage %v, found %v %+v", tt.least, ok, p)
			}
			if ok {
				near(t, "least passage", p.Diameter(), tt.least)
			}
		})
	}
}

func TestSaddles(t *testing.T) {
	plate := poly(0, 0, 100, 0, 100, 60, 0, 60)
	tests := []struct {
		name     string
		contours [][]geom.Curve
		want     []float64 // widths, ascending
		loops    int
	}{
		{"plate alone", holes(plate), nil, 0},
		{"one hole near a corner", holes(plate, circle(10, 12, 2.5)), []float64{7.5, 9.5}, 1},
		{"four holes", holes(plate, circle(10, 10, 2.5), circle(90, 10, 2.5), circle(10, 50, 2.5), circle(90, 50, 2.5)), nil, 4},
		{"concentric ring", holes(circle(0, 0, 50), circle(0, 0, 47.5)), []float64{2.5}, 1},
		{"eccentric ring", holes(circle(0, 0, 50), circle(12, 0, 30)), []float64{8}, 1},
		{"dog bone", holes(poly(0, 0, 40, 0, 40, 17.75, 70, 17.75, 70, 0, 110, 0, 110, 40, 70, 40, 70, 22.25, 40, 22.25, 40, 40, 0, 40)), []float64{4.5}, 0},
		{"slot along the edge", holes(poly(0, 0, 80, 0, 80, 40, 0, 40), moved(obround(36, 4), 40, 4.2)), []float64{2.2, 33.8}, 1},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			f := field(t, tt.contours...)
			loops := 0
			var got []float64
			for _, s := range saddlesOf(f) {
				if s.Loop {
					loops++
				}
				got = append(got, s.Disc.Diameter())
			}
			if loops != tt.loops {
				t.Errorf("%d loops, want %d: %v", loops, tt.loops, got)
			}
			if tt.want == nil && tt.loops > 0 {
				return
			}
			if len(got) != len(tt.want) {
				t.Fatalf("saddles %v, want %v", got, tt.want)
			}
			for k := range got {
				near(t, "width", got[k], tt.want[k])
			}
		})
	}
}

func moved(loop []geom.Curve, x, y float64) []geom.Curve {
	out := make([]geom.Curve, len(loop))
	for i, c := range loop {
		out[i] = c.Transformed(geom.Translation(pt(x, y)))
	}
	return out
}

func TestPassageKinds(t *testing.T) {
	tab := poly(0, 0, 40, 0, 40, 14, 46, 14, 46, 15.2, 40, 15.2, 40, 30, 0, 30)
	f := field(t, tab)
	var tabs []Passage
	for _, p := range passagesOf(f) {
		if p.Open == 2 {
			tabs = append(tabs, p)
		}
	}
	if len(tabs) != 1 {
		t.Fatalf("%d tabs, want 1: %+v", len(tabs), passagesOf(f))
	}
	near(t, "tab width", tabs[0].Least.Diameter(), 1.2)
	e, ok := NewCourse(tab).Enclose(tabs[0])
	if !ok {
		t.Fatal("tab encloses nothing")
	}
	near(t, "tab free length", e.Depth(), 6)
	near(t, "tab area", e.Area, 7.2)

	notched := poly(0, 0, 30, 0, 30, 12, 33, 12, 33, 0, 60, 0, 60, 40, 0, 40)
	void := geom.ReverseLoop(notched)
	f = field(t, void)
	ps := passagesOf(f)
	if len(ps) != 1 || ps[0].Open != 2 {
		t.Fatalf("notch passages %+v", ps)
	}
	near(t, "notch width", ps[0].Least.Diameter(), 3)
	e, ok = NewCourse(void).Enclose(ps[0])
	if !ok {
		t.Fatal("notch encloses nothing")
	}
	near(t, "notch depth", e.Depth(), 12)
	if _, ok := f.Inscribed(); ok {
		t.Error("outside of a part holds a largest disc")
	}
}

func TestReach(t *testing.T) {
	// A square cut-out of side 20 and a disc of diameter 6: each corner keeps
	// 3 mm of both its walls.
	f := field(t, poly(0, 0, 20, 0, 20, 20, 0, 20))
	touched, gaps := f.Reach(0, 6, 0.06)
	near(t, "square", touched, 80-8*3)
	if len(gaps) != 4 {
		t.Errorf("%d gaps, want 4", len(gaps))
	}
	// A disc wider than the slot touches nothing.
	f = field(t, obround(30, 6))
	if touched, _ = f.Reach(0, 6.1, 0.06); touched != 0 {
		t.Errorf("slot narrower than the disc: %g touched", touched)
	}
	touched, gaps = f.Reach(0, 6, 0.06)
	near(t, "slot as wide as the disc", touched, 60+6*math.Pi)
	if len(gaps) != 0 {
		t.Errorf("gaps %v", gaps)
	}
	// A circle drawn as a polygon counts as the circle.
	f = field(t, regular(60, 10, 0))
	if touched, gaps = f.Reach(0, 6, 0.06); len(gaps) != 0 {
		t.Errorf("polygon: %g touched, %d gaps", touched, len(gaps))
	}
}

func saddlesOf(f *Field) []Saddle   { _, s := f.Features(0.01); return s }
func passagesOf(f *Field) []Passage { p, _ := f.Features(0.01); return p }
