package contour

import (
	"math"
	"slices"

	"github.com/golang/geo/r2"
)

// box is a closed rectangle; an r2.Rect spends twice the time on its methods.
type box struct{ x0, y0, x1, y1 float64 }

func boxOf(r r2.Rect) box { return box{r.X.Lo, r.Y.Lo, r.X.Hi, r.Y.Hi} }

func (b box) grown(d float64) box { return box{b.x0 - d, b.y0 - d, b.x1 + d, b.y1 + d} }

// meets reports whether the closed boxes share a point.
func (b box) meets(o box) bool {
	return b.x0 <= o.x1 && o.x0 <= b.x1 && b.y0 <= o.y1 && o.y0 <= b.y1
}

func (b box) union(o box) box {
	return box{min(b.x0, o.x0), min(b.y0, o.y0), max(b.x1, o.x1), max(b.y1, o.y1)}
}

// fanout is the number of children of a tree node; 8 to 16 measure alike.
const fanout = 8

// boxTree finds the boxes that meet a box. It is packed once by
// sort-tile-recursive order (Leutenegger, Lopez and Edgington, 1997): sort by
// x, cut into vertical slices, sort each slice by y, then group by fanout, level
// by level. Building costs O(n log n), a query O(log n + answers) on boxes that
// do not all overlap.
type boxTree struct {
	items  []int32 // leaf order: index of the box given
	levels [][]box // levels[0] are the boxes in leaf order, the last level is one box
}

func newBoxTree(boxes []box) *boxTree {
	n := len(boxes)
	t := &boxTree{items: make([]int32, n)}
	if n == 0 {
		return t
	}
	all := boxes[0]
	for _, b := range boxes[1:] {
		all = all.union(b)
	}
	// A place in 32 bits and an index in one number sort several times faster than
	// by a function. Places that close go by index: that may decide which of two
	// equal answers is named, and nothing else.
	place := func(middle, lo, hi float64) uint64 {
		if at := (middle - lo) / (hi - lo); at > 0 { // not NaN
			return uint64(min(at, 1)*math.MaxUint32) << 32
		}
		return 0
	}
	items := make([]uint64, n)
	for i := range boxes {
		items[i] = place((boxes[i].x0+boxes[i].x1)/2, all.x0, all.x1) | uint64(i)
	}
	slices.Sort(items)
	for k := range items {
		i := uint32(items[k])
		items[k] = place((boxes[i].y0+boxes[i].y1)/2, all.y0, all.y1) | uint64(i)
	}
	leaves := (n + fanout - 1) / fanout
	slice := fanout * int(math.Ceil(math.Sqrt(float64(leaves))))
	for i := 0; i < n; i += slice {
		slices.Sort(items[i:min(i+slice, n)])
	}
	level := make([]box, n)
	for k := range items {
		t.items[k] = int32(uint32(items[k]))
		level[k] = boxes[t.items[k]]
	}
	t.levels = append(t.levels, level)
	for len(level) > 1 {
		up := make([]box, 0, (len(level)+fanout-1)/fanout)
		for i := 0; i < len(level); i += fanout {
			b := level[i]
			for _, o := range level[i+1 : min(i+fanout, len(level))] {
				b = b.union(o)
			}
			up = append(up, b)
		}
		t.levels = append(t.levels, up)
		level = up
	}
	return t
}

// query calls f with the index of every box that meets q, until f reports
// false.
func (t *boxTree) query(q box, f func(i int) bool) {
	if top := len(t.levels) - 1; top >= 0 && t.levels[top][0].meets(q) {
		if top == 0 {
			f(int(t.items[0]))
			return
		}
		t.visit(top, 0, q, f)
	}
}

// visit goes on below node i of a level above the lowest, which meets q.
func (t *boxTree) visit(level, i int, q box, f func(i int) bool) bool {
	below := t.levels[level-1]
	first := i * fanout
	for k, b := range below[first:min(first+fanout, len(below))] {
		switch {
		case !b.meets(q):
		case level > 1:
			if !t.visit(level-1, first+k, q, f) {
				return false
			}
		case !f(int(t.items[first+k])):
			return false
		}
	}
	return true
}

func cmpFloat(a, b float64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}
