package contour

import (
	"math"
	"slices"
)

// A line from edge to edge across an outline is a mark (a bend, an etched line,
// a centre line) or a cut that two neighbouring parts share. The drawing alone
// often allows both readings; this is how it is decided.
//
// A divider is a chain of pieces with a bounded face on either side. It is a
// mark, and the outline stays whole, if the outline does not need it at either
// of its ends:
//
//   - the outline passes there unbroken: the divider abuts on the inside of a
//     curve, or on a contour that closes by itself; or
//   - the outline turns there, into the part (an inside corner, as at a relief
//     notch or between two flanges), and the divider goes straight on from or
//     square to one of its two sides, as a bend does.
//
// One end on the inside of an arc is enough, whatever the divider meets at the
// other: nests share straight cuts, while centre lines cross in a disc.
//
// It is a cut between two parts if
//
//   - it belongs to a contour that closes by itself, or
//   - it was drawn twice, once with each part, and the outline does not pass
//     unbroken at both of its ends, or
//   - it is one curve with a stretch of the outline beyond its end, or
//   - it is an arc tangent to the outline's lines at both ends: a rounded corner
//     whose lines were not trimmed, or
//   - the outline goes straight on there but its curves end: whoever broke the
//     line there meant a corner of two parts, or
//   - the outline turns there, away from the part, or at an angle that no bend has, or
//   - it meets other dividers between its ends, as in a grid of cuts.
//
// Curves that run out over a closed contour on both sides (centre lines) are
// marks inside it whatever they cross there.
//
// A divider also bounds a notch, if the face on one side of it has nothing else
// for its boundary than outline drawn twice: there a cut-out was drawn as a
// closed contour with one side on the outline. The notch is open, no part, and
// the stretch of outline across its mouth goes: "notch".

// rounds bounds the passes over a group; each takes out at least one divider,
// and more than a few mean that marks are stacked on marks.
const rounds = 8

// readDividers walks the faces and takes out marks until none is left.
func (g *graph) readDividers() {
	g.dropBridges()
	g.walkFaces()
	g.findOvershoots()
	for range rounds {
		if !g.takeMarks() {
			break
		}
		g.dropBridges()
		g.walkFaces()
	}
	if g.openNotches() {
		g.dropBridges()
		g.walkFaces()
	}
}

func (g *graph) isDivider(p int32) bool {
	return g.alive[p] && g.face[2*p] >= 0 && g.face[2*p+1] >= 0
}

// isIntact reports whether the piece belongs to a contour closed by itself.
func (g *graph) isIntact(p int32) bool { return g.pieces[p].intact }

// isCandidate reports whether the piece could be a mark.
func (g *graph) isCandidate(p int32) bool {
	return g.isDivider(p) && !g.pieces[p].intact && !g.pieces[p].joint
}

// findOvershoots marks the pieces of edges whose first and last piece dangle.
func (g *graph) findOvershoots() {
	for k := 0; k < len(g.pieces); {
		end := k + 1
		for end < len(g.pieces) && g.pieces[end].edge == g.pieces[k].edge {
			end++
		}
		over := end-k > 1 && !g.alive[k] && !g.alive[end-1]
		for ; k < end; k++ {
			g.pieces[k].over = over
		}
	}
}

// takeMarks takes out the dividers that are marks, and reports whether there
// were any.
func (g *graph) takeMarks() bool {
	g.degree = cleared(g.degree, len(g.nodes))
	for k := range g.pieces {
		if p := &g.pieces[k]; g.alive[k] {
			g.degree[p.a]++
			g.degree[p.b]++
		}
	}
	g.seen = cleared(g.seen, len(g.pieces))
	var marks []int32
	g.unsure = g.unsure[:0]
	for k := range g.pieces {
		if g.seen[k] || !g.isCandidate(int32(k)) {
			continue
		}
		path := g.path(int32(2 * k))
		if path == nil {
			continue
		}
		switch certain, mark := g.judge(path); {
		case mark:
			for _, h := range path {
				marks = append(marks, h>>1)
			}
		case !certain:
			g.unsure = append(g.unsure, k)
		}
	}
	for _, p := range marks {
		g.alive[p], g.chord[p] = false, true
	}
	return len(marks) > 0
}

// path returns the chain of candidates through h between two nodes where more
// than two living pieces meet, as half-edges in the direction of h; nil if the
// chain is closed or not of candidates throughout.
func (g *graph) path(h int32) []int32 {
	back, ok := g.extend(h^1, g.back[:0])
	if g.back = back; !ok {
		return nil
	}
	slices.Reverse(back)
	for i := range back {
		back[i] ^= 1
	}
	out, ok := g.extend(h, back[:len(back)-1])
	if g.back = out; !ok {
		return nil
	}
	return out
}

// extend appends to out the chain that begins with h, and reports whether it
// ends at a node where more than two living pieces meet.
func (g *graph) extend(h int32, out []int32) ([]int32, bool) {
	out = append(out, h)
	g.seen[h>>1] = true
	for start := h; g.degree[g.origin(h^1)] == 2; {
		n := g.origin(h ^ 1)
		for _, k := range g.out[n] {
			if g.alive[k>>1] && k != h^1 {
				h = k
				break
			}
		}
		if h>>1 == start>>1 || !g.isCandidate(h>>1) {
			return out, false
		}
		g.seen[h>>1] = true
		out = append(out, h)
	}
	return out, true
}

// judge decides on a divider: whether it is a mark, and if it is not, whether
// that is certain.
func (g *graph) judge(path []int32) (certain, mark bool) {
	first, last := path[0], path[len(path)-1]
	outside, twice := true, true
	for _, h := range path {
		outside = outside && g.pieces[h>>1].over
		twice = twice && g.drawnTwice(h>>1)
	}
	if outside {
		m := g.pieces[first>>1].c.At(0.5)
		for _, l := range g.intactRings() {
			if l.contains(m) {
				return false, true
			}
		}
	}
	if g.goesOn(first) || g.goesOn(last^1) || g.isNotch(g.face[first]) || g.isNotch(g.face[first^1]) {
		return true, false
	}
	if g.isFillet(path) {
		return true, false
	}
	passes := [2]bool{g.passes(first), g.passes(last ^ 1)}
	if twice && !(passes[0] && passes[1]) {
		return true, false
	}
	switch g.b.opt.Chords {
	case AllMarks:
		return false, true
	case AllCuts:
		return false, false
	}
	if passes[0] && g.onArc(first) || passes[1] && g.onArc(last^1) {
		return false, true
	}
	return false, (passes[0] || g.insideCorner(first)) && (passes[1] || g.insideCorner(last^1))
}

// isFillet reports whether the divider is one arc that leaves the outline tangent
// at both of its ends: a rounded corner beyond which the lines were not trimmed.
func (g *graph) isFillet(path []int32) bool {
	for _, h := range path {
		if c := g.pieces[h>>1].c; !c.IsArc() || g.pieces[h>>1].edge != g.pieces[path[0]>>1].edge || math.Abs(float64(c.Sweep)) > 0.95*math.Pi {
			return false
		}
	}
	return g.leavesTangent(path[0]) && g.leavesTangent(path[len(path)-1]^1)
}

// leavesTangent reports whether h leaves its origin in the direction of a line of
// the outline.
func (g *graph) leavesTangent(h int32) bool {
	const smooth = 0.02 // radians
	a := g.ray(h).angle
	return slices.ContainsFunc(g.sides(h), func(k int32) bool {
		return !g.pieces[k>>1].c.IsArc() && math.Abs(math.Remainder(g.ray(k).angle-a, 2*math.Pi)) <= smooth
	})
}

// drawnTwice reports whether the whole piece was drawn twice.
func (g *graph) drawnTwice(p int32) bool {
	c := &g.pieces[p]
	if c.twice == unasked {
		src := g.b.edges[c.edge].src
		c.twice = answerOf(len(g.b.twice[src]) > 0 && g.b.drawnTwice(src, c.c.At(0.1)) &&
			g.b.drawnTwice(src, c.c.At(0.5)) && g.b.drawnTwice(src, c.c.At(0.9)))
	}
	return c.twice == yes
}

// isNotch reports whether the face is a notch drawn as a closed contour: its
// dividers were drawn once, and the rest of its boundary, twice, is outline.
func (g *graph) isNotch(face int32) bool {
	c := &g.rings[face]
	if c.notch != unasked {
		return c.notch == yes
	}
	mouth := false
	for _, h := range c.halves {
		divides := g.isDivider(h >> 1)
		if g.isJoint(h) || g.drawnTwice(h>>1) == divides {
			c.notch = no
			return false
		}
		mouth = mouth || !divides
	}
	c.notch = answerOf(mouth)
	return mouth
}

// openNotches takes out the outline across the mouths of notches, and reports
// whether there were any.
func (g *graph) openNotches() bool {
	var notches []int
	for i := range g.rings {
		if g.isNotch(int32(i)) {
			notches = append(notches, i)
		}
	}
	for _, i := range notches {
		var sources []int
		halves := g.rings[i].halves
		for _, h := range halves {
			src := g.b.edges[g.pieces[h>>1].edge].src
			if !g.isDivider(h >> 1) {
				g.mouth[h>>1] = true
				g.b.res.Duplicates = append(g.b.res.Duplicates, src) // unless more of it is left
			}
			sources = append(sources, src)
		}
		slices.Sort(sources)
		g.b.problem("notch", g.pieces[halves[0]>>1].c.At(0.5), slices.Compact(sources),
			"a closed contour has a side on an outline; read as a notch")
	}
	for p, m := range g.mouth {
		g.alive[p] = g.alive[p] && !m
	}
	return len(notches) > 0
}

// sides returns the living half-edges that leave the origin of h and are no
// candidates themselves; the list is good until the next is asked for.
func (g *graph) sides(h int32) []int32 {
	out := g.sideRoom[:0]
	for _, k := range g.out[g.origin(h)] {
		if k != h && g.alive[k>>1] && !g.isCandidate(k>>1) {
			out = append(out, k)
		}
	}
	g.sideRoom = out
	return out
}

// goesOn reports whether the curve of h is one with a stretch of the outline
// beyond the origin of h.
func (g *graph) goesOn(h int32) bool {
	for _, k := range g.sides(h) {
		if g.follows(k^1, h) {
			return true
		}
	}
	return false
}

// passes reports whether the outline passes the origin of h unbroken.
func (g *graph) passes(h int32) bool {
	sides := g.sides(h)
	for i, k := range sides {
		for _, l := range sides[:i] {
			if g.follows(k^1, l) || g.follows(l^1, k) {
				return true
			}
			if g.isIntact(k>>1) && g.isIntact(l>>1) &&
				g.b.comp.find(g.pieces[k>>1].edge) == g.b.comp.find(g.pieces[l>>1].edge) {
				return true
			}
		}
	}
	return false
}

// onArc reports whether the outline at the origin of h is of arcs.
func (g *graph) onArc(h int32) bool {
	return !slices.ContainsFunc(g.sides(h), func(k int32) bool { return !g.pieces[k>>1].c.IsArc() })
}

// insideCorner reports whether the outline turns into the part at the origin of
// h, and h goes straight on from one of its sides or square to it.
func (g *graph) insideCorner(h int32) bool {
	sides := g.sides(h)
	if len(sides) != 2 {
		return false
	}
	const straight, square = 1e-3, 0.0175 // radians; a degree for what a drafter calls square
	rays := []ray{g.ray(h), g.ray(sides[0]), g.ray(sides[1])}
	at := directions(rays)
	// The angle of the part in which h runs: between the two sides, over h.
	toA, toB := turnOf(at[1]-at[0]), turnOf(at[2]-at[0])
	inside := min(toA, toB) + 2*math.Pi - max(toA, toB)
	if inside < math.Pi+straight {
		return false
	}
	for _, r := range rays[1:] {
		a := math.Abs(math.Remainder(r.angle-rays[0].angle, 2*math.Pi))
		if math.Abs(a-math.Pi/2) <= square || math.Abs(a-math.Pi) <= square {
			return true
		}
	}
	return false
}

func (g *graph) ray(h int32) ray {
	r := &g.rays[h]
	if r.length == 0 {
		*r = newRay(g.pieces[h>>1].c, float64(h&1), h&1 == 0)
	}
	return *r
}

// intactRings returns the contours of the group that close by themselves.
func (g *graph) intactRings() []*loop {
	if g.intact != nil {
		return g.intact
	}
	g.intact = []*loop{}
	at := make(map[int]*loop) // by component
	last := -1
	for k := range g.pieces {
		p := &g.pieces[k]
		if p.edge == last || !p.intact {
			continue
		}
		last = p.edge
		e, r := &g.b.edges[p.edge], g.b.comp.find(p.edge)
		l := at[r]
		if l == nil {
			l = &loop{box: e.box}
			at[r] = l
			g.intact = append(g.intact, l)
		}
		l.curves, l.box = append(l.curves, e.c), l.box.union(e.box)
	}
	return g.intact
}
