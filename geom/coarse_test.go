package geom

import (
	"math"
	"testing"

	"github.com/golang/geo/r2"
)

// TestCoarseChords: rows of facets that are too coarse to be refitted are
// counted, with the rise of their circle; what is refitted, or turns more, or to
// and fro, is none.
func TestCoarseChords(t *testing.T) {
	opt := DefaultRefit()
	ring := func(n int, r float64) []Curve { return closedUp(sampled(circleAt(r), n, 0)) }
	half := func(n int, r float64) []Curve {
		return sampled(func(t float64) r2.Point { return circleAt(r)(t / 2) }, n, 0)
	}
	zigzag := sampled(func(t float64) r2.Point {
		i := math.Round(t * 40)
		return r2.Point{X: 100 * i, Y: 10 * math.Mod(i, 2)}
	}, 40, 0)
	for _, c := range []struct {
		name   string
		in     []Curve
		closed bool
		want   int
		radius float64
		facets int // of the whole circle
	}{
		{"24-gon of 200 mm", ring(24, 100), true, 24, 100, 24},
		{"the same, clockwise", ReverseLoop(ring(24, 100)), true, 24, 100, 24},
		{"half of it", half(12, 100), false, 12, 100, 24},
		{"five facets", half(5, 1000)[:5], false, 0, 0, 1},
		{"36-gon of 20 mm, which is refitted", ring(36, 10), true, 0, 0, 1},
		{"hexagon", ring(6, 100), true, 0, 0, 1},
		{"16-gon", ring(16, 100), true, 0, 0, 1},
		{"zigzag", zigzag, false, 0, 0, 1},
		{"nothing", nil, true, 0, 0, 1},
	} {
		n, rise := CoarseChords(c.in, c.closed, opt)
		want := c.radius * math.Pi * math.Pi / 2 / float64(c.facets*c.facets) // of r (1 - cos(pi/n)), first term
		if n != c.want || math.Abs(rise-want) > 0.01*want {
			t.Errorf("%s: %d chords, rise %g; want %d, %g", c.name, n, rise, c.want, want)
		}
	}
	// Where the loop begins does not matter.
	loop := append(half(12, 100), Line(r2.Point{X: -60, Y: -7}, r2.Point{X: -60, Y: -107}),
		Line(r2.Point{X: -60, Y: -107}, r2.Point{X: 140, Y: -107}), Line(r2.Point{X: 140, Y: -107}, r2.Point{X: 140, Y: -7}))
	for shift := range loop {
		in := append(append([]Curve{}, loop[shift:]...), loop[:shift]...)
		if n, _ := CoarseChords(in, true, opt); n != 12 {
			t.Errorf("begun at %d: %d chords, want 12", shift, n)
		}
	}
}
