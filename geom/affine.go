package geom

import (
	"math"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"
)

// Affine maps (x, y) to (A*x + B*y + Tx, C*x + D*y + Ty). The zero value maps
// everything to the origin; Identity leaves everything where it is.
type Affine struct {
	A, B, C, D, Tx, Ty float64
}

// Identity returns the transform that moves nothing.
func Identity() Affine { return Affine{A: 1, D: 1} }

// Translation returns the move by d.
func Translation(d r2.Point) Affine { return Affine{A: 1, D: 1, Tx: d.X, Ty: d.Y} }

// Rotation returns the turn by a about the origin.
func Rotation(a s1.Angle) Affine {
	sin, cos := math.Sincos(float64(a))
	return Affine{A: cos, B: -sin, C: sin, D: cos}
}

// Scaling returns the scale by sx and sy about the origin.
func Scaling(sx, sy float64) Affine { return Affine{A: sx, D: sy} }

// Then returns the transform that applies m first and n second.
func (m Affine) Then(n Affine) Affine {
	return Affine{
		A: n.A*m.A + n.B*m.C, B: n.A*m.B + n.B*m.D,
		C: n.C*m.A + n.D*m.C, D: n.C*m.B + n.D*m.D,
		Tx: n.A*m.Tx + n.B*m.Ty + n.Tx,
		Ty: n.C*m.Tx + n.D*m.Ty + n.Ty,
	}
}

// Point returns the image of p.
func (m Affine) Point(p r2.Point) r2.Point {
	return r2.Point{X: m.A*p.X + m.B*p.Y + m.Tx, Y: m.C*p.X + m.D*p.Y + m.Ty}
}

// Vector returns the image of the direction v, which does not move.
func (m Affine) Vector(v r2.Point) r2.Point {
	return r2.Point{X: m.A*v.X + m.B*v.Y, Y: m.C*v.X + m.D*v.Y}
}

// Det returns the factor on areas, negative when m mirrors.
func (m Affine) Det() float64 { return float64(m.A*m.D) - float64(m.B*m.C) }

// Similar returns the scale of m and whether m keeps circles round: within the
// relative slack both axes grow alike and stay square to each other.
func (m Affine) Similar(slack float64) (float64, bool) {
	sx, sy := math.Hypot(m.A, m.C), math.Hypot(m.B, m.D)
	s := math.Sqrt(math.Abs(m.Det()))
	ok := math.Abs(sx-sy) <= slack*s && math.Abs(m.A*m.B+m.C*m.D) <= slack*s*s
	return s, ok && s > 0
}

// Moved returns c moved by d.
func (c Curve) Moved(d r2.Point) Curve {
	c.Start, c.End = c.Start.Add(d), c.End.Add(d)
	if c.IsArc() {
		c.Center = c.Center.Add(d)
	}
	return c
}

// Transformed returns the image of c under m. An arc needs a transform that
// keeps circles round (see Affine.Similar); others turn it into a piece of an
// ellipse, which is not a Curve.
func (c Curve) Transformed(m Affine) Curve {
	out := c
	out.Start, out.End = m.Point(c.Start), m.Point(c.End)
	if !c.IsArc() {
		return out
	}
	det := m.Det()
	out.Center = m.Point(c.Center)
	out.Radius = c.Radius * math.Sqrt(math.Abs(det))
	v := m.Vector(Direction(c.From))
	out.From = s1.Angle(math.Atan2(v.Y, v.X))
	if det < 0 {
		out.Sweep = -c.Sweep
	}
	return out
}
