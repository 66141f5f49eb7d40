package contour

import (
	"slices"

	"burrcast/geom"

	"github.com/golang/geo/r2"
)

// A group is solved as a planar graph:
//
//  1. cut its curves at their splits into pieces between nodes;
//  2. drop every bridge (Tarjan, 1974, without recursion): a piece on no cycle
//     bounds nothing. Dangling pieces are bridges too;
//  3. sort the half-edges round every node (rays.go) and walk the face to the
//     left of each;
//  4. cut each walk where it comes back to a node: what remains are simple
//     cycles. The counter-clockwise ones bound a face; clockwise ones go round a
//     block of faces from outside;
//  5. decide which pieces between two faces are marks across one part rather
//     than cuts between two (dividers.go), and start again without them;
//  6. join pieces of one curve again where nothing divides them any more, so
//     that a T-junction leaves an outline as drawn.

// piece is a curve between two nodes of the graph.
type piece struct {
	c       geom.Curve
	length  float64 // of c, mm
	segment float64 // signed area between c and its chord, mm2
	edge    int     // of the builder
	t0, t1  float64 // fractions of that edge; beyond 1 on a circle past its seam
	a, b    int32   // nodes of the graph
	joint   bool    // a bridge
	intact  bool    // of a contour closed by itself
	over    bool    // of an edge that dangles at both ends
	twice   answer  // the whole piece was drawn twice
}

// answer is one that is worked out when it is first asked for.
type answer int8

const (
	unasked answer = iota
	no
	yes
)

func answerOf(b bool) answer {
	if b {
		return yes
	}
	return no
}

// cycle is a simple closed walk of half-edges: 2*piece travels it forwards,
// 2*piece+1 backwards.
type cycle struct {
	halves []int32
	area   float64
	notch  answer // the face is a notch drawn as a closed contour
}

type graph struct {
	b      *builder
	pieces []piece
	nodes  []int     // of the builder, by node of the graph
	out    [][]int32 // half-edges that leave each node
	rays   []ray     // of half-edges where they leave, once they are needed
	alive  []bool    // pieces that bound faces
	chord  []bool    // pieces taken out as marks across a part
	face   []int32   // of each half-edge, the ring on its left or -1
	rings  []cycle   // counter-clockwise
	outer  []cycle   // clockwise
	unsure []int     // pieces that divide parts though they could be marks
	mouth  []bool    // pieces of outline across the mouth of a notch
	intact []*loop   // see intactRings
	walks  []int32   // room for the half-edges of all cycles
	*solving
}

// solving is the scratch of solving one group after another.
type solving struct {
	local              []int32 // by node of the builder, its number in the graph or -1
	cuts               []split
	order, low, degree []int32
	frames             []frame
	next, at, stack    []int32
	seen               []bool
	around             []ray
	live, sideRoom     []int32
	back               []int32
}

// frame is a node on the way of dropBridges.
type frame struct {
	node, via int32 // via is the half-edge that led here, or -1
	next      int
}

// cleared returns n zeros in the room of s.
func cleared[T any](s []T, n int) []T {
	if cap(s) < n {
		return make([]T, n, n+n/2)
	}
	s = s[:n]
	clear(s)
	return s
}

// planarGraph cuts the edges into pieces.
func (b *builder) planarGraph(edges []int) *graph {
	g := &graph{b: b, solving: &b.solving, pieces: make([]piece, 0, 2*len(edges))}
	for _, i := range edges {
		g.cut(i)
	}
	for _, n := range g.nodes {
		g.local[n] = -1
	}
	n := len(g.pieces)
	count := cleared(g.degree, len(g.nodes))
	for k := range g.pieces {
		count[g.pieces[k].a]++
		count[g.pieces[k].b]++
	}
	g.degree = count
	g.out = make([][]int32, len(g.nodes))
	room := make([]int32, 2*n)
	for i, k := range count {
		g.out[i], room = room[:0:k], room[k:]
	}
	for k := range g.pieces {
		p := &g.pieces[k]
		g.out[p.a] = append(g.out[p.a], int32(2*k))
		g.out[p.b] = append(g.out[p.b], int32(2*k+1))
	}
	g.rays = make([]ray, 2*n)
	g.face = make([]int32, 2*n)
	g.walks = make([]int32, 0, 2*n)
	flags := make([]bool, 3*n)
	g.alive, g.chord, g.mouth = flags[:n:n], flags[n:2*n:2*n], flags[2*n:]
	for k := range g.alive {
		g.alive[k] = true
	}
	return g
}

// takeOut takes joints out of the graph and has everything decided anew.
func (g *graph) takeOut(bad map[int]bool) {
	for n := range g.out {
		g.out[n] = slices.DeleteFunc(g.out[n], func(h int32) bool { return bad[g.pieces[h>>1].edge] })
	}
	for k := range g.pieces {
		g.alive[k], g.chord[k], g.mouth[k] = !bad[g.pieces[k].edge], false, false
	}
}

func (g *graph) node(n int) int32 {
	if g.local[n] < 0 {
		g.local[n] = int32(len(g.nodes))
		g.nodes = append(g.nodes, n)
	}
	return g.local[n]
}

// cut adds the pieces of edge i.
func (g *graph) cut(i int) {
	b := g.b
	e := &b.edges[i]
	at := append(g.cuts[:0], split{0, e.a})
	at = append(at, b.splits[i]...)
	inner := at[1:]
	slices.SortFunc(inner, func(p, q split) int {
		if c := cmpFloat(p.t, q.t); c != 0 {
			return c
		}
		return p.node - q.node
	})
	switch {
	case e.a >= 0:
		at = append(at, split{1, e.b})
	case len(inner) == 0:
		panic("implementation error: a circle without a split in a group")
	default:
		at = append(inner, split{inner[0].t + 1, inner[0].node})
	}
	g.cuts = at
	joint := e.src < 0
	intact := i < b.firstJoint && b.isRing(i)
	for k := 1; k < len(at); k++ {
		p, q := at[k-1], at[k]
		if p.node == q.node && (q.t-p.t)*e.length <= 4*b.graze() {
			at[k] = p // two contacts at one place are one split
			continue
		}
		c := e.c
		if p.t != 0 || q.t != 1 {
			c = c.Sub(p.t, q.t)
		}
		c = moveEnds(c, b.nodes[p.node].at, b.nodes[q.node].at, b.base)
		g.pieces = append(g.pieces, piece{
			c: c, length: c.Length(), segment: geom.SegmentArea(c), edge: i, t0: p.t, t1: q.t,
			a: g.node(p.node), b: g.node(q.node), joint: joint, intact: intact,
		})
	}
}

func (g *graph) origin(h int32) int32 {
	if h&1 == 0 {
		return g.pieces[h>>1].a
	}
	return g.pieces[h>>1].b
}

// dropBridges takes every piece that lies on no cycle out of the living ones.
func (g *graph) dropBridges() {
	n := len(g.nodes)
	g.order, g.low = cleared(g.order, n), cleared(g.low, n)
	order, low, stack := g.order, g.low, g.frames // order 0 is unseen
	clock := int32(0)
	for root := range int32(n) {
		if order[root] != 0 {
			continue
		}
		clock++
		order[root], low[root] = clock, clock
		stack = append(stack[:0], frame{root, -1, 0})
		for len(stack) > 0 {
			f := &stack[len(stack)-1]
			if f.next < len(g.out[f.node]) {
				h := g.out[f.node][f.next]
				f.next++
				if !g.alive[h>>1] || f.via >= 0 && h == f.via^1 {
					continue
				}
				to := g.origin(h ^ 1)
				if order[to] != 0 {
					low[f.node] = min(low[f.node], order[to])
					continue
				}
				clock++
				order[to], low[to] = clock, clock
				stack = append(stack, frame{to, h, 0})
				continue
			}
			done := *f
			stack = stack[:len(stack)-1]
			if done.via < 0 {
				continue
			}
			from := g.origin(done.via)
			low[from] = min(low[from], low[done.node])
			if low[done.node] > order[from] {
				g.alive[done.via>>1] = false
			}
		}
	}
	g.frames = stack
}

// turnAt notes for every half-edge that arrives at node n how its face goes on.
func (g *graph) turnAt(n int32) {
	live := g.live[:0]
	for _, h := range g.out[n] {
		if g.alive[h>>1] {
			live = append(live, h)
		}
	}
	g.live = live
	if len(live) == 2 { // a passage
		g.next[live[0]^1], g.next[live[1]^1] = live[1], live[0]
		return
	}
	g.around = g.around[:0]
	for _, h := range live {
		g.around = append(g.around, g.ray(h))
	}
	order := sortRays(g.around)
	for k, o := range order {
		// Arriving against live[o], the face on the left goes on along the
		// half-edge before it in counter-clockwise order.
		g.next[live[o]^1] = live[order[(k+len(order)-1)%len(order)]]
	}
}

// walkFaces finds the simple cycles on the left of all living half-edges.
func (g *graph) walkFaces() {
	g.next = cleared(g.next, 2*len(g.pieces))
	for n := range g.out {
		g.turnAt(int32(n))
	}
	g.rings, g.outer, g.walks = g.rings[:0], g.outer[:0], g.walks[:0]
	for i := range g.face {
		g.face[i] = -1
	}
	g.seen = cleared(g.seen, 2*len(g.pieces))
	g.at = cleared(g.at, len(g.nodes)) // place on the walk's stack, from 1
	seen, at, stack := g.seen, g.at, g.stack
	for h0 := range int32(2 * len(g.pieces)) {
		if seen[h0] || !g.alive[h0>>1] {
			continue
		}
		stack = stack[:0]
		for h := h0; !seen[h]; h = g.next[h] {
			seen[h] = true
			from := g.origin(h)
			at[from] = int32(len(stack)) + 1
			stack = append(stack, h)
			if to := g.origin(h ^ 1); at[to] != 0 {
				k := at[to] - 1
				first := len(g.walks)
				g.walks = append(g.walks, stack[k:]...)
				g.addCycle(g.walks[first:len(g.walks):len(g.walks)])
				for _, x := range stack[k:] {
					at[g.origin(x)] = 0
				}
				stack = stack[:k]
			}
		}
	}
	g.stack = stack
}

// addCycle keeps a simple cycle by its turn.
func (g *graph) addCycle(halves []int32) {
	if len(halves) == 0 {
		return // a walk round curves that cross unseen
	}
	c := cycle{halves: halves}
	length := 0.0
	o := g.point(g.origin(halves[0]))
	for _, h := range halves {
		p := &g.pieces[h>>1]
		area := geom.Cross(p.c.Start.Sub(o), p.c.End.Sub(o))/2 + p.segment
		if h&1 == 1 {
			area = -area
		}
		c.area += area
		length += p.length
	}
	switch least := g.b.base * length; {
	case c.area > least:
		for _, h := range halves {
			g.face[h] = int32(len(g.rings))
		}
		g.rings = append(g.rings, c)
	case c.area < -least:
		g.outer = append(g.outer, c)
	}
}

// raw returns the pieces of half-edges in the direction of travel.
func (g *graph) raw(halves []int32) []geom.Curve {
	out := make([]geom.Curve, len(halves))
	for i, h := range halves {
		out[i] = g.pieces[h>>1].c
		if h&1 == 1 {
			out[i] = out[i].Reversed()
		}
	}
	return out
}

// follows reports whether k goes on along the same edge where h ends.
func (g *graph) follows(h, k int32) bool {
	p, q := &g.pieces[h>>1], &g.pieces[k>>1]
	if p.edge != q.edge || h&1 != k&1 || g.origin(h^1) != g.origin(k) {
		return false
	}
	if h&1 == 1 {
		p, q = q, p
	}
	return p.t1 == q.t0 || g.b.edges[p.edge].a < 0 && p.t1 == q.t0+1
}

// straightOn reports whether h and k can be one curve again: k follows h, and
// the node between them was not drawn aside by another end.
func (g *graph) straightOn(h, k int32) bool {
	if !g.follows(h, k) {
		return false
	}
	p := &g.pieces[h>>1]
	t := p.t1
	if h&1 == 1 {
		t = p.t0
	}
	return near(g.b.edges[p.edge].c.At(t), g.point(g.origin(k)), g.b.graze())
}

// curves returns the walk over the half-edges with the pieces of one edge
// joined again, their sources and the widest gap bridged at its nodes.
func (g *graph) curves(halves []int32, closed bool) (curves []geom.Curve, sources []int, gap float64) {
	n := len(halves)
	if closed {
		for i := range halves {
			if !g.straightOn(halves[(i+n-1)%n], halves[i]) {
				if i > 0 {
					halves = append(slices.Clone(halves[i:]), halves[:i]...)
				}
				break
			}
		}
	}
	curves, sources = make([]geom.Curve, 0, n), make([]int, 0, n)
	for i := 0; i < n; {
		k := i + 1
		for k < n && g.straightOn(halves[k-1], halves[k]) {
			k++
		}
		c := g.run(halves[i:k], closed && i == 0 && k == n)
		curves = append(curves, c)
		sources = append(sources, g.b.edges[g.pieces[halves[i]>>1].edge].src)
		i = k
	}
	for _, h := range halves {
		p := &g.pieces[h>>1]
		gap = max(gap, g.b.nodes[g.nodes[p.a]].wide, g.b.nodes[g.nodes[p.b]].wide)
	}
	return curves, sources, gap
}

// run returns the one curve that successive pieces of an edge make; whole says
// that they are a contour, which may then start anywhere.
func (g *graph) run(halves []int32, whole bool) geom.Curve {
	first, last := halves[0], halves[len(halves)-1]
	p, q := &g.pieces[first>>1], &g.pieces[last>>1]
	if first&1 == 1 {
		p, q = q, p
	}
	c := g.pieces[first>>1].c
	if len(halves) > 1 || whole {
		e := &g.b.edges[p.edge]
		t0, t1 := p.t0, q.t1
		if t1 <= t0 {
			t1++ // past the seam of a circle
		}
		c = e.c
		if !(whole && e.a < 0) {
			if t0 != 0 || t1 != 1 {
				c = c.Sub(t0, t1)
			}
			c = moveEnds(c, g.point(p.a), g.point(q.b), g.b.base)
		}
	}
	if first&1 == 1 {
		c = c.Reversed()
	}
	return c
}

func (g *graph) point(n int32) r2.Point { return g.b.nodes[g.nodes[n]].at }
