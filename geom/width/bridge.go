package width

import (
	"math"

	"github.com/golang/geo/r2"
)

// bridge joins the rings of all contours to one, and reports whether it could.
// The disc at a cut-out's leftmost point lies left of it and so touches another
// contour, one that reaches further left; that of the outline reaches furthest.
func (c *closing) bridge() bool {
	f := c.f
	if len(f.rings) == 1 {
		return true
	}
	outer, least := 0, math.Inf(1)
	for k, ring := range f.rings {
		for _, id := range ring {
			if x := f.elems[id].bounds().X.Lo; x < least {
				outer, least = k, x
			}
		}
	}
	for k := range f.rings {
		if k == outer {
			continue
		}
		b, u, ok := c.leftmost(k)
		if !ok {
			return false
		}
		p, n := f.elems[b].at(u)
		r, j := f.firstMet(b, p, n, f.far)
		if j == noFoot || f.elems[j].contour == f.elems[b].contour {
			return false
		}
		center := p.Add(n.Mul(r))
		t := f.elems[j].paramOf(f.foot(p, n, r, j), center)
		if !c.cut(b, j, u, t, r) {
			return false
		}
	}
	return true
}

// leftmost returns the place at which contour k, a cut-out, reaches furthest to
// the left: on a convex arc, at a vertex, on an upright line, or, where rounding
// lets that fall between two curves that go on smoothly, at the start of one.
func (c *closing) leftmost(k int) (id int32, u float64, ok bool) {
	f := c.f
	least := math.Inf(1)
	joint, at := int32(-1), math.Inf(1)
	for _, i := range f.rings[k] {
		e, w := &f.elems[i], &c.walls[i]
		if e.kind != vertex && w.nrm.X < -1+1e-6 && w.p.X < at {
			joint, at = i, w.p.X
		}
		x, t := e.p.X, 0.5
		switch e.kind {
		case concave:
			continue
		case lineElem:
			if e.nrm.X > -1+1e-12 {
				continue
			}
		default:
			if t = e.turned(r2.Point{X: -1}); t < 0 || t > 1 {
				continue
			}
			if e.kind == convex {
				p, _ := w.at(t)
				x = p.X
			}
		}
		if x < least {
			id, u, least, ok = i, t, x, true
		}
	}
	if joint >= 0 && at < least-1e-9*f.far {
		return joint, 0, true
	}
	return id, u, ok
}

// firstMet shrinks the disc of radius r at p, n of element i until no boundary
// lies inside, and returns the radius and the element that it touches.
func (f *Field) firstMet(i int32, p, n r2.Point, r float64) (float64, int32) {
	j := noFoot
	c := p.Add(n.Mul(r))
	nodes := f.hull.nodes
	for k := int32(0); k < int32(len(nodes)); {
		nd := &nodes[k]
		if nd.dist2(c) > 4*r*r*(1+1e-12) {
			k = nd.skip
			continue
		}
		for _, s := range f.hull.sides[nd.first : nd.first+nd.count] {
			for id := s.id; id <= s.id+1 && id < int32(len(f.elems)); id++ {
				if id > s.id && f.elems[id].kind != vertex {
					break // only the vertex at the end of a curve
				}
				if got := f.radius(i, p, n, id); got < r {
					r, j = got, id
					c = p.Add(n.Mul(r))
				}
			}
		}
		k++
	}
	return r, j
}

// cut divides the strips of elements i and j at the disc of radius r that touches
// them at u and t, and joins their rings there.
func (c *closing) cut(i, j int32, u, t, r float64) bool {
	x, u := c.stripAt(i, u)
	y, t := c.stripAt(j, t)
	if x < 0 || y < 0 || x == y {
		return false
	}
	x2, y2 := c.divide(x, u, r), c.divide(y, t, r)
	a, a2, b, b2 := &c.strips[x], &c.strips[x2], &c.strips[y], &c.strips[y2]
	a.next, b2.prev = y2, x
	b.next, a2.prev = x2, y
	a.spoke, b.spoke = false, false
	return true
}

// divide ends strip x at the disc of radius r that touches it at u and returns
// the strip that begins there. A whole circle is one strip still, from that place
// on all round.
func (c *closing) divide(x int32, u, r float64) int32 {
	s := &c.strips[x]
	if s.next == x {
		s.lo, s.hi, s.rlo, s.rhi = u, u+1, r, r
		return x
	}
	x2 := int32(len(c.strips))
	c.strips = append(c.strips, *s)
	s, s2 := &c.strips[x], &c.strips[x2]
	c.strips[s2.next].prev = x2
	s.hi, s.rhi, s2.lo, s2.rlo = u, r, u, r
	s2.more, s.more = s.more, x2
	return x2
}

// stripAt returns the strip of element e that holds u, and u as it counts there.
func (c *closing) stripAt(e int32, u float64) (int32, float64) {
	for k := e; k >= 0; k = c.strips[k].more {
		s := &c.strips[k]
		if s.lo <= u && u <= s.hi {
			return k, u
		}
		if s.hi > 1 && u+1 <= s.hi {
			return k, u + 1
		}
	}
	return -1, u
}

// turned returns the fraction at which a vertex or arc is touched by discs whose
// centres lie in the direction d.
func (e *element) turned(d r2.Point) float64 {
	if e.kind == vertex {
		return e.fanFraction(d)
	}
	return fraction(&e.c, d)
}
