package width

import (
	"cmp"
	"math"
	"slices"
)

// open ends what remains, if all of it faces the open.
func (c *closing) open() bool {
	f := c.f
	type place struct{ u, t float64 }
	ends := make([]place, len(c.strips))
	for k := range c.strips {
		s := &c.strips[k]
		if s.gone {
			continue
		}
		n := &c.strips[s.next]
		if s.spoke {
			p, nrm := f.elems[s.e].at(s.hi)
			if !c.free(touching{s.hi, f.far, p.Add(nrm.Mul(f.far))}, s.prev, n.next) {
				return false
			}
			continue
		}
		d, ok := c.meet(s.e, noFoot, n.e)
		if !ok {
			return false
		}
		if d.u, ok = c.onStrip(s, d.u, d.r, inside); !ok {
			return false
		}
		t, ok := c.footOn(n, d, first)
		if !ok || !c.free(d, s.prev, n.next) {
			return false
		}
		ends[k] = place{d.u, t}
	}
	for k := range c.strips {
		s := &c.strips[k]
		if !s.gone && !s.spoke {
			n := &c.strips[s.next]
			c.add(s.e, n.e, ends[k].u, s.hi, f.far, s.rhi)
			c.add(n.e, s.e, n.lo, ends[k].t, n.rlo, f.far)
			s.hi, n.lo = ends[k].u, ends[k].t
		}
	}
	for k := range c.strips {
		if s := &c.strips[k]; !s.gone {
			c.add(s.e, noFoot, s.lo, s.hi, f.far, f.far)
		}
	}
	return true
}

// gather sorts the runs by element and place, and reports whether they cover
// every element.
func (c *closing) gather() bool {
	f := c.f
	// Where the runs of an element begin, one place further on.
	n := len(f.elems)
	c.start = cleared(c.start, n+2)
	for k := range c.found {
		c.start[c.found[k].e+2]++
	}
	for k := 2; k < len(c.start); k++ {
		c.start[k] += c.start[k-1]
	}
	all := slices.Grow(f.allRuns[:0], len(c.found))[:len(c.found)]
	f.allRuns = all
	for k := range c.found {
		q := &c.found[k]
		all[c.start[q.e+1]] = q.run
		c.start[q.e+1]++
	}
	f.runs = slices.Grow(f.runs[:0], n)[:n]
	var slight map[int32]run // the largest of an element
	if len(c.slight) > 0 {
		slight = make(map[int32]run)
	}
	for _, q := range c.slight {
		if o, ok := slight[q.e]; !ok || o.r0 < q.r0 {
			slight[q.e] = q.run
		}
	}
	for id := range f.elems {
		runs := all[c.start[id]:c.start[id+1]:c.start[id+1]]
		sortRuns(runs)
		if rn, ok := slight[int32(id)]; ok && len(runs) == 0 && f.elems[id].length <= 1e-3*rn.r0 {
			// A chord so short that only its smooth neighbours are met is all at one disc.
			f.runs[id] = []run{{0, 1, rn.r0, rn.r0, rn.j}}
			continue
		}
		kept := runs[:0]
		end := 0.0
		for _, rn := range runs {
			if rn.u0 < end-1e-9 || (rn.u0-end)*f.elems[id].reach(rn.r0) > 1e-3*rn.r0 {
				return false
			}
			rn.u0, end = end, rn.u1
			if k := len(kept) - 1; k >= 0 && kept[k].j == rn.j {
				kept[k].u1, kept[k].r1 = rn.u1, rn.r1
				continue
			}
			kept = append(kept, rn)
		}
		k := len(kept) - 1
		if k < 0 || (1-end)*f.elems[id].reach(kept[k].r1) > 1e-3*kept[k].r1 {
			return false
		}
		kept[k].u1 = 1
		f.runs[id] = dropTies(kept, f.elems[id].reach(f.far))
	}
	return true
}

// sortRuns puts runs in order of place. Few elements have more than a handful.
func sortRuns(runs []run) {
	if len(runs) > 12 {
		slices.SortFunc(runs, func(a, b run) int { return cmp.Compare(a.u0, b.u0) })
		return
	}
	for k := 1; k < len(runs); k++ {
		for m := k; m > 0 && runs[m].u0 < runs[m-1].u0; m-- {
			runs[m], runs[m-1] = runs[m-1], runs[m]
		}
	}
}

// reach is by how much the disc of radius r moves along the whole element.
func (e *element) reach(r float64) float64 {
	if e.kind == vertex {
		return r * math.Abs(e.sweep)
	}
	return e.length
}
