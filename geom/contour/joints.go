package contour

import (
	"slices"

	"burrcast/geom"
)

// Joints are bridged between loose ends farther apart than the join tolerance
// and no farther than the joint limit:
//
//  1. candidate pairs come from a hash grid, the nearest eight of each end;
//  2. nearest pairs first, each end once, if nothing lies between them and the
//     two are not ends of one chain so short that the gap is its own size;
//  3. the bridges take part in everything that follows as lines of no source;
//  4. a bridge stays only if it closes a contour of which it is a small part:
//     no wider than area over perimeter, a quarter of the contour's hydraulic
//     diameter (of a disc a quarter of the diameter). Others are taken out again.

// looseNodes returns the nodes of one end that no T-junction holds.
func (b *builder) looseNodes() []int {
	var out []int
	for n := range b.nodes {
		if len(b.nodes[n].ends) == 1 && !b.tied[n] {
			out = append(out, n)
		}
	}
	return out
}

// bridgeJoints adds a line for every joint and returns the index of the first.
func (b *builder) bridgeJoints() {
	b.firstJoint = len(b.edges)
	if b.opt.JointLimit <= b.opt.Join {
		return
	}
	loose := b.looseNodes()
	g := newGrid(b.opt.JointLimit, len(loose))
	for _, n := range loose {
		g.add(b.nodes[n].at)
	}
	const most = 8
	var pairs, mine []nodePair
	for i, n := range loose {
		mine = mine[:0]
		budget := 4096 // a cell crowded with ends holds no joints worth finding
		g.near(b.nodes[n].at, b.opt.JointLimit, func(k int, d float64) {
			if budget--; k != i && d > 0 && budget > 0 {
				mine = append(mine, b.pair(min(n, loose[k]), max(n, loose[k]), d, true))
			}
		})
		slices.SortFunc(mine, comparePairs)
		pairs = append(pairs, mine[:min(most, len(mine))]...)
	}
	slices.SortFunc(pairs, comparePairs)
	pairs = slices.Compact(pairs)
	taken := make(map[int]bool)
	for _, p := range pairs {
		if taken[p.u] || taken[p.v] || b.closeAlong(p.u, p.v, p.d) || b.blocked(p) {
			continue
		}
		taken[p.u], taken[p.v] = true, true
		i := len(b.edges)
		e := newEdge(geom.Line(b.nodes[p.u].at, b.nodes[p.v].at), -1)
		e.a, e.b = p.u, p.v
		b.edges = append(b.edges, e)
		b.nodes[p.u].ends = append(b.nodes[p.u].ends, end(2*i))
		b.nodes[p.v].ends = append(b.nodes[p.v].ends, end(2*i+1))
	}
}

// blocked reports whether a curve lies between the two ends of a gap.
func (b *builder) blocked(p nodePair) bool {
	l := geom.Line(b.nodes[p.u].at, b.nodes[p.v].at)
	hit := false
	b.tree.query(boxOf(l.Bounds()).grown(b.slack), func(i int) bool {
		for _, x := range geom.Intersect(l, b.edges[i].c, 0) {
			if x.T*p.d > b.opt.Join && (1-x.T)*p.d > b.opt.Join {
				hit = true
				b.meet(b.edges[i].src)
			}
		}
		return !hit
	})
	return hit
}

// jointsOf returns the joints among the curves of a contour.
func jointsOf(curves []geom.Curve, sources []int) []Joint {
	var out []Joint
	for i, s := range sources {
		if s < 0 {
			c := curves[i]
			out = append(out, Joint{A: c.Start, B: c.End, Width: c.Length()})
		}
	}
	return out
}
