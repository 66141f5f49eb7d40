package contour

import (
	"burrcast/geom"

	"github.com/golang/geo/r2"
)

// walk follows the edge that leaves its node at e along nodes of two ends until
// it is back. It returns the ends that it leaves by.
func (b *builder) walk(e end, done []bool) []end {
	var chain []end
	for !done[e.edge()] {
		done[e.edge()] = true
		chain = append(chain, e)
		next, ok := b.onward(e)
		if !ok {
			break
		}
		e = next
	}
	return chain
}

// curvesOf returns the chain's curves in the direction of travel, their sources
// and the widest gap at its nodes.
func (b *builder) curvesOf(chain []end) (curves []geom.Curve, sources []int, gap float64) {
	curves, sources = make([]geom.Curve, 0, len(chain)), make([]int, 0, len(chain))
	for _, e := range chain {
		ed := &b.edges[e.edge()]
		c := ed.c
		if e.isEnd() {
			c = c.Reversed()
		}
		curves = append(curves, c)
		sources = append(sources, ed.src)
		gap = max(gap, b.nodes[ed.a].wide, b.nodes[ed.b].wide)
	}
	return curves, sources, gap
}

// canonical turns the ring so that it starts at its least point, x before y:
// the same drawing in another order gives the same contours.
func canonical(c Contour) Contour {
	k := 0
	for i := range c.Curves {
		if lessPoint(c.Curves[i].Start, c.Curves[k].Start) {
			k = i
		}
	}
	if k > 0 {
		c.Curves = append(append([]geom.Curve{}, c.Curves[k:]...), c.Curves[:k]...)
		c.Sources = append(append([]int{}, c.Sources[k:]...), c.Sources[:k]...)
	}
	return c
}

func lessPoint(p, q r2.Point) bool { return p.X < q.X || p.X == q.X && p.Y < q.Y }

// turned returns the contour travelled the other way.
func turned(c Contour) Contour {
	n := len(c.Sources)
	s := make([]int, n)
	for i, v := range c.Sources {
		s[n-1-i] = v
	}
	c.Curves, c.Sources = geom.ReverseLoop(c.Curves), s
	return c
}
