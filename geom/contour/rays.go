package contour

import (
	"math"
	"slices"

	"burrcast/geom"
)

// ray is how a curve leaves a node.
type ray struct {
	angle     float64 // of the tangent, radians
	curvature float64 // signed, positive if the curve turns left, 1/mm
	length    float64 // of the curve from the node on, mm
}

// newRay returns how c leaves its point at fraction t, forwards or backwards.
func newRay(c geom.Curve, t float64, forward bool) ray {
	u := c.Tangent(t)
	r := ray{length: c.Length()}
	if c.IsArc() {
		r.curvature = math.Copysign(1/c.Radius, float64(c.Sweep))
	}
	switch {
	case forward && t < 1:
		r.length *= 1 - t
	case !forward:
		u = u.Mul(-1)
		r.curvature = -r.curvature
		if t > 0 {
			r.length *= t
		}
	}
	r.angle = math.Atan2(u.Y, u.X)
	return r
}

// sortRays returns the numbers of the rays counter-clockwise. The order is the
// one in which a small circle round the node meets the curves: an arc of
// curvature k is met at chord d in the direction angle + asin(k d/2). On the
// tangent this orders by angle, on equal angles by signed curvature, and the
// finite d keeps rounding in the angles from deciding between tangent arcs. The
// circle is half as long as the shortest curve, and no larger than the smallest
// radius.
func sortRays(rays []ray) []int {
	d := math.Inf(1)
	for _, r := range rays {
		d = min(d, r.length/2)
		if r.curvature != 0 {
			d = min(d, 1/math.Abs(r.curvature))
		}
	}
	key := make([]float64, len(rays))
	order := make([]int, len(rays))
	for i, r := range rays {
		a := r.angle + math.Asin(min(1, max(-1, r.curvature*d/2)))
		key[i] = a - 2*math.Pi*math.Floor(a/(2*math.Pi))
		order[i] = i
	}
	slices.SortStableFunc(order, func(p, q int) int {
		if c := cmpFloat(key[p], key[q]); c != 0 {
			return c
		}
		return cmpFloat(rays[p].curvature, rays[q].curvature)
	})
	return order
}
