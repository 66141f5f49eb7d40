package width

import (
	"cmp"
	"math"
	"slices"
)

// turned is a cover seen along one feed angle, ready to be swept. It is used
// again for every angle, so that an angle allocates nothing.
type turned struct {
	x        []float64 // the cover's vertices along the feed
	counts   []int32   // of vertices by bin, then where each bin begins, then ends
	events   []sectionEvent
	jumps    []sectionEvent // change is in width
	loops    int            // of the cover
	top      span           // the longest level stretch where the cover is widest, or the place
	beside   span           // the stretches next to its widest place
	hit      []span         // what obstacles reach
	sin, cos float64
}

// sectionEvent is what one vertex changes: past x the slope of the section, or
// its width, grows by change.
type sectionEvent struct{ x, change float64 }

// crowded is how many events of one bin are too many to be sorted by insertion.
const crowded = 24

// turn turns the first loops of the cover and sorts their vertices.
//
// An edge y = y0 + b (x - x0) adds -y to the section where it runs along the
// feed and +y where it runs back (material on the left), from its lower end to
// its upper. Either way the slope changes by -b at its first vertex and by +b at
// its second. Only where an edge is left out, being no longer along the feed
// than tiny, do the y of its neighbours not cancel: there the width jumps.
func (t *turned) turn(c *cover, loops int, sin, cos, tiny float64) {
	if n := len(c.x); cap(t.x) < n {
		t.x = make([]float64, n)
		t.counts = make([]int32, 2*n+2)
		t.events = make([]sectionEvent, n)
	}
	n := int(c.loops[loops])
	t.x, t.counts, t.events = t.x[:n], t.counts[:2*n+2], t.events[:n-loops]
	t.loops, t.sin, t.cos = loops, sin, cos
	x, px, py := t.x[:n], c.x[:n], c.y[:n]
	lo, hi := math.Inf(1), math.Inf(-1)
	for i := range px {
		v := px[i]*cos + py[i]*sin
		x[i] = v
		if v < lo {
			lo = v
		}
		if v > hi {
			hi = v
		}
	}
	counts := t.counts
	clear(counts)
	bins := float64(len(counts)-2) / max(hi-lo, tiny)
	for k := range loops {
		for _, v := range x[c.loops[k] : c.loops[k+1]-1] {
			counts[int32((v-lo)*bins)+1]++
		}
	}
	most, sum := int32(0), int32(0)
	for m, v := range counts {
		if v > most {
			most = v
		}
		sum += v
		counts[m] = sum
	}
	events := t.events
	t.jumps = t.jumps[:0]
	for k := range loops {
		x, px, py := x[c.loops[k]:c.loops[k+1]], px[c.loops[k]:c.loops[k+1]], py[c.loops[k]:c.loops[k+1]]
		last := len(x) - 1
		across := func(i int) float64 { return py[i]*cos - px[i]*sin }
		before, kept := edgeSlope(x[last]-x[last-1], across(last)-across(last-1), tiny)
		v, y := x[0], across(0)
		for i := 1; i < len(x); i++ {
			w, z := x[i], py[i]*cos-px[i]*sin
			b, keep := 0.0, math.Abs(w-v) > tiny
			if keep {
				b = (z - y) / (w - v)
			}
			if keep != kept {
				if keep {
					t.jumps = append(t.jumps, sectionEvent{v, -y})
				} else {
					t.jumps = append(t.jumps, sectionEvent{v, y})
				}
			}
			m := &counts[int32((v-lo)*bins)]
			events[*m] = sectionEvent{v, before - b}
			*m++
			before, kept, v, y = b, keep, w, z
		}
	}
	sortEvents(t.jumps)
	if most > crowded {
		begin := int32(0)
		for _, end := range counts {
			if end-begin > crowded {
				sortEvents(events[begin:end])
			}
			begin = end
		}
	}
	for i := 1; i < len(events); i++ {
		e := events[i]
		k := i
		for ; k > 0 && events[k-1].x > e.x; k-- {
			events[k] = events[k-1]
		}
		if k < i {
			events[k] = e
		}
	}
}

func edgeSlope(dx, dy, tiny float64) (b float64, keep bool) {
	if math.Abs(dx) <= tiny {
		return 0, false
	}
	return dy / dx, true
}

// sortEvents orders events along the feed. The numbers are finite, which spares
// the comparison the care for those that are not.
func sortEvents(events []sectionEvent) {
	slices.SortFunc(events, func(a, b sectionEvent) int {
		switch {
		case a.x < b.x:
			return -1
		case a.x > b.x:
			return 1
		}
		return 0
	})
}

// twoSum is a + b and what rounding takes from it (Knuth). A slope of 1e7 that
// comes and goes would else leave 1e-9 behind.
func twoSum(a, b float64) (sum, lost float64) {
	sum = a + b
	part := sum - a
	return sum, float64(a-float64(sum-part)) + float64(b-part)
}

// same is the relative difference at which widths count as equal.
const same = 1e-12

// widest returns the widest section of the cover.
func (t *turned) widest(tiny float64) found {
	var best found
	var level span // the level stretches under way
	var width, slope, lost, limit float64
	first, last, jump, jumps := 0, 0, 0, 0
	x := t.events[0].x
	for i := range t.events {
		e := &t.events[i]
		d := e.x - x
		next := width + (slope+lost)*d
		if d > tiny && (next > best.width || width > best.width || next >= limit && width >= limit) {
			if width > best.width {
				if width > best.width*(1+same) {
					level = span{x, x}
					t.top, jumps = level, jump
				}
				best = found{width, x, x + d/2}
				first, last = i-2, i
			}
			if next > best.width {
				if next > best.width*(1+same) {
					level = span{e.x, e.x}
					t.top, jumps = level, jump
				}
				best = found{next, e.x, x + d/2}
				first, last = i-1, i+1
			}
			limit = best.width * (1 - same)
			if width >= limit && next >= limit {
				if level.hi < x-tiny || jumps != jump {
					level.lo, jumps = x, jump
				}
				level.hi = e.x
				if level.hi-level.lo > t.top.hi-t.top.lo {
					t.top = level
				}
			}
		}
		width, x = next, e.x
		for ; jump < len(t.jumps) && t.jumps[jump].x <= x; jump++ {
			width += t.jumps[jump].change
		}
		sum, l := twoSum(slope, e.change)
		slope, lost = sum, lost+l
	}
	t.beside = span{t.events[max(0, first)].x, t.events[min(last, len(t.events)-1)].x}
	return best
}

// span is a stretch along the feed.
type span struct{ lo, hi float64 }

// wider collects the stretches, in order and joined, where the cover is wider
// than limit, without those in but.
func (t *turned) wider(limit, tiny float64, but span, spans []span) []span {
	var width, slope, lost float64
	jump := 0
	x := t.events[0].x
	for i := range t.events {
		e := &t.events[i]
		d := e.x - x
		next := width + (slope+lost)*d
		if d > tiny && (width > limit || next > limit) && (x < but.lo || e.x > but.hi) {
			// The section is straight here; a little more than where it is wider.
			x0, x1 := x, e.x
			cut := x0 + d*(limit-width)/(next-width)
			if width < limit {
				x0 = max(x0, cut-tiny)
			} else if next < limit {
				x1 = min(x1, cut+tiny)
			}
			if n := len(spans); n > 0 && x0 <= spans[n-1].hi+tiny {
				spans[n-1].hi = x1
			} else {
				spans = append(spans, span{x0, x1})
			}
		}
		width, x = next, e.x
		for ; jump < len(t.jumps) && t.jumps[jump].x <= x; jump++ {
			width += t.jumps[jump].change
		}
		sum, l := twoSum(slope, e.change)
		slope, lost = sum, lost+l
	}
	return spans
}

// place finds a place where the cover is widest that no obstacle reaches and,
// so, the part is as wide.
func (t *turned) place(obstacles []obstacle, best found, tiny float64) (found, bool) {
	hit := t.hit[:0]
	for i := range obstacles {
		o := &obstacles[i]
		x := o.x*t.cos + o.y*t.sin
		if x+o.r >= t.top.lo-tiny && x-o.r <= t.top.hi+tiny {
			hit = append(hit, span{x - o.r, x + o.r})
		}
	}
	t.hit = hit
	if len(hit) == 0 {
		return best, true
	}
	slices.SortFunc(hit, func(a, b span) int { return cmp.Compare(a.lo, b.lo) })
	reached := t.top.lo
	for _, h := range append(hit, span{t.top.hi, t.top.hi}) {
		if h.lo > reached+4*tiny {
			x := reached + (h.lo-reached)/2
			return found{best.width, x, x}, true
		}
		reached = max(reached, h.hi)
	}
	return best, false
}

// extent returns how far the vertices of a group reach along the feed.
func (t *turned) extent(g *coverGroup) (lo, hi float64) {
	lo = t.x[g.first]
	hi = lo
	for _, x := range t.x[g.first+1 : g.last+1] {
		if x < lo {
			lo = x
		}
		if x > hi {
			hi = x
		}
	}
	return lo, hi
}
