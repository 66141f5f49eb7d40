package contour

import (
	"math"
	"slices"

	"burrcast/geom"

	"github.com/golang/geo/r2"
)

// Gap is the least distance from one region to any other.
type Gap struct {
	A, B     int     // regions; A < B
	Distance float64 // mm
	P, Q     r2.Point
}

// Gaps returns for every region its least distance to another one, each pair
// once, in order of A and B. Regions that share a cut are no neighbours in this
// sense, nor are those of a grid of shared cuts that meet in a point. It reports false when the work was given up.
//
//  1. Put the boxes of the curves into a tree, but for the holes of a region in which
//     no other can lie; note which regions share curves.
//  2. In a growing window round every curve look for curves of other regions and
//     take the least distance, in closed form (geom.Between). Where no box of
//     another region reaches into the window there is nothing to look for.
//  3. A region is settled when that distance is no larger than the window: what
//     lies outside the window is farther.
//
// Expected O(n log n) for regions whose gaps are of the size of their curves;
// the pairs looked at are bounded.
func Gaps(regions []Region) ([]Gap, bool) {
	if len(regions) < 2 {
		return nil, true
	}
	g := newGapSearch(regions)
	left := 3_000_000 + 200*len(g.curves)
	size := math.Hypot(g.all.x1-g.all.x0, g.all.y1-g.all.y0)
	for window := size / 1000; ; window *= 4 {
		for r := range g.best {
			if g.best[r].Distance <= window/4 {
				continue
			}
			others := g.others(r, window)
			for i := g.first[r]; i < g.first[r+1] && g.best[r].Distance > 0; i++ {
				if !others.reach(g.boxes[i].grown(min(window, g.best[r].Distance))) {
					continue
				}
				if !g.look(i, window, &left) {
					return nil, false
				}
			}
		}
		open := false
		for r := range g.best {
			open = open || g.best[r].Distance > window
		}
		if !open || window > size {
			break
		}
	}
	return g.result(), true
}

type gapSearch struct {
	curves []geom.Curve
	source []int
	owner  []int
	boxes  []box
	first  []int // by region, its first curve; they follow each other
	round  []box // by region
	all    box
	tree   *boxTree
	rounds *boxTree // of the regions' boxes
	near   neighbours
	shared map[[2]int]bool
	shares []bool // by region
	best   []Gap  // by region
}

func newGapSearch(regions []Region) *gapSearch {
	g := &gapSearch{shared: make(map[[2]int]bool)}
	g.all = box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	var first []int // by source, the first region with it, counted from 1
	add := func(r int, c *Contour) {
		for i, curve := range c.Curves {
			b := boxOf(curve.Bounds())
			g.curves = append(g.curves, curve)
			g.source = append(g.source, c.Sources[i])
			g.owner = append(g.owner, r)
			g.boxes = append(g.boxes, b)
			g.all = g.all.union(b)
			s := c.Sources[i]
			if s < 0 {
				continue
			}
			if s >= len(first) {
				first = append(first, make([]int, s+1+len(first)-len(first)/2)...)
			}
			if o := first[s] - 1; o < 0 {
				first[s] = r + 1
			} else if o != r {
				g.shared[pairOf(o, r)] = true
			}
		}
	}
	n := 0
	for r := range regions {
		n += len(regions[r].Outline.Curves)
		g.round = append(g.round, boxRound(regions[r].Outline.Curves))
	}
	g.rounds = newBoxTree(g.round)
	g.curves, g.boxes = make([]geom.Curve, 0, n), make([]box, 0, n)
	g.source, g.owner = make([]int, 0, n), make([]int, 0, n)
	g.best = make([]Gap, 0, len(regions))
	for r := range regions {
		g.first = append(g.first, len(g.curves))
		add(r, &regions[r].Outline)
		if holes := regions[r].Holes; g.visited(r, holes) {
			for k := range holes {
				add(r, &holes[k])
			}
		}
		g.shares = append(g.shares, false)
		g.best = append(g.best, Gap{A: r, B: -1, Distance: math.Inf(1)})
	}
	for p := range g.shared {
		g.shares[p[0]], g.shares[p[1]] = true, true
	}
	g.first = append(g.first, len(g.curves))
	g.shareCorners()
	g.tree = newBoxTree(g.boxes)
	return g
}

// shareCorners notes as sharing the regions of a grid of shared cuts that meet in a
// point, too: across the grid they are no neighbours either.
func (g *gapSearch) shareCorners() {
	if len(g.shared) == 0 {
		return
	}
	at := make(map[r2.Point][]int) // regions by corner
	for i := range g.curves {
		r, p := g.owner[i], g.curves[i].Start
		if !g.shares[r] || slices.Contains(at[p], r) {
			continue
		}
		for _, o := range at[p] {
			g.shared[pairOf(o, r)] = true
		}
		at[p] = append(at[p], r)
	}
}

// visited reports whether another region than r may lie in one of its holes. From
// anywhere else the outline is nearer than they are; where holes cross, the hole
// that the other lies in need not be the nearest.
func (g *gapSearch) visited(r int, holes []Contour) bool {
	found := false
	for k := 0; k < len(holes) && !found; k++ {
		g.rounds.query(boxRound(holes[k].Curves), func(o int) bool {
			found = found || o != r
			return !found
		})
	}
	return found
}

// boxRound is the box that holds the curves.
func boxRound(curves []geom.Curve) box { return boxOf(geom.LoopBounds(curves)) }

// neighbours are the boxes of other regions that reach into a window round one,
// or any if they are too many to compare with every curve.
type neighbours struct {
	boxes []box
	many  bool
}

const fewNeighbours = 16

// others returns the neighbours of region r, good until they are asked for again.
func (g *gapSearch) others(r int, window float64) *neighbours {
	n := &g.near
	n.boxes, n.many = n.boxes[:0], false
	g.rounds.query(g.round[r].grown(min(window, g.best[r].Distance)), func(k int) bool {
		if k != r {
			n.boxes = append(n.boxes, g.round[k])
		}
		n.many = len(n.boxes) > fewNeighbours
		return !n.many
	})
	return n
}

func (n *neighbours) reach(b box) bool { return n.many || slices.ContainsFunc(n.boxes, b.meets) }

func pairOf(a, b int) [2]int { return [2]int{min(a, b), max(a, b)} }

// look compares curve i with those of other regions in the window.
func (g *gapSearch) look(i int, window float64, left *int) bool {
	r := g.owner[i]
	g.tree.query(g.boxes[i].grown(min(window, g.best[r].Distance)), func(k int) bool {
		*left--
		o := g.owner[k]
		if o == r || g.apart(i, k, g.best[r].Distance) || g.shared[pairOf(r, o)] {
			return *left > 0
		}
		d, p, q := geom.Between(g.curves[i], g.curves[k])
		if d < g.best[r].Distance && (d > 0 || !g.shares[r] || !g.shares[o]) {
			g.best[r] = Gap{A: r, B: o, Distance: d, P: p, Q: q}
		}
		return *left > 0
	})
	return *left > 0
}

// apart reports whether the boxes of two curves are at least d apart.
func (g *gapSearch) apart(i, k int, d float64) bool {
	a, b := &g.boxes[i], &g.boxes[k]
	x, y := max(0, a.x0-b.x1, b.x0-a.x1), max(0, a.y0-b.y1, b.y0-a.y1)
	return max(x, y) >= d || math.Hypot(x, y) >= d
}

func (g *gapSearch) result() []Gap {
	var out []Gap
	for r, b := range g.best {
		if b.B < 0 {
			continue // alone but for regions it shares cuts with
		}
		if b.B < r && g.best[b.B].B == r {
			continue // told by the other
		}
		if b.A > b.B {
			b.A, b.B, b.P, b.Q = b.B, b.A, b.Q, b.P
		}
		out = append(out, b)
	}
	return out
}
