package dxf

import (
	"math"

	"burrcast/geom"

	"github.com/golang/geo/r2"
)

// largestDegree bounds the degree of a spline; evaluation takes its square.
const largestDegree = 15

// Bits of group code 70 of a SPLINE.
const (
	splineClosed   = 1
	splinePeriodic = 2
)

// splineGroups gathers the repeated numbers of a SPLINE.
type splineGroups struct {
	knots, weights []float64
	control, fit   points
	tangent        [2][3]float64 // at the start and at the end
	hasTangent     [2]bool
}

func (s *splineGroups) reset() {
	s.knots, s.weights = s.knots[:0], s.weights[:0]
	s.control.reset()
	s.fit.reset()
	s.tangent, s.hasTangent = [2][3]float64{}, [2]bool{}
}

// points gathers points whose coordinates come one by one, x first or y first.
type points struct {
	v       []float64 // x y z of each; an absent x or y is NaN
	swapped bool
}

func (p *points) reset() { p.v, p.swapped = p.v[:0], false }

// add takes coordinate 0 (x), 1 (y) or 2 (z) and reports whether y came before
// x for the first time.
func (p *points) add(axis int, v float64) bool {
	told := false
	if len(p.v) == 0 && axis == 1 {
		p.swapped, told = true, true
	}
	opens := 0
	if p.swapped {
		opens = 1
	}
	if axis == opens {
		p.v = append(p.v, nan, nan, 0)
	}
	if len(p.v) > 0 {
		p.v[len(p.v)-3+axis] = v
	}
	return told
}

func (p *points) complete() bool {
	for i := 0; i < len(p.v); i += 3 {
		if p.v[i] != p.v[i] || p.v[i+1] != p.v[i+1] {
			return false
		}
	}
	return true
}

// splineGroup reads a number of a SPLINE.
func (p *parser) splineGroup(e *entity, c int) {
	s := &p.sp
	switch c {
	case 40, 41, 10, 20, 30, 11, 21, 31, 12, 22, 32, 13, 23, 33:
	default:
		return
	}
	v, ok := p.coordinate(e)
	if !ok {
		return
	}
	swapped := false
	switch {
	case c == 40:
		s.knots = append(s.knots, v)
	case c == 41:
		s.weights = append(s.weights, v)
	case c%10 == 0:
		swapped = s.control.add(c/10-1, v)
	case c%10 == 1:
		swapped = s.fit.add(c/10-1, v)
	default:
		end := c%10 - 2
		s.tangent[end][c/10-1], s.hasTangent[end] = v, true
	}
	if swapped {
		p.noteEntity(e, "swapped-xy", p.s.line, false, "y stands before x")
	}
}

// finishSpline checks a spline. Laid out as: degree, number of knots, of
// weights, of control points, of fit points, 1 if it has a start tangent, 1 if
// an end tangent; then knots, weights, control points, fit points, both tangents.
func (p *parser) finishSpline(e *entity) {
	if e.flags&flagRejected != 0 {
		return
	}
	s := &p.sp
	if p.g.int(70, 0)&(splineClosed|splinePeriodic) != 0 {
		e.flags |= flagClosed
	}
	n, fits := len(s.control.v)/3, len(s.fit.v)/3
	degree := p.g.int(71, 3)
	bad := func(format string, args ...any) {
		p.noteEntity(e, "bad-spline", e.line, true, format, args...)
	}
	switch {
	case !s.control.complete() || !s.fit.complete():
		p.noteEntity(e, "missing-number", e.line, true, "a point lacks a coordinate")
		return
	case n == 0 && fits < 2:
		bad("neither control points nor fit points")
		return
	case n == 0:
		p.noteEntity(e, "fit-points-only", e.line, false, "no control points: a smooth cubic through %d fit points", fits)
	case degree < 1 || degree > largestDegree:
		bad("degree %d", degree)
		return
	case n <= degree:
		bad("%d control points for degree %d", n, degree)
		return
	case len(s.knots) != n+degree+1:
		bad("%d knots, %d control points of degree %d need %d", len(s.knots), n, degree, n+degree+1)
		return
	case len(s.weights) != 0 && len(s.weights) != n:
		bad("%d weights for %d control points", len(s.weights), n)
		return
	}
	if n > 0 {
		if why := badKnots(s.knots, degree); why != "" {
			bad("%s", why)
			return
		}
		for _, w := range s.weights {
			if w <= 0 {
				bad("weight %g", w)
				return
			}
		}
	}
	has := func(b bool) float64 {
		if b {
			return 1
		}
		return 0
	}
	e.off = len(p.nums)
	p.nums = append(p.nums, float64(degree), float64(len(s.knots)), float64(len(s.weights)),
		float64(n), float64(fits), has(s.hasTangent[0]), has(s.hasTangent[1]))
	p.nums = append(p.nums, s.knots...)
	p.nums = append(p.nums, s.weights...)
	p.nums = append(p.nums, s.control.v...)
	p.nums = append(p.nums, s.fit.v...)
	p.nums = append(p.nums, s.tangent[0][:]...)
	p.nums = append(p.nums, s.tangent[1][:]...)
	e.n = len(p.nums) - e.off
}

// badKnots says what is wrong with a knot vector, or "".
func badKnots(k []float64, degree int) string {
	same := 1
	first, last := degree, len(k)-degree-1
	for i := 1; i < len(k); i++ {
		switch {
		case k[i] < k[i-1]:
			return "knots that fall"
		case k[i] > k[i-1]:
			same = 1
			continue
		}
		same++
		if same > degree && i-degree >= first && i < last {
			return "a curve in two pieces"
		}
	}
	if !(k[first] < k[last]) {
		return "an empty domain"
	}
	return ""
}

// spline draws a SPLINE.
func (d *draft) spline(f *frame) {
	n := d.nums
	degree, knots, weights, control, fits := int(n[0]), int(n[1]), int(n[2]), int(n[3]), int(n[4])
	v := n[7:]
	take := func(k int) []float64 {
		out := v[:k]
		v = v[k:]
		return out
	}
	k, w := take(knots), take(weights)
	cv, fv := take(3*control), take(3*fits)
	if control == 0 {
		pts, ok := d.flatPoints(f, fv)
		if !ok {
			return
		}
		var tangents [2]r2.Point
		for i := range tangents {
			t := take(3)
			if n[5+i] != 0 {
				tangents[i] = geom.Unit(point2(f.vector(vec{t[0], t[1], t[2]})))
			}
		}
		d.through(pts, tangents)
		return
	}
	pts, ok := d.flatPoints(f, cv)
	if !ok {
		return
	}
	s := nurbs{degree: degree, knots: k, weights: w, control: pts}
	d.smooth(&s)
}

// flatPoints returns the images of points in space, all at one height.
func (d *draft) flatPoints(f *frame, v []float64) ([]r2.Point, bool) {
	out := make([]r2.Point, 0, len(v)/3)
	first := f.point(vec{v[0], v[1], v[2]})
	low, high := first, first
	for i := 0; i < len(v); i += 3 {
		p := f.point(vec{v[i], v[i+1], v[i+2]})
		out = append(out, point2(p))
		for j := range p {
			low[j], high[j] = min(low[j], p[j]), max(high[j], p[j])
		}
	}
	if !level(low, high) {
		d.notFlat()
		return nil, false
	}
	return out, true
}

// smooth draws a spline.
func (d *draft) smooth(s *nurbs) {
	hull := s.control
	c, p, q := s.pieces()
	closed := d.e.flags&flagClosed != 0
	if closed && p != q {
		// The ends of a closed spline differ by rounding at most.
		if size := extent(hull); q.Sub(p).Norm() <= 1e-9*size {
			q = p
		} else {
			d.x.mend(d.e, "open-spline", "said to be closed, but its ends lie %.3g mm apart: read as open", q.Sub(p).Norm())
			closed = false
		}
	}
	d.closed = closed
	if s.degree == 1 {
		// It runs from point to point, weighted or not.
		last := p
		for i, next := range hull[1:] {
			if i == len(hull)-2 {
				next = q
			}
			if next != last {
				d.curves = append(d.curves, geom.Line(last, next))
				last = next
			}
		}
		return
	}
	if off, ok := straight(hull); ok && off <= d.x.opt.CurveTolerance/10 {
		if p != q {
			d.curves = append(d.curves, geom.Line(p, q))
			d.error = off
		}
		return
	}
	d.fit(c.at, c.t, p, q, reach(hull))
}

// reach is the largest coordinate of points.
func reach(pts []r2.Point) float64 {
	most := 0.0
	for _, p := range pts {
		most = max(most, math.Abs(p.X), math.Abs(p.Y))
	}
	return most
}

// extent is the longer side of the box round points.
func extent(pts []r2.Point) float64 {
	s := r2.RectFromPoints(pts...).Size()
	return max(s.X, s.Y)
}

// straight reports whether points advance along one line, and how far the
// farthest lies from it.
func straight(pts []r2.Point) (float64, bool) {
	first, last := pts[0], pts[len(pts)-1]
	dir := geom.Unit(last.Sub(first))
	if dir.X == 0 && dir.Y == 0 {
		return 0, false
	}
	reach, off := 0.0, 0.0
	for _, p := range pts {
		v := p.Sub(first)
		s := v.Dot(dir)
		if s < reach {
			return 0, false
		}
		reach = s
		off = max(off, math.Abs(geom.Cross(dir, v)))
	}
	return off, off <= 1e-9*reach
}
