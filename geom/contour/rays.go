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

// directions returns the directions, from 0 to 2*pi, in which a small circle
// round the node meets the rays: an arc of curvature k is met at chord d in the
// direction angle + asin(k d/2). On the tangent this orders by angle, on equal
// angles by signed curvature, and the finite d keeps rounding in the angles from
// deciding between tangent arcs. The circle's radius is half the length of the
// shortest curve, and no larger than the smallest radius.
func directions(rays []ray) []float64 {
	d := math.Inf(1)
	for _, r := range rays {
		d = min(d, r.length/2)
		if r.curvature != 0 {
			d = min(d, 1/math.Abs(r.curvature))
		}
	}
	out := make([]float64, len(rays))
	for i, r := range rays {
		out[i] = turnOf(r.angle + math.Asin(min(1, max(-1, r.curvature*d/2))))
	}
	return out
}

// turnOf returns the angle a within [0, 2*pi).
func turnOf(a float64) float64 { return a - 2*math.Pi*math.Floor(a/(2*math.Pi)) }

// sortRays returns the numbers of the rays counter-clockwise.
func sortRays(rays []ray) []int {
	key := directions(rays)
	order := make([]int, len(rays))
	for i := range order {
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
