package dxf

import (
	"burrcast/geom"

	"github.com/golang/geo/r2"
)

// through draws a spline of which only the points it passes are known: the
// cubic with continuous curvature whose parameter is the chord length. An end
// with a tangent leaves in that direction, another one has no curvature; a
// closed spline is smooth all round.
func (d *draft) through(pts []r2.Point, tangents [2]r2.Point) {
	distinct := pts[:1:1]
	for _, p := range pts[1:] {
		if p != distinct[len(distinct)-1] {
			distinct = append(distinct, p)
		}
	}
	pts = distinct
	closed := d.e.flags&flagClosed != 0
	if closed {
		// The last point may repeat the first, rounded.
		if n := len(pts); n > 1 && pts[n-1].Sub(pts[0]).Norm() <= 1e-9*extent(pts) {
			pts = pts[:n-1]
		}
		pts = append(pts, pts[0])
	}
	if len(pts) < 2 {
		return
	}
	free := tangents == [2]r2.Point{}
	if off, ok := straight(pts); ok && free && off <= d.x.opt.CurveTolerance/10 {
		d.curves = append(d.curves, geom.Line(pts[0], pts[len(pts)-1]))
		d.error = off
		return
	}
	h := newHermite(pts)
	if closed && len(pts) > 3 {
		h.periodic()
	} else {
		h.open(tangents)
	}
	d.closed = closed
	// A cubic through points may leave their box, by far less than this.
	c := h.pieces()
	d.fit(c.at, c.t, pts[0], pts[len(pts)-1], 4*reach(pts))
}

// hermite is a piecewise cubic: points and derivatives at ascending parameters.
type hermite struct {
	t    []float64
	p, d []r2.Point
}

func newHermite(pts []r2.Point) *hermite {
	h := &hermite{p: pts, t: make([]float64, len(pts)), d: make([]r2.Point, len(pts))}
	for i := 1; i < len(pts); i++ {
		h.t[i] = h.t[i-1] + pts[i].Sub(pts[i-1]).Norm()
	}
	return h
}

// row returns the equation of continuous curvature at the inner point i:
// a d[i-1] + b d[i] + c d[i+1] = rhs, where prev and next are its neighbours.
func row(h0, h1 float64, prev, at, next r2.Point) (a, b, c float64, rhs r2.Point) {
	a, c = 1/h0, 1/h1
	b = 2 * (a + c)
	rhs = at.Sub(prev).Mul(3 / (h0 * h0)).Add(next.Sub(at).Mul(3 / (h1 * h1)))
	return a, b, c, rhs
}

// open solves for the derivatives of a curve with two ends (tridiagonal
// elimination; the matrix is diagonally dominant, so no pivoting is due).
func (h *hermite) open(tangents [2]r2.Point) {
	n := len(h.p)
	c := make([]float64, n)
	for i := range n {
		var lower, diag, upper float64
		var rhs r2.Point
		switch i {
		case 0:
			diag, upper, rhs = 2, 1, h.slope(1).Mul(3)
			if tangents[0] != (r2.Point{}) {
				diag, upper, rhs = 1, 0, tangents[0]
			}
		case n - 1:
			lower, diag, rhs = 1, 2, h.slope(n-1).Mul(3)
			if tangents[1] != (r2.Point{}) {
				lower, diag, rhs = 0, 1, tangents[1]
			}
		default:
			lower, diag, upper, rhs = row(h.t[i]-h.t[i-1], h.t[i+1]-h.t[i], h.p[i-1], h.p[i], h.p[i+1])
		}
		if i > 0 {
			diag -= lower * c[i-1]
			rhs = rhs.Sub(h.d[i-1].Mul(lower))
		}
		c[i] = upper / diag
		h.d[i] = rhs.Mul(1 / diag)
	}
	for i := n - 2; i >= 0; i-- {
		h.d[i] = h.d[i].Sub(h.d[i+1].Mul(c[i]))
	}
}

// slope is the slope of the chord that ends at point i.
func (h *hermite) slope(i int) r2.Point {
	return h.p[i].Sub(h.p[i-1]).Mul(1 / (h.t[i] - h.t[i-1]))
}

// periodic solves for the derivatives of a closed curve, whose last point is
// its first: a cyclic tridiagonal system by the Sherman-Morrison formula.
func (h *hermite) periodic() {
	n := len(h.p) - 1
	lower, diag, upper := make([]float64, n), make([]float64, n), make([]float64, n)
	rhs := make([]r2.Point, n)
	for i := range n {
		j := (i + n - 1) % n
		lower[i], diag[i], upper[i], rhs[i] = row(h.t[j+1]-h.t[j], h.t[i+1]-h.t[i], h.p[j], h.p[i], h.p[i+1])
	}
	alpha, beta := lower[0], upper[n-1]
	gamma := -diag[0]
	diag[0] -= gamma
	diag[n-1] -= alpha * beta / gamma
	u := make([]float64, n)
	u[0], u[n-1] = gamma, beta
	c := make([]float64, n)
	for i := range n {
		m := diag[i]
		if i > 0 {
			m -= lower[i] * c[i-1]
			rhs[i] = rhs[i].Sub(rhs[i-1].Mul(lower[i]))
			u[i] -= lower[i] * u[i-1]
		}
		c[i] = upper[i] / m
		rhs[i] = rhs[i].Mul(1 / m)
		u[i] /= m
	}
	for i := n - 2; i >= 0; i-- {
		rhs[i] = rhs[i].Sub(rhs[i+1].Mul(c[i]))
		u[i] -= c[i] * u[i+1]
	}
	f := rhs[0].Add(rhs[n-1].Mul(alpha / gamma)).Mul(1 / (1 + u[0] + alpha*u[n-1]/gamma))
	for i := range n {
		h.d[i] = rhs[i].Sub(f.Mul(u[i]))
	}
	h.d[n] = h.d[0]
}

// pieces returns the curve piece by piece.
func (h *hermite) pieces() *pieces {
	n := len(h.t) - 1
	c := &pieces{t: h.t, degree: 3, piece: make([]piece, 0, n), c: make([]homogeneous, 0, 4*n)}
	for i := range n {
		w := (h.t[i+1] - h.t[i]) / 3
		// Bézier points relative to the first one, then those of the second half.
		b1 := h.d[i].Mul(w)
		b3 := h.p[i+1].Sub(h.p[i])
		b2 := b3.Sub(h.d[i+1].Mul(w))
		half := func(p, q r2.Point) r2.Point { return p.Add(q).Mul(0.5) }
		m12, m23 := half(b1, b2), half(b2, b3)
		m012, m123 := half(half(r2.Point{}, b1), m12), half(m12, m23)
		var control [4]homogeneous
		for j, p := range [...]r2.Point{half(m012, m123), m123, m23, b3} {
			control[j] = homogeneous{x: p.X, y: p.Y}
		}
		c.add(h.p[i], control[:])
	}
	return c
}
