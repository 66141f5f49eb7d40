package geom

import (
	"math"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"
)

// Between returns the least distance of two curves in mm, and the point of each
// where it is reached. Of several such places it returns one.
//
// Curves that meet are at distance 0. Of others the nearest points are an end
// of one and the point nearest to it of the other, or points where both curves
// are square to the line between them: for a line and an arc the foot of the
// centre on the line, for two arcs points on the line of centres. All are tried;
// the error is some units in the last place of the curves' size.
func Between(c, d Curve) (dist float64, p, q r2.Point) {
	var x [2]Contact
	if Contacts(&c, &d, 0, &x) > 0 {
		return 0, x[0].At, x[0].At
	}
	dist = math.Inf(1)
	fromC := func(a r2.Point) {
		if _, b := d.Closest(a); b.Sub(a).Norm() < dist {
			dist, p, q = b.Sub(a).Norm(), a, b
		}
	}
	fromD := func(b r2.Point) {
		if _, a := c.Closest(b); a.Sub(b).Norm() < dist {
			dist, p, q = a.Sub(b).Norm(), a, b
		}
	}
	fromC(c.Start)
	fromC(c.End)
	fromD(d.Start)
	fromD(d.End)
	switch {
	case c.IsArc() && d.IsArc():
		v := d.Center.Sub(c.Center)
		if v.X == 0 && v.Y == 0 {
			return dist, p, q // round one centre the ends say it all
		}
		a := s1.Angle(math.Atan2(v.Y, v.X))
		for _, a := range [2]s1.Angle{a, a + math.Pi} {
			if t, ok := c.AngleParam(a, 0); ok {
				fromC(c.At(t))
			}
		}
	case c.IsArc():
		_, foot := d.Closest(c.Center)
		fromD(foot)
	case d.IsArc():
		_, foot := c.Closest(d.Center)
		fromC(foot)
	}
	return dist, p, q
}
