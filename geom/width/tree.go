package width

import (
	"math"

	"github.com/golang/geo/r2"
)

// tree is a binary tree over the elements, stored in one slice: the left child
// of node k follows it, the right child is at node.right. Contours are split at
// the middle of their spread, and each contour by order of travel, so that a
// node over a stretch of contour is also held by a capsule round its chord. On a
// smooth stretch the capsule is far thinner than the box, and a disc that
// touches there meets few of them.
type tree struct {
	nodes []node
	order []int32 // element indexes, leaf by leaf
}

type node struct {
	x0, y0, x1, y1 float64
	a, b           r2.Point // capsule: segment a-b
	rho            float64  // and its radius; negative where there is none
	first, count   int32    // elements of a leaf; count 0 for an inner node
	right          int32
}

const leafSize = 3

// newTree builds the tree over the elements of all rings.
func newTree(elems []element, rings [][]int32) tree {
	t := tree{order: make([]int32, 0, len(elems)), nodes: make([]node, 0, len(elems))}
	var s splitter
	for _, ring := range rings {
		box := r2.EmptyRect()
		for _, id := range ring {
			box = box.Union(elems[id].bounds())
		}
		s.add(box)
	}
	t.contours(elems, rings, &s, s.marks)
	return t
}

// contours adds the node over the boxes of several contours, split at the middle
// one along the longer side.
func (t *tree) contours(elems []element, rings [][]int32, s *splitter, all []mark) int {
	if len(all) == 1 {
		return t.stretch(elems, rings[all[0].id])
	}
	box := s.alongLongerSide(all)
	k := t.add(box)
	t.nodes[k].rho = -1
	t.contours(elems, rings, s, all[:len(all)/2])
	t.nodes[k].right = int32(len(t.nodes))
	t.contours(elems, rings, s, all[len(all)/2:])
	return k
}

func (t *tree) add(box r2.Rect) int {
	t.nodes = append(t.nodes, node{x0: box.X.Lo, y0: box.Y.Lo, x1: box.X.Hi, y1: box.Y.Hi})
	return len(t.nodes) - 1
}

// stretch adds the node over elements that follow each other on a contour.
func (t *tree) stretch(elems []element, ids []int32) int {
	k := t.add(r2.EmptyRect())
	a, _ := elems[ids[0]].ends()
	_, b := elems[ids[len(ids)-1]].ends()
	var box r2.Rect
	rho := 0.0
	if len(ids) <= leafSize {
		box = r2.EmptyRect()
		for _, id := range ids {
			e := &elems[id]
			box = box.Union(e.bounds())
			p, q := e.ends()
			rho = math.Max(rho, math.Max(toSegment(p, a, b), toSegment(q, a, b))+e.sagitta())
		}
		t.nodes[k].first, t.nodes[k].count = int32(len(t.order)), int32(len(ids))
		t.order = append(t.order, ids...)
	} else {
		l := t.stretch(elems, ids[:len(ids)/2])
		r := t.stretch(elems, ids[len(ids)/2:])
		t.nodes[k].right = int32(r)
		box = r2.EmptyRect()
		for _, m := range [...]int{l, r} {
			c := &t.nodes[m]
			box = box.Union(r2.RectFromPoints(r2.Point{X: c.x0, Y: c.y0}, r2.Point{X: c.x1, Y: c.y1}))
			// Distance to a segment is convex: no point of the child's chord is
			// farther than its ends.
			rho = math.Max(rho, math.Max(toSegment(c.a, a, b), toSegment(c.b, a, b))+c.rho)
		}
	}
	n := &t.nodes[k]
	n.x0, n.y0, n.x1, n.y1 = box.X.Lo, box.Y.Lo, box.X.Hi, box.Y.Hi
	n.a, n.b, n.rho = a, b, rho*(1+1e-12)
	return k
}

// ends returns where the element starts and ends.
func (e *element) ends() (a, b r2.Point) {
	if e.kind == vertex {
		return e.p, e.p
	}
	return e.c.Start, e.c.End
}

// sagitta bounds how far the element strays from its chord.
func (e *element) sagitta() float64 {
	if e.kind == lineElem || e.kind == vertex {
		return 0
	}
	if s := math.Abs(float64(e.c.Sweep)); s < math.Pi {
		return e.c.Radius * (1 - math.Cos(s/2))
	}
	return 2 * e.c.Radius
}

// toSegment is the distance from p to the segment a-b.
func toSegment(p, a, b r2.Point) float64 {
	d := b.Sub(a)
	v := p.Sub(a)
	if l := d.Dot(d); l > 0 {
		t := math.Min(1, math.Max(0, v.Dot(d)/l))
		v = v.Sub(d.Mul(t))
	}
	return math.Hypot(v.X, v.Y)
}

// misses reports whether the open disc of radius r round c meets nothing of the
// node.
func (n *node) misses(c r2.Point, r float64) bool {
	if n.dist2(c) > r*r*(1+1e-12) {
		return true
	}
	if n.rho < 0 {
		return false
	}
	d := n.b.Sub(n.a)
	v := c.Sub(n.a)
	if l := d.Dot(d); l > 0 {
		t := v.Dot(d) / l
		if t > 1 {
			t = 1
		}
		if t > 0 {
			v = v.Sub(d.Mul(t))
		}
	}
	far := r*(1+1e-12) + n.rho
	return v.Dot(v) > far*far
}

// dist2 is the squared distance from p to the node's box.
func (n *node) dist2(p r2.Point) float64 {
	dx := max(n.x0-p.X, 0, p.X-n.x1)
	dy := max(n.y0-p.Y, 0, p.Y-n.y1)
	return dx*dx + dy*dy
}
