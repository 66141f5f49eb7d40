package geom

import (
	"math"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"
)

// Curve is a directed line segment or circular arc. The zero value is a line
// of no length at the origin.
//
// Start and End are kept beside the centre form so that neighbours in a chain
// can share a point bit for bit.
type Curve struct {
	Start, End r2.Point
	Center     r2.Point // of an arc; not used for a line
	Radius     float64  // mm; 0 for a line
	From       s1.Angle // direction of Start seen from Center; arc only
	Sweep      s1.Angle // signed, counter-clockwise positive, at most 2*pi in size; arc only
}

// Line returns the segment from p to q.
func Line(p, q r2.Point) Curve { return Curve{Start: p, End: q} }

// Arc returns the arc round center that starts in direction from and turns by
// sweep. A sweep of 2*pi or more in size is a full circle.
func Arc(center r2.Point, radius float64, from, sweep s1.Angle) Curve {
	const turn = s1.Angle(2 * math.Pi)
	c := Curve{Center: center, Radius: radius, From: from}
	switch {
	case sweep >= turn:
		c.Sweep = turn
	case sweep <= -turn:
		c.Sweep = -turn
	default:
		c.Sweep = sweep
	}
	c.Start = c.pointAt(from)
	c.End = c.Start
	if !c.IsCircle() {
		c.End = c.pointAt(from + c.Sweep)
	}
	return c
}

// Circle returns a counter-clockwise full circle that starts at angle 0.
func Circle(center r2.Point, radius float64) Curve {
	return Arc(center, radius, 0, 2*math.Pi)
}

// flattest is the least bulge that stays an arc. The arc's points are computed
// with an error of radius * 2^-53, or chord/b * 2^-55, while it rises over its
// chord by chord*b/2: below this bulge the chord is the better answer.
const flattest = 1e-8

// Bulge returns the curve from p to q whose bulge, tan(sweep/4), is b: a line
// if b is so small that it is nearer to the arc than a computed arc would be.
// Ends are kept exactly. The DXF reference defines the bulge.
func Bulge(p, q r2.Point, b float64) Curve {
	d := q.Sub(p)
	if math.Abs(b) < flattest || d.X == 0 && d.Y == 0 {
		return Line(p, q)
	}
	// The centre lies on the chord's left normal at (1-b^2)/(4b) chords.
	k := (1/b - b) / 4
	mid := p.Add(q).Mul(0.5)
	center := r2.Point{X: mid.X - k*d.Y, Y: mid.Y + k*d.X}
	c := Curve{Start: p, End: q, Center: center}
	c.Radius = d.Norm() / 4 * math.Abs(b+1/b)
	v := p.Sub(center)
	c.From = s1.Angle(math.Atan2(v.Y, v.X))
	c.Sweep = s1.Angle(4 * math.Atan(b))
	return c
}

// ThroughTangent returns the arc (or line) from p to q that leaves p in the
// direction dir. It reports false when q lies straight behind p, where no arc
// exists, or when p and q coincide.
func ThroughTangent(p, dir, q r2.Point) (Curve, bool) {
	d := q.Sub(p)
	cross, dot := Cross(dir, d), dir.Dot(d)
	if d.X == 0 && d.Y == 0 || cross == 0 && dot < 0 {
		return Curve{}, false
	}
	// The chord turns from the tangent by half the sweep.
	return Bulge(p, q, math.Tan(math.Atan2(cross, dot)/2)), true
}

// IsArc reports whether c is an arc (a circle is one).
func (c Curve) IsArc() bool { return c.Radius > 0 }

// IsCircle reports whether c is a full circle.
func (c Curve) IsCircle() bool {
	return c.Radius > 0 && math.Abs(float64(c.Sweep)) >= 2*math.Pi
}

func (c Curve) pointAt(a s1.Angle) r2.Point {
	sin, cos := math.Sincos(float64(a))
	return r2.Point{X: c.Center.X + c.Radius*cos, Y: c.Center.Y + c.Radius*sin}
}

// Length is the arc length in mm.
func (c Curve) Length() float64 {
	if c.IsArc() {
		return c.Radius * math.Abs(float64(c.Sweep))
	}
	return c.End.Sub(c.Start).Norm()
}

// At returns the point at the fraction t of the length; 0 is Start and 1 is End,
// both exactly.
func (c Curve) At(t float64) r2.Point {
	switch {
	case t == 0:
		return c.Start
	case t == 1:
		return c.End
	case c.IsArc():
		return c.pointAt(c.From + s1.Angle(t)*c.Sweep)
	}
	return r2.Point{
		X: c.Start.X + t*(c.End.X-c.Start.X),
		Y: c.Start.Y + t*(c.End.Y-c.Start.Y),
	}
}

// Tangent returns the unit direction of travel at the fraction t of the length.
// The tangent of a line of no length is the zero point.
func (c Curve) Tangent(t float64) r2.Point {
	if c.IsArc() {
		sin, cos := math.Sincos(float64(c.From + s1.Angle(t)*c.Sweep))
		if c.Sweep > 0 {
			return r2.Point{X: -sin, Y: cos}
		}
		return r2.Point{X: sin, Y: -cos}
	}
	return Unit(c.End.Sub(c.Start))
}

// Reversed returns the same set of points travelled the other way.
func (c Curve) Reversed() Curve {
	c.Start, c.End = c.End, c.Start
	c.From, c.Sweep = c.From+c.Sweep, -c.Sweep
	return c
}

// Sub returns the piece of c between the fractions t0 <= t1.
func (c Curve) Sub(t0, t1 float64) Curve {
	out := c
	out.Start, out.End = c.At(t0), c.At(t1)
	if c.IsArc() {
		out.From = c.From + s1.Angle(t0)*c.Sweep
		out.Sweep = s1.Angle(t1-t0) * c.Sweep
	}
	return out
}

// AngleParam returns the fraction of the length at which the arc c points in
// direction a from its centre, and whether a lies within the sweep or within
// slack radians of one of its ends.
func (c Curve) AngleParam(a s1.Angle, slack float64) (float64, bool) {
	const turn = 2 * math.Pi
	sweep := float64(c.Sweep)
	if sweep == 0 {
		d := math.Remainder(float64(a-c.From), turn)
		return 0, math.Abs(d) <= slack
	}
	d := float64(a - c.From)
	if sweep < 0 {
		d, sweep = -d, -sweep
	}
	d -= turn * math.Floor(d/turn)
	if d > sweep {
		if turn-d <= slack {
			return 0, true
		}
		if d-sweep <= slack {
			return 1, true
		}
		// Outside: name the nearer end.
		if turn-d < d-sweep {
			return 0, false
		}
		return 1, false
	}
	return d / sweep, true
}

// Bounds returns the smallest box that holds c.
func (c Curve) Bounds() r2.Rect {
	b := r2.Rect{
		X: r1.Interval{Lo: min(c.Start.X, c.End.X), Hi: max(c.Start.X, c.End.X)},
		Y: r1.Interval{Lo: min(c.Start.Y, c.End.Y), Hi: max(c.Start.Y, c.End.Y)},
	}
	if !c.IsArc() {
		return b
	}
	// The quarter turns within the sweep, and those about at its ends.
	lo, hi := float64(c.From), float64(c.From+c.Sweep)
	if lo > hi {
		lo, hi = hi, lo
	}
	const quarter, about = math.Pi / 2, 1e-9
	first := math.Ceil((lo - about) / quarter)
	for k := first; k < first+5 && k*quarter <= hi+about; k++ {
		side := int64(k) & 3
		if _, ok := c.AngleParam(s1.Angle(float64(side)*quarter), 0); !ok {
			continue
		}
		switch side {
		case 0:
			b.X.Hi = max(b.X.Hi, c.Center.X+c.Radius)
		case 1:
			b.Y.Hi = max(b.Y.Hi, c.Center.Y+c.Radius)
		case 2:
			b.X.Lo = min(b.X.Lo, c.Center.X-c.Radius)
		case 3:
			b.Y.Lo = min(b.Y.Lo, c.Center.Y-c.Radius)
		}
	}
	return b
}

// Extent returns the interval that c covers along the unit direction u.
func (c Curve) Extent(u r2.Point) r1.Interval {
	iv := r1.IntervalFromPoint(c.Start.Dot(u)).AddPoint(c.End.Dot(u))
	if !c.IsArc() {
		return iv
	}
	m := c.Center.Dot(u)
	a := s1.Angle(math.Atan2(u.Y, u.X))
	if _, ok := c.AngleParam(a, 0); ok {
		iv = iv.AddPoint(m + c.Radius)
	}
	if _, ok := c.AngleParam(a+math.Pi, 0); ok {
		iv = iv.AddPoint(m - c.Radius)
	}
	return iv
}

// Finite reports whether every number of c is finite.
func (c Curve) Finite() bool {
	// Zero times a finite number is zero, times anything else NaN.
	s := 0*c.Start.X + 0*c.Start.Y + 0*c.End.X + 0*c.End.Y + 0*c.Center.X + 0*c.Center.Y +
		0*c.Radius + 0*float64(c.From) + 0*float64(c.Sweep)
	return s == 0
}

// Cross returns the z component of a x b. Each product is rounded on its own
// so that no processor fuses them and the sign is the same everywhere.
func Cross(a, b r2.Point) float64 { return float64(a.X*b.Y) - float64(a.Y*b.X) }

// Unit returns p scaled to length 1, or the zero point for the zero point.
func Unit(p r2.Point) r2.Point {
	n := math.Hypot(p.X, p.Y)
	if n == 0 {
		return r2.Point{}
	}
	return r2.Point{X: p.X / n, Y: p.Y / n}
}

// Left returns p turned by 90 degrees counter-clockwise.
func Left(p r2.Point) r2.Point { return r2.Point{X: -p.Y, Y: p.X} }

// Direction returns the unit vector at angle a.
func Direction(a s1.Angle) r2.Point {
	sin, cos := math.Sincos(float64(a))
	return r2.Point{X: cos, Y: sin}
}
