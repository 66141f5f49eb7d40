package contour

import (
	"cmp"
	"math"
	"slices"

	"burrcast/geom"

	"github.com/golang/geo/r2"
)

// nest finds for every block the ring round it.
//
//  1. Sort the blocks by the area of their boundary, largest first; put the
//     boxes into a tree.
//  2. For each block take the blocks of larger area whose box holds its sample
//     point, smallest first; the first whose boundary contains it is its
//     parent, and among that block's rings the one that contains it.
//     A block that runs within the join tolerance of such a block all along was
//     drawn twice, and is dropped.
//  3. The rings of a block at even depth are outlines of regions. The boundary
//     of a block at odd depth is one cut-out; cuts inside a cut-out do not
//     matter and become open chains.
//
// Containment is decided by ray parity at samples off the vertices: of contours
// that cross, one lies in the other if more than two thirds of the samples do.
// O(n log n) unless very many blocks are nested in each other.
func (b *builder) nest() {
	blocks := largestFirst(b.blocks)
	for i := range blocks {
		for _, r := range blocks[i].rings {
			b.res.LargestGap = max(b.res.LargestGap, r.Gap)
		}
	}
	boxes := make([]box, len(blocks))
	for i := range blocks {
		boxes[i] = blocks[i].outer.box
	}
	t := &nesting{
		blocks: blocks,
		tree:   newBoxTree(boxes),
		parent: make([]int, len(blocks)),
		ring:   make([]int, len(blocks)),
		depth:  make([]int, len(blocks)),
	}
	var candidates []int
	left := 10_000_000 + 50*len(blocks)
	for i := range blocks {
		candidates = candidates[:0]
		p := blocks[i].outer.Curves[0].At(0.5)
		if left <= 0 {
			b.problem("not-converged", p, nil, "too many contours lie in each other to nest them all")
			for k := i; k < len(blocks); k++ {
				t.parent[k] = -1
			}
			break
		}
		t.tree.query(box{p.X, p.Y, p.X, p.Y}.grown(b.opt.Join), func(k int) bool {
			if left--; k < i {
				candidates = append(candidates, k)
			}
			return true
		})
		slices.SortFunc(candidates, func(p, q int) int { return q - p })
		t.parent[i] = -1
		if slices.ContainsFunc(candidates, func(k int) bool { return b.isTwin(&blocks[i], &blocks[k]) }) {
			t.parent[i] = twin
			for _, r := range blocks[i].rings {
				b.res.Duplicates = append(b.res.Duplicates, r.Sources...)
			}
			continue
		}
		for _, k := range candidates {
			if t.parent[k] == twin {
				continue
			}
			if b.within(blocks[i].outer.loop, blocks[k].outer.loop) {
				t.parent[i], t.depth[i] = k, t.depth[k]+1
				break
			}
		}
		if k := t.parent[i]; k >= 0 && len(blocks[k].rings) > 1 {
			t.ring[i] = ringRound(blocks[i].outer.loop, blocks[k].rings)
		}
	}
	b.regions(t)
}

// largestFirst returns the blocks by area, those of equal area as they come.
func largestFirst(blocks []block) []block {
	return inOrder(blocks, func(p, q int) int {
		return cmpFloat(math.Abs(blocks[q].outer.area), math.Abs(blocks[p].outer.area))
	})
}

// inOrder returns a list ordered by comparing its items by number, equal ones as
// they come. Each item is moved once.
func inOrder[T any](list []T, compare func(p, q int) int) []T {
	order := make([]int, len(list))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(p, q int) int { return cmp.Or(compare(p, q), p-q) })
	out := list[:0:0]
	for _, i := range order {
		out = append(out, list[i])
	}
	return out
}

// twin stands for the parent of a block that is dropped.
const twin = -2

// isTwin reports whether one block is a copy of the other.
func (b *builder) isTwin(bl, of *block) bool {
	return b.runsAlong(bl, of) && b.runsAlong(of, bl)
}

// runsAlong reports whether bl, of one ring, is nowhere farther from the ring of
// than the join tolerance.
func (b *builder) runsAlong(bl, of *block) bool {
	j := b.opt.Join
	p, q := bl.outer.box, of.outer.box
	if len(bl.rings) > 1 || len(of.rings) > 1 ||
		max(math.Abs(p.x0-q.x0), math.Abs(p.y0-q.y0), math.Abs(p.x1-q.x1), math.Abs(p.y1-q.y1)) > j {
		return false
	}
	for _, c := range bl.outer.curves {
		for _, t := range [3]float64{0, 0.3, 0.6} {
			if !of.outer.passesNear(c.At(t), j) {
				return false
			}
		}
	}
	return true
}

// nesting says where each block lies.
type nesting struct {
	blocks []block
	tree   *boxTree
	parent []int // block round this one, or -1
	ring   []int // ring of the parent that holds it
	depth  []int
}

// ringRound returns the ring that contains most samples of l.
func ringRound(l *loop, rings []ring) int {
	points := make([]r2.Point, samples(l))
	for k := range points {
		points[k] = sample(l, k)
	}
	best, most := 0, 0
	for r := range rings {
		if !rings[r].box.meets(l.box) {
			continue
		}
		n := 0
		for _, p := range points {
			if rings[r].contains(p) {
				n++
			}
		}
		if n > most {
			best, most = r, n
		}
		if n == len(points) {
			break
		}
	}
	return best
}

// leastSamples is how many points of a contour stand for all of it.
const leastSamples = 12

// samples returns how many samples l has: a dozen, or as many more as make it
// the same number on each curve.
func samples(l *loop) int {
	n := len(l.curves)
	if n >= leastSamples {
		return leastSamples
	}
	return (leastSamples + n - 1) / n * n
}

// sample returns the k-th sample of l, which is no vertex.
func sample(l *loop, k int) r2.Point {
	n := len(l.curves)
	if n >= leastSamples {
		return l.curves[k*n/leastSamples].At(0.5)
	}
	each := samples(l) / n
	return l.curves[k/each].At((float64(k%each) + 0.5) / float64(each))
}

// within reports whether l lies inside outer. Where no contours cross, three
// samples that agree are enough.
func (b *builder) within(l, outer *loop) bool {
	n := samples(l)
	if !b.crossed {
		in := outer.contains(sample(l, 0))
		if in == outer.contains(sample(l, n/3)) && in == outer.contains(sample(l, 2*n/3)) {
			return in
		}
	}
	in := 0
	for k := range n {
		if outer.contains(sample(l, k)) {
			in++
		}
	}
	return 3*in > 2*n
}

// regions writes the result.
func (b *builder) regions(t *nesting) {
	type place struct{ block, ring int }
	var outlines, holes []place
	for i := range t.blocks {
		if t.parent[i] == twin {
			continue
		}
		if t.depth[i]%2 == 1 {
			holes = append(holes, place{i, 0})
			continue
		}
		for r := range t.blocks[i].rings {
			outlines = append(outlines, place{i, r})
		}
	}
	slices.SortStableFunc(outlines, func(p, q place) int {
		if d := t.depth[p.block] - t.depth[q.block]; d != 0 {
			return d
		}
		return byCorner(t.blocks[p.block].rings[p.ring].box, t.blocks[q.block].rings[q.ring].box)
	})
	slices.SortStableFunc(holes, func(p, q place) int {
		return byCorner(t.blocks[p.block].outer.box, t.blocks[q.block].outer.box)
	})
	region := make([][]int, len(t.blocks)) // of each ring of a block of outlines
	b.res.Regions = make([]Region, 0, len(outlines))
	for k, p := range outlines {
		bl := &t.blocks[p.block]
		if region[p.block] == nil {
			region[p.block] = b.sourceRoom.take(len(bl.rings), len(outlines))
		}
		region[p.block][p.ring] = k
		r := &bl.rings[p.ring]
		b.res.Regions = append(b.res.Regions, Region{
			Outline: b.oriented(r, 1), Depth: t.depth[p.block] / 2, Parent: -1, Cutout: -1,
		})
	}
	owner := func(i int) int { return region[t.parent[i]][t.ring[i]] }
	cutout := make([]int, len(t.blocks))
	for _, p := range holes {
		r := &b.res.Regions[owner(p.block)]
		cutout[p.block] = len(r.Holes)
		r.Holes = append(r.Holes, b.oriented(&t.blocks[p.block].outer, -1))
		if marks := t.blocks[p.block].marks; marks != nil {
			b.res.Open = append(b.res.Open, marks()...)
		}
	}
	for _, p := range outlines {
		if h := t.parent[p.block]; h >= 0 {
			r := &b.res.Regions[region[p.block][p.ring]]
			r.Parent, r.Cutout = owner(h), cutout[h]
		}
	}
	// An open chain lies in the region whose outline or cut-out is the innermost
	// round its middle.
	for k := range b.res.Open {
		o := &b.res.Open[k]
		p := o.Curves[len(o.Curves)/2].At(0.5)
		best := -1
		t.tree.query(box{p.X, p.Y, p.X, p.Y}, func(i int) bool {
			if i > best && t.parent[i] != twin && t.blocks[i].outer.contains(p) {
				best = i
			}
			return true
		})
		switch {
		case best < 0:
			o.Region = -1
		case t.depth[best]%2 == 0:
			o.Region = region[best][ringAt(p, t.blocks[best].rings)]
		default:
			o.Region = owner(best)
		}
	}
}

func ringAt(p r2.Point, rings []ring) int {
	for r := range rings {
		if len(rings) > 1 && rings[r].contains(p) {
			return r
		}
	}
	return 0
}

func byCorner(p, q box) int {
	if c := cmpFloat(p.x0, q.x0); c != 0 {
		return c
	}
	return cmpFloat(p.y0, q.y0)
}

// oriented returns the ring's contour turned counter-clockwise for sign 1,
// clockwise for -1.
func (b *builder) oriented(r *ring, sign float64) Contour {
	c, back := r.Contour, r.area*sign < 0
	if back && len(c.Joints) > 0 {
		c.Joints = slices.Clone(c.Joints)
		for i, j := range c.Joints {
			c.Joints[i].A, c.Joints[i].B = j.B, j.A
		}
	}
	return b.canonical(c, back)
}

// settle completes the open chains and the accounts: chains no longer than the
// join tolerance are dropped, gaps are measured, and an input of which nothing
// is left counts as without length.
func (b *builder) settle() {
	kept := b.res.Open[:0]
	for _, o := range b.res.Open {
		if geom.LoopLength(o.Curves) > b.opt.Join {
			kept = append(kept, o)
		}
	}
	b.res.Open = kept
	b.measureGaps()
	seen := make([]bool, len(b.in))
	mark := func(sources []int) {
		for _, s := range sources {
			if s >= 0 {
				seen[s] = true
			}
		}
	}
	for _, r := range b.res.Regions {
		mark(r.Outline.Sources)
		for _, h := range r.Holes {
			mark(h.Sources)
		}
	}
	for _, o := range b.res.Open {
		mark(o.Sources)
	}
	// A source of which a stretch is left is no duplicate.
	slices.Sort(b.res.Duplicates)
	b.res.Duplicates = slices.DeleteFunc(slices.Compact(b.res.Duplicates), func(s int) bool { return seen[s] })
	mark(b.res.Duplicates)
	// A copy that was dropped neither crosses nor touches anything.
	b.res.Problems = slices.DeleteFunc(b.res.Problems, func(p Problem) bool {
		return (p.Code == "crossing" || p.Code == "touching") && slices.ContainsFunc(p.Sources, func(s int) bool {
			_, dropped := slices.BinarySearch(b.res.Duplicates, s)
			return dropped
		})
	})
	mark(b.res.Rejected)
	b.res.Degenerate = nil
	for i, ok := range seen {
		if !ok && !b.isGone(i) {
			b.res.Degenerate = append(b.res.Degenerate, i)
		}
	}
	b.res.Open = byCorners(b.res.Open)
}

// byCorners returns the chains by their lower left corners.
func byCorners(open []Open) []Open {
	boxes := make([]box, len(open))
	for i := range open {
		boxes[i] = boxOf(geom.LoopBounds(open[i].Curves))
	}
	return inOrder(open, func(p, q int) int { return byCorner(boxes[p], boxes[q]) })
}

// measureGaps sets the gap of every open chain: from one of its ends to the
// other, or to the nearest end of another chain if that is nearer.
func (b *builder) measureGaps() {
	open := b.res.Open
	pts := make([]r2.Point, 0, 2*len(open))
	boxes := make([]box, 0, 2*len(open))
	all := box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	for _, o := range open {
		for _, p := range [2]r2.Point{o.Curves[0].Start, o.Curves[len(o.Curves)-1].End} {
			pts = append(pts, p)
			boxes = append(boxes, box{p.X, p.Y, p.X, p.Y})
			all = all.union(boxes[len(boxes)-1])
		}
	}
	tree := newBoxTree(boxes)
	for k := range open {
		gap := pts[2*k].Sub(pts[2*k+1]).Norm()
		from, to, other := pts[2*k], pts[2*k+1], false
		for _, i := range [2]int{2 * k, 2*k + 1} {
			// Look in a growing window until it holds another end, or all.
			for r := max(b.opt.Join, b.opt.JointLimit); ; r *= 4 {
				q := boxes[i].grown(min(r, gap))
				tree.query(q, func(j int) bool {
					if d := pts[i].Sub(pts[j]).Norm(); j/2 != k && d < gap {
						gap, from, to, other = d, pts[i], pts[j], true
					}
					return true
				})
				if r >= gap {
					break
				}
			}
		}
		open[k].Gap, open[k].From, open[k].To, open[k].Other = gap, from, to, other
	}
}
