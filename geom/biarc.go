package geom

import (
	"math"

	"github.com/golang/geo/r2"
)

// biarc is a span that was tried: two arcs from its start over joint to end.
type biarc struct {
	end   node
	joint r2.Point
	line  bool // a straight line from start to end instead
	error float64
	slant float64 // sine of the largest angle to the curve
	tan0  r2.Point
	k0    float64 // signed curvature of the first arc
	k1    float64 // and of the second
}

// straight returns the line from start to end with the distance of the samples.
func (ft *fitter) straight(start, end node) biarc {
	b := biarc{end: end, line: true}
	dir := end.p.Sub(start.p)
	n2 := dir.Dot(dir)
	for _, p := range ft.p {
		v := p.Sub(start.p)
		if n2 > 0 {
			v = v.Sub(dir.Mul(max(0, min(1, v.Dot(dir)/n2))))
		}
		b.error = max(b.error, v.Norm())
	}
	return b
}

// try builds the biarc from start to end. It reports false when there is none.
func (ft *fitter) try(piece int, start, end node) (biarc, bool, error) {
	regular, err := ft.sample(piece, start, end)
	if err != nil {
		return biarc{}, false, err
	}
	if !regular || start.p == end.p {
		// A cusp, or a turn sharper than the tolerance, is passed straight.
		b := ft.straight(start, end)
		near := b.error <= ft.tol && end.p.Sub(start.p).Norm() <= 4*ft.tol
		return b, near, nil
	}
	j, ok := ft.joint(start, end)
	if !ok {
		return biarc{}, false, nil
	}
	b := biarc{end: end, tan0: start.tan}
	var split float64
	b.joint, split = j.p, j.t
	b.k0 = curvature(start.tan, b.joint.Sub(start.p))
	b.k1 = curvature(end.tan, b.joint.Sub(end.p))
	b.error = ft.deviation(start, end, b, split)
	b.slant = ft.slant(start, end, split)
	return b, true, nil
}

// slantAllowed is the largest angle between the curve and its arcs at a tolerance,
// radians: 0.07 at 0.001 mm, where the distance decides anyway, and 7e-7 at
// 1e-7 mm. The width of a passage is set by the directions of its walls, to first
// order, so a fine tolerance has to hold for these too.
func slantAllowed(tol float64) float64 { return 0.07 * math.Pow(tol/1e-3, 1.25) }

// slant returns the largest sine of the angle between the curve and the biarc at
// the samples.
func (ft *fitter) slant(start, end node, split float64) float64 {
	worst := 0.0
	for i, p := range ft.p {
		n := ft.d[i].Norm()
		if n == 0 {
			continue
		}
		from := start
		if ft.t[i] > split {
			from = end
		}
		tan := turnBy(Unit(p.Sub(from.p)), from.tan)
		worst = max(worst, math.Abs(Cross(tan, ft.d[i]))/n)
	}
	return worst
}

// excess is the larger share of what the tolerance allows: of distance, to the
// third power of the span, and of slant, to its second. The tangent of a span
// hardly longer than the tolerance may turn freely: a curve as bent as that would
// need arcs without end.
func (ft *fitter) excess(b biarc, chord float64) (share, power float64) {
	share, power = b.error/ft.tol, 3
	if s := b.slant / slantAllowed(ft.tol); s > share && chord > 100*ft.tol {
		share, power = s, 2
	}
	return share, power
}

// curvature returns that of the circle that touches tan at a point and passes
// through the point farther by d.
func curvature(tan, d r2.Point) float64 { return 2 * Cross(tan, d) / d.Dot(d) }

// offset returns the signed distance, to the right positive, of the place
// farther by v than a point of a circle with unit tangent tan and signed
// curvature k there. No centre is formed, so a small k costs no digits.
func offset(tan r2.Point, k float64, v r2.Point) float64 {
	w := k*v.Dot(v) - 2*Cross(tan, v)
	return w / (1 + math.Sqrt(max(0, 1+k*w)))
}

// mismatch is the sine of the turn at p from the arc that leaves p for end to
// the arc that arrives at p from start.
func mismatch(start, end node, p r2.Point) float64 {
	u, w := Unit(p.Sub(start.p)), Unit(end.p.Sub(p))
	// A chord halves the turn of its arc: as complex numbers the first arc
	// arrives in direction u*u/tan0, the second one leaves in w*w/tan1.
	a, b := turnBy(u, start.tan), turnBy(w, end.tan)
	return Cross(b, a)
}

// turnBy returns u*u*conj(t) as complex numbers.
func turnBy(u, t r2.Point) r2.Point {
	q := r2.Point{X: float64(u.X*u.X) - float64(u.Y*u.Y), Y: 2 * u.X * u.Y}
	return r2.Point{X: q.X*t.X + q.Y*t.Y, Y: q.Y*t.X - q.X*t.Y}
}

// joint finds the place on the curve where the two arcs of a biarc meet
// tangentially: a change of sign of mismatch, the one nearest to the middle.
func (ft *fitter) joint(start, end node) (node, bool) {
	n := len(ft.t)
	prev := 0.0
	bestAt, bestDist := -1, n
	calm, calmAt := math.Inf(1), -1
	for i, p := range ft.p {
		m := mismatch(start, end, p)
		if i > 0 && (m < 0) != (prev < 0) {
			if d := abs(2*i - n); d < bestDist {
				bestAt, bestDist = i, d
			}
		}
		if d := math.Abs(m); d < calm && i >= n/4 && i <= 3*n/4 {
			calm, calmAt = d, i
		}
		prev = m
	}
	const exact = 1e-13
	if calm <= exact {
		return node{t: ft.t[calmAt], p: ft.p[calmAt]}, true
	}
	if bestAt < 0 {
		return node{}, false
	}
	return ft.root(start, end, bestAt), true
}

func abs(n int) int { return max(n, -n) }

// root refines the joint between two samples by the Illinois method (M. Dowell,
// P. Jarratt, BIT 11, 1971), which keeps the root between its bounds.
func (ft *fitter) root(start, end node, i int) node {
	a, b := ft.t[i-1], ft.t[i]
	pa, pb := ft.p[i-1], ft.p[i]
	ma, mb := mismatch(start, end, pa), mismatch(start, end, pb)
	best, bestM := node{t: a, p: pa}, math.Abs(ma)
	if m := math.Abs(mb); m < bestM {
		best, bestM = node{t: b, p: pb}, m
	}
	for range 40 {
		if bestM <= 1e-15 || ma == mb {
			break
		}
		t := b - mb*(b-a)/(mb-ma)
		if !(t > min(a, b) && t < max(a, b)) {
			break
		}
		p, _ := ft.f(t)
		m := mismatch(start, end, p)
		if d := math.Abs(m); d < bestM {
			best, bestM = node{t: t, p: p}, d
		}
		if (m < 0) != (mb < 0) {
			a, ma = b, mb
		} else {
			ma /= 2
		}
		b, mb = t, m
	}
	return best
}

// deviation returns the largest distance between the samples and the biarc,
// each peak refined by a parabola.
func (ft *fitter) deviation(start, end node, b biarc, split float64) float64 {
	dist := func(t float64, p r2.Point) float64 {
		if t <= split {
			return offset(start.tan, b.k0, p.Sub(start.p))
		}
		return offset(end.tan, b.k1, p.Sub(end.p))
	}
	worst := 0.0
	at := -1
	e := make([]float64, 0, 64)
	for i, p := range ft.p {
		d := math.Abs(dist(ft.t[i], p))
		e = append(e, d)
		if d > worst {
			worst, at = d, i
		}
	}
	if worst > 2*ft.tol || at < 0 {
		return worst
	}
	for i := range e {
		// Peaks that may exceed the largest sample.
		if e[i] < 0.7*worst {
			continue
		}
		ta, ea := start.t, 0.0
		if i > 0 {
			ta, ea = ft.t[i-1], e[i-1]
		}
		tb, eb := end.t, 0.0
		if i < len(e)-1 {
			tb, eb = ft.t[i+1], e[i+1]
		}
		if e[i] < ea || e[i] < eb {
			continue
		}
		t := peak(ta, ft.t[i], tb, ea, e[i], eb)
		if t > ta && t < tb {
			p, _ := ft.f(t)
			worst = max(worst, math.Abs(dist(t, p)))
		}
	}
	return worst
}

// peak returns the parameter where the parabola through three values is highest.
func peak(a, b, c, fa, fb, fc float64) float64 {
	u, v := (b-a)*(fb-fc), (b-c)*(fb-fa)
	if u == v {
		return b
	}
	return b - ((b-a)*u-(b-c)*v)/(2*(u-v))
}
