package dxf

import (
	"sort"

	"github.com/golang/geo/r2"
)

// pieces is a curve of polynomial pieces, or of rational ones, that follow each
// other at ascending parameters t. Piece i, from t[i] to t[i+1], is in powers of
// u = (t-mid)/half about its middle, -1 to 1: there a power sum of degree n
// loses at most n bits, and with an origin at hand none to the place of the piece.
type pieces struct {
	t      []float64
	degree int
	piece  []piece
	c      []homogeneous // degree+1 for each piece, from the constant up
	ratio  bool          // rational
	last   int           // the piece of the last evaluation
}

type piece struct {
	origin    r2.Point
	mid, half float64
}

// homogeneous is a point times its weight, and the weight.
type homogeneous struct{ x, y, w float64 }

func (a homogeneous) mix(b homogeneous, s float64) homogeneous {
	r := 1 - s
	return homogeneous{x: r*a.x + s*b.x, y: r*a.y + s*b.y, w: r*a.w + s*b.w}
}

// at returns the point and the derivative at t; outside the domain the first or
// the last piece goes on.
func (s *pieces) at(t float64) (p, d r2.Point) {
	i := s.last
	if !(s.t[i] <= t && t < s.t[i+1]) {
		i = sort.Search(len(s.piece)-1, func(j int) bool { return s.t[j+1] > t })
		s.last = i
	}
	k := &s.piece[i]
	u := (t - k.mid) / k.half
	c := s.c[i*(s.degree+1):][:s.degree+1]
	// Horner's rule, for the derivative, too.
	n := s.degree
	v := c[n]
	var e homogeneous
	if !s.ratio {
		for j := n - 1; j >= 0; j-- {
			e.x, e.y = e.x*u+v.x, e.y*u+v.y
			v.x, v.y = v.x*u+c[j].x, v.y*u+c[j].y
		}
		p = r2.Point{X: k.origin.X + v.x, Y: k.origin.Y + v.y}
		return p, r2.Point{X: e.x / k.half, Y: e.y / k.half}
	}
	for j := n - 1; j >= 0; j-- {
		e.x, e.y, e.w = e.x*u+v.x, e.y*u+v.y, e.w*u+v.w
		v.x, v.y, v.w = v.x*u+c[j].x, v.y*u+c[j].y, v.w*u+c[j].w
	}
	x, y := v.x/v.w, v.y/v.w
	f := 1 / (v.w * k.half)
	p = r2.Point{X: k.origin.X + x, Y: k.origin.Y + y}
	return p, r2.Point{X: (e.x - e.w*x) * f, Y: (e.y - e.w*y) * f}
}

// add appends a piece up to t[i+1], given as a Bézier curve over its second
// half: control points from the middle to the end, relative to origin, which it
// changes.
func (s *pieces) add(origin r2.Point, control []homogeneous) {
	i := len(s.piece)
	a, b := s.t[i], s.t[i+1]
	s.piece = append(s.piece, piece{origin: origin, mid: a + (b-a)/2, half: (b - a) / 2})
	// The j-th coefficient is the j-th difference times n over j.
	n, binomial := s.degree, 1.0
	for j := 0; j <= n; j++ {
		d := control[j]
		s.c = append(s.c, homogeneous{x: d.x * binomial, y: d.y * binomial, w: d.w * binomial})
		for k := n; k > j; k-- {
			a, b := control[k-1], control[k]
			control[k] = homogeneous{x: b.x - a.x, y: b.y - a.y, w: b.w - a.w}
		}
		binomial *= float64(n-j) / float64(j+1)
	}
}
