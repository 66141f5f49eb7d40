package width

import (
	"math"
	"math/rand/v2"
	"testing"

	"burrcast/geom"
)

// Sums along a contour against a walk along it.
func TestCourseAgainstAWalk(t *testing.T) {
	loop := []geom.Curve{
		geom.Line(pt(100, 100), pt(140, 100)), geom.Bulge(pt(140, 100), pt(140, 130), 0.7),
		geom.Bulge(pt(140, 130), pt(110, 125), -0.4), geom.Line(pt(110, 125), pt(100, 140)), geom.Line(pt(100, 140), pt(100, 100)),
	}
	c := NewCourse(loop)
	rng := rand.New(rand.NewPCG(3, 4))
	for range 500 {
		a := Place{Curve: rng.IntN(len(loop)), T: rng.Float64()}
		b := Place{Curve: rng.IntN(len(loop)), T: rng.Float64()}
		var s []geom.Curve
		c.walk(a, b, func(q geom.Curve) { s = append(s, q) })
		want := geom.Integrate(append(s, geom.Line(s[len(s)-1].End, s[0].Start))).Area
		if got := c.closed(a, b); math.Abs(got-want) > 1e-9 {
			t.Fatalf("from %v to %v: area %v, want %v", a, b, got, want)
		}
		length := math.Mod(c.At(b)-c.At(a)+geom.LoopLength(loop), geom.LoopLength(loop))
		if got := geom.LoopLength(s); math.Abs(got-length) > 1e-9 {
			t.Fatalf("from %v to %v: length %v, want %v", a, b, got, length)
		}
	}
}
