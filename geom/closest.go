package geom

import (
	"math"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"
)

// Closest returns the point q of c nearest to p and its fraction t of the
// length. Of several nearest points (p at an arc's centre) it returns one.
//
// A line is answered by its clamped projection. On an arc the distance to p
// grows with the angle from p's direction, so the answer is that direction or,
// outside the sweep, the end nearer to it in angle.
func (c Curve) Closest(p r2.Point) (t float64, q r2.Point) {
	if c.IsArc() {
		v := p.Sub(c.Center)
		n := v.Norm()
		if n == 0 {
			return 0, c.Start
		}
		t, in := c.AngleParam(s1.Angle(math.Atan2(v.Y, v.X)), 0)
		if !in || t == 0 || t == 1 {
			return t, c.At(t)
		}
		return t, c.Center.Add(v.Mul(c.Radius / n))
	}
	d := c.End.Sub(c.Start)
	n2 := d.Dot(d)
	if n2 == 0 {
		return 0, c.Start
	}
	t = min(1, max(0, p.Sub(c.Start).Dot(d)/n2))
	return t, c.At(t)
}
