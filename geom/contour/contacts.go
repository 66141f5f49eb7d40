package contour

import (
	"math"
	"slices"

	"burrcast/geom"

	"github.com/golang/geo/r2"
)

// Where curves meet other than at a common node is found pair by pair, for
// pairs whose boxes meet:
//
//   - a vertex contact is a node on the inside of another curve: for a loose
//     end within the join tolerance (a T-junction), for a node of two or more
//     ends within grazing distance;
//   - a crossing is a point inside both curves;
//   - curves that come within grazing distance without passing through each
//     other touch there; nothing is split for that.
//
// Grazing distance is the join tolerance over 500: 1e-4 mm by default, the last
// digit of drawings written with four decimals.

type vertexContact struct {
	node, edge int
	t, d       float64 // fraction of the edge, distance of the node
	at         r2.Point
}

type crossing struct {
	i, k  int // edges
	t, u  float64
	at    r2.Point
	touch bool
}

func (b *builder) graze() float64 { return max(b.opt.Join/500, 4*b.base) }

// reach is how far a contact with node n may lie from it.
func (b *builder) reach(n int) float64 {
	if len(b.nodes[n].ends) == 1 {
		return b.opt.Join
	}
	return b.graze()
}

// findContacts fills b.vertexContacts and b.crossings. When there are too many,
// only the contacts of nodes found so far are kept.
func (b *builder) findContacts() {
	n := len(b.edges)
	if b.tree == nil || b.slack > b.base {
		b.plant()
	}
	most := 300_000 + 8*n
	for i := range b.edges {
		e := &b.edges[i]
		grow := b.graze()
		for _, nd := range e.ends() {
			if nd >= 0 {
				grow = max(grow, b.reach(nd))
			}
		}
		q := e.box.grown(grow)
		for _, k := range b.near.of(i) {
			f := &b.edges[k]
			if !f.box.meets(q) {
				continue
			}
			b.vertexContact(i, int(k), f.box)
			if int(k) > i && e.box.meets(f.box) {
				b.crossPair(i, int(k))
			}
		}
		if len(b.crossings) >= most {
			break
		}
	}
	if !b.near.whole || len(b.crossings) >= most {
		b.problem("not-converged", b.edges[0].c.Start, nil, "too many curves cross each other; crossings are not split")
		b.crossings = nil
	}
}

func (e *edge) ends() [2]int { return [2]int{e.a, e.b} }

// vertexContact looks for the nodes of edge i on the inside of edge k.
func (b *builder) vertexContact(i, k int, bk box) {
	for side, n := range b.edges[i].ends() {
		if n < 0 || n == b.edges[k].a || n == b.edges[k].b || b.nodes[n].ends[0] != end(2*i+side) {
			continue
		}
		p, tol := b.nodes[n].at, b.reach(n)
		if !bk.grown(tol).meets(box{p.X, p.Y, p.X, p.Y}) {
			continue
		}
		c := &b.edges[k].c
		if offCircle(c, p, tol) {
			continue
		}
		t, q := c.Closest(p)
		d := q.Sub(p).Norm()
		if d > tol || !c.IsCircle() && (near(q, c.Start, b.base) || near(q, c.End, b.base)) || b.nearAlong(n, k, 4*tol) {
			continue
		}
		b.vertexContacts = append(b.vertexContacts, vertexContact{n, k, t, d, q})
		b.meet(b.edges[i].src, b.edges[k].src)
	}
}

// nearAlong reports whether edge k is reached from node n along its own chain
// within the length given: then nearness is no contact.
func (b *builder) nearAlong(n, k int, length float64) bool {
	if len(b.nodes[n].ends) > 2 {
		return false
	}
	for _, e := range b.nodes[n].ends {
		for left := length; left > 0; {
			if e.edge() == k {
				return true
			}
			left -= b.edges[e.edge()].length
			next, ok := b.onward(e)
			if !ok || next.edge() == e.edge() {
				break
			}
			e = next
		}
	}
	return false
}

// onward returns the end by which a walk that leaves by e goes on past the far
// node, if that node is a plain passage.
func (b *builder) onward(e end) (end, bool) {
	far := b.nodeOf(e.other())
	if far < 0 || len(b.nodes[far].ends) != 2 {
		return 0, false
	}
	if ends := b.nodes[far].ends; ends[0] != e.other() {
		return ends[0], true
	}
	return b.nodes[far].ends[1], true
}

// crossPair looks for crossings of two edges.
func (b *builder) crossPair(i, k int) {
	ei, ek := &b.edges[i], &b.edges[k]
	shared := ei.a >= 0 && (ei.a == ek.a || ei.a == ek.b || ei.b == ek.a || ei.b == ek.b)
	if shared && !ei.c.IsArc() && !ek.c.IsArc() {
		return
	}
	var found [2]geom.Contact
	n := geom.Contacts(&ei.c, &ek.c, b.base, &found)
	graze := b.graze()
	inside := found[:0]
	for _, x := range found[:n] {
		if !b.nearEnd(ei, ek, x.T) && !b.nearEnd(ek, ei, x.U) {
			inside = append(inside, x)
		}
	}
	if len(inside) == 2 {
		// In and out again without leaving grazing distance is touching.
		x, y := inside[0], inside[1]
		t := (x.T + y.T) / 2
		m := ei.c.At(t)
		if _, q := ek.c.Closest(m); near(m, q, graze) {
			inside = append(inside[:0], geom.Contact{T: t, U: (x.U + y.U) / 2, At: m, Touch: true})
		}
	}
	for _, x := range inside {
		b.crossings = append(b.crossings, crossing{i, k, x.T, x.U, x.At, x.Touch})
		b.meet(ei.src, ek.src)
	}
}

// nearEnd reports whether the contact at fraction t of e belongs to a node of e
// that lies on f: from the node to the contact, e is no farther from f than the
// node is.
func (b *builder) nearEnd(e, f *edge, t float64) bool {
	for side, n := range e.ends() {
		if n < 0 {
			continue
		}
		tol := b.graze()
		if n == f.a || n == f.b {
			if math.Abs(t-float64(side))*e.length <= tol {
				return true // within tol of the node, and that lies on f
			}
		} else {
			p := b.nodes[n].at
			_, q := f.c.Closest(p)
			d := q.Sub(p).Norm()
			if d > b.reach(n) {
				continue
			}
			tol = max(tol, 1.01*d)
		}
		m := e.c.At((t + float64(side)) / 2)
		if _, q := f.c.Closest(m); near(m, q, tol) {
			return true
		}
	}
	return false
}

// passesThrough reports whether the two ends at node n leave edge k, on whose
// fraction t the node lies, to different sides.
func (b *builder) passesThrough(n, k int, t float64) bool {
	if len(b.nodes[n].ends) != 2 {
		return true
	}
	c := b.edges[k].c
	rays := []ray{newRay(c, t, true), newRay(c, t, false)}
	for _, e := range b.nodes[n].ends {
		f := 0.0
		if e.isEnd() {
			f = 1
		}
		rays = append(rays, newRay(b.edges[e.edge()].c, f, !e.isEnd()))
	}
	order := sortRays(rays)
	// Round the node the two of k must not be neighbours.
	i0, i1 := slices.Index(order, 0), slices.Index(order, 1)
	d := (i1 - i0 + 4) % 4
	return d == 2
}
