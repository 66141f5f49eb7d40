package dxf

import (
	"fmt"
	"math"

	"burrcast/geom"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"
)

// draft is a path in the making.
type draft struct {
	x    *expander
	e    *entity
	nums []float64

	curves []geom.Curve
	closed bool
	error  float64 // mm
	code   string  // why it is rejected, "" if it is not
	text   string
}

func (d *draft) refuse(code, format string, args ...any) {
	if d.code == "" {
		d.code, d.text = code, fmt.Sprintf(format, args...)
	}
	d.curves = nil
}

// draw turns the entity's numbers into curves, seen through f.
func (d *draft) draw(f *frame) {
	switch d.e.kind {
	case kindLine:
		d.line(f)
	case kindCircle:
		d.circle(f)
	case kindArc:
		d.arc(f)
	case kindLWPolyline:
		d.lwPolyline(f)
	case kindPolyline:
		d.polyline(f)
	case kindEllipse:
		d.ellipse(f)
	case kindSpline:
		d.spline(f)
	}
}

// notFlat refuses a curve that does not lie flat.
func (d *draft) notFlat() {
	d.x.unflat++
	d.refuse("not-flat", "does not lie flat as seen from above")
}

// heightSlack is a difference in height, in mm, that is no more than noise.
const heightSlack = 1e-3

// level reports whether the step from a to b keeps its height.
func level(a, b vec) bool {
	dz := math.Abs(b[2] - a[2])
	return dz == 0 || dz <= heightSlack || dz <= largestSlope*math.Hypot(b[0]-a[0], b[1]-a[1])
}

func (d *draft) line(f *frame) {
	n := d.nums
	a, b := f.point(vec{n[0], n[1], n[2]}), f.point(vec{n[3], n[4], n[5]})
	if !level(a, b) {
		d.notFlat()
		return
	}
	p, q := point2(a), point2(b)
	if p == q {
		return
	}
	d.curves = append(d.x.room(1), geom.Line(p, q))
	d.x.keep(d.curves)
}

// flatPlane returns the map of the plane z = elevation, or refuses the entity.
func (d *draft) flatPlane(f *frame, elevation float64) (geom.Affine, bool) {
	a, flat := f.plane(elevation)
	if flat {
		return a, true
	}
	d.notFlat()
	return a, false
}

func (d *draft) circle(f *frame) {
	d.round(f, 0, 2*math.Pi)
	d.closed = true
}

func (d *draft) arc(f *frame) {
	from, to := d.nums[4], d.nums[5]
	if from == to {
		d.equalAngles(from)
	}
	sweep := turn(to-from, 360)
	d.closed = sweep == 360
	d.round(f, from*math.Pi/180, sweep*math.Pi/180)
}

// equalAngles records an arc whose angles are equal. Writers that reduce angles
// to one turn write a full circle so; an arc of nothing would not be drawn.
func (d *draft) equalAngles(at float64) {
	d.x.mend(d.e, "equal-angles", "start and end angle are both %g: read as a full turn", at)
}

// round draws a circle or arc; angles in radians.
func (d *draft) round(f *frame, from, sweep float64) {
	n := d.nums
	r := n[3]
	if r < 0 {
		d.refuse("bad-radius", "radius %g", r)
		return
	}
	if r == 0 {
		return
	}
	a, ok := d.flatPlane(f, n[2])
	if !ok {
		return
	}
	c, ok := place(a, r2.Point{X: n[0], Y: n[1]}, r, from, sweep)
	if !ok {
		d.conic(conic{
			center: a.Point(r2.Point{X: n[0], Y: n[1]}),
			u:      a.Vector(r2.Point{X: r}), v: a.Vector(r2.Point{Y: r}),
			from: from, sweep: sweep,
		})
		return
	}
	d.curves = append(d.x.room(1), c)
	d.x.keep(d.curves)
}

// roundSlack is the relative difference of the axes up to which the image of a
// circle is a circle: rounding of a turn, no more.
const roundSlack = 1e-12

// place returns the image of an arc, and false if it is no arc.
func place(a geom.Affine, center r2.Point, r, from, sweep float64) (geom.Curve, bool) {
	if a.B == 0 && a.C == 0 && a.A == a.D && a.A > 0 {
		// No turn: angles stay as they are.
		return geom.Arc(a.Point(center), a.A*r, s1.Angle(from), s1.Angle(sweep)), true
	}
	if _, ok := a.Similar(roundSlack); !ok {
		return geom.Curve{}, false
	}
	return geom.Arc(center, r, s1.Angle(from), s1.Angle(sweep)).Transformed(a), true
}

// flatBulge is a bulge so small that a line is nearer to the arc than its
// centre form, whose rounding grows with the radius.
const flatBulge = 1e-8

// bulges adds the curve with bulge b between the images p and q of two
// vertices; a is the map that made the images, round whether it keeps circles
// round, and p0 and q0 are the vertices themselves.
func (d *draft) bulge(a geom.Affine, round bool, p0, q0, p, q r2.Point, b float64) {
	switch {
	case p == q:
		// Vertices that coincide draw nothing, with a bulge or without.
	case b == 0:
		d.curves = append(d.curves, geom.Line(p, q))
	case math.Abs(b) <= flatBulge:
		d.error = max(d.error, math.Abs(b)/2*q.Sub(p).Norm())
		d.curves = append(d.curves, geom.Line(p, q))
	case round:
		if a.Det() < 0 {
			b = -b
		}
		d.curves = append(d.curves, geom.Bulge(p, q, b))
	default:
		c := geom.Bulge(p0, q0, b)
		if !c.IsArc() {
			d.curves = append(d.curves, geom.Line(p, q))
			return
		}
		k := conic{
			center: a.Point(c.Center),
			u:      a.Vector(r2.Point{X: c.Radius}), v: a.Vector(r2.Point{Y: c.Radius}),
			from: float64(c.From), sweep: float64(c.Sweep),
		}
		d.conicBetween(k, p, q)
	}
}

// lwPolyline draws vertices laid out as elevation, then x y bulge.
func (d *draft) lwPolyline(f *frame) {
	if len(d.nums) < 4 {
		d.refuse("no-vertices", "polyline without vertices")
		return
	}
	a, ok := d.flatPlane(f, d.nums[0])
	if !ok {
		return
	}
	v := d.nums[1:]
	d.vertices(a, len(v)/3, func(i int) (r2.Point, float64) {
		return r2.Point{X: v[3*i], Y: v[3*i+1]}, v[3*i+2]
	})
}

// polyline draws vertices laid out as x y z bulge.
func (d *draft) polyline(f *frame) {
	v := d.nums
	if len(v) < 4 {
		d.refuse("no-vertices", "polyline without vertices")
		return
	}
	if d.e.flags&flagSpatial != 0 {
		d.spatial(f)
		return
	}
	a, ok := d.flatPlane(f, v[2])
	if !ok {
		return
	}
	d.vertices(a, len(v)/4, func(i int) (r2.Point, float64) {
		return r2.Point{X: v[4*i], Y: v[4*i+1]}, v[4*i+3]
	})
}

// vertices draws a flat polyline of n vertices.
func (d *draft) vertices(a geom.Affine, n int, at func(int) (r2.Point, float64)) {
	_, round := a.Similar(roundSlack)
	d.curves = d.x.room(n)
	first, bulge := at(0)
	p0, p := first, a.Point(first)
	start := p
	for i := 1; i < n; i++ {
		q0, b := at(i)
		q := a.Point(q0)
		d.bulge(a, round, p0, q0, p, q, bulge)
		p0, p, bulge = q0, q, b
	}
	if d.e.flags&flagClosed != 0 {
		d.bulge(a, round, p0, first, p, start, bulge)
		d.closed = true
	}
	d.x.keep(d.curves)
}

// spatial draws a polyline with vertices in space.
func (d *draft) spatial(f *frame) {
	v := d.nums
	n := len(v) / 4
	d.curves = d.x.room(n)
	first := f.point(vec{v[0], v[1], v[2]})
	last := first
	step := func(next vec) {
		if !level(first, next) {
			d.notFlat()
		}
		if p, q := point2(last), point2(next); p != q {
			d.curves = append(d.curves, geom.Line(p, q))
		}
		last = next
	}
	for i := 1; i < n; i++ {
		step(f.point(vec{v[4*i], v[4*i+1], v[4*i+2]}))
	}
	if d.e.flags&flagClosed != 0 {
		step(first)
		d.closed = true
	}
	if d.code != "" {
		d.curves = nil
		return
	}
	d.x.keep(d.curves)
}
