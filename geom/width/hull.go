package width

import (
	"math"

	"github.com/golang/geo/r2"
)

// side is what a disc can meet of an element: a segment, a point, or an arc with
// its ends.
type side struct {
	ax, ay, dx, dy float64 // start, and the unit direction to the end
	length         float64 // of the chord
	sag            float64 // bound on the arc's distance from the chord
	id             int32
	arc            bool
}

// hull is a tree over sides, made for one question: does an open disc meet any
// of them. Its nodes stand in the order of a walk that descends where the disc
// meets a node; skip says where the walk goes on where it does not.
type hull struct {
	nodes []slab
	sides []side
}

// slab is a box round the sides of a node, laid along the chord of their
// stretch: on a smooth wall as on a jagged one it is thin towards the region.
type slab struct {
	ax, ay, dx, dy float64 // origin and unit direction
	x0, x1, y0, y1 float64 // the box along that direction and across it
	skip           int32
	first, count   int32 // sides of a leaf; count 0 for an inner node
}

const slabLeaf = 4 // sides a leaf

// reset makes the tree anew over the elements that are kept.
func (h *hull) reset(elems []element, rings [][]int32, keep func(id int32) bool) {
	h.nodes, h.sides = h.nodes[:0], h.sides[:0]
	var all []stretchBox
	for _, ring := range rings {
		s := stretchBox{lo: len(h.sides), box: r2.EmptyRect()}
		for _, id := range ring {
			if keep(id) {
				h.sides = append(h.sides, elems[id].side(id))
				if len(rings) > 1 {
					s.box = s.box.Union(elems[id].bounds())
				}
			}
		}
		if s.hi = len(h.sides); s.hi > s.lo {
			all = append(all, s)
		}
	}
	if len(all) > 0 {
		h.contours(all)
	}
}

// stretchBox is a stretch of sides on one contour.
type stretchBox struct {
	lo, hi int
	box    r2.Rect
}

func (e *element) side(id int32) side {
	if e.kind == vertex {
		return side{ax: e.p.X, ay: e.p.Y, id: id}
	}
	s := side{ax: e.c.Start.X, ay: e.c.Start.Y, id: id}
	if e.kind == lineElem {
		s.dx, s.dy, s.length = e.dir.X, e.dir.Y, e.length
		return s
	}
	s.arc, s.sag = true, e.sagitta()
	d := e.c.End.Sub(e.c.Start)
	if s.length = math.Sqrt(d.Dot(d)); s.length > 0 {
		s.dx, s.dy = d.X/s.length, d.Y/s.length
	}
	return s
}

// contours adds the node over several contours, split at the middle one along
// the longer side.
func (h *hull) contours(all []stretchBox) {
	if len(all) == 1 {
		h.stretch(all[0].lo, all[0].hi)
		return
	}
	box := alongLongerSide(all, func(s *stretchBox) r2.Rect { return s.box })
	k := len(h.nodes)
	h.nodes = append(h.nodes, slab{dx: 1, x0: box.X.Lo, x1: box.X.Hi, y0: box.Y.Lo, y1: box.Y.Hi})
	h.contours(all[:len(all)/2])
	h.contours(all[len(all)/2:])
	h.nodes[k].skip = int32(len(h.nodes))
}

// stretch adds the node over the sides from lo up to hi of one contour.
func (h *hull) stretch(lo, hi int) {
	k := len(h.nodes)
	h.nodes = append(h.nodes, slabOf(h.sides[lo:hi]))
	if hi-lo <= slabLeaf {
		h.nodes[k].first, h.nodes[k].count = int32(lo), int32(hi-lo)
	} else {
		mid := lo + (hi-lo)/2
		h.stretch(lo, mid)
		h.stretch(mid, hi)
	}
	h.nodes[k].skip = int32(len(h.nodes))
}

func slabOf(sides []side) slab {
	first, last := &sides[0], &sides[len(sides)-1]
	n := slab{ax: first.ax, ay: first.ay}
	x, y := last.ax+last.length*last.dx-n.ax, last.ay+last.length*last.dy-n.ay
	l := math.Sqrt(x*x + y*y)
	if l <= 1e-3*first.length {
		// Closed: any direction will do.
		x, y, l = 1, 0, 1
	}
	n.dx, n.dy = x/l, y/l
	n.x0, n.x1, n.y0, n.y1 = 0, 0, 0, 0
	for i := range sides {
		s := &sides[i]
		x, y := s.ax-n.ax, s.ay-n.ay
		u, v := x*n.dx+y*n.dy, y*n.dx-x*n.dy
		n.x0, n.x1 = min(n.x0, u-s.sag), max(n.x1, u+s.sag)
		n.y0, n.y1 = min(n.y0, v-s.sag), max(n.y1, v+s.sag)
		if s.length > 0 {
			x, y = x+s.length*s.dx, y+s.length*s.dy
			u, v = x*n.dx+y*n.dy, y*n.dx-x*n.dy
			n.x0, n.x1 = min(n.x0, u-s.sag), max(n.x1, u+s.sag)
			n.y0, n.y1 = min(n.y0, v-s.sag), max(n.y1, v+s.sag)
		}
	}
	return n
}

// dist2 is the squared distance from p to the node's box.
func (n *slab) dist2(p r2.Point) float64 {
	x, y := p.X-n.ax, p.Y-n.ay
	u, v := x*n.dx+y*n.dy, y*n.dx-x*n.dy
	u, v = max(n.x0-u, u-n.x1, 0), max(n.y0-v, v-n.y1, 0)
	return u*u + v*v
}

// empty reports whether the open disc of radius r round c meets no side.
func (f *Field) empty(c r2.Point, r float64) bool {
	nodes := f.hull.nodes
	r2 := r * r
	for k := int32(0); k < int32(len(nodes)); {
		n := &nodes[k]
		x, y := c.X-n.ax, c.Y-n.ay
		u, v := x*n.dx+y*n.dy, y*n.dx-x*n.dy
		if u < n.x0 {
			u = n.x0 - u
		} else if u -= n.x1; u < 0 {
			u = 0
		}
		if v < n.y0 {
			v = n.y0 - v
		} else if v -= n.y1; v < 0 {
			v = 0
		}
		if u*u+v*v >= r2 {
			k = n.skip
			continue
		}
		for i := n.first; i < n.first+n.count; i++ {
			s := &f.hull.sides[i]
			if s.arc {
				if f.touched(s.id, c, r, r2) {
					return false
				}
				continue
			}
			x, y := c.X-s.ax, c.Y-s.ay
			t := x*s.dx + y*s.dy
			if t > s.length {
				t = s.length
			}
			if t > 0 {
				x -= t * s.dx
				y -= t * s.dy
			}
			if x*x+y*y < r2 {
				return false
			}
		}
		k++
	}
	return true
}

// within2 reports whether the arc comes nearer to c than r, whose square is r2.
func (e *element) within2(c r2.Point, r, r2 float64) bool {
	x, y := c.X-e.c.Start.X, c.Y-e.c.Start.Y
	if x*x+y*y < r2 {
		return true
	}
	x, y = c.X-e.c.End.X, c.Y-e.c.End.Y
	if x*x+y*y < r2 {
		return true
	}
	d := c.Sub(e.c.Center)
	l := math.Sqrt(d.Dot(d))
	return math.Abs(l-e.c.Radius) < r && within(e, d)
}
