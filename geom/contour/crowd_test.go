package contour

import (
	"math"
	"math/rand/v2"
	"testing"

	"burrcast/geom"
)

// Drawings that have no sense but must not take for ever either.
func crowds(n int) map[string][]geom.Curve {
	r := rand.New(rand.NewPCG(20260101, 0))
	out := make(map[string][]geom.Curve)
	for i := range n {
		f := float64(i)
		s, c := math.Sincos(f * math.Pi / float64(n))
		x, y := r.Float64(), r.Float64()
		for name, curve := range map[string]geom.Curve{
			"crossing":   line(100*x, 100*y, 100*r.Float64(), 100*r.Float64()),
			"dense":      line(x, y, r.Float64(), r.Float64()),
			"dust":       line(x, y, x+0.02*r.Float64(), y+0.02*r.Float64()),
			"concentric": geom.Circle(pt(0, 0), 1+0.1*f),
			"star":       line(-100*c, -100*s, 100*c, 100*s),
			"same":       line(0, 0, 100, 0),
			"collinear":  line(0.001*f, 0, 100+0.001*f, 0),
			"hatch":      line(0.01*f, 0, 0.01*f+3, 50),
			"arcs":       geom.Arc(pt(100*x, 100*y), 0.1+10*r.Float64(), 0, 6),
		} {
			out[name] = append(out[name], curve)
		}
	}
	return out
}

func TestCrowds(t *testing.T) {
	for name, in := range crowds(250) {
		t.Run(name, func(t *testing.T) { build(t, in) })
	}
}

func TestCollinearCrowdIsOneLine(t *testing.T) {
	const n = 3000
	in := crowds(n)["collinear"]
	res := build(t, shuffled(in, 2))
	length := 0.0
	for _, o := range res.Open {
		length += geom.LoopLength(o.Curves)
	}
	if want := 100 + 0.001*(n-1); len(res.Open) != 1 || math.Abs(length-want) > 0.02 {
		t.Errorf("%d chains of %g mm together, want one of %g", len(res.Open), length, want)
	}
}

// Lines end to end on one straight line are no crowd of copies.
func TestLongRowOfLines(t *testing.T) {
	var in []geom.Curve
	for i := range 200 {
		in = append(in, line(float64(i), 0, float64(i+1), 0))
	}
	in = append(in, line(200, 0, 200, 10), line(200, 10, 0, 10), line(0, 10, 0, 0))
	res := build(t, shuffled(in, 1))
	if len(res.Regions) != 1 || len(res.Duplicates) != 0 || len(res.Regions[0].Outline.Curves) != 203 {
		t.Errorf("%d regions, %d duplicates", len(res.Regions), len(res.Duplicates))
	}
}
