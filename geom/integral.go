package geom

import (
	"math"

	"github.com/golang/geo/r2"
)

// Integrals are the area integrals of the region that a loop encloses, taken
// about the loop's own origin so that large coordinates cost no digits.
type Integrals struct {
	Origin   r2.Point // near the loop; every other field is relative to it
	Area     float64  // mm2, positive for a counter-clockwise loop
	Mx, My   float64  // integrals of x and of y over the area, mm3
	Ixx, Iyy float64  // integrals of x*x and of y*y, mm4
	Ixy      float64  // integral of x*y, mm4
}

// Integrate returns the integrals over the area enclosed by loop, by Green's
// theorem with closed forms for lines and arcs. The relative error is some
// units in the last place times the number of curves.
func Integrate(loop []Curve) Integrals {
	if len(loop) == 0 {
		return Integrals{}
	}
	in := Integrals{Origin: loop[0].Start}
	for _, c := range loop {
		c = c.Moved(in.Origin.Mul(-1))
		in.addChord(c.Start, c.End)
		if c.IsArc() {
			in.addSegment(c)
		}
	}
	return in
}

// addChord adds the triangle between the origin and the chord from p to q.
func (in *Integrals) addChord(p, q r2.Point) {
	a := Cross(p, q)
	in.Area += a / 2
	in.Mx += a * (p.X + q.X) / 6
	in.My += a * (p.Y + q.Y) / 6
	in.Ixx += a * (p.X*p.X + p.X*q.X + q.X*q.X) / 12
	in.Iyy += a * (p.Y*p.Y + p.Y*q.Y + q.Y*q.Y) / 12
	in.Ixy += a * (2*p.X*p.Y + p.X*q.Y + q.X*p.Y + 2*q.X*q.Y) / 24
}

// addSegment adds the circular segment between an arc and its chord: in axes
// along the arc's bisector the integrals depend on half the sweep h only.
func (in *Integrals) addSegment(c Curve) {
	sweep := float64(c.Sweep)
	h, r := sweep/2, c.Radius
	mid := float64(c.From) + h
	sin, cos := math.Sincos(h)
	area := r * r * segmentArea(h)
	mu := 2.0 / 3.0 * r * r * r * sin * sin * sin
	iuu := r * r * r * r / 4 * (h - sin*cos + 2*sin*sin*sin*cos)
	ivv := r * r * r * r / 12 * (3*h - 3*sin*cos - 2*sin*sin*sin*cos)
	su, cu := math.Sincos(mid)
	// First moments about the arc's centre, then second moments turned back.
	mx, my := mu*cu, mu*su
	ixx := iuu*cu*cu + ivv*su*su
	iyy := iuu*su*su + ivv*cu*cu
	ixy := (iuu - ivv) * su * cu
	x, y := c.Center.X, c.Center.Y
	in.Area += area
	in.Mx += mx + area*x
	in.My += my + area*y
	in.Ixx += ixx + 2*x*mx + area*x*x
	in.Iyy += iyy + 2*y*my + area*y*y
	in.Ixy += ixy + x*my + y*mx + area*x*y
}

// segmentArea returns h - sin(h)cos(h), which cancels for small h; the series
// (2h)^3/12 - (2h)^5/240 + (2h)^7/10080 is used there.
func segmentArea(h float64) float64 {
	if math.Abs(h) < 0.01 {
		s := 2 * h
		s2 := s * s
		return s * s2 / 12 * (1 - s2/20*(1-s2/42))
	}
	sin, cos := math.Sincos(h)
	return h - sin*cos
}

// Plus returns the integrals over both areas; a clockwise loop is a hole. The
// sum is taken about in's origin, or about o's if in is the zero value.
func (in Integrals) Plus(o Integrals) Integrals {
	if in == (Integrals{}) {
		return o
	}
	d := o.Origin.Sub(in.Origin)
	in.Ixx += o.Ixx + 2*d.X*o.Mx + o.Area*d.X*d.X
	in.Iyy += o.Iyy + 2*d.Y*o.My + o.Area*d.Y*d.Y
	in.Ixy += o.Ixy + d.X*o.My + d.Y*o.Mx + o.Area*d.X*d.Y
	in.Mx += o.Mx + o.Area*d.X
	in.My += o.My + o.Area*d.Y
	in.Area += o.Area
	return in
}

// Centroid returns the centre of gravity, and false for an area of nothing.
func (in Integrals) Centroid() (r2.Point, bool) {
	if in.Area == 0 {
		return r2.Point{}, false
	}
	return r2.Point{X: in.Origin.X + in.Mx/in.Area, Y: in.Origin.Y + in.My/in.Area}, true
}

// Central returns the second moments of area about the centre of gravity, mm4.
func (in Integrals) Central() (ixx, iyy, ixy float64) {
	if in.Area == 0 {
		return 0, 0, 0
	}
	x, y := in.Mx/in.Area, in.My/in.Area
	return in.Ixx - in.Area*x*x, in.Iyy - in.Area*y*y, in.Ixy - in.Area*x*y
}

// LoopLength returns the sum of the curves' lengths.
func LoopLength(loop []Curve) float64 {
	s := 0.0
	for _, c := range loop {
		s += c.Length()
	}
	return s
}

// LoopBounds returns the box round all curves.
func LoopBounds(loop []Curve) r2.Rect {
	b := r2.EmptyRect()
	for i := range loop {
		b = b.Union(loop[i].Bounds())
	}
	return b
}

// ReverseLoop returns the same loop travelled the other way.
func ReverseLoop(loop []Curve) []Curve {
	out := make([]Curve, len(loop))
	for i, c := range loop {
		out[len(loop)-1-i] = c.Reversed()
	}
	return out
}

// SegmentArea returns the signed area between c and its chord, mm2: positive
// for a counter-clockwise arc, 0 for a line.
func SegmentArea(c Curve) float64 {
	if !c.IsArc() {
		return 0
	}
	return c.Radius * c.Radius * segmentArea(float64(c.Sweep)/2)
}

// LoopArea returns the area enclosed by loop, positive for a counter-clockwise
// one, as Integrate does with all moments.
func LoopArea(loop []Curve) float64 {
	area := 0.0
	for i := range loop {
		c := &loop[i]
		area += Cross(c.Start.Sub(loop[0].Start), c.End.Sub(loop[0].Start)) / 2
		if c.IsArc() {
			area += SegmentArea(*c)
		}
	}
	return area
}
