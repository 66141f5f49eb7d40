package width

import (
	"slices"

	"github.com/golang/geo/r2"
)

// tree is a binary tree of boxes over the elements, stored in one slice: the
// left child of node k follows it, the right child is at node.right.
type tree struct {
	nodes []node
	order []int32 // element indexes, leaf by leaf
}

type node struct {
	x0, y0, x1, y1 float64
	first, count   int32 // elements of a leaf; count 0 for an inner node
	right          int32
}

const leafSize = 4

func newTree(elems []element) tree {
	boxes := make([]r2.Rect, len(elems))
	t := tree{order: make([]int32, len(elems))}
	for i := range elems {
		boxes[i] = elems[i].bounds()
		t.order[i] = int32(i)
	}
	t.nodes = make([]node, 0, 2*len(elems)/leafSize+1)
	t.build(boxes, 0, len(elems))
	return t
}

// build adds the node over order[lo:hi] and its children. Elements are split at
// the middle one along the longer side, so the depth is logarithmic.
func (t *tree) build(boxes []r2.Rect, lo, hi int) {
	b := boxes[t.order[lo]]
	for _, i := range t.order[lo+1 : hi] {
		b = b.Union(boxes[i])
	}
	k := len(t.nodes)
	t.nodes = append(t.nodes, node{x0: b.X.Lo, y0: b.Y.Lo, x1: b.X.Hi, y1: b.Y.Hi})
	if hi-lo <= leafSize {
		t.nodes[k].first, t.nodes[k].count = int32(lo), int32(hi-lo)
		return
	}
	wide := b.X.Length() >= b.Y.Length()
	key := func(i int32) float64 {
		if wide {
			return boxes[i].X.Lo + boxes[i].X.Hi
		}
		return boxes[i].Y.Lo + boxes[i].Y.Hi
	}
	slices.SortFunc(t.order[lo:hi], func(a, b int32) int {
		switch ka, kb := key(a), key(b); {
		case ka < kb:
			return -1
		case ka > kb:
			return 1
		}
		return int(a - b)
	})
	mid := (lo + hi) / 2
	t.build(boxes, lo, mid)
	t.nodes[k].right = int32(len(t.nodes))
	t.build(boxes, mid, hi)
}

// dist2 is the squared distance from p to the node's box.
func (n *node) dist2(p r2.Point) float64 {
	dx := max(n.x0-p.X, 0, p.X-n.x1)
	dy := max(n.y0-p.Y, 0, p.Y-n.y1)
	return dx*dx + dy*dy
}
