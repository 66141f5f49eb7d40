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
//     any number of copies costs O(n);
//  2. of two lines or two arcs whose boxes meet, the longer (then the earlier)
//     covers the stretch of the other that runs within tolerance of it; each
//     curve keeps what no curve before it covers. Every point thus stays
//     covered exactly once.
//
// The tolerance is the join tolerance over fifty (1e-3 mm by default: copies
// written with three decimals) and at most a twentieth of the shorter curve, so
// that tiny curves are not taken for each other. Copies farther aside are found
// when it is known what closes: open chains in shadows.go, contours in nest.go.

// maxPairs bounds the pairs of boxes that one Build looks at.
func maxPairs(n int) int { return 20_000_000 + 100*n }

// dropCovered removes from b.edges what is drawn twice.
func (b *builder) dropCovered() {
	b.dropEqual()
	order := make([]int, len(b.edges)) // longest first
	length := make([]float64, len(b.edges))
	boxes := make([]box, len(b.edges))
	for i := range b.edges {
		order[i] = i
		length[i] = b.edges[i].c.Length()
		boxes[i] = boxOf(b.edges[i].c.Bounds())
	}
	slices.SortStableFunc(order, func(p, q int) int { return cmpFloat(length[q], length[p]) })
	rank := make([]int, len(order))
	for r, i := range order {
		rank[i] = r
	}
	covered := make(map[int][][2]float64)
	tree := newBoxTree(boxes)
	left := maxPairs(len(b.edges))
	for j := range b.edges {
		cj := b.edges[j].c
		tol := min(b.opt.Join/50, length[j]/20)
		tree.query(boxes[j].grown(tol), func(i int) bool {
			left--
			if rank[i] < rank[j] {
				if iv := coverage(b.edges[i].c, cj, length[i], length[j], tol); len(iv) > 0 {
					covered[j] = append(covered[j], iv...)
					b.twice[b.edges[i].src] = append(b.twice[b.edges[i].src], b.edges[j].src)
				}
			}
			return left > 0
		})
		if left <= 0 {
			b.problem("not-converged", cj.Start, nil, "too many curves lie over each other to look for duplicates")
			break
		}
	}
	if len(covered) == 0 {
		return
	}
	kept := make([]edge, 0, len(b.edges))
	for j, e := range b.edges {
		iv, ok := covered[j]
		if !ok {
			kept = append(kept, e)
			continue
		}
		rest := complement(iv, 2*min(b.opt.Join/50, length[j]/20)/length[j])
		if len(rest) == 0 {
			b.res.Duplicates = append(b.res.Duplicates, e.src)
		}
		for _, r := range rest {
			p := e
			if r != [2]float64{0, 1} {
				p.c = e.c.Sub(r[0], r[1])
			}
			kept = append(kept, p)
		}
	}
	b.edges = kept
	slices.Sort(b.res.Duplicates)
}

// dropEqual removes curves equal to an earlier one, travelled either way.
func (b *builder) dropEqual() {
	const cell = 1e-3
	type key struct{ x, y, l, r int64 }
	quantise := func(v float64) int64 { return int64(math.Round(v / cell)) }
	first := make(map[key]int, len(b.edges))
	kept := b.edges[:0]
	for _, e := range b.edges {
		m := e.c.At(0.5)
		if e.c.IsCircle() {
			m = e.c.Center
		}
		k := key{quantise(m.X), quantise(m.Y), quantise(e.c.Length()), quantise(min(e.c.Radius, maxCoordinate))}
		if i, ok := first[k]; ok && equalCurves(kept[i].c, e.c, 4*b.base) {
			b.res.Duplicates = append(b.res.Duplicates, e.src)
			b.twice[kept[i].src] = append(b.twice[kept[i].src], e.src)
			continue
		}
		first[k] = len(kept)
		kept = append(kept, e)
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

// coverage returns the intervals of d's length, as fractions, that run within
// tol of c. Both are lines or both arcs; two arcs can share two stretches.
func coverage(c, d geom.Curve, lenC, lenD, tol float64) [][2]float64 {
	if c.IsArc() != d.IsArc() {
		return nil
	}
	if !c.IsArc() && math.Abs(geom.Cross(c.End.Sub(c.Start), d.End.Sub(d.Start))) > 0.2*lenC*lenD {
		return nil // at such an angle no stretch worth the name stays within tol
	}
	ts := []float64{0, 1}
	for _, p := range [2]r2.Point{c.Start, c.End} {
		if t, q := d.Closest(p); near(p, q, tol) {
			ts = append(ts, t)
		}
	}
	slices.Sort(ts)
	var out [][2]float64
	for k := 1; k < len(ts); k++ {
		t0, t1 := ts[k-1], ts[k]
		if (t1-t0)*lenD <= 2*tol {
			continue
		}
		on := true
		for k := range 5 { // both ends and, for arcs, three points that fix a circle
			p := d.At(t0 + float64(k)/4*(t1-t0))
			if _, q := c.Closest(p); !near(p, q, tol) {
				on = false
				break
			}
		}
		if on {
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
