package contour

import (
	"math"
	"slices"

	"burrcast/geom"

	"github.com/golang/geo/r2"
)

// Which ends of curves are one point is decided from fine to coarse, so that a
// well-drawn corner is never moved by a badly drawn one beside it:
//
//  1. ends within rounding of each other share a node (hash grid, O(n));
//  2. for each tolerance of a ladder from a millionth of a millimetre up to
//     the join tolerance, every node that still has one curve only is a loose
//     end; loose ends unite with each other and with any node within that
//     tolerance, the nearest pairs first;
//  3. two ends of one short chain never unite, or details smaller than the
//     join tolerance would collapse;
//  4. a cluster never grows wider than twice the join tolerance; a pair that
//     this refuses is reported as "gap-cluster".
//
// A node that had two curves or more keeps its place. Of two loose ends the
// line's moves to the arc's, since an arc can only follow by changing its circle;
// ends of one kind halve the way.

// grid buckets points by cell for neighbour queries.
type grid struct {
	cell   float64
	head   []int32 // by hash of a cell, the last point there counted from 1; cells may share one
	points []gridPoint
}

type gridPoint struct {
	at   r2.Point
	hash uint32 // of its cell
	next int32  // the point before it under the same head, counted from 1
}

// newGrid returns a grid made for about n points.
func newGrid(cell float64, n int) *grid {
	size := 16
	for size < n {
		size *= 2
	}
	return &grid{cell: cell, head: make([]int32, size), points: make([]gridPoint, 0, n)}
}

func (g *grid) key(x, y float64) (int64, int64) {
	return int64(math.Floor(x / g.cell)), int64(math.Floor(y / g.cell))
}

// hashOf mixes numbers by odd constants and takes high bits, so that rows and columns of cells spread.
func hashOf(x, y, z int64) uint32 {
	h := uint64(x)*0x9e3779b97f4a7c15 + uint64(y)*0xd1b54a32d192ed03 + uint64(z)*0xa0761d6478bd642f
	h ^= h >> 29
	h *= 0x9e3779b97f4a7c15
	return uint32(h >> 32)
}

// add stores p and returns its number, counting from 0.
func (g *grid) add(p r2.Point) int {
	x, y := g.key(p.X, p.Y)
	h := hashOf(x, y, 0)
	head := &g.head[int(h)&(len(g.head)-1)]
	g.points = append(g.points, gridPoint{p, h, *head})
	*head = int32(len(g.points))
	return len(g.points) - 1
}

// near calls f for every stored point within tol of p; tol is at most a cell.
func (g *grid) near(p r2.Point, tol float64, f func(i int, d float64)) {
	x0, y0 := g.key(p.X-tol, p.Y-tol)
	x1, y1 := g.key(p.X+tol, p.Y+tol)
	for x := x0; x <= x1; x++ {
		for y := y0; y <= y1; y++ {
			h := hashOf(x, y, 0)
			for i := g.head[int(h)&(len(g.head)-1)]; i > 0; {
				q := &g.points[i-1]
				if q.hash == h {
					if d := q.at.Sub(p).Norm(); d <= tol {
						f(int(i-1), d)
					}
				}
				i = q.next
			}
		}
	}
}

// end is one end of an edge: 2*edge for its start, 2*edge+1 for its end.
type end int32

func (e end) edge() int   { return int(e >> 1) }
func (e end) isEnd() bool { return e&1 == 1 }
func (e end) other() end  { return e ^ 1 }

// node is a point where ends meet.
type node struct {
	at   r2.Point
	ends []end
	arc  bool    // an arc ends here
	wide float64 // largest distance between the ends as drawn, mm
}

// joinEnds gives every edge its two nodes, moving ends together.
func (b *builder) joinEnds() {
	b.seedNodes()
	least := b.leastGap()
	for tol := 1e-6; ; tol *= 10 {
		tol = min(tol, b.opt.Join)
		if tol > b.base && least <= tol {
			b.uniteLoose(tol)
		}
		if tol >= b.opt.Join {
			break
		}
	}
	b.snapEnds()
}

func (b *builder) endPoint(e end) r2.Point {
	if e.isEnd() {
		return b.edges[e.edge()].c.End
	}
	return b.edges[e.edge()].c.Start
}

func (b *builder) nodeOf(e end) int {
	if e.isEnd() {
		return b.edges[e.edge()].b
	}
	return b.edges[e.edge()].a
}

func (b *builder) setNode(e end, n int) {
	if e.isEnd() {
		b.edges[e.edge()].b = n
	} else {
		b.edges[e.edge()].a = n
	}
}

// seedNodes makes one node for all ends within rounding of each other.
func (b *builder) seedNodes() {
	g := newGrid(max(1e-3, 4*b.base), 2*len(b.edges))
	b.nodes = make([]node, 0, len(b.edges)+1)
	room := make([]end, 4*len(b.edges)) // for two ends each; more are rare
	for i := range b.edges {
		if b.edges[i].c.IsCircle() {
			b.edges[i].a, b.edges[i].b = -1, -1
			continue
		}
		for _, e := range [2]end{end(2 * i), end(2*i + 1)} {
			p := b.endPoint(e)
			best, dist := -1, math.Inf(1)
			g.near(p, b.base, func(k int, d float64) {
				if d < dist {
					best, dist = k, d
				}
			})
			if best < 0 {
				best = g.add(p)
				b.nodes = append(b.nodes, node{at: p, ends: room[:0:2]})
				room = room[2:]
			}
			b.attach(best, e)
		}
	}
}

// attach adds the end e, as drawn, to node n.
func (b *builder) attach(n int, e end) {
	p := b.endPoint(e)
	nd := &b.nodes[n]
	nd.wide = max(nd.wide, p.Sub(nd.at).Norm())
	nd.arc = nd.arc || b.edges[e.edge()].c.IsArc()
	nd.ends = append(nd.ends, e)
	b.setNode(e, n)
}

type nodePair struct {
	u, v  int
	d     float64
	loose bool     // both were loose ends
	mid   r2.Point // decides between equal distances
}

func (b *builder) pair(u, v int, d float64, loose bool) nodePair {
	return nodePair{u, v, d, loose, b.nodes[u].at.Add(b.nodes[v].at).Mul(0.5)}
}

// comparePairs puts pairs of loose ends first, then the nearest. Equal distances
// are ordered by place, so that the order of the input does not matter.
func comparePairs(p, q nodePair) int {
	if p.loose != q.loose {
		if p.loose {
			return -1
		}
		return 1
	}
	for _, c := range [3]int{cmpFloat(p.d, q.d), cmpFloat(p.mid.X, q.mid.X), cmpFloat(p.mid.Y, q.mid.Y)} {
		if c != 0 {
			return c
		}
	}
	if p.u != q.u {
		return p.u - q.u
	}
	return p.v - q.v
}

// looseEnds returns the nodes of one end, and their places in a grid.
func (b *builder) looseEnds(cell float64) (loose []int, at *grid) {
	for i := range b.nodes {
		if len(b.nodes[i].ends) == 1 {
			loose = append(loose, i)
		}
	}
	at = newGrid(cell, len(loose))
	for _, u := range loose {
		at.add(b.nodes[u].at)
	}
	return loose, at
}

// leastGap returns the least distance of a loose end from another node, if it is
// within the join tolerance, else infinity: no finer tolerance unites anything.
func (b *builder) leastGap() float64 {
	least := math.Inf(1)
	loose, at := b.looseEnds(4 * b.opt.Join)
	if len(loose) == 0 {
		return least
	}
	for v := range b.nodes {
		at.near(b.nodes[v].at, min(least, b.opt.Join), func(k int, d float64) {
			if loose[k] != v {
				least = min(least, d)
			}
		})
	}
	return least
}

// uniteLoose unites loose ends with what lies within tol of them.
func (b *builder) uniteLoose(tol float64) {
	loose, mine := b.looseEnds(4 * tol)
	if len(loose) == 0 {
		return
	}
	isLoose := make([]bool, len(b.nodes))
	for _, u := range loose {
		isLoose[u] = true
	}
	var pairs []nodePair
	for i, u := range loose {
		mine.near(b.nodes[u].at, tol, func(k int, d float64) {
			if k > i {
				pairs = append(pairs, b.pair(u, loose[k], d, true))
			}
		})
	}
	for v := range b.nodes {
		if len(b.nodes[v].ends) >= 2 {
			mine.near(b.nodes[v].at, tol, func(k int, d float64) {
				pairs = append(pairs, b.pair(loose[k], v, d, false))
			})
		}
	}
	slices.SortFunc(pairs, comparePairs)
	if len(pairs) == 0 {
		return
	}
	if b.spread == nil {
		b.spread = make([]box, len(b.nodes))
		for i := range b.nodes {
			p := b.nodes[i].at
			b.spread[i] = box{p.X, p.Y, p.X, p.Y}
		}
	}
	root := newDisjoint(len(b.nodes)) // by the node that took each in
	find := func(u int) int {
		for int(root[u]) != u {
			u = int(root[u])
		}
		return u
	}
	for _, p := range pairs {
		u, v := find(p.u), find(p.v)
		if u == v || b.closeAlong(p.u, v, tol) || p.loose && b.closeAlong(p.v, u, tol) {
			continue
		}
		if !p.loose && len(b.nodes[u].ends) > 1 {
			continue // it found a partner of its own kind
		}
		merged := b.spread[u].union(b.spread[v])
		if wide := math.Hypot(merged.x1-merged.x0, merged.y1-merged.y0); wide > 2*b.opt.Join {
			b.meet(b.sourcesAt(u, v)...)
			if b.said["gap-cluster"] < maxProblems {
				b.problem("gap-cluster", b.nodes[v].at, b.sourcesAt(u, v),
					"ends lie so close together that it is unclear which belong together")
			}
			continue
		}
		root[u] = int32(v)
		b.mergeNodes(u, v, isLoose)
	}
}

// mergeNodes moves all ends of u to v.
func (b *builder) mergeNodes(u, v int, loose []bool) {
	nu, nv := &b.nodes[u], &b.nodes[v]
	d := nu.at.Sub(nv.at).Norm()
	switch {
	case loose[u] && loose[v] && nu.arc != nv.arc:
		if nu.arc {
			nv.at = nu.at
		}
	case loose[u] && loose[v]:
		w := float64(len(nu.ends)) / float64(len(nu.ends)+len(nv.ends))
		nv.at = nv.at.Add(nu.at.Sub(nv.at).Mul(w))
	case loose[v]:
		nv.at = nu.at
	}
	loose[v] = loose[v] && loose[u]
	nv.arc = nv.arc || nu.arc
	nv.wide = max(nv.wide, nu.wide, d)
	b.spread[v] = b.spread[v].union(b.spread[u])
	for _, e := range nu.ends {
		b.setNode(e, v)
	}
	nv.ends = append(nv.ends, nu.ends...)
	nu.ends = nil
}

// closeAlong reports whether v is reached from the loose end u along its own
// chain within a few times tol: then the two are a detail of the drawing, not a
// gap.
func (b *builder) closeAlong(u, v int, tol float64) bool {
	if len(b.nodes[u].ends) != 1 {
		return false
	}
	e := b.nodes[u].ends[0]
	for left := 4 * tol; ; {
		left -= b.edges[e.edge()].length
		if left < 0 {
			return false
		}
		far := b.nodeOf(e.other())
		if far == v || far == u {
			return far == v
		}
		nd := &b.nodes[far]
		if len(nd.ends) != 2 {
			return false
		}
		next := nd.ends[0]
		if next == e.other() {
			next = nd.ends[1]
		}
		if next.edge() == e.edge() {
			return false
		}
		e = next
	}
}

func (b *builder) sourcesAt(nodes ...int) []int {
	var out []int
	for _, n := range nodes {
		for _, e := range b.nodes[n].ends {
			out = append(out, b.edges[e.edge()].src)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// snapEnds moves the curves' ends onto their nodes.
func (b *builder) snapEnds() {
	for i := range b.edges {
		e := &b.edges[i]
		if e.a < 0 {
			continue
		}
		b.fitEdge(e)
		if e.c.IsCircle() {
			// A circle drawn as one arc with a small gap.
			e.gap = b.nodes[e.a].wide
		}
	}
}

// fitEdge moves the edge's ends onto its nodes.
func (b *builder) fitEdge(e *edge) {
	was := e.box
	e.reshape(moveEnds(e.c, b.nodes[e.a].at, b.nodes[e.b].at, b.base))
	b.slack = max(b.slack, was.x0-e.box.x0, was.y0-e.box.y0, e.box.x1-was.x1, e.box.y1-was.y1)
}

// moveEnds returns c with its ends at p and q. Moves within exact leave an
// arc's centre and radius alone. Otherwise an arc of up to half a turn keeps its
// bulge, so that it meets its neighbours at nearly the angles drawn; a longer
// one, whose chord may be short, keeps its middle instead.
func moveEnds(c geom.Curve, p, q r2.Point, exact float64) geom.Curve {
	if p == c.Start && q == c.End {
		return c
	}
	dp, dq := p.Sub(c.Start), q.Sub(c.End)
	moved := max(dp.Norm(), dq.Norm())
	if !c.IsArc() || moved <= exact {
		c.Start, c.End = p, q
		return c
	}
	if p == q {
		sweep := math.Copysign(2*math.Pi, float64(c.Sweep))
		v := p.Sub(c.Center)
		out := c
		out.Start, out.End = p, q
		out.From = angleOf(v)
		out.Sweep = angle(sweep)
		out.Center = p.Sub(geom.Direction(out.From).Mul(c.Radius))
		return out
	}
	if math.Abs(float64(c.Sweep)) <= math.Pi {
		return geom.Bulge(p, q, math.Tan(float64(c.Sweep)/4))
	}
	mid := c.At(0.5).Add(dp.Add(dq).Mul(0.5))
	return arcThrough(p, mid, q)
}

// arcThrough returns the arc from p over m to q, or a line if they are in line.
func arcThrough(p, m, q r2.Point) geom.Curve {
	// The angle at m under which the chord is seen is pi less half the sweep.
	u, v := p.Sub(m), q.Sub(m)
	cross, dot := geom.Cross(u, v), u.Dot(v)
	seen := math.Atan2(cross, dot) // negative for a counter-clockwise arc
	quarter := (math.Pi - math.Abs(seen)) / 2
	return geom.Bulge(p, q, math.Copysign(math.Tan(quarter), -cross))
}
