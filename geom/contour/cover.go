package contour

import (
	"math"
	"slices"

	"burrcast/geom"

	"github.com/golang/geo/r2"
)

// What is drawn twice is kept once:
//
//  1. equal curves fall into one cell of a hash and are compared there, so that
//     any number of copies costs O(n); crowds of lines on one straight line are
//     joined by a sweep (collinear.go);
//  2. of two lines or two arcs whose boxes meet, the longer (then the lefter)
//     covers the stretch of the other that runs within tolerance of it; each
//     curve keeps what no curve before it covers. Every point thus stays
//     covered exactly once.
//
// The tolerance is the join tolerance over fifty (1e-3 mm by default: copies
// written with three decimals) and at most a twentieth of the shorter curve, so
// that tiny curves are not taken for each other. Copies farther aside are found
// when it is known what closes: open chains in shadows.go, contours in nest.go.

// maxPairs bounds the pairs of boxes that one Build looks at.
func maxPairs(n int) int { return 3_000_000 + 50*n }

// cover says that edge i covers intervals of edge j.
type cover struct {
	i, j      int
	intervals [][2]float64
}

func (b *builder) coverTolerance(length float64) float64 { return min(b.opt.Join/50, length/20) }

// dropCovered removes from b.edges what is drawn twice.
func (b *builder) dropCovered() {
	b.dropEqual()
	b.plant()
	if b.mayCrowd() && b.dropCrowded() {
		b.plant()
	}
	covers := b.findCovers()
	if len(covers) > 0 && b.dropTwins(covers) {
		b.plant()
		covers = b.findCovers()
	}
	if len(covers) == 0 {
		return
	}
	covered := make(map[int][][2]float64)
	for _, c := range covers {
		covered[c.j] = append(covered[c.j], c.intervals...)
		i, j := b.edges[c.i].src, b.edges[c.j].src
		b.twice[i] = append(b.twice[i], j)
		b.meet(i, j)
	}
	kept := make([]edge, 0, len(b.edges)+fewJoints)
	for j, e := range b.edges {
		iv, ok := covered[j]
		if !ok {
			kept = append(kept, e)
			continue
		}
		rest := complement(iv, 2*b.coverTolerance(e.length)/e.length)
		b.res.Duplicates = append(b.res.Duplicates, e.src) // unless some of the rest stays (settle)
		for _, r := range rest {
			p := e
			if r != [2]float64{0, 1} {
				p.reshape(e.c.Sub(r[0], r[1]))
			}
			kept = append(kept, p)
		}
	}
	b.edges = kept
	b.tree = nil // planted again when their ends are joined
}

// closeBy is the distance within which neighbours of edges are listed: that of
// every contact, and more for ends joined that were within rounding of each other.
func (b *builder) closeBy() float64 { return b.opt.Join + 4*b.base }

// plant puts the edges into a tree and lists their neighbours.
func (b *builder) plant() {
	boxes := make([]box, len(b.edges))
	for i := range b.edges {
		boxes[i] = b.edges[i].box
	}
	b.tree, b.slack = newBoxTree(boxes), 0
	b.near = b.tree.findPairs(b.closeBy(), maxPairs(len(b.edges)))
}

// findCovers looks for stretches that longer edges cover of shorter ones.
func (b *builder) findCovers() []cover {
	near := b.near
	if !near.whole {
		near = b.tree.findPairs(b.opt.Join/50, maxPairs(len(b.edges)))
	}
	var covers []cover
	for j := range b.edges {
		e := &b.edges[j]
		tol := b.coverTolerance(e.length)
		q := e.box.grown(tol)
		for _, k := range near.of(j) {
			f := &b.edges[k]
			if f.c.IsArc() != e.c.IsArc() || !f.box.meets(q) || !b.covers(int(k), j) {
				continue
			}
			if iv := coverage(&f.c, &e.c, f.length, e.length, tol); len(iv) > 0 {
				covers = append(covers, cover{int(k), j, iv})
			}
		}
	}
	if !near.whole {
		b.problem("not-converged", b.edges[0].c.Start, nil, "too many curves lie over each other to look for duplicates")
	}
	return covers
}

// covers reports whether of two edges in one place it is i that stays: the
// longer one, then by place, so that the order of the input does not matter.
func (b *builder) covers(i, j int) bool {
	e, f := &b.edges[i], &b.edges[j]
	if e.length != f.length {
		return e.length > f.length
	}
	if x, y := e.box.x0+e.box.x1, f.box.x0+f.box.x1; x != y {
		return x < y
	}
	if x, y := e.box.y0+e.box.y1, f.box.y0+f.box.y1; x != y {
		return x < y
	}
	return i < j
}

// dropTwins removes contours that run within the join tolerance of another
// contour all along, before single stretches of them are found covered and they
// fall to pieces. It reports whether there were any.
func (b *builder) dropTwins(covers []cover) bool {
	t := &builder{opt: b.opt, in: b.in, met: b.met, base: b.base, said: make(map[string]int)}
	at := b.concerned(covers) // of b's edges, their place in t's, from 1
	for i, k := range at {
		if k > 0 {
			t.edges = append(t.edges, b.edges[i])
		}
	}
	t.joinEnds()
	t.components()
	rings := make(map[int]*block)
	for i := range t.edges {
		if r := t.comp.find(i); t.simple[r] {
			if rings[r] == nil {
				rings[r] = &block{}
			}
			bl := rings[r]
			bl.outer.Curves = append(bl.outer.Curves, t.edges[i].c)
			bl.outer.Sources = append(bl.outer.Sources, t.edges[i].src)
		}
	}
	tried := make(map[[2]int]bool)
	gone := make(map[int]bool)
	for _, c := range covers {
		i, j := t.comp.find(at[c.i]-1), t.comp.find(at[c.j]-1)
		p, q := rings[i], rings[j]
		if i == j || p == nil || q == nil || tried[[2]int{min(i, j), max(i, j)}] {
			continue
		}
		tried[[2]int{min(i, j), max(i, j)}] = true
		for _, bl := range [2]*block{p, q} {
			if bl.outer.loop == nil {
				bl.outer.loop = newUnordered(bl.outer.Curves)
			}
		}
		// Of two alike the one drawn first stays.
		if i > j {
			i, j, p, q = j, i, q, p
		}
		if !gone[i] && !gone[j] && b.runsAlong(q, p) && b.runsAlong(p, q) {
			gone[j] = true
			b.res.Duplicates = append(b.res.Duplicates, q.outer.Sources...)
			b.meet(p.outer.Sources...)
		}
	}
	if len(gone) == 0 {
		return false
	}
	kept := b.edges[:0]
	for i, e := range b.edges {
		if at[i] == 0 || !gone[t.comp.find(at[i]-1)] {
			kept = append(kept, e)
		}
	}
	b.edges = kept
	return true
}

// concerned numbers the edges, from 1, that hang together by nearness with any
// that covers another; 0 is for others.
func (b *builder) concerned(covers []cover) []int {
	of := newDisjoint(len(b.edges))
	for i := range b.edges {
		for _, k := range b.near.of(i) {
			of.unite(i, int(k))
		}
	}
	mine := make([]bool, len(b.edges))
	for _, c := range covers {
		mine[of.find(c.i)], mine[of.find(c.j)] = true, true
	}
	out, n := make([]int, len(b.edges)), 0
	for i := range out {
		if mine[of.find(i)] || !b.near.whole {
			n++
			out[i] = n
		}
	}
	return out
}

// dropEqual removes curves equal to an earlier one, travelled either way.
func (b *builder) dropEqual() {
	const cell = 1e-3
	type key struct{ x, y, l, r int64 }
	quantise := func(v float64) int64 { return int64(math.Round(v / cell)) }
	size := 16
	for size < 2*len(b.edges) {
		size *= 2
	}
	first := make([]int32, size) // by hash, the last curve kept of a key, from 1
	keys := make([]key, 0, len(b.edges))
	kept := b.edges[:0]
	for _, e := range b.edges {
		m := e.c.At(0.5)
		if e.c.IsCircle() {
			m = e.c.Center
		}
		k := key{quantise(m.X), quantise(m.Y), quantise(e.length), quantise(min(e.c.Radius, maxCoordinate))}
		slot := int(hashOf(k.x, k.y^k.l<<32, k.r)) & (size - 1)
		for first[slot] > 0 && keys[first[slot]-1] != k {
			slot = (slot + 1) & (size - 1)
		}
		if i := first[slot] - 1; i >= 0 && equalCurves(kept[i].c, e.c, 4*b.base) {
			b.res.Duplicates = append(b.res.Duplicates, e.src)
			b.twice[kept[i].src] = append(b.twice[kept[i].src], e.src)
			b.meet(kept[i].src)
			continue
		}
		kept, keys = append(kept, e), append(keys, k)
		first[slot] = int32(len(kept))
	}
	b.edges = kept
}

func equalCurves(c, d geom.Curve, tol float64) bool {
	if c.IsArc() != d.IsArc() || c.IsCircle() != d.IsCircle() {
		return false
	}
	if c.IsCircle() {
		return near(c.Center, d.Center, tol) && math.Abs(c.Radius-d.Radius) <= tol
	}
	ends := near(c.Start, d.Start, tol) && near(c.End, d.End, tol) ||
		near(c.Start, d.End, tol) && near(c.End, d.Start, tol)
	return ends && (!c.IsArc() || near(c.At(0.5), d.At(0.5), tol))
}

func near(p, q r2.Point, tol float64) bool { return p.Sub(q).Norm() <= tol }

// on returns the fraction of c at which it passes p within tol, if it does. Off
// an arc's circle there is nothing to look for.
func on(c *geom.Curve, p r2.Point, tol float64) (t float64, ok bool) {
	if offCircle(c, p, tol) {
		return 0, false
	}
	t, q := c.Closest(p)
	return t, near(p, q, tol)
}

// offCircle reports whether p lies farther than tol from the whole circle of an
// arc.
func offCircle(c *geom.Curve, p r2.Point, tol float64) bool {
	return c.IsArc() && math.Abs(p.Sub(c.Center).Norm()-c.Radius) > tol+1e-12*c.Radius
}

// coverage returns the intervals of d's length, as fractions, that run within
// tol of c. Both are lines or both arcs; two arcs can share two stretches.
func coverage(c, d *geom.Curve, lenC, lenD, tol float64) [][2]float64 {
	if c.IsArc() != d.IsArc() {
		return nil
	}
	if !c.IsArc() && math.Abs(geom.Cross(c.End.Sub(c.Start), d.End.Sub(d.Start))) > 0.2*lenC*lenD {
		return nil // at such an angle no stretch worth the name stays within tol
	}
	room := [4]float64{0, 1}
	ts := room[:2]
	inside := false
	for _, p := range [2]r2.Point{c.Start, c.End} {
		if t, ok := on(d, p, tol); ok {
			ts = append(ts, t)
			inside = inside || t > 0 && t < 1
		}
	}
	if !inside { // all of d or nothing
		if _, ok := on(c, d.Start, tol); !ok {
			return nil
		}
		if _, ok := on(c, d.End, tol); !ok {
			return nil
		}
	}
	slices.Sort(ts)
	var out [][2]float64
	for k := 1; k < len(ts); k++ {
		t0, t1 := ts[k-1], ts[k]
		if (t1-t0)*lenD <= 2*tol {
			continue
		}
		along := true
		for k := 0; k < 5 && along; k++ { // both ends and, for arcs, three points that fix a circle
			_, along = on(c, d.At(t0+float64(k)/4*(t1-t0)), tol)
		}
		if along {
			out = append(out, [2]float64{t0, t1})
		}
	}
	return out
}

// complement returns what the intervals leave of [0, 1], without pieces of at
// most least.
func complement(iv [][2]float64, least float64) [][2]float64 {
	slices.SortFunc(iv, func(a, b [2]float64) int { return cmpFloat(a[0], b[0]) })
	var out [][2]float64
	at := 0.0
	for _, v := range iv {
		if v[0]-at > least {
			out = append(out, [2]float64{at, v[0]})
		}
		at = max(at, v[1])
	}
	if 1-at > least {
		out = append(out, [2]float64{at, 1})
	}
	return out
}

// drawnTwice reports whether the place p of input src was drawn again.
func (b *builder) drawnTwice(src int, p r2.Point) bool {
	for _, j := range b.twice[src] {
		if _, q := b.in[j].Closest(p); near(p, q, b.opt.Join/5) {
			return true
		}
	}
	return false
}
