package contour

import (
	"math"
	"slices"

	"burrcast/geom"

	"github.com/golang/geo/r2"
)

// crowd is the number of lines on one straight line from which they are joined
// by a sweep instead of pair by pair.
const crowd = 64

// dropCrowded joins the lines on one straight line, where there are very many,
// by interval union: sort them along it, keep of each what reaches beyond all
// before. O(n log n), where pairs would cost O(n^2). It reports whether there
// was anything to join.
func (b *builder) dropCrowded() bool {
	type key struct{ angle, offset int64 }
	keys := make([]key, len(b.edges))
	size := 16
	for size < len(keys) {
		size *= 2
	}
	count := make([]int32, size) // of keys by hash
	at := func(i int) *int32 { return &count[int(hashOf(keys[i].angle, keys[i].offset, 0))&(size-1)] }
	for i := range b.edges {
		c := &b.edges[i].c
		if c.IsArc() {
			continue
		}
		u := direction(c)
		h := geom.Cross(u, c.Start)
		keys[i] = key{int64(math.Round(math.Atan2(u.Y, u.X) * 1e6)), int64(math.Round(h * 1e3))}
		*at(i)++
	}
	groups := make(map[key][]int)
	for i := range b.edges {
		if !b.edges[i].c.IsArc() && *at(i) >= crowd {
			groups[keys[i]] = append(groups[keys[i]], i)
		}
	}
	changed := false
	for _, group := range groups {
		if len(group) >= crowd && b.sweep(group) {
			changed = true
		}
	}
	if changed {
		b.edges = slices.DeleteFunc(b.edges, func(e edge) bool { return e.gone })
	}
	return changed
}

// mayCrowd reports whether lines run over each other at all, or there are too
// many neighbours to tell.
func (b *builder) mayCrowd() bool {
	if len(b.edges) < crowd || !b.near.whole {
		return len(b.edges) >= crowd
	}
	for i := range b.edges {
		if b.edges[i].c.IsArc() {
			continue
		}
		for _, k := range b.near.of(i) {
			if int(k) > i && !b.edges[k].c.IsArc() && b.overlap(&b.edges[i], &b.edges[k]) {
				return true
			}
		}
	}
	return false
}

// overlap reports whether two neighbours are parallel lines beside each other.
func (b *builder) overlap(e, f *edge) bool {
	u, v := e.c.End.Sub(e.c.Start), f.c.End.Sub(f.c.Start)
	if math.Abs(geom.Cross(u, v)) > 4e-6*e.length*f.length {
		return false
	}
	s, t := f.c.Start.Sub(e.c.Start).Dot(u), f.c.End.Sub(e.c.Start).Dot(u)
	return min(max(s, t), e.length*e.length)-max(0, min(s, t)) > 16*b.base*e.length
}

// direction returns the unit direction of a line, turned to the right half plane.
func direction(c *geom.Curve) r2.Point {
	u := c.Tangent(0)
	if u.X < -1e-7 || u.X < 1e-7 && u.Y < 0 {
		u = u.Mul(-1)
	}
	return u
}

// sweep joins one group and reports whether anything overlapped.
func (b *builder) sweep(group []int) bool {
	u, o := direction(&b.edges[group[0]].c), b.edges[group[0]].c.Start
	type span struct {
		i      int
		lo, hi float64
	}
	spans := make([]span, len(group))
	for k, i := range group {
		c := &b.edges[i].c
		s, t := c.Start.Sub(o).Dot(u), c.End.Sub(o).Dot(u)
		spans[k] = span{i, min(s, t), max(s, t)}
	}
	slices.SortStableFunc(spans, func(p, q span) int {
		if c := cmpFloat(p.lo, q.lo); c != 0 {
			return c
		}
		return cmpFloat(q.hi, p.hi)
	})
	for _, i := range group {
		b.meet(b.edges[i].src)
	}
	reach, changed := spans[0].hi, false
	for _, s := range spans[1:] {
		e := &b.edges[s.i]
		tol := 2 * b.coverTolerance(s.hi-s.lo)
		switch {
		case s.hi <= reach+tol:
			e.gone, changed = true, true
			b.res.Duplicates = append(b.res.Duplicates, e.src)
			continue // what it reaches beyond is left for the next to reach
		case s.lo < reach-tol:
			changed = true
			t := (reach - s.lo) / (s.hi - s.lo)
			if e.c.Start.Sub(o).Dot(u) == s.lo {
				e.reshape(e.c.Sub(t, 1))
			} else {
				e.reshape(e.c.Sub(0, 1-t))
			}
		}
		reach = max(reach, s.hi)
	}
	return changed
}
