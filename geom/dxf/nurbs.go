package dxf

import (
	"github.com/golang/geo/r2"
)

// nurbs is a rational B-spline curve in the plane. Its domain runs from
// knots[degree] to knots[len(control)].
type nurbs struct {
	degree  int
	knots   []float64
	weights []float64 // nil or empty: all 1
	control []r2.Point
}

// breaks returns the distinct knots of the domain.
func (s *nurbs) breaks() []float64 {
	k := s.knots[s.degree : len(s.control)+1]
	closest := 1e-12 * (k[len(k)-1] - k[0])
	out := make([]float64, 1, len(k))
	out[0] = k[0]
	for _, t := range k[1:] {
		if t-out[len(out)-1] > closest {
			out = append(out, t)
		}
	}
	out[len(out)-1] = k[len(k)-1]
	return out
}

// blossom evaluates the polar form of the piece over knots[span] to
// knots[span+1]: the polynomial in as many parameters as its degree, u of them
// equal to a and the rest equal to b, that is linear in each and gives the curve
// where all are equal (L. Ramshaw, "Blossoms are polar forms", Comput. Aided
// Geom. Design 6, 1989). It is de Boor's algorithm with a parameter a step. Work
// has degree+1 places.
func (s *nurbs) blossom(span, u int, a, b float64, origin r2.Point, work []homogeneous) homogeneous {
	n, k := s.degree, s.knots
	for j := range work {
		i := span - n + j
		c, w := s.control[i], 1.0
		if len(s.weights) > 0 {
			w = s.weights[i]
		}
		work[j] = homogeneous{x: (c.X - origin.X) * w, y: (c.Y - origin.Y) * w, w: w}
	}
	for r := 1; r <= n; r++ {
		t := a
		if r > u {
			t = b
		}
		for j := n; j >= r; j-- {
			i := span - n + j
			work[j] = work[j-1].mix(work[j], (t-k[i])/(k[i+n-r+1]-k[i]))
		}
	}
	return work[n]
}

// point returns the place at an end of the piece over knots[span] to knots[span+1].
func (s *nurbs) point(span int, t float64) r2.Point {
	h := s.blossom(span, 0, t, t, r2.Point{}, make([]homogeneous, s.degree+1))
	return r2.Point{X: h.x / h.w, Y: h.y / h.w}
}

// pieces returns the curve piece by piece, and its ends.
func (s *nurbs) pieces() (c *pieces, p, q r2.Point) {
	n, k := s.degree, s.knots
	c = &pieces{t: s.breaks(), degree: n, ratio: len(s.weights) > 0}
	c.piece = make([]piece, 0, len(c.t)-1)
	c.c = make([]homogeneous, 0, (len(c.t)-1)*(n+1))
	work, control := make([]homogeneous, n+1), make([]homogeneous, n+1)
	span := n
	for i, a := range c.t[:len(c.t)-1] {
		b := c.t[i+1]
		// The knot interval that holds the middle.
		mid := a + (b-a)/2
		for k[span+1] <= mid && span < len(s.control)-1 {
			span++
		}
		if i == 0 {
			p = s.point(span, a)
		}
		origin := s.control[span-n/2]
		for j := range control {
			control[j] = s.blossom(span, n-j, mid, b, origin, work)
		}
		c.add(origin, control)
	}
	return c, p, s.point(span, c.t[len(c.t)-1])
}
