package width

import (
	"math"
	"testing"

	"burrcast/geom"
)

// arcsBand is a slot bent along a circle: two concentric arcs of the radii given
// over the sweep, closed by half circles.
func arcsBand(inner, outer, sweep float64) []geom.Curve {
	at := func(r, a float64) (x, y float64) { s, c := math.Sincos(a); return r * c, r * s }
	p := func(r, a float64) geom.Curve { x, y := at(r, a); return geom.Line(pt(x, y), pt(x, y)) }
	a, b := p(outer, 0).Start, p(outer, sweep).Start
	c, d := p(inner, sweep).Start, p(inner, 0).Start
	return []geom.Curve{
		geom.Bulge(a, b, math.Tan(sweep/4)), geom.Bulge(b, c, 1),
		geom.Bulge(c, d, -math.Tan(sweep/4)), geom.Bulge(d, a, 1),
	}
}

// The lengths are those of the middle lines, closed forms.
func TestLevel(t *testing.T) {
	plate := poly(0, 0, 100, 0, 100, 60, 0, 60)
	tests := []struct {
		name     string
		contours [][]geom.Curve
		of       func(*Field) (Disc, bool)
		width    float64
		length   float64
		closed   bool
	}{
		{"obround", [][]geom.Curve{obround(30, 6)}, (*Field).LeastPassage, 6, 30, false},
		{"obround by its inscribed circle", [][]geom.Curve{obround(30, 6)}, (*Field).Inscribed, 6, 30, false},
		// The disc reaches half a width from either end.
		{"rectangle", [][]geom.Curve{poly(0, 0, 100, 0, 100, 20, 0, 20)}, (*Field).LeastPassage, 20, 80, false},
		{"square", [][]geom.Curve{poly(0, 0, 20, 0, 20, 20, 0, 20)}, (*Field).Inscribed, 20, 0, false},
		{"taper", [][]geom.Curve{poly(0, -1, 40, -3, 40, 3, 0, 1)}, (*Field).LeastPassage, 2 * math.Tan(math.Pi/4+math.Atan(0.05)/2), 0, false},
		{"bent slot", [][]geom.Curve{arcsBand(20, 26, 2)}, (*Field).LeastPassage, 6, 23 * 2, false},
		{"ring", holes(circle(0, 0, 50), circle(0, 0, 47.5)), leastSaddle, 2.5, 2 * math.Pi * 48.75, true},
		{"eccentric ring", holes(circle(0, 0, 50), circle(12, 0, 30)), leastSaddle, 8, 0, false},
		{"web beside a round hole", holes(plate, circle(10, 30, 5)), leastSaddle, 5, 0, false},
		// The hole's side of 30 and the quarter turns of the disc round its corners
		// are one way only where both walls keep their distance: the side.
		{"rectangular web", holes(plate, moved(poly(-15, -10, 15, -10, 15, 10, -15, 10), 50, 14)), leastSaddle, 4, 30, false},
		{"race track", holes(obround(40, 30), obround(40, 20)), leastSaddle, 5, 2*40 + 25*math.Pi, true},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			f := field(t, tt.contours...)
			d, ok := tt.of(f)
			if !ok {
				t.Fatal("no disc")
			}
			near(t, "width", d.Diameter(), tt.width)
			l := f.Level(d)
			near(t, "length", l.Length, tt.length)
			if l.Closed != tt.closed {
				t.Errorf("closed %v, want %v", l.Closed, tt.closed)
			}
			if l.Length == 0 {
				return
			}
			for k := range 2 {
				for w := range 2 {
					if got := l.Walls[w][k].At.Sub(l.Ends[k]).Norm(); math.Abs(got-tt.width/2) > 1e-9 {
						t.Errorf("end %d is %g from wall %d, want %g", k, got, w, tt.width/2)
					}
				}
			}
		})
	}
}

func leastSaddle(f *Field) (Disc, bool) {
	s := saddlesOf(f)
	if len(s) == 0 {
		return Disc{}, false
	}
	return s[0].Disc, true
}
