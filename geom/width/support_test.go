package width

import (
	"math"
	"math/rand/v2"
	"testing"

	"burrcast/geom"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"
)

// The values are closed forms from elementary geometry.
func TestLeastWidth(t *testing.T) {
	reuleaux := func(w float64) []geom.Curve {
		a, b, c := pt(0, 0), pt(w, 0), pt(w/2, w*math.Sqrt(3)/2)
		bulge := math.Tan(math.Pi / 12)
		return []geom.Curve{geom.Bulge(a, b, bulge), geom.Bulge(b, c, bulge), geom.Bulge(c, a, bulge)}
	}
	tests := []struct {
		name string
		loop []geom.Curve
		want float64
	}{
		{"rectangle", poly(0, 0, 100, 0, 100, 60, 0, 60), 60},
		{"3-4-5 triangle", poly(0, 0, 4, 0, 0, 3), 2.4},
		{"equilateral triangle", regular(3, 10, 1), 15},
		{"circle", circle(7, -2, 5), 10},
		{"obround", obround(30, 6), 6},
		{"Reuleaux triangle", reuleaux(40), 40},
		{"half disc", []geom.Curve{geom.Line(pt(-5, 0), pt(5, 0)), geom.Bulge(pt(5, 0), pt(-5, 0), 1)}, 5},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			s := NewSupport(tt.loop)
			got, a := s.LeastWidth()
			near(t, "least width", got, tt.want)
			near(t, "extent at its angle", s.Extent(a), tt.want)
		})
	}
}

// Brute force: the extent of every curve in that direction.
func TestSupportAgainstExtents(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for range 300 {
		var loop []geom.Curve
		p := pt(rng.Float64()*50, rng.Float64()*50)
		for range 2 + rng.IntN(12) {
			q := pt(rng.Float64()*50, rng.Float64()*50)
			b := 0.0
			if rng.IntN(2) == 0 {
				b = rng.NormFloat64()
			}
			loop = append(loop, geom.Bulge(p, q, b))
			p = q
		}
		s := NewSupport(loop)
		least, most := math.Inf(1), 0.0
		for k := range 720 {
			a := float64(k) * math.Pi / 720
			lo, hi := math.Inf(1), math.Inf(-1)
			sin, cos := math.Sincos(a)
			for _, c := range loop {
				iv := c.Extent(pt(cos, sin))
				lo, hi = math.Min(lo, iv.Lo), math.Max(hi, iv.Hi)
			}
			near(t, "extent", s.Extent(a), hi-lo)
			near(t, "value", s.Value(a), hi)
			along, across, front := s.Reach(a - 3)
			near(t, "along", along, s.Extent(a-3))
			near(t, "across", across, s.Extent(a-3+math.Pi/2))
			near(t, "front", front, s.Value(a-3))
			least, most = math.Min(least, hi-lo), math.Max(most, hi-lo)
		}
		got, _ := s.LeastWidth()
		// Half a step off the best angle adds no more than the longest extent
		// times the step.
		if got > least+1e-9 || got < least-most*math.Pi/720 {
			t.Errorf("least width %g, sampled %g", got, least)
		}
	}
}

// The tops of a U are one line of the hull, in two pieces that rounding turns
// against each other.
func TestLeastWidthOfAlmostCollinearHull(t *testing.T) {
	u := []r2.Point{pt(0, 0), pt(60, 0), pt(60, 50), pt(48, 50), pt(48, 15), pt(12, 15), pt(12, 50), pt(0, 50)}
	for deg := 0.0; deg < 180; deg += 0.37 {
		m := geom.Rotation(s1.Angle(deg * math.Pi / 180))
		var loop []geom.Curve
		for i, p := range u {
			loop = append(loop, geom.Line(m.Point(p), m.Point(u[(i+1)%len(u)])))
		}
		s := NewSupport(loop)
		if w, _ := s.LeastWidth(); math.Abs(w-50) > 1e-9 {
			t.Fatalf("turned by %v degrees: least width %v, want 50", deg, w)
		}
	}
}
