package width

import (
	"cmp"
	"math"
	"slices"
)

// turned is a cover, or its first loops, seen along one feed angle. It is used
// again for every angle: an angle allocates nothing, and finds the vertices
// almost in the order that it needs.
//
// An edge y = y0 + b (x - x0) adds -y to the section where it runs along the
// feed and +y where it runs back (material on the left), from its lower end to
// its upper. Either way the slope changes by -b at its first vertex and by +b at
// its second. Only where an edge is left out, being no longer along the feed
// than tiny, do the y of its neighbours not cancel: there the width jumps.
type turned struct {
	cover    *cover
	tiny     float64
	loops    int // of the cover
	sin, cos float64

	x      []float64 // of vertices, then of the knots of hats, along the feed
	bend   []float64 // by which the slope of the section changes past each
	jump   []float64 // by which its width does
	jumps  bool      // whether any is not 0
	marks  []int32   // all of x that bend or jump, in order along the feed
	nearly trial     // of order by insertion
	sorter sorter
	sorted []mark // while all are put in order anew

	widths []float64 // of the section just before each mark
	peak   int       // mark where the section is widest
	upper  int       // mark at the upper end of the stretch that is that wide there
	best   found
	hit    []span // what obstacles reach
}

// reset takes the first loops of a cover, with its hats if asked.
func (t *turned) reset(c *cover, loops int, hats bool, tiny float64) {
	n := int(c.loops[loops])
	all := n
	if hats {
		all += knots * len(c.hats)
	}
	t.cover, t.tiny, t.loops, t.jumps, t.nearly = c, tiny, loops, false, trial{}
	t.x, t.bend, t.jump = cleared(t.x, all), cleared(t.bend, all), cleared(t.jump, all)
	t.marks = slices.Grow(t.marks[:0], all)
	for k := range loops {
		for i := c.loops[k]; i < c.loops[k+1]-1; i++ {
			t.marks = append(t.marks, i)
		}
	}
	for i := n; i < all; i++ {
		t.bend[i] = hat[(i-n)%knots].bend
		t.marks = append(t.marks, int32(i))
	}
	t.widths = cleared(t.widths, len(t.marks))
}

// turn turns the cover and finds its widest section.
func (t *turned) turn(sin, cos float64) {
	if t.jumps {
		clear(t.jump)
	}
	t.sin, t.cos, t.jumps = sin, cos, false
	for k := range t.loops {
		t.turnLoop(int(t.cover.loops[k]), int(t.cover.loops[k+1]))
	}
	if at := int(t.cover.loops[t.loops]); at < len(t.x) {
		x := t.x[at:]
		for i := range t.cover.hats {
			h := &t.cover.hats[i]
			m := h.x*cos + h.y*sin
			for k := range hat {
				x[k] = m + h.r*hat[k].at
			}
			x = x[knots:]
		}
	}
	t.order()
	t.sweep()
}

// order puts the marks in order by insertion into that of the angle before: over
// half a turn as many pairs change places as there are, few of them in a step.
// Where they are many it sorts anew, and does so at once for some angles.
func (t *turned) order() {
	if t.nearly.due() {
		ok := t.insert(4 * len(t.marks))
		if t.nearly.tell(ok); ok {
			return
		}
	}
	t.sorted = slices.Grow(t.sorted[:0], len(t.marks))
	for _, id := range t.marks {
		t.sorted = append(t.sorted, mark{t.x[id], id})
	}
	t.sorter.sort(t.sorted)
	for i := range t.sorted {
		t.marks[i] = t.sorted[i].id
	}
}

// insert orders the marks by insertion and gives up when more than most would have
// to move.
func (t *turned) insert(most int) bool {
	marks, x := t.marks, t.x
	last := math.Inf(-1)
	for i, id := range marks {
		at := x[id]
		if at >= last {
			last = at
			continue
		}
		k := i
		for ; k > 0 && x[marks[k-1]] > at; k-- {
			marks[k] = marks[k-1]
		}
		marks[k] = id
		if most -= i - k; most < 0 {
			return false
		}
	}
	return true
}

// markAt is where mark i is along the feed.
func (t *turned) markAt(i int) float64 { return t.x[t.marks[i]] }

// turnLoop turns the vertices [from, to), the first of which is repeated as the
// last.
func (t *turned) turnLoop(from, to int) {
	sin, cos, tiny := t.sin, t.cos, t.tiny
	px := t.cover.x[from:to]
	n := len(px)
	py, x, bend, jump := t.cover.y[from:to][:n], t.x[from:to][:n], t.bend[from:to][:n], t.jump[from:to][:n]
	v, y := px[n-2]*cos+py[n-2]*sin, py[n-2]*cos-px[n-2]*sin
	before, kept := 0.0, true
	for i, p := range px {
		q := py[i]
		w, z := p*cos+q*sin, q*cos-p*sin
		b, keep := 0.0, math.Abs(w-v) > tiny
		if keep {
			b = (z - y) / (w - v)
		}
		x[i] = w
		if i > 0 {
			bend[i-1] = before - b
			if keep != kept {
				t.jumps = true
				if jump[i-1] = y; keep {
					jump[i-1] = -y
				}
			}
		}
		before, kept, v, y = b, keep, w, z
	}
}

// twoSum is a + b and what rounding takes from it (Knuth). A slope of 1e7 that
// comes and goes would else leave 1e-9 behind.
func twoSum(a, b float64) (sum, lost float64) {
	sum = a + b
	part := sum - a
	return sum, float64(a-float64(sum-part)) + float64(b-part)
}

// sweep adds up the section from mark to mark.
func (t *turned) sweep() {
	var best found
	var width, slope, lost float64
	x, tiny, jumps := t.markAt(0), t.tiny, t.jumps
	widths, bend, places := t.widths[:len(t.marks)], t.bend, t.x
	for i, id := range t.marks {
		at := places[id]
		d := at - x
		next := width + (slope+lost)*d
		if d > tiny && max(width, next) > best.width {
			if width > best.width {
				best, t.peak, t.upper = found{width, x, x + d/2}, i-1, i
			}
			if next > best.width {
				best, t.peak, t.upper = found{next, at, x + d/2}, i, i
			}
		}
		widths[i] = next
		width, x = next, at
		if jumps {
			width += t.jump[id]
		}
		sum, l := twoSum(slope, bend[id])
		slope, lost = sum, lost+l
	}
	t.best = best
}

// same is the relative difference at which widths count as equal.
const same = 1e-12

// span is a stretch along the feed.
type span struct{ lo, hi float64 }

// beside returns the stretches next to the widest place, no longer than a share
// of the whole.
func (t *turned) beside(share float64) span {
	last := len(t.marks) - 1
	r := (t.markAt(last) - t.markAt(0)) * share
	return span{max(t.markAt(max(0, t.peak-1)), t.best.at-r), min(t.markAt(min(t.peak+1, last)), t.best.at+r)}
}

// level returns the stretch round the widest place where the cover is as wide and
// does not jump.
func (t *turned) level() span {
	limit := t.best.width * (1 - same)
	if !t.even(t.upper, limit) {
		return span{t.best.at, t.best.at}
	}
	lo, hi := t.upper-1, t.upper
	for lo > 0 && t.jumpAt(lo) == 0 && t.even(lo, limit) {
		lo--
	}
	for hi+1 < len(t.marks) && t.jumpAt(hi) == 0 && t.even(hi+1, limit) {
		hi++
	}
	return span{t.markAt(lo), t.markAt(hi)}
}

// even reports whether the cover is as wide as limit between mark i and the one
// before.
func (t *turned) even(i int, limit float64) bool {
	return t.widths[i] >= limit && t.widths[i-1]+t.jumpAt(i-1) >= limit
}

// jumpAt is what the width changes by at mark i.
func (t *turned) jumpAt(i int) float64 {
	if !t.jumps {
		return 0
	}
	return t.jump[t.marks[i]]
}

// wider collects the stretches, in order and joined, where the cover is wider
// than limit, without those in but.
func (t *turned) wider(limit float64, but span, spans []span) []span {
	for i := 1; i < len(t.marks); i++ {
		width, next := t.widths[i-1]+t.jumpAt(i-1), t.widths[i]
		if !(width > limit || next > limit) {
			continue
		}
		x0, x1 := t.markAt(i-1), t.markAt(i)
		d := x1 - x0
		if d <= t.tiny || x0 >= but.lo && x1 <= but.hi {
			continue
		}
		// The section is straight here; a little more than where it is wider.
		cut := x0 + d*(limit-width)/(next-width)
		if width < limit {
			x0 = max(x0, cut-t.tiny)
		} else if next < limit {
			x1 = min(x1, cut+t.tiny)
		}
		if n := len(spans); n > 0 && x0 <= spans[n-1].hi+t.tiny {
			spans[n-1].hi = x1
		} else {
			spans = append(spans, span{x0, x1})
		}
	}
	return spans
}

// place finds a place where the cover is widest that no obstacle reaches and,
// so, the part is as wide.
func (t *turned) place(obstacles []obstacle) (found, bool) {
	if len(obstacles) == 0 {
		return t.best, true
	}
	top := t.level()
	hit := t.hit[:0]
	for i := range obstacles {
		o := &obstacles[i]
		x := o.x*t.cos + o.y*t.sin
		if x+o.r < top.lo-t.tiny || x-o.r > top.hi+t.tiny {
			continue
		}
		if x-o.r <= top.lo && x+o.r >= top.hi {
			return t.best, false
		}
		hit = append(hit, span{x - o.r, x + o.r})
	}
	t.hit = hit
	if len(hit) == 0 {
		return t.best, true
	}
	slices.SortFunc(hit, func(a, b span) int { return cmp.Compare(a.lo, b.lo) })
	reached := top.lo
	for _, h := range append(hit, span{top.hi, top.hi}) {
		if h.lo > reached+4*t.tiny {
			x := reached + (h.lo-reached)/2
			return found{t.best.width, x, x}, true
		}
		reached = max(reached, h.hi)
	}
	return t.best, false
}

// section adds up the cover, without hats, on the line at f.at, with the edges
// that pass the line at f.mid, which no vertex separates from it.
func (t *turned) section(f found) found {
	x, mid := f.at, f.mid
	c, sum := t.cover, 0.0
	for k := range t.loops {
		from := int(c.loops[k])
		xs := t.x[from:c.loops[k+1]]
		before := xs[0] < mid
		for i := 1; i < len(xs); i++ {
			after := xs[i] < mid
			if before != after {
				p, q := from+i-1, from+i
				y, z := c.y[p]*t.cos-c.x[p]*t.sin, c.y[q]*t.cos-c.x[q]*t.sin
				y += (z - y) * ((x - xs[i-1]) / (xs[i] - xs[i-1]))
				if before { // travels forward: material above
					y = -y
				}
				sum += y
			}
			before = after
		}
	}
	return found{sum, x, mid}
}
