package dxf

import (
	"sort"

	"github.com/golang/geo/r2"
)

// nurbs is a rational B-spline curve in the plane. Its domain runs from
// knots[degree] to knots[len(control)].
type nurbs struct {
	degree  int
	knots   []float64
	weights []float64 // nil or empty: all 1
	control []r2.Point

	span int          // the knot interval of the last evaluation
	work [][3]float64 // homogeneous points
}

// breaks returns the distinct knots of the domain.
func (s *nurbs) breaks() []float64 {
	k := s.knots[s.degree : len(s.control)+1]
	closest := 1e-12 * (k[len(k)-1] - k[0])
	out := []float64{k[0]}
	for _, t := range k[1:] {
		if t-out[len(out)-1] > closest {
			out = append(out, t)
		}
	}
	out[len(out)-1] = k[len(k)-1]
	return out
}

// find sets span so that knots[span] <= t < knots[span+1], within the domain.
func (s *nurbs) find(t float64) {
	k, low, high := s.knots, s.degree, len(s.control)
	if i := s.span; i >= low && i < high && k[i] <= t && t < k[i+1] {
		return
	}
	switch {
	case t >= k[high]:
		// The last interval that is not empty.
		i := high - 1
		for i > low && k[i] == k[high] {
			i--
		}
		s.span = i
	case t < k[low]:
		i := low
		for i < high-1 && k[i+1] == k[low] {
			i++
		}
		s.span = i
	default:
		s.span = low + sort.Search(high-low, func(j int) bool { return k[low+j] > t }) - 1
	}
}

// at returns the point and the derivative at t, by de Boor's algorithm on
// homogeneous points (C. de Boor, "On calculating with B-splines", 1972). The
// last two points before the final step give the derivative.
func (s *nurbs) at(t float64) (p, d r2.Point) {
	s.find(t)
	n, k := s.degree, s.knots
	if s.work == nil {
		s.work = make([][3]float64, n+1)
	}
	q := s.work
	for j := range q {
		i := s.span - n + j
		c, w := s.control[i], 1.0
		if len(s.weights) > 0 {
			w = s.weights[i]
		}
		q[j] = [3]float64{c.X * w, c.Y * w, w}
	}
	var der [3]float64
	for r := 1; r <= n; r++ {
		for j := n; j >= r; j-- {
			i := s.span - n + j
			wide := k[i+n-r+1] - k[i]
			a := (t - k[i]) / wide
			if r == n {
				for c := range der {
					der[c] = float64(n) / wide * (q[j][c] - q[j-1][c])
				}
			}
			for c := range q[j] {
				q[j][c] = (1-a)*q[j-1][c] + a*q[j][c]
			}
		}
	}
	w := q[n]
	p = r2.Point{X: w[0] / w[2], Y: w[1] / w[2]}
	d = r2.Point{X: (der[0] - der[2]*p.X) / w[2], Y: (der[1] - der[2]*p.Y) / w[2]}
	return p, d
}
