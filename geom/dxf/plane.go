package dxf

import "math"

// A drawing may stand upright: all of it in the XZ plane, say. plane finds the
// one plane that holds every point, other than a level one, and returns the
// turn that lays it flat: seen from the front, from the right, or from above.
//
// Plan: the point farthest from the first, then the one farthest from the line
// through both, span the plane; every point must keep to it.
func plane(pts []vec) (frame, bool) {
	if len(pts) < 3 {
		return frame{}, false
	}
	o := pts[0]
	var far, n vec
	for _, p := range pts {
		if d := p.sub(o); d.norm() > far.norm() {
			far = d
		}
	}
	size := far.norm()
	if size == 0 {
		return frame{}, false
	}
	for _, p := range pts {
		if c := far.unit().cross(p.sub(o)); c.norm() > n.norm() {
			n = c
		}
	}
	slack := max(heightSlack, 1e-6*size)
	if n.norm() <= slack {
		return frame{}, false
	}
	n = n.unit()
	for _, p := range pts {
		if math.Abs(n.dot(p.sub(o))) > slack {
			return frame{}, false
		}
	}
	// Which side is seen: above, else front (-Y), else right (+X).
	const upright = 1e-9
	switch {
	case math.Abs(n[2]) > upright:
		if n[2] < 0 {
			n = vec{-n[0], -n[1], -n[2]}
		}
	case math.Abs(n[1]) > upright:
		if n[1] > 0 {
			n = vec{-n[0], -n[1], -n[2]}
		}
	case n[0] < 0:
		n = vec{-n[0], -n[1], -n[2]}
	}
	x := vec{0, 0, 1}.cross(n)
	if x.norm() <= upright {
		return frame{}, false // level already
	}
	x = x.unit()
	y := n.cross(x)
	return frame{
		x: vec{x[0], y[0], n[0]},
		y: vec{x[1], y[1], n[1]},
		z: vec{x[2], y[2], n[2]},
	}, true
}

// corners returns points that span an entity's plane and hold its extent
// roughly: ends, vertices, control points, axis ends.
func (d *draft) corners(f *frame) []vec {
	n := d.nums
	var out []vec
	triples := func(v []float64, stride int) {
		for i := 0; i+2 < len(v); i += stride {
			out = append(out, f.point(vec{v[i], v[i+1], v[i+2]}))
		}
	}
	switch d.e.kind {
	case kindLine, kindFace:
		triples(n, 3)
	case kindCircle, kindArc:
		x, y, z, r := n[0], n[1], n[2], n[3]
		triples([]float64{x - r, y, z, x + r, y, z, x, y - r, z, x, y + r, z}, 3)
	case kindEllipse:
		axis := d.e.axisOf(d.x.p)
		u := vec{n[3], n[4], n[5]}
		v := axis.cross(u)
		for _, s := range []float64{-1, 1} {
			r := s * n[6]
			triples([]float64{
				n[0] + s*u[0], n[1] + s*u[1], n[2] + s*u[2],
				n[0] + r*v[0], n[1] + r*v[1], n[2] + r*v[2],
			}, 3)
		}
	case kindLWPolyline:
		for i := 1; i+2 < len(n); i += 3 {
			out = append(out, f.point(vec{n[i], n[i+1], n[0]}))
		}
	case kindPolyline:
		triples(n, 4)
	case kindSpline:
		v := n[7+int(n[1])+int(n[2]):]
		triples(v[:3*(int(n[3])+int(n[4]))], 3)
	}
	return out
}

// axisOf returns the extrusion direction, +Z if there is none.
func (e *entity) axisOf(p *parser) vec {
	if e.axis < 0 {
		return vec{0, 0, 1}
	}
	return vec(p.nums[e.axis : e.axis+3]).unit()
}
