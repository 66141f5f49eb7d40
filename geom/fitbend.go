package geom

import (
	"math"

	"github.com/golang/geo/r2"
)

// How the curvature of a curve changes says how far arcs can follow it.
//
// Where it changes by 6c a length, the curve leaves an arc of length a that meets
// it at both ends by s(s-a)(cs-m), s from 0 to a. With m = ca/2 both halves of that
// are alike, and the next arc finds the same slant ca*a/2 at its start as this one
// at its own: the difference is ca^3 times the Bernoulli polynomial of degree 3, at
// most ca^3/(12 sqrt 3), the least that tangent arcs of that length can have
// (R. S. Johnson, "On monosplines of least deviation", Trans. Amer. Math. Soc. 96,
// 1960). Arcs that leave in the curve's own tangent are off by 4/27 ca^3.

// kink reports whether curvature jumps at an inner break by so much that no arc
// across it would be as long as one on either side: an arc that takes the mean
// over a length a, half of it on either side, is off by a*a/64 times the jump.
func (ft *fitter) kink(at int) bool {
	k0, c0, _, long0 := ft.bends(at, -1)
	k1, c1, _, long1 := ft.bends(at, +1)
	a := min(long0, long1, ft.farthest(c0), ft.farthest(c1))
	return math.Abs(k1-k0)*a*a > 64*ft.tol
}

// bends returns the curvature at a break on the given side, a sixth of its change a
// length there, the length a parameter, and the length of half the piece.
func (ft *fitter) bends(at, side int) (k, c, speed, half float64) {
	t := ft.breaks[at]
	w := (ft.breaks[at+side] - t) / 4
	p, d := ft.f(math.Nextafter(t, math.Inf(side)))
	q, e := ft.f(t + w)
	r, g := ft.f(t + 2*w)
	k0, l0 := bend(p, d, q, e)
	k1, l1 := bend(q, e, r, g)
	half = l0 + l1
	c = (k1 - k0) / half / 3
	return float64(side) * (k0 - 3*c*l0), c, half / (2 * math.Abs(w)), half
}

// farthest returns how long an arc can be if curvature changes by 6c a length.
func (ft *fitter) farthest(c float64) float64 {
	c = math.Abs(c)
	return min(math.Cbrt(12*math.Sqrt(3)*ft.tol/c), math.Sqrt(2*ft.slack/c))
}

// slanted returns the sine of the angle, clockwise from the curve's tangent, at
// which arcs should meet on the curve at the end of the span that was sampled. The
// run goes on up to the parameter last.
func (ft *fitter) slanted(end node, last float64) float64 {
	n := len(ft.at)
	p, q := &ft.at[n/2], &ft.at[(3*n+2)/4]
	ahead := min(2*(end.t-q.t), last-end.t)
	var r, s sample
	r.p, r.d = ft.f(end.t + ahead/2)
	s.p, s.d = ft.f(end.t + ahead)
	k0, l0 := bend(p.p, p.d, q.p, q.d)
	k1, l1 := bend(q.p, q.d, end.p, end.tan)
	k2, l2 := bend(end.p, end.tan, r.p, r.d)
	k3, l3 := bend(r.p, r.d, s.p, s.d)
	// Too much is worse than too little: the least change before, at and behind
	// the end.
	c := (k2 - k1) / (l1 + l2)
	for _, other := range [...]float64{(k1 - k0) / (l0 + l1), (k3 - k2) / (l2 + l3)} {
		if c*other < 0 {
			return 0
		}
		if math.Abs(other) < math.Abs(c) {
			c = other
		}
	}
	c /= 3
	if c-c != 0 || c == 0 {
		return 0
	}
	// The arcs are as long as the tolerance lets them be, and hardly longer than
	// this span's.
	a := min(ft.farthest(c), 1.5*(l0+l1))
	return modest * c * a * a / 2
}

// modest is the share of the best slant that is taken. An eighth too little costs a
// thirtieth of the next arc's length; with too much no arc much shorter is any
// nearer to the curve.
const modest = 0.88

// bend returns the curvature of the arc that turns from direction u at p to v at
// q, and the chord's length.
func bend(p, u, q, v r2.Point) (k, length float64) {
	// The sine of half the turn is half the curvature times the chord.
	length = q.Sub(p).Norm()
	n := math.Sqrt(u.Dot(u) * v.Dot(v))
	return Cross(u, v) / (math.Sqrt((n+u.Dot(v))/2*n) * length), length
}
