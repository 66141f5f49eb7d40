package contour

import (
	"slices"

	"github.com/golang/geo/r2"
)

// Curves that hang together by nodes form a component. A component whose nodes
// all have two ends is a simple ring: it is a contour as drawn. Components that
// meet otherwise than ring with ring form a group, which is solved as a planar
// graph (planar.go):
//
//   - two rings that cross each other stay two contours, unless other contacts
//     bring both into one group, which must be planar: "crossing";
//   - two rings that touch stay two contours: "touching";
//   - a ring that crosses itself is split at the crossing: "crossing";
//   - a loose end on a curve is a T-junction and joins the two components;
//   - any other contact of a component that is no simple ring joins the two.

// split is a place where an edge is cut for the planar graph.
type split struct {
	t    float64
	node int
}

type edgeSplit struct {
	edge int
	split
}

// deferredSplit is a crossing of two rings that counts if they come into one
// group.
type deferredSplit struct {
	i, k int // edges
	cuts []edgeSplit
}

// disjoint is a union-find over 0..n-1 with path halving.
type disjoint []int32

func newDisjoint(n int) disjoint {
	d := make(disjoint, n)
	for i := range d {
		d[i] = int32(i)
	}
	return d
}

func (d disjoint) find(i int) int {
	k := int32(i)
	for d[k] != k {
		d[k] = d[d[k]]
		k = d[k]
	}
	return int(k)
}

// unite makes the smaller root the root of both.
func (d disjoint) unite(i, k int) {
	i, k = d.find(i), d.find(k)
	if i < k {
		d[k] = int32(i)
	} else {
		d[i] = int32(k)
	}
}

// components finds the components of all edges and which are simple rings.
func (b *builder) components() {
	b.comp = newDisjoint(len(b.edges))
	for n := range b.nodes {
		for _, e := range b.nodes[n].ends {
			b.comp.unite(b.nodes[n].ends[0].edge(), e.edge())
		}
	}
	b.simple = make([]bool, len(b.edges))
	for i := range b.edges {
		b.simple[b.comp.find(i)] = true
	}
	for n := range b.nodes {
		if k := len(b.nodes[n].ends); k != 2 && k != 0 {
			b.simple[b.comp.find(b.nodes[n].ends[0].edge())] = false
		}
	}
}

func (b *builder) isRing(edge int) bool { return b.simple[b.comp.find(edge)] }

// resolveContacts ties T-junctions, decides which contacts split curves, and
// reports rings that cross or touch.
func (b *builder) resolveContacts() {
	b.splits = make(map[int][]split)
	b.tied = make(map[int]bool)
	type occasion struct {
		i, k int // components
		code string
	}
	said := make(map[occasion]int)
	say := func(i, k int, at r2.Point, code string) {
		// One problem for two rings, a few for a ring with itself.
		p := [2]int{b.comp.find(i), b.comp.find(k)}
		o := occasion{min(p[0], p[1]), max(p[0], p[1]), code}
		if said[o]++; said[o] > 1 && p[0] != p[1] || said[o] > 20 {
			return
		}
		text := "a contour crosses itself"
		switch {
		case code == "touching" && p[0] == p[1]:
			text = "a contour touches itself"
		case code == "touching":
			text = "two contours touch"
		case p[0] != p[1]:
			text = "two contours cross"
			b.crossed = true
		}
		b.problem(code, at, []int{b.edges[i].src, b.edges[k].src}, text)
	}
	nearest := b.nearestEdges()
	spots := newGrid(max(1e-3, 2*b.graze()), len(b.crossings)+len(b.vertexContacts))
	var spotNode []int
	spot := func(n int) {
		spots.add(b.nodes[n].at)
		spotNode = append(spotNode, n)
	}
	for _, v := range b.vertexContacts {
		e := b.nodes[v.node].ends[0]
		if len(b.nodes[v.node].ends) == 1 {
			switch best := nearest[v.node]; {
			case best == v:
				b.tie(v)
				spot(v.node)
			case near(best.at, v.at, b.graze()):
				// The end lies where two curves meet.
				b.splits[v.edge] = append(b.splits[v.edge], split{v.t, v.node})
			default:
				continue
			}
			b.links = append(b.links, [2]int{e.edge(), v.edge})
			continue
		}
		if b.isRing(e.edge()) && b.isRing(v.edge) {
			same := b.comp.find(e.edge()) == b.comp.find(v.edge)
			through := b.passesThrough(v.node, v.edge, v.t)
			if !through {
				say(e.edge(), v.edge, v.at, "touching")
				continue
			}
			say(e.edge(), v.edge, v.at, "crossing")
			if !same {
				b.deferred = append(b.deferred, deferredSplit{e.edge(), v.edge, []edgeSplit{{v.edge, split{v.t, v.node}}}})
				continue
			}
		}
		b.splits[v.edge] = append(b.splits[v.edge], split{v.t, v.node})
		spot(v.node)
		b.links = append(b.links, [2]int{e.edge(), v.edge})
	}
	for _, x := range b.crossings {
		rings := b.isRing(x.i) && b.isRing(x.k)
		if x.touch {
			if rings {
				say(x.i, x.k, x.at, "touching")
			}
			continue
		}
		// Curves through one point share one node, also one where an end lies.
		n := -1
		spots.near(x.at, b.graze(), func(k int, _ float64) { n = spotNode[k] })
		if n < 0 {
			n = len(b.nodes)
			b.nodes = append(b.nodes, node{at: x.at})
			spot(n)
		}
		var cuts []edgeSplit
		for _, s := range [2]edgeSplit{{x.i, split{x.t, n}}, {x.k, split{x.u, n}}} {
			if e := &b.edges[s.edge]; e.a != n && e.b != n {
				cuts = append(cuts, s)
			}
		}
		if rings {
			say(x.i, x.k, x.at, "crossing")
			if b.comp.find(x.i) != b.comp.find(x.k) {
				b.deferred = append(b.deferred, deferredSplit{x.i, x.k, cuts})
				continue
			}
		}
		for _, s := range cuts {
			b.splits[s.edge] = append(b.splits[s.edge], s.split)
		}
		b.links = append(b.links, [2]int{x.i, x.k})
	}
}

// nearestEdges returns for every loose end that lies on curves the nearest one.
func (b *builder) nearestEdges() map[int]vertexContact {
	nearest := make(map[int]vertexContact)
	for _, v := range b.vertexContacts {
		if len(b.nodes[v.node].ends) != 1 {
			continue
		}
		if best, ok := nearest[v.node]; !ok || v.d < best.d || v.d == best.d && v.edge < best.edge {
			nearest[v.node] = v
		}
	}
	return nearest
}

// joinCorners unites two loose ends that lie on each other's curve: a corner at
// which both lines overshoot is one node, not two T-junctions.
func (b *builder) joinCorners() {
	nearest := b.nearestEdges()
	corner := make(map[int]bool)
	for n := range b.nodes {
		v, ok := nearest[n]
		if !ok || corner[n] {
			continue
		}
		for _, m := range b.edges[v.edge].ends() {
			w, ok := nearest[m]
			if !ok || corner[m] || m == n || w.edge != b.nodes[n].ends[0].edge() ||
				!near(b.nodes[n].at, b.nodes[m].at, 2*b.opt.Join) {
				continue
			}
			corner[n], corner[m] = true, true
			nd := &b.nodes[n]
			nd.wide = max(nd.wide, v.d, w.d, nd.at.Sub(b.nodes[m].at).Norm())
			nd.at = v.at.Add(w.at).Mul(0.5)
			e := b.nodes[m].ends[0]
			b.setNode(e, n)
			nd.ends = append(nd.ends, e)
			b.nodes[m].ends = nil
			for _, i := range [2]int{v.edge, w.edge} {
				b.fitEdge(&b.edges[i])
			}
			break
		}
	}
	if len(corner) > 0 {
		b.vertexContacts = slices.DeleteFunc(b.vertexContacts, func(v vertexContact) bool { return corner[v.node] })
	}
}

// tie moves a loose end onto the curve that it meets.
func (b *builder) tie(v vertexContact) {
	nd := &b.nodes[v.node]
	b.tied[v.node] = true
	b.splits[v.edge] = append(b.splits[v.edge], split{v.t, v.node})
	if v.d <= b.base {
		return
	}
	nd.wide = max(nd.wide, v.d)
	nd.at = v.at
	b.fitEdge(&b.edges[nd.ends[0].edge()])
}

// solveGroups turns rings that nothing meets into contours at once, and solves
// all other groups.
func (b *builder) solveGroups() {
	group := newDisjoint(len(b.edges))
	planar := make([]bool, len(b.edges))
	for i := range b.edges {
		if i < b.firstJoint {
			group.unite(i, b.comp.find(i))
		}
	}
	for _, l := range b.links {
		group.unite(l[0], l[1])
	}
	for i := b.firstJoint; i < len(b.edges); i++ {
		for _, n := range b.edges[i].ends() {
			group.unite(i, b.nodes[n].ends[0].edge())
		}
	}
	for _, d := range b.deferred {
		if group.find(d.i) == group.find(d.k) {
			for _, s := range d.cuts {
				b.splits[s.edge] = append(b.splits[s.edge], s.split)
			}
		}
	}
	for i := range b.edges {
		if i >= b.firstJoint || !b.isRing(i) || len(b.splits[i]) > 0 {
			planar[group.find(i)] = true
		}
	}
	members := make(map[int][]int)
	for i := range b.edges {
		if r := group.find(i); planar[r] && !b.edges[i].gone {
			members[r] = append(members[r], i)
		}
	}
	b.solving.local = make([]int32, len(b.nodes))
	for i := range b.solving.local {
		b.solving.local[i] = -1
	}
	done := make([]bool, len(b.edges))
	for i := range b.edges {
		if done[i] || b.edges[i].gone {
			continue
		}
		r := group.find(i)
		if !planar[r] {
			b.traceRing(i, done)
			continue
		}
		for _, k := range members[r] {
			done[k] = true
		}
		if r == i {
			b.solve(members[r])
		}
	}
}

// solve solves a group, taking out joints that do not close a contour well
// until none is left to take out.
func (b *builder) solve(edges []int) {
	g := b.planarGraph(edges)
	for {
		g.readDividers()
		bad := g.badJoints()
		if len(bad) == 0 {
			g.emit()
			return
		}
		g.takeOut(bad)
	}
}

// traceRing keeps the simple ring that edge i belongs to.
func (b *builder) traceRing(i int, done []bool) {
	e := &b.edges[i]
	if e.a < 0 {
		done[i] = true
		curves, sources := b.room(1)
		curves[0], sources[0] = e.c, e.src
		b.addRing(curves, sources, e.gap, e.length, e.box)
		return
	}
	chain := b.walk(end(2*i), done)
	length, in := 0.0, e.box
	for _, k := range chain {
		e := &b.edges[k.edge()]
		length, in = length+e.length, in.union(e.box)
	}
	curves, sources, gap := b.curvesOf(chain)
	b.addRing(curves, sources, gap, length, in)
}
