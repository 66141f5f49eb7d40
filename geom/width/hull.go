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
	nodes     []slab
	sides     []side
	stretches [][2]int32 // of the sides, one a contour
	splitter  splitter   // of their boxes
}

// slab is a box round the sides of a node, laid along the chord of their
// stretch: on a smooth wall as on a jagged one it is thin towards the region. A
// line of memory holds one.
type slab struct {
	cx, cy, dx, dy float64 // middle and unit direction
	hx, hy         float64 // half the box along that direction and across it
	skip           int32
	first, count   int32 // sides of a leaf; count 0 for an inner node
}

const (
	slabLeaf = 4 // sides a leaf
	fanout   = 4 // children of a node over one contour, no more than a leaf's sides
)

// reset makes the tree anew over the elements that are kept.
func (h *hull) reset(elems []element, rings [][]int32, keep func(id int32) bool) {
	h.nodes, h.sides, h.stretches = h.nodes[:0], h.sides[:0], h.stretches[:0]
	h.splitter.clear()
	for _, ring := range rings {
		from := len(h.sides)
		box := r2.EmptyRect()
		for _, id := range ring {
			if keep(id) {
				h.sides = append(h.sides, elems[id].side(id))
				if len(rings) > 1 {
					box = box.Union(elems[id].bounds())
				}
			}
		}
		if len(h.sides) > from {
			h.splitter.add(box)
			h.stretches = append(h.stretches, [2]int32{int32(from), int32(len(h.sides))})
		}
	}
	if len(h.stretches) > 0 {
		h.contours(h.splitter.marks)
	}
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
func (h *hull) contours(all []mark) {
	if len(all) == 1 {
		s := h.stretches[all[0].id]
		h.stretch(int(s[0]), int(s[1]))
		return
	}
	box := h.splitter.alongLongerSide(all)
	k := len(h.nodes)
	m := box.Center()
	h.nodes = append(h.nodes, slab{cx: m.X, cy: m.Y, dx: 1, hx: box.X.Length() / 2, hy: box.Y.Length() / 2})
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
		for i := range fanout {
			h.stretch(lo+(hi-lo)*i/fanout, lo+(hi-lo)*(i+1)/fanout)
		}
	}
	h.nodes[k].skip = int32(len(h.nodes))
}

func slabOf(sides []side) slab {
	first, last := &sides[0], &sides[len(sides)-1]
	ax, ay := first.ax, first.ay
	x, y := last.ax+last.length*last.dx-ax, last.ay+last.length*last.dy-ay
	l := math.Sqrt(x*x + y*y)
	if l <= 1e-3*first.length {
		// Closed: any direction will do.
		x, y, l = 1, 0, 1
	}
	dx, dy := x/l, y/l
	var x0, x1, y0, y1 float64
	for i := range sides {
		s := &sides[i]
		x, y := s.ax-ax, s.ay-ay
		u, v := x*dx+y*dy, y*dx-x*dy
		x0, x1 = min(x0, u-s.sag), max(x1, u+s.sag)
		y0, y1 = min(y0, v-s.sag), max(y1, v+s.sag)
		if s.length > 0 {
			x, y = x+s.length*s.dx, y+s.length*s.dy
			u, v = x*dx+y*dy, y*dx-x*dy
			x0, x1 = min(x0, u-s.sag), max(x1, u+s.sag)
			y0, y1 = min(y0, v-s.sag), max(y1, v+s.sag)
		}
	}
	x, y = (x0+x1)/2, (y0+y1)/2
	return slab{cx: ax + x*dx - y*dy, cy: ay + x*dy + y*dx, dx: dx, dy: dy, hx: (x1 - x0) / 2, hy: (y1 - y0) / 2}
}

// dist2 is four times the squared distance from p to the node's box. It takes no
// branches: whether a disc meets a node is as good as random.
func (n *slab) dist2(p r2.Point) float64 {
	x, y := p.X-n.cx, p.Y-n.cy
	u, v := math.Abs(x*n.dx+y*n.dy)-n.hx, math.Abs(y*n.dx-x*n.dy)-n.hy
	u += math.Abs(u)
	v += math.Abs(v)
	return u*u + v*v
}

// empty reports whether the open disc of radius r round c meets no side.
func (f *Field) empty(c r2.Point, r float64) bool {
	nodes := f.hull.nodes
	r2 := r * r
	for k := int32(0); k < int32(len(nodes)); {
		n := &nodes[k]
		// dist2, which the compiler would call.
		x, y := c.X-n.cx, c.Y-n.cy
		u, v := math.Abs(x*n.dx+y*n.dy)-n.hx, math.Abs(y*n.dx-x*n.dy)-n.hy
		u += math.Abs(u)
		v += math.Abs(v)
		if u*u+v*v >= 4*r2 {
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
