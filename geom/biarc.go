package geom

import (
	"math"

	"github.com/golang/geo/r2"
)

// biarc is a span that was tried: two arcs from its start over joint to end, or
// one, whose joint is the end.
type biarc struct {
	end   node
	joint r2.Point
	one   bool // one arc only
	line  bool // a straight line from start to end instead
	miss       // of the whole span
	inner miss // of its middle half
}

// miss says how far arcs are from the curve.
type miss struct {
	error float64
	slant float64 // sine of the largest angle to the curve
}

func (m *miss) add(error, slant float64) {
	m.error, m.slant = max(m.error, error), max(m.slant, slant)
}

// arcs are the circles of a biarc: that from its start holds up to split.
type arcs struct {
	start, end node
	k0, k1     float64 // signed curvatures
	split      float64
}

// side returns the point, tangent and curvature of the arc that holds at t.
func (a *arcs) side(t float64) (p, tan r2.Point, k float64) {
	if t <= a.split {
		return a.start.p, a.start.tan, a.k0
	}
	return a.end.p, a.end.tan, a.k1
}

func (a *arcs) distance(t float64, p r2.Point) float64 {
	o, tan, k := a.side(t)
	return offset(tan, k, p.Sub(o))
}

// straight returns the line from start to end with the distance of the samples.
func (ft *fitter) straight(start, end node) biarc {
	b := biarc{end: end, line: true}
	dir := end.p.Sub(start.p)
	n2 := dir.Dot(dir)
	for i := range ft.at {
		v := ft.at[i].p.Sub(start.p)
		if n2 > 0 {
			v = v.Sub(dir.Mul(max(0, min(1, v.Dot(dir)/n2))))
		}
		b.error = max(b.error, v.Norm())
	}
	return b
}

// try builds the biarc from start to t, or to end. It reports false when there
// is none.
func (ft *fitter) try(piece int, start node, t float64, end node) (biarc, bool, error) {
	last := end.t
	if t < last {
		end = ft.between(t)
	}
	b := biarc{end: end}
	regular, err := ft.sample(piece, start, end)
	if err != nil {
		return b, false, err
	}
	if !regular || start.p == end.p {
		// A cusp, or a turn sharper than the tolerance, is passed straight.
		b := ft.straight(start, end)
		near := b.error <= ft.tol && end.p.Sub(start.p).Norm() <= 4*ft.tol
		return b, near, nil
	}
	if t < last {
		s := ft.slanted(end, last)
		b.end.tan = Unit(end.tan.Sub(Left(end.tan).Mul(s)))
		b.slant = math.Abs(s)
	}
	a := arcs{start: start, end: b.end}
	b.joint, a.split = ft.joint(start, b.end)
	v, w := b.joint.Sub(start.p), b.joint.Sub(end.p)
	a.k0, a.k1 = curvature(start.tan, v), curvature(b.end.tan, w)
	ft.measure(&b, &a)
	return b, start.tan.Dot(v) > 0 && b.end.tan.Dot(w) < 0, nil
}

// single builds the one arc from start to t and reports false when there is none.
func (ft *fitter) single(piece int, start node, t float64) (biarc, bool, error) {
	end := ft.between(t)
	b := biarc{end: end, joint: end.p, one: true}
	regular, err := ft.sample(piece, start, end)
	if err != nil || !regular || start.p == end.p {
		return b, false, err
	}
	// A chord halves the turn of its arc: as complex numbers the arc arrives in
	// direction u*u/tan.
	b.end.tan = turnBy(Unit(end.p.Sub(start.p)), start.tan)
	b.slant = math.Abs(Cross(b.end.tan, end.tan))
	a := arcs{start: start, end: b.end, split: t, k0: curvature(start.tan, end.p.Sub(start.p))}
	ft.measure(&b, &a)
	return b, b.end.tan.Dot(end.tan) > 0, nil
}

// slantAllowed is the largest angle between the curve and its arcs at a tolerance,
// radians: 0.07 at 0.001 mm, where the distance decides anyway, and 7e-7 at
// 1e-7 mm. The width of a passage is set by the directions of its walls, to first
// order, so a fine tolerance has to hold for these too.
func slantAllowed(tol float64) float64 { return 0.07 * math.Pow(tol/1e-3, 1.25) }

// measure finds the largest distance and slant between the arcs and the samples,
// and looks once more at the peaks between these.
func (ft *fitter) measure(b *biarc, a *arcs) {
	ft.off = ft.off[:0]
	low, high := len(ft.at)/4, len(ft.at)*3/4
	for i := range ft.at {
		s := &ft.at[i]
		o, tan, k := a.side(s.t)
		v := s.p.Sub(o)
		off := math.Abs(offset(tan, k, v))
		ft.off = append(ft.off, off)
		// The circle's direction beside s is as long as 1 and k times the distance.
		slant := math.Abs(Cross(tan.Add(Left(v).Mul(k)), s.d))
		if slant > 0 {
			slant /= s.d.Norm()
		}
		b.add(off, slant)
		if i >= low && i <= high {
			b.inner.add(off, slant)
		}
	}
	if b.error <= 2*ft.tol {
		b.error = ft.peaks(b.error, a)
	}
}

// peaks returns the largest distance, given that of the samples: each peak that
// may be it is refined by a parabola.
func (ft *fitter) peaks(worst float64, a *arcs) float64 {
	most := worst
	for i, e := range ft.off {
		if e < 0.7*worst {
			continue
		}
		ta, ea := a.start.t, 0.0
		if i > 0 {
			ta, ea = ft.at[i-1].t, ft.off[i-1]
		}
		tb, eb := a.end.t, 0.0
		if i < len(ft.off)-1 {
			tb, eb = ft.at[i+1].t, ft.off[i+1]
		}
		if e < ea || e < eb {
			continue
		}
		t := peak(ta, ft.at[i].t, tb, ea, e, eb)
		if t > ta && t < tb {
			p, _ := ft.f(t)
			most = max(most, math.Abs(a.distance(t, p)))
		}
	}
	return most
}

// excess returns the larger share that a span takes of what the tolerance allows,
// of distance or of slant, and by how much a span is longer that takes all of
// it. The ends' slants stay what they are, so that the middle decides on that;
// its distance grows with the fourth power at least, and its slant nearly so. The
// tangent of a span hardly longer than the tolerance may turn freely: a curve as
// bent as that would need arcs without end.
func (ft *fitter) excess(b *biarc, start node) (share, gain float64) {
	share, inner := b.error/ft.tol, b.inner.error/ft.tol
	if b.end.p.Sub(start.p).Norm() > 100*ft.tol {
		share, inner = max(share, b.slant/ft.slack), max(inner, b.inner.slant/ft.slack)
	}
	return share, 1 / math.Sqrt(math.Sqrt(inner))
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

// turnBy returns u*u*conj(t) as complex numbers.
func turnBy(u, t r2.Point) r2.Point {
	q := r2.Point{X: float64(u.X*u.X) - float64(u.Y*u.Y), Y: 2 * u.X * u.Y}
	return r2.Point{X: q.X*t.X + q.Y*t.Y, Y: q.Y*t.X - q.X*t.Y}
}

// joint returns the place where the two arcs of a biarc meet tangentially: on
// the circle of all such places, beside the place, whose parameter it returns,
// where the curve crosses that circle nearest to the middle.
func (ft *fitter) joint(start, end node) (r2.Point, float64) {
	// The arcs turn by as much as the tangents do, the circle of joints turns
	// from the chord at the start by half of that.
	chord := end.p.Sub(start.p)
	turn := turnBack(end.tan, start.tan)
	tan := turnBack(Unit(chord), Unit(turn.Add(r2.Point{X: 1})))
	k := curvature(tan, chord)
	n := len(ft.at)
	at, dist := -1, n
	prev := 0.0
	for i := range ft.at {
		v := ft.at[i].p.Sub(start.p)
		w := k*v.Dot(v) - 2*Cross(tan, v)
		if i > 0 && (w < 0) != (prev < 0) {
			if d := abs(2*i - n); d < dist {
				at, dist = i, d
			}
		}
		prev = w
	}
	s := ft.at[n/2] // for want of a crossing
	if at >= 0 {
		a, b := &ft.at[at-1], &ft.at[at]
		wa, wb := offset(tan, k, a.p.Sub(start.p)), offset(tan, k, b.p.Sub(start.p))
		s.t = b.t - wb*(b.t-a.t)/(wb-wa)
		s.p, _ = ft.f(s.t)
	}
	// Across onto the circle.
	v := s.p.Sub(start.p)
	w := offset(tan, k, v)
	normal := Unit(Left(tan).Sub(v.Mul(k)))
	return s.p.Add(normal.Mul(w)), s.t
}

// turnBack returns u*conj(v) as complex numbers.
func turnBack(u, v r2.Point) r2.Point {
	return r2.Point{X: u.X*v.X + u.Y*v.Y, Y: u.Y*v.X - u.X*v.Y}
}

func abs(n int) int { return max(n, -n) }

// peak returns the parameter where the parabola through three values is highest.
func peak(a, b, c, fa, fb, fc float64) float64 {
	u, v := (b-a)*(fb-fc), (b-c)*(fb-fa)
	if u == v {
		return b
	}
	return b - ((b-a)*u-(b-c)*v)/(2*(u-v))
}
