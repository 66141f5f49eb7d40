package contour

import (
	"slices"

	"burrcast/geom"
)

// A shadow is an open chain whose two ends lie on other curves and which never
// leaves them by more than the join tolerance: a line drawn again a little
// beside the first, or what is left of one after its covered stretches are
// gone. Shadows are dropped as duplicates before the planar graph is built,
// where two curves in one place would bound faces of nothing.

// dropShadows removes shadows from the edges' nodes and from the contacts.
func (b *builder) dropShadows() {
	if len(b.vertexContacts) == 0 {
		return
	}
	on := make(map[int]bool)
	for _, v := range b.vertexContacts {
		on[v.node] = true
	}
	gone := make(map[int]bool)
	for n := range b.nodes {
		if len(b.nodes[n].ends) != 1 || !on[n] {
			continue
		}
		chain := b.chainFrom(b.nodes[n].ends[0])
		last := b.nodeOf(chain[len(chain)-1].other())
		if last == n || len(b.nodes[last].ends) != 1 || !on[last] || !b.shadowed(chain, gone) {
			continue
		}
		for _, e := range chain {
			gone[e.edge()] = true
			b.res.Duplicates = append(b.res.Duplicates, b.edges[e.edge()].src)
			for _, k := range b.edges[e.edge()].ends() {
				b.nodes[k].ends = nil
			}
		}
	}
	if len(gone) == 0 {
		return
	}
	b.vertexContacts = slices.DeleteFunc(b.vertexContacts, func(v vertexContact) bool {
		return gone[v.edge] || len(b.nodes[v.node].ends) == 0
	})
	b.crossings = slices.DeleteFunc(b.crossings, func(x crossing) bool { return gone[x.i] || gone[x.k] })
	for i := range gone {
		b.edges[i].gone = true
	}
}

// chainFrom walks from a loose end along nodes of two ends.
func (b *builder) chainFrom(e end) []end {
	chain := []end{e}
	for {
		next, ok := b.onward(e)
		if !ok || next.edge() == chain[0].edge() {
			return chain
		}
		e = next
		chain = append(chain, e)
	}
}

// shadowed reports whether the chain runs along edges that are not its own.
func (b *builder) shadowed(chain []end, gone map[int]bool) bool {
	own := make(map[int]bool, len(chain))
	for _, e := range chain {
		own[e.edge()] = true
	}
	// The middle first: a chord fails there at once.
	for _, t := range [5]float64{0.5, 0.25, 0.75, 0, 1} {
		for _, e := range chain {
			c := &b.edges[e.edge()].c
			p := c.At(t)
			along := false
			b.tree.query(box{p.X, p.Y, p.X, p.Y}.grown(b.opt.Join+b.slack), func(k int) bool {
				if !own[k] && !gone[k] {
					_, q := b.edges[k].c.Closest(p)
					if along = near(p, q, b.opt.Join) && runsWith(c, &b.edges[k].c, t); along {
						b.meet(b.edges[k].src)
					}
				}
				return !along
			})
			if !along {
				return false
			}
		}
	}
	return true
}

// runsWith reports whether c at fraction t has about the direction that d has
// nearby; a curve that only crosses d does not run along it.
func runsWith(c, d *geom.Curve, t float64) bool {
	u, _ := d.Closest(c.At(t))
	cross := geom.Cross(c.Tangent(t), d.Tangent(u))
	return cross > -0.5 && cross < 0.5
}
