package dxf

import (
	"errors"
	"math"

	"burrcast/geom"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"
)

// conic is a piece of an ellipse: center + u cos(t) + v sin(t) in mm, where u
// and v need not be square to each other, for t from from to from+sweep.
type conic struct {
	center, u, v r2.Point
	from, sweep  float64
}

func (k *conic) at(t float64) (p, d r2.Point) {
	sin, cos := math.Sincos(t)
	p = r2.Point{X: k.center.X + (k.u.X*cos + k.v.X*sin), Y: k.center.Y + (k.u.Y*cos + k.v.Y*sin)}
	d = r2.Point{X: k.v.X*cos - k.u.X*sin, Y: k.v.Y*cos - k.u.Y*sin}
	return p, d
}

// full reports whether k is a whole ellipse.
func (k *conic) full() bool { return math.Abs(k.sweep) == 2*math.Pi }

// ellipse draws an ELLIPSE: its axes are world directions, the minor one is the
// ratio times extrusion x major.
func (d *draft) ellipse(f *frame) {
	n := d.nums
	axis := d.e.axisOf(d.x.p)
	major := vec{n[3], n[4], n[5]}
	minor := axis.cross(major)
	for i := range minor {
		minor[i] *= n[6]
	}
	c, u, v := f.point(vec{n[0], n[1], n[2]}), f.vector(major), f.vector(minor)
	if u.norm() == 0 || v.norm() == 0 {
		d.refuse("zero-axis", "an axis has no length")
		return
	}
	if math.Abs(u[2]) > largestSlope*u.norm() || math.Abs(v[2]) > largestSlope*v.norm() {
		d.notFlat()
		return
	}
	if n[7] == n[8] {
		d.equalAngles(n[7])
	}
	sweep := turn(n[8]-n[7], 2*math.Pi)
	d.conic(conic{center: point2(c), u: point2(u), v: point2(v), from: n[7], sweep: sweep})
	d.closed = d.code == "" && sweep == 2*math.Pi
}

// turn brings the difference of two angles into (0, whole]. A difference of a
// whole turn is often written with its last digits rounded.
func turn(diff, whole float64) float64 {
	const rounded = 1e-9
	if math.Abs(math.Abs(diff)-whole) <= rounded*whole {
		return whole
	}
	diff = math.Mod(diff, whole)
	if diff <= 0 {
		diff += whole
	}
	return diff
}

// conic draws k from its own start to its own end.
func (d *draft) conic(k conic) {
	p, _ := k.at(k.from)
	q := p
	if !k.full() {
		q, _ = k.at(k.from + k.sweep)
	}
	d.conicBetween(k, p, q)
}

// conicBetween draws k with its ends at p and q, which differ from its own by
// rounding only.
func (d *draft) conicBetween(k conic, p, q r2.Point) {
	if c, ok := k.round(); ok {
		c.Start, c.End = p, q
		d.curves = append(d.curves, c)
		return
	}
	sign := 1.0
	if k.sweep < 0 {
		sign = -1
	}
	length := math.Abs(k.sweep)
	d.fit(func(s float64) (r2.Point, r2.Point) {
		at, der := k.at(k.from + sign*s)
		return at, der.Mul(sign)
	}, k.breaks(sign, length), p, q, k.center.Norm()+k.u.Norm()+k.v.Norm())
}

// round returns k as an arc if it is one.
func (k *conic) round() (geom.Curve, bool) {
	nu, nv := k.u.Norm(), k.v.Norm()
	if math.Abs(nu-nv) > roundSlack*nu || math.Abs(k.u.Dot(k.v)) > roundSlack*nu*nv {
		return geom.Curve{}, false
	}
	from := math.Atan2(k.u.Y, k.u.X)
	if geom.Cross(k.u, k.v) < 0 {
		return geom.Arc(k.center, nu, s1.Angle(from-k.from), s1.Angle(-k.sweep)), true
	}
	return geom.Arc(k.center, nu, s1.Angle(from+k.from), s1.Angle(k.sweep)), true
}

// breaks returns the ends of the principal axes within k, as distances from its
// start: between them curvature rises or falls, which suits arcs best.
func (k *conic) breaks(sign, length float64) []float64 {
	axis := math.Atan2(2*k.u.Dot(k.v), k.u.Dot(k.u)-k.v.Dot(k.v)) / 2
	out := []float64{0}
	first := math.Mod(sign*(axis-k.from), math.Pi/2)
	for i := -1; i <= 5; i++ {
		s := first + float64(i)*math.Pi/2
		if s > 1e-6 && s < length-1e-6 {
			out = append(out, s)
		}
	}
	return append(out, length)
}

// mostArcs bounds the arcs that stand for one ellipse or spline.
const mostArcs = 100_000

// fit draws a parametric curve within the tolerance, with its ends at p and q.
// No coordinate of the curve exceeds reach.
func (d *draft) fit(f func(float64) (r2.Point, r2.Point), breaks []float64, p, q r2.Point, reach float64) {
	if !(reach <= largestPlace) {
		d.refuse("huge-number", "farther than %g mm from the origin", largestPlace)
		return
	}
	first, last := breaks[0], breaks[len(breaks)-1]
	pinned := func(t float64) (r2.Point, r2.Point) {
		at, der := f(t)
		switch t {
		case first:
			at = p
		case last:
			at = q
		}
		return at, der
	}
	// Coordinates as large as reach carry rounding that no arc can follow.
	tol := max(d.x.opt.CurveTolerance, 1e-13*reach)
	most := min(mostArcs, d.x.opt.MaxCurves-d.x.curves-len(d.curves))
	curves, worst, err := geom.FitArcs(pinned, breaks, tol, most)
	switch {
	case errors.Is(err, geom.ErrFit):
		d.refuse("too-many-arcs", "needs more than %d arcs within %g mm", most, tol)
	case err != nil:
		d.refuse("broken-curve", "%v", err)
	default:
		d.curves = append(d.curves, curves...)
		d.error = max(d.error, worst)
	}
}
