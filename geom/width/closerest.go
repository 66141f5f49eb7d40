package width

import (
	"math"
	"slices"

	"burrcast/geom"
)

// traceRest finds the runs of what did not close by tracing, stretch by stretch.
//
//  1. Where the boundary crosses itself discs mean little, and what was found may
//     be wrong: what a crossing can touch is not trusted.
//  2. Trace each stretch of an element that no run covers.
//  3. What is seen must be seen back, as in traceAll: trace again, with the feet
//     that were seen as further places to ask.
func (c *closing) traceRest() {
	f := c.f
	f.tree = newTree(f.elems, f.rings)
	known := make([][]run, len(f.elems))
	for k := range c.found {
		q := &c.found[k]
		known[q.e] = append(known[q.e], q.run)
	}
	var open []int32
	for i := range known {
		known[i] = f.disjoint(int32(i), known[i])
		if !covered(known[i]) {
			open = append(open, int32(i))
		}
	}
	if slices.ContainsFunc(open, f.crossed) {
		open = c.distrust(known)
	}
	f.runs = make([][]run, len(f.elems))
	for i := range known {
		f.fill(int32(i), known[i], nil)
	}
	seeds := make(map[int32][]float64)
	for range 4 {
		clear(seeds)
		for _, i := range open {
			f.collectSeeds(i, seeds)
		}
		if len(seeds) == 0 {
			return
		}
		for j, us := range seeds {
			f.fill(j, known[j], us)
		}
	}
}

// distrust leaves of the known runs those that no crossing of the boundary can
// touch, and returns the elements that they do not cover.
func (c *closing) distrust(known [][]run) (open []int32) {
	f := c.f
	crossed := make([]bool, len(f.elems))
	for i := range f.elems {
		crossed[i] = f.crossed(int32(i))
	}
	f.hull.reset(f.elems, f.rings, func(id int32) bool { return f.elems[id].kind != vertex })
	for i := range known {
		if crossed[i] {
			known[i] = nil
		}
		known[i] = slices.DeleteFunc(known[i], func(rn run) bool {
			return rn.j != noFoot && crossed[rn.j] || !c.holds(int32(i), rn)
		})
		if !covered(known[i]) {
			open = append(open, int32(i))
		}
	}
	return open
}

// holds reports whether the disc in the middle of a run of element i is empty.
func (c *closing) holds(i int32, rn run) bool {
	f := c.f
	p, n := f.elems[i].at((rn.u0 + rn.u1) / 2)
	r := f.radius(i, p, n, rn.j)
	if math.IsInf(r, 1) {
		return true // beside a smooth joint
	}
	return f.empty(p.Add(n.Mul(r)), r*(1-1e-6)-c.blur)
}

// crossed reports whether another curve than its neighbours meets element i.
func (f *Field) crossed(i int32) bool {
	e := &f.elems[i]
	if e.kind == vertex {
		return false
	}
	box := e.bounds()
	stack := append(make([]int32, 0, 64), 0)
	for len(stack) > 0 {
		k := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		nd := &f.tree.nodes[k]
		if nd.x0 > box.X.Hi || nd.x1 < box.X.Lo || nd.y0 > box.Y.Hi || nd.y1 < box.Y.Lo {
			continue
		}
		if nd.count == 0 {
			stack = append(stack, k+1, nd.right)
		}
		for _, j := range f.tree.order[nd.first : nd.first+nd.count] {
			if o := &f.elems[j]; j != i && o.kind != vertex && j != e.prev && j != e.next && len(geom.Intersect(e.c, o.c, 1e-9*f.far)) > 0 {
				return true
			}
		}
	}
	return false
}

// covered reports whether runs, in order, cover their element.
func covered(runs []run) bool {
	end := 0.0
	for _, rn := range runs {
		if rn.u0 > end {
			return false
		}
		end = rn.u1
	}
	return end == 1
}

// disjoint sorts the runs of element i and leaves out those that overlap others.
func (f *Field) disjoint(i int32, runs []run) []run {
	sortRuns(runs)
	kept := runs[:0]
	end := 0.0
	for _, rn := range runs {
		if rn.u0 < end-1e-9 {
			continue
		}
		rn.u0 = max(rn.u0, end)
		if (rn.u0-end)*f.elems[i].reach(rn.r0) <= 1e-3*rn.r0 {
			rn.u0 = end
		}
		if (1-rn.u1)*f.elems[i].reach(rn.r1) <= 1e-3*rn.r1 {
			rn.u1 = 1
		}
		if rn.u0 < rn.u1 {
			kept, end = append(kept, rn), rn.u1
		}
	}
	return kept
}

// fill sets the runs of element i to those known, in order, and what is traced
// between them, also at the places in extra.
func (f *Field) fill(i int32, known []run, extra []float64) {
	if len(known) == 0 {
		f.retrace(i, extra)
		return
	}
	f.runs[i] = f.runs[i][:0]
	f.walk = walk{}
	end := 0.0
	for k := 0; k <= len(known); k++ {
		until := 1.0
		if k < len(known) {
			until = known[k].u0
		}
		if end < until {
			f.stretch(i, end, until, extra)
		}
		if k < len(known) {
			f.addRun(i, known[k])
			end = known[k].u1
		}
	}
	f.runs[i] = dropTies(f.runs[i], f.elems[i].reach(f.far))
}

// stretch traces element i from lo to hi.
func (f *Field) stretch(i int32, lo, hi float64, extra []float64) {
	us := []float64{lo}
	parts := max(2, math.Ceil((hi-lo)*math.Abs(float64(f.elems[i].c.Sweep))/(math.Pi/4)))
	for k := 1.0; k <= parts; k++ {
		us = append(us, lo+(hi-lo)*k/parts)
	}
	for _, u := range extra {
		if lo < u && u < hi {
			us = append(us, u)
		}
	}
	slices.Sort(us)
	a := f.sampleAt(i, lo, noFoot)
	for _, u := range us[1:] {
		if u-a.u < 1e-13 {
			continue
		}
		b := f.sampleAt(i, u, a.j)
		f.between(i, a, b, 0)
		a = b
	}
}
