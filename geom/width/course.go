package width

import (
	"math"

	"burrcast/geom"

	"github.com/golang/geo/r2"
)

// Course is a closed contour with running sums, so that the length and the area
// of a stretch cost no walk along it.
type Course struct {
	curves []geom.Curve
	origin r2.Point
	length []float64 // before each curve, mm; the last is the whole
	area   []float64 // between the origin and the curves before, mm2
}

// NewCourse prepares a contour as it was given to New; it is not empty.
func NewCourse(contour []geom.Curve) *Course {
	c := &Course{
		curves: contour, origin: contour[0].Start,
		length: make([]float64, len(contour)+1), area: make([]float64, len(contour)+1),
	}
	for k := range contour {
		q := &contour[k]
		c.length[k+1] = c.length[k] + q.Length()
		c.area[k+1] = c.area[k] + c.swept(q)
	}
	return c
}

// swept is the area between the origin and q: the triangle on its chord and, of
// an arc, the segment beyond that.
func (c *Course) swept(q *geom.Curve) float64 {
	a := geom.Cross(q.Start.Sub(c.origin), q.End.Sub(c.origin)) / 2
	if s := float64(q.Sweep); q.IsArc() {
		a += q.Radius * q.Radius / 2 * (s - math.Sin(s))
	}
	return a
}

// sweptPart is swept for curve k from one fraction of it to another.
func (c *Course) sweptPart(k int, from, to float64) float64 {
	q := &c.curves[k]
	if !q.IsArc() {
		return (to - from) * c.swept(q)
	}
	part := q.Sub(from, to)
	return c.swept(&part)
}

// Start returns where the contour begins.
func (c *Course) Start() r2.Point { return c.curves[0].Start }

// At returns how far along the contour, from its first curve's start, a place
// on it lies, mm.
func (c *Course) At(p Place) float64 {
	return c.length[p.Curve] + p.T*(c.length[p.Curve+1]-c.length[p.Curve])
}

// closed returns the area between the contour from place a forward to place b
// and the line back. Its error is some units in the last place of the contour's
// whole area.
func (c *Course) closed(a, b Place) float64 {
	p, q := c.curves[a.Curve].At(a.T), c.curves[b.Curve].At(b.T)
	back := geom.Cross(q.Sub(c.origin), p.Sub(c.origin)) / 2
	if a.Curve == b.Curve && a.T <= b.T {
		return c.sweptPart(a.Curve, a.T, b.T) + back
	}
	sum := c.area[b.Curve] - c.area[a.Curve+1]
	if b.Curve <= a.Curve {
		sum += c.area[len(c.curves)]
	}
	return c.sweptPart(a.Curve, a.T, 1) + sum + c.sweptPart(b.Curve, 0, b.T) + back
}

// walk calls f with the curves from place a forward to place b.
func (c *Course) walk(a, b Place, f func(geom.Curve)) {
	if a.Curve == b.Curve && a.T <= b.T {
		f(c.curves[a.Curve].Sub(a.T, b.T))
		return
	}
	f(c.curves[a.Curve].Sub(a.T, 1))
	for k := (a.Curve + 1) % len(c.curves); k != b.Curve; k = (k + 1) % len(c.curves) {
		f(c.curves[k])
	}
	f(c.curves[b.Curve].Sub(0, b.T))
}

// Enclosed is the side of a passage that hangs on it or that it leads into.
type Enclosed struct {
	Area     float64 // mm2, closed by the chord between the outer ends
	From, To Place   // the outer ends of the passage

	course *Course
}

// Enclose returns the smaller of the two sides into which the disc of a passage
// divides the region that its contour bounds, and false when the two feet lie
// on different contours.
func (c *Course) Enclose(p Passage) (Enclosed, bool) {
	if p.Least.Contours[0] != p.Least.Contours[1] || len(p.Spans) == 0 || len(p.Spans) > 2 {
		return Enclosed{}, false
	}
	best, found := Enclosed{}, false
	// The passage's walls are one or two spans: what it leads into lies between
	// the end of one and the start of the other.
	for k := range p.Spans {
		in, out := p.Spans[k], p.Spans[len(p.Spans)-1-k]
		area := c.closed(in.From, out.To)
		if area <= 0 || found && area >= best.Area {
			continue
		}
		best, found = Enclosed{Area: area, From: in.From, To: out.To, course: c}, true
	}
	return best, found
}

// Depth returns how far the enclosed side extends, mm, from the chord between
// the outer ends of the passage. It takes a walk along that side.
func (e Enclosed) Depth() float64 {
	c := e.course
	a, b := c.curves[e.From.Curve].At(e.From.T), c.curves[e.To.Curve].At(e.To.T)
	u := geom.Left(geom.Unit(a.Sub(b)))
	far := 0.0
	c.walk(e.From, e.To, func(q geom.Curve) {
		if u.X == 0 && u.Y == 0 {
			far = math.Max(far, q.At(0.5).Sub(a).Norm())
			return
		}
		far = math.Max(far, q.Extent(u).Hi-a.Dot(u))
	})
	return far
}
