package width

import (
	"math"

	"burrcast/geom"

	"github.com/golang/geo/r2"
)

// touching is a disc that touches element b at the fraction u.
type touching struct {
	u, r float64
	c    r2.Point // centre
}

// meet returns the disc that touches element b between the fractions lo and hi
// and the elements a and c as well, a before and c after it: along b the radius
// against a is the smaller one up to that place and the one against c beyond.
// Instead of c, noFoot stands for a disc of the radius at which discs count as
// unbounded.
//
// With the centre on b's normal both radii are closed formulas of the place, and
// so is the place where they are equal. On a line at s mm from its start,
//
//	r = q0 + q1 s + q2 s^2
//
// against lines, points and circles alike, and the places are the roots of a
// quadratic. On an arc or in a vertex's fan let the centre lie at the distance
// rho from that of the arc, or from the vertex, in the direction e: then
//
//	1/rho = alpha + e.w
//
// and the direction follows from e.(w1-w2) = alpha2-alpha1.
func (f *Field) meet(b, a, c int32, lo, hi float64) (touching, bool) {
	e := &f.elems[b]
	if e.kind == lineElem {
		return f.meetOnLine(e, b, a, c)
	}
	return f.meetRound(e, b, a, c)
}

func (f *Field) meetOnLine(e *element, b, a, c int32) (touching, bool) {
	p, ok := f.onLine(e, b, a)
	q, ok2 := f.onLine(e, b, c)
	if !ok || !ok2 {
		return touching{}, false
	}
	g0, g1, g2 := p[0]-q[0], p[1]-q[1], p[2]-q[2]
	// The root at which g grows.
	d := g1*g1 - 4*g2*g0
	if d < 0 {
		if d < -1e-12*g1*g1 {
			return touching{}, false
		}
		d = 0
	}
	root := math.Sqrt(d)
	var s float64
	switch {
	case g1 > 0:
		s = -2 * g0 / (g1 + root)
	case g2 != 0:
		s = (root - g1) / (2 * g2)
	default:
		return touching{}, false
	}
	r := p[0] + s*(p[1]+s*p[2])
	at := e.p.Add(e.dir.Mul(s))
	return touching{s / e.length, r, at.Add(e.nrm.Mul(r))}, r >= 0
}

// onLine returns the coefficients of the radius against element j along line e.
func (f *Field) onLine(e *element, b, j int32) ([3]float64, bool) {
	if j == noFoot {
		return [3]float64{f.far, 0, 0}, true
	}
	o := &f.elems[j]
	switch o.kind {
	case lineElem:
		// Round a shared corner the height vanishes with the distance from it.
		if e.prev == j && e.turnPrev > 0 {
			return [3]float64{0, 1 / math.Tan(e.turnPrev/2), 0}, true
		}
		if e.next == j && e.turnNext > 0 {
			k := 1 / math.Tan(e.turnNext/2)
			return [3]float64{k * e.length, -k, 0}, true
		}
		k := lessDot(e.nrm, o.nrm)
		if k <= 0 {
			return [3]float64{}, false
		}
		return [3]float64{o.nrm.Dot(e.p.Sub(o.p)) / k, o.nrm.Dot(e.dir) / k, 0}, true
	case vertex:
		w := o.p.Sub(e.p)
		k := 2 * e.nrm.Dot(w)
		if k <= 0 {
			return [3]float64{}, false
		}
		return [3]float64{w.Dot(w) / k, -2 * e.dir.Dot(w) / k, 1 / k}, true
	}
	d := e.p.Sub(o.c.Center)
	R := o.c.Radius
	k := 2 * (R - e.nrm.Dot(d))
	if o.kind == concave {
		k = -2 * (R + e.nrm.Dot(d))
	}
	if k == 0 {
		return [3]float64{}, false
	}
	return [3]float64{(d.Dot(d) - R*R) / k, 2 * e.dir.Dot(d) / k, 1 / k}, true
}

// lessDot is 1 - n.m of two unit vectors without loss where they are close.
func lessDot(n, m r2.Point) float64 {
	dot := n.Dot(m)
	if dot < 0.9 {
		return 1 - dot
	}
	x := geom.Cross(n, m)
	return x * x / (1 + dot)
}

func (f *Field) meetRound(e *element, b, a, c int32) (touching, bool) {
	z, R, sign := e.site()
	alpha, w, ok := f.onRound(z, R, sign, a)
	beta, v, ok2 := f.onRound(z, R, sign, c)
	if !ok || !ok2 {
		return touching{}, false
	}
	W := w.Sub(v)
	A := beta - alpha
	l := W.Dot(W)
	d := l - A*A
	if l == 0 || d < -1e-12*l {
		return touching{}, false
	}
	root := math.Sqrt(max(0, d))
	// Fans and convex arcs are travelled clockwise; concave arcs the other way,
	// but there the radius falls with rho.
	dir := r2.Point{X: (A*W.X + root*W.Y) / l, Y: (A*W.Y - root*W.X) / l}
	k := alpha + dir.Dot(w)
	if k <= 0 {
		return touching{}, false
	}
	rho := 1 / k
	r := sign * (rho - R)
	return touching{e.turned(dir), r, z.Add(dir.Mul(rho))}, r >= 0
}

// site returns a point, a radius and a sign such that a disc of radius r touches
// the element when its centre is sign*r + radius away from the point.
func (e *element) site() (z r2.Point, R, sign float64) {
	switch e.kind {
	case vertex:
		return e.p, 0, 1
	case concave:
		return e.c.Center, e.c.Radius, -1
	}
	return e.c.Center, e.c.Radius, 1
}

// turned returns the fraction at which a vertex or arc is touched by discs whose
// centres lie in the direction d.
func (e *element) turned(d r2.Point) float64 {
	if e.kind == vertex {
		return e.fanFraction(d)
	}
	return fraction(&e.c, d)
}

// onRound returns alpha and w of the radius against element j round the site z,
// R, sign.
func (f *Field) onRound(z r2.Point, R, sign float64, j int32) (alpha float64, w r2.Point, ok bool) {
	if j == noFoot {
		rho := R + sign*f.far
		return 1 / rho, r2.Point{}, rho > 0
	}
	o := &f.elems[j]
	if o.kind == lineElem {
		h := o.nrm.Dot(z.Sub(o.p)) + sign*R
		if h == 0 {
			return 0, r2.Point{}, false
		}
		return sign / h, o.nrm.Mul(-1 / h), true
	}
	q, Q, s := o.site()
	s *= sign
	d := z.Sub(q)
	t := Q - s*R
	k := t*t - d.Dot(d)
	if k == 0 {
		return 0, r2.Point{}, false
	}
	return -2 * s * t / k, d.Mul(2 / k), true
}
