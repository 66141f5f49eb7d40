package contour

import (
	"math"
	"slices"

	"burrcast/geom"
)

// Kinds of open chains, by what their ends lie on.
const (
	Loose  = "loose"  // neither end on a contour, and no contour crossed
	Spur   = "spur"   // one end on a contour, as a lead-in
	Chord  = "chord"  // both ends on contours, as a bend line
	Across = "across" // ends free, but contours are crossed, as by a centre line
)

// block is a ring, or rings that share cuts, with one boundary.
type block struct {
	outer ring
	rings []ring
	marks func() []Open // what is inside the boundary, should the block be a cut-out
	plain bool          // a ring as drawn
}

// badJoints returns the bridges (edges) that are too wide for a contour they
// close.
func (g *graph) badJoints() map[int]bool {
	bad := make(map[int]bool)
	for _, c := range g.rings {
		if !slices.ContainsFunc(c.halves, g.isJoint) {
			continue
		}
		length := 0.0
		for _, h := range c.halves {
			length += g.pieces[h>>1].length
		}
		limit := math.Abs(c.area) / length
		for _, h := range c.halves {
			if p := &g.pieces[h>>1]; p.joint && p.length > limit {
				bad[p.edge] = true
			}
		}
	}
	return bad
}

func (g *graph) isJoint(h int32) bool { return g.pieces[h>>1].joint }

// emit hands the group's contours and open chains to the builder.
func (g *graph) emit() {
	of := newDisjoint(len(g.rings)) // rings that share a cut
	for p := range int32(len(g.pieces)) {
		if g.isDivider(p) {
			of.unite(int(g.face[2*p]), int(g.face[2*p+1]))
		}
	}
	members := make([][]int, len(g.rings))
	for i := range g.rings {
		members[of.find(i)] = append(members[of.find(i)], i)
	}
	boundary := g.boundaries(of)
	for i := range g.rings {
		if of.find(i) == i {
			g.emitBlock(members[i], boundary[i])
		}
	}
	g.reportPinches(of)
	g.reportReadings()
	var free []int32
	for p := range int32(len(g.pieces)) {
		if g.face[2*p] < 0 && g.face[2*p+1] < 0 && !g.isJoint(2*p) && !g.mouth[p] {
			free = append(free, p)
		}
	}
	g.b.res.Open = append(g.b.res.Open, g.chains(free)...)
}

func (g *graph) ringOf(c cycle) ring {
	curves, sources, gap := g.curves(c.halves, true)
	r := newRing(curves, sources, gap)
	if math.Abs(r.area-c.area) > 1e-3*math.Abs(c.area)+g.b.base {
		// A sliver whose shape is in how its nodes were moved: keep the pieces.
		curves = g.raw(c.halves)
		sources = make([]int, len(curves))
		for i, h := range c.halves {
			sources[i] = g.b.edges[g.pieces[h>>1].edge].src
		}
		r = newRing(curves, sources, gap)
	}
	return r
}

// boundaries returns by block, named after its first ring, the largest clockwise
// cycle that has only faces of that block on its other side, or -1.
func (g *graph) boundaries(of disjoint) []int {
	out := make([]int, len(g.rings))
	for i := range out {
		out[i] = -1
	}
	for k, c := range g.outer {
		f := g.face[c.halves[0]^1]
		if f < 0 {
			continue
		}
		i := of.find(int(f))
		mine := !slices.ContainsFunc(c.halves, func(h int32) bool {
			f := g.face[h^1]
			return f < 0 || of.find(int(f)) != i
		})
		if mine && (out[i] < 0 || c.area < g.outer[out[i]].area) {
			out[i] = k
		}
	}
	return out
}

// emitBlock hands over the block of the rings given, bounded by an outer cycle
// or by none (-1).
func (g *graph) emitBlock(members []int, best int) {
	var bl block
	for _, i := range members {
		bl.rings = append(bl.rings, g.ringOf(g.rings[i]))
	}
	if len(members) == 1 {
		bl.outer = bl.rings[0]
		g.b.addBlock(bl)
		return
	}
	if best < 0 {
		// Rings whose common boundary is no simple cycle stand for themselves.
		for _, r := range bl.rings {
			g.b.addBlock(block{outer: r, rings: []ring{r}})
		}
		return
	}
	bl.outer = g.ringOf(g.outer[best])
	boundary := g.outer[best].halves
	bl.marks = func() []Open {
		// All that is not the boundary: the shared cuts, and slivers between them.
		seen := make(map[int32]bool)
		for _, h := range boundary {
			seen[h>>1] = true
		}
		var inside []int32
		for _, i := range members {
			for _, h := range g.rings[i].halves {
				if p := h >> 1; !seen[p] && !g.isJoint(h) {
					seen[p] = true
					inside = append(inside, p)
				}
			}
		}
		slices.Sort(inside)
		return g.chains(inside)
	}
	g.b.addBlock(bl)
}

// reportPinches reports nodes where blocks touch each other.
func (g *graph) reportPinches(of disjoint) {
	const most = 20
	said := 0
	for n := range g.out {
		if len(g.out[n]) < 4 || said >= most || len(g.b.nodes[g.nodes[n]].ends) == 0 {
			continue // a node without ends is a crossing, which is reported
		}
		block := -1
		var sources []int
		touch := false
		for _, h := range g.out[n] {
			if f := g.face[h]; f >= 0 {
				k := of.find(int(f))
				touch = touch || block >= 0 && k != block
				block = k
				sources = append(sources, g.b.edges[g.pieces[h>>1].edge].src)
			}
		}
		if touch {
			said++
			slices.Sort(sources)
			g.b.problem("touching", g.point(int32(n)), slices.Compact(sources), "two contours touch")
		}
	}
}

// reportReadings reports where the drawing allows two readings.
func (g *graph) reportReadings() {
	report := func(code, text string, pieces []int32) {
		if len(pieces) == 0 {
			return
		}
		var sources []int
		for _, p := range pieces {
			sources = append(sources, g.b.edges[g.pieces[p].edge].src)
		}
		slices.Sort(sources)
		g.b.problem(code, g.pieces[pieces[0]].c.At(0.5), slices.Compact(sources), text)
	}
	var marks, cuts []int32
	for p := range int32(len(g.pieces)) {
		if g.chord[p] {
			marks = append(marks, p)
		}
	}
	for _, p := range g.unsure {
		if g.isDivider(int32(p)) {
			cuts = append(cuts, int32(p))
		}
	}
	report("chord", "lines run from edge to edge of a closed contour; read as marks, the contour stays whole", marks)
	report("shared-cut", "lines divide a closed contour; read as cuts that neighbouring parts share", cuts)
}

// chains joins pieces into open chains: pieces of one curve, and pieces at a
// node where no contour and no third piece ends.
func (g *graph) chains(pieces []int32) []Open {
	ends := make(map[int32][]int32) // by node, half-edges that leave it
	for _, p := range pieces {
		ends[g.pieces[p].a] = append(ends[g.pieces[p].a], 2*p)
		ends[g.pieces[p].b] = append(ends[g.pieces[p].b], 2*p+1)
	}
	onward := func(h int32) (int32, bool) {
		n := g.origin(h ^ 1)
		for _, k := range ends[n] {
			if g.follows(h, k) {
				return k, true
			}
		}
		if len(ends[n]) == 2 && !g.onContour(n) {
			k := ends[n][0]
			if k == h^1 {
				k = ends[n][1]
			}
			return k, k != h^1
		}
		return 0, false
	}
	done := make(map[int32]bool, len(pieces))
	var out []Open
	for _, p := range pieces {
		if done[p] {
			continue
		}
		// Back to the beginning, then forward over the whole chain.
		h := 2*p + 1
		for range pieces {
			k, ok := onward(h)
			if !ok || k>>1 == p {
				break
			}
			h = k
		}
		var halves []int32
		for k, ok := h^1, true; ok && !done[k>>1]; k, ok = onward(k) {
			done[k>>1] = true
			halves = append(halves, k)
		}
		out = append(out, g.openChain(halves))
	}
	return out
}

// onContour reports whether a contour passes node n.
func (g *graph) onContour(n int32) bool {
	return slices.ContainsFunc(g.out[n], func(h int32) bool { return g.face[h] >= 0 || g.face[h^1] >= 0 })
}

func (g *graph) openChain(halves []int32) Open {
	curves, sources, _ := g.curves(halves, false)
	o := Open{Curves: curves, Sources: sources, Kind: Loose, Region: -1}
	on := 0
	last := len(halves) - 1
	for _, n := range [2]int32{g.origin(halves[0]), g.origin(halves[last] ^ 1)} {
		if g.onContour(n) {
			on++
		}
	}
	switch on {
	case 1:
		o.Kind = Spur
	case 2:
		o.Kind = Chord
	case 0:
		for _, h := range halves[1:] {
			if g.onContour(g.origin(h)) {
				o.Kind = Across
			}
		}
	}
	return o
}

// newRing prepares a closed chain.
func newRing(curves []geom.Curve, sources []int, gap float64) ring {
	return ring{
		Contour{Curves: curves, Sources: sources, Gap: gap, Joints: jointsOf(curves, sources)},
		newLoop(curves),
	}
}

// addRing keeps a closed chain, of a length and in a box, that no other curve
// meets.
func (b *builder) addRing(curves []geom.Curve, sources []int, gap, length float64, in box) {
	l := &b.loopRoom.take(1, len(b.edges))[0]
	*l = loop{curves: curves, box: in, area: geom.LoopArea(curves)}
	r := ring{Contour{Curves: curves, Sources: sources, Gap: gap}, l}
	if math.Abs(r.area) <= b.base*length {
		b.problem("overlap", curves[0].Start, sources, "a closed contour without area")
		b.res.Open = append(b.res.Open, Open{Curves: curves, Sources: sources, Kind: Loose, Region: -1})
		return
	}
	rings := b.ringRoom.take(1, len(b.edges))
	rings[0] = r
	b.addBlock(block{outer: r, rings: rings, plain: true})
}

func (b *builder) addBlock(bl block) { b.blocks = append(b.blocks, bl) }
