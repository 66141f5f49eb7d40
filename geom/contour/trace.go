package contour

import (
	"math"

	"burrcast/geom"

	"github.com/golang/geo/r2"
)

// trace walks the edges into closed rings and open chains: from every loose end
// and every junction along nodes of two ends, then round what is left. O(n).
func (b *builder) trace() {
	done := make([]bool, len(b.edges))
	for i := range b.edges {
		if e := &b.edges[i]; e.c.IsCircle() {
			done[i] = true
			b.addRing([]geom.Curve{e.c}, []int{e.src}, e.gap)
		}
	}
	for n := range b.nodes {
		if len(b.nodes[n].ends) == 2 {
			continue
		}
		for _, e := range b.nodes[n].ends {
			if !done[e.edge()] {
				b.addOpen(b.walk(e, done))
			}
		}
	}
	for i := range b.edges {
		if !done[i] {
			chain := b.walk(end(2*i), done)
			curves, sources, gap := b.curvesOf(chain)
			b.addRing(curves, sources, gap)
		}
	}
}

// walk follows the edge that leaves its node at e until a node that is no plain
// passage, or back to where it began. It returns the ends that it leaves by.
func (b *builder) walk(e end, done []bool) []end {
	var chain []end
	for !done[e.edge()] {
		done[e.edge()] = true
		chain = append(chain, e)
		far := &b.nodes[b.nodeOf(e.other())]
		if len(far.ends) != 2 {
			break
		}
		if far.ends[0] == e.other() {
			e = far.ends[1]
		} else {
			e = far.ends[0]
		}
	}
	return chain
}

// curvesOf returns the chain's curves in the direction of travel, their sources
// and the widest gap at its nodes.
func (b *builder) curvesOf(chain []end) (curves []geom.Curve, sources []int, gap float64) {
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

// addRing keeps a closed chain.
func (b *builder) addRing(curves []geom.Curve, sources []int, gap float64) {
	l := newLoop(curves)
	if math.Abs(l.area) <= b.base*geom.LoopLength(curves) {
		b.problem("overlap", curves[0].Start, sources, "a closed contour without area")
		b.res.Open = append(b.res.Open, Open{Curves: curves, Sources: sources, Region: -1})
		return
	}
	b.res.LargestGap = max(b.res.LargestGap, gap)
	b.loops = append(b.loops, ring{Contour{Curves: curves, Sources: sources, Gap: gap}, l})
}

// addOpen keeps a chain that does not close.
func (b *builder) addOpen(chain []end) {
	curves, sources, _ := b.curvesOf(chain)
	b.res.Open = append(b.res.Open, Open{
		Curves: curves, Sources: sources, Region: -1,
		Gap: curves[0].Start.Sub(curves[len(curves)-1].End).Norm(),
	})
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
