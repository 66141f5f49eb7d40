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
		b, u, ok := f.leftmost(k)
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
// the left.
func (f *Field) leftmost(k int) (id int32, u float64, ok bool) {
	west := r2.Point{X: -1}
	least := math.Inf(1)
	for _, i := range f.rings[k] {
		e := &f.elems[i]
		x, at := e.p.X, 0.5
		switch e.kind {
		case concave:
			continue
		case lineElem:
			if e.nrm.X > -1+1e-12 {
				continue
			}
		case convex:
			x = e.c.Center.X - e.c.Radius
			fallthrough
		case vertex:
			if at = e.turned(west); at < 0 || at > 1 {
				continue
			}
		}
		if x < least {
			id, u, least, ok = i, at, x, true
		}
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
		if nd.dist2(c) > r*r*(1+1e-12) {
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
	x, y := c.stripAt(i, u), c.stripAt(j, t)
	if x < 0 || y < 0 || x == y {
		return false
	}
	x2, y2 := int32(len(c.strips)), int32(len(c.strips))+1
	c.strips = append(c.strips, c.strips[x], c.strips[y])
	a, a2, b, b2 := &c.strips[x], &c.strips[x2], &c.strips[y], &c.strips[y2]
	if a.next == x {
		a2.next = x // a circle goes on into itself
	}
	if b.next == y {
		b2.next = y
	}
	c.strips[a2.next].prev, c.strips[b2.next].prev = x2, y2
	a.next, b2.prev = y2, x
	b.next, a2.prev = x2, y
	a.hi, a.rhi, a2.lo, a2.rlo = u, r, u, r
	b.hi, b.rhi, b2.lo, b2.rlo = t, r, t, r
	a.spoke, b.spoke = false, false
	a2.more, a.more = a.more, x2
	b2.more, b.more = b.more, y2
	return true
}

// stripAt returns the strip of element e that holds u.
func (c *closing) stripAt(e int32, u float64) int32 {
	for k := e; k >= 0; k = c.strips[k].more {
		if s := &c.strips[k]; s.lo <= u && u <= s.hi {
			return k
		}
	}
	return -1
}
