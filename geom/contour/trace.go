package contour

import (
	"burrcast/geom"

	"github.com/golang/geo/r2"
)

// walk follows the edge that leaves its node at e along nodes of two ends until
// it is back. It returns the ends that it leaves by, good until the next walk.
func (b *builder) walk(e end, done []bool) []end {
	chain := b.chain[:0]
	for !done[e.edge()] {
		done[e.edge()] = true
		chain = append(chain, e)
		next, ok := b.onward(e)
		if !ok {
			break
		}
		e = next
	}
	b.chain = chain
	return chain
}

// curvesOf returns the chain's curves in the direction of travel, their sources
// and the widest gap at its nodes.
func (b *builder) curvesOf(chain []end) (curves []geom.Curve, sources []int, gap float64) {
	curves, sources = b.room(len(chain))
	for i, e := range chain {
		ed := &b.edges[e.edge()]
		curves[i], sources[i] = ed.c, ed.src
		if e.isEnd() {
			curves[i] = ed.c.Reversed()
		}
		gap = max(gap, b.nodes[ed.a].wide, b.nodes[ed.b].wide)
	}
	return curves, sources, gap
}

// room returns room for the curves of a contour and their sources.
func (b *builder) room(n int) ([]geom.Curve, []int) {
	return b.curveRoom.take(n, len(b.edges)), b.sourceRoom.take(n, len(b.edges))
}

// canonical returns the contour, travelled the other way if back, so that it
// starts at its least point, x before y: the same drawing in another order gives
// the same contours.
func (b *builder) canonical(c Contour, back bool) Contour {
	n := len(c.Curves)
	first := 0
	if back {
		for i := 1; i < n; i++ {
			if lessPoint(c.Curves[n-1-i].End, c.Curves[n-1-first].End) {
				first = i
			}
		}
	} else {
		for i := 1; i < n; i++ {
			if lessPoint(c.Curves[i].Start, c.Curves[first].Start) {
				first = i
			}
		}
		if first == 0 {
			return c
		}
	}
	curves, sources := b.room(n)
	for i := range n {
		k := first + i
		if k >= n {
			k -= n
		}
		if back {
			k = n - 1 - k
			curves[i], sources[i] = c.Curves[k].Reversed(), c.Sources[k]
		} else {
			curves[i], sources[i] = c.Curves[k], c.Sources[k]
		}
	}
	c.Curves, c.Sources = curves, sources
	return c
}

func lessPoint(p, q r2.Point) bool { return p.X < q.X || p.X == q.X && p.Y < q.Y }
