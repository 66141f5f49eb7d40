package cli

import (
	"math"
	"path/filepath"
	"testing"

	"burrcast/geom"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"
)

func pt(x, y float64) r2.Point { return r2.Point{X: x, Y: y} }

func total(curves []geom.Curve) float64 { return geom.LoopLength(curves) }

func TestAlong(t *testing.T) {
	square := []geom.Curve{geom.Line(pt(0, 0), pt(10, 0)), geom.Line(pt(10, 0), pt(10, 10)), geom.Line(pt(10, 10), pt(0, 10)), geom.Line(pt(0, 10), pt(0, 0))}
	for _, c := range []struct {
		from, length float64
		start, end   r2.Point
		pieces       int
	}{
		{0, 40, pt(0, 0), pt(0, 0), 4},
		{2, 5, pt(2, 0), pt(7, 0), 1},
		{8, 4, pt(8, 0), pt(10, 2), 2},
		{35, 10, pt(0, 5), pt(5, 0), 2}, // over the start
		{10, 10, pt(10, 0), pt(10, 10), 1},
	} {
		got := along(square, c.from, c.length)
		if len(got) != c.pieces || math.Abs(total(got)-c.length) > 1e-9 || got[0].Start.Sub(c.start).Norm() > 1e-9 || got[len(got)-1].End.Sub(c.end).Norm() > 1e-9 {
			t.Errorf("%v mm from %v: %v", c.length, c.from, got)
		}
	}
	if got := along(square, 3, 0); got != nil {
		t.Errorf("no length: %v", got)
	}
	ring := []geom.Curve{geom.Circle(pt(0, 0), 5).Reversed()}
	if got := total(along(ring, 4, 100)); math.Abs(got-10*math.Pi) > 1e-9 {
		t.Errorf("more than once round: %v", got)
	}
}

// The share of a circle that runs within an angle of a direction is four times
// that angle of a full turn, whatever the direction; of lines it is all or none.
func TestWithin(t *testing.T) {
	for _, circle := range []geom.Curve{geom.Circle(pt(3, 4), 7), geom.Circle(pt(3, 4), 7).Reversed(), geom.Arc(pt(0, 0), 7, 1, 2*math.Pi)} {
		for degrees := -200.0; degrees < 400; degrees += 33 {
			d := s1.Angle(degrees) * s1.Degree
			got := within([]geom.Curve{circle}, d, 15*s1.Degree)
			if want := circle.Length() * 60 / 360; math.Abs(total(got)-want) > 1e-9 {
				t.Errorf("%v degrees: %v, want %v", degrees, total(got), want)
			}
			for _, c := range got {
				off := math.Remainder(math.Atan2(c.Tangent(0.5).Y, c.Tangent(0.5).X)-float64(d), math.Pi)
				if math.Abs(off) > 15.001*math.Pi/180 {
					t.Errorf("%v degrees: a piece runs %v off", degrees, off)
				}
			}
		}
	}
	line := []geom.Curve{geom.Line(pt(0, 0), pt(10, 1))}
	if len(within(line, 0, 15*s1.Degree)) != 1 || len(within(line, math.Pi, 15*s1.Degree)) != 1 || len(within(line, math.Pi/2, 15*s1.Degree)) != 0 {
		t.Error("a line along the feed, or across it")
	}
}

// A disc of 2 mm in a right corner: the two legs from where it touches to the
// vertex lie 0.414 mm off at most (arithmetic: r (1/sin 45 - 1)); in a deep
// notch of 1 mm nearly all of its depth stays untouched.
func TestUntouched(t *testing.T) {
	corner := []geom.Curve{geom.Line(pt(1, 0), pt(0, 0)), geom.Line(pt(0, 0), pt(0, 1))}
	if got := untouched(corner, 2); math.Abs(got-(math.Sqrt2-1)) > 1e-12 {
		t.Errorf("in a corner: %v", got)
	}
	notch := []geom.Curve{geom.Line(pt(0, 0), pt(0, -20)), geom.Line(pt(0, -20), pt(1, -20)), geom.Line(pt(1, -20), pt(1, 0))}
	if got := untouched(notch, 2); got < 19.8 || got > 20 {
		t.Errorf("in a notch: %v", got)
	}
	if untouched(nil, 2) != 0 {
		t.Error("nothing is not deep")
	}
}

// On the demo's parts: the notches of the rake and the narrow slots of the
// hanger stay burred, and plain panels stay clean.
func TestDemoBurred(t *testing.T) {
	for name, want := range map[string][2]float64{
		"seed-rake.dxf":     {0.5, 0.95}, // share of the cut edge
		"key-hanger.dxf":    {0.1, 0.5},
		"hopper-front.dxf":  {0, 0},
		"drive-bracket.dxf": {0, 0},
	} {
		d := checked(t, filepath.Join(demo, name))
		p := &d.Parts[0]
		share := total(p.Drawing.Burred) / float64(*p.CutLength)
		if share < want[0] || share > want[1] {
			t.Errorf("%s: %.3f of the edge stays burred, want %v", name, share, want)
		}
	}
}
