package width

import (
	"math"
	"slices"

	"burrcast/geom"

	"github.com/golang/geo/r2"
)

// strip is a stretch of an element whose discs are not known yet. The strips of
// a region stand in rings; between two that follow each other runs the set of
// discs that touch both, known up to the disc that bounds the two strips, or no
// such set, where the one continues the other at a shared normal: a spoke.
type strip struct {
	e          int32
	prev, next int32
	more       int32 // another strip of the same element, or -1
	lo, hi     float64
	rlo, rhi   float64 // of the discs that bound it
	spoke      bool    // to the next
	gone       bool
}

// closing is a region's strips on their way to none.
type closing struct {
	f      *Field
	walls  []wall // by element
	strips []strip
	hull   hull    // spare; the Field has it meanwhile
	now    []int32 // looked at in this round, and
	work   []int32 // in the next
	left   int     // strips not closed
	slack  float64 // share of a disc's radius, and
	blur   float64 // mm, by which boundary may lie inside it
	lean   float64 // share of a disc's radius by which a foot on a line may lie beside its strip
	found  []foundRun
	slight []foundRun // beside joints that count as smooth
	start  []int32    // of the runs of each element
}

// foundRun is a run of element e.
type foundRun struct {
	run
	e int32
}

// flatTurn is the turn, in radians, up to which the discs at both sides of a
// joint are the same to rounding.
const flatTurn = 1e-6

// lastSlack is the largest share of a disc's radius by which rounding may let
// boundary into it.
const lastSlack = 1e-8

// closeAll finds the runs of every element by closing strips, and by tracing what
// does not close, and reports whether all of them closed.
//
//  1. At a convex corner the discs begin with radius 0.
//  2. A strip closes where the discs that it shares with the one before and with
//     the one after end in the same disc, which touches all three. If no
//     boundary lies inside that disc, it is one: the runs up to it are certain,
//     the strip is taken out, and its neighbours follow each other.
//  3. A cut-out is joined to the rest by the disc at its leftmost point, which
//     touches another contour: both rings are cut there and become one.
//  4. Outside a part the strips that remain face the open.
//
// Nothing is missed: runs meet at discs that are known to be empty, each is on
// the list of both its elements, and together they fill the region once, as the
// boundary goes round it once.
func (c *closing) closeAll(f *Field) bool {
	c.begin(f)
	closed := c.closeRings()
	c.hull, f.hull, f.walls, c.f = f.hull, hull{}, nil, nil
	return closed
}

// begin makes the strips and walls of f.
func (c *closing) begin(f *Field) {
	n := len(f.elems)
	*c = closing{
		f: f, walls: slices.Grow(c.walls[:0], n)[:n], strips: slices.Grow(c.strips[:0], n+4*len(f.rings))[:n],
		work: slices.Grow(c.work[:0], n), now: slices.Grow(c.now[:0], n), slight: c.slight[:0], start: c.start, hull: c.hull,
		found: slices.Grow(c.found[:0], 4*n), // a strip that closes gives up to four
	}
	for id := range f.elems {
		c.walls[id] = wallOf(&f.elems[id])
	}
	for id := range c.walls {
		if w := &c.walls[id]; w.flat {
			// The turns come from the same ends as the directions.
			w.turn = math.Atan2(geom.Cross(w.end, c.walls[w.next].dir), w.end.Dot(c.walls[w.next].dir))
			if o := &c.walls[w.prev]; !o.flat {
				o.turn = math.Atan2(geom.Cross(o.end, w.dir), o.end.Dot(w.dir))
			}
		}
	}
	for _, ring := range f.rings {
		n := len(ring)
		for k, id := range ring {
			next := ring[(k+1)%n]
			e := &f.elems[id]
			s := &c.strips[id]
			*s = strip{e: id, prev: ring[(k+n-1)%n], next: next, more: -1, hi: 1}
			s.spoke = e.kind == vertex || e.turnNext <= flatTurn
		}
	}
	f.walls, f.hull = c.walls, c.hull
	f.hull.reset(f.elems, f.rings, func(id int32) bool { return f.elems[id].kind != vertex })
}

// closeRings is closeAll for strips that have been made.
func (c *closing) closeRings() bool {
	f := c.f
	if !c.bridge() {
		f.tree = newTree(f.elems, f.rings)
		f.traceAll()
		return false
	}
	c.left = len(c.strips)
	c.blur = 4e-16 * (f.far + f.origin.Norm())
	for _, slack := range [...]float64{1e-12, 1e-10, lastSlack} {
		c.slack, c.lean = slack, math.Sqrt(2*slack)
		c.rounds()
		if c.left == 0 || c.open() {
			if c.gather() {
				return true
			}
			break
		}
	}
	c.traceRest()
	return false
}

// rounds closes what can be closed. A strip is looked at again when one beside it
// has closed. Boundary behind strips that are closed need not be looked at: where
// a disc reaches it, it reaches the end of an open strip first. So the tree is
// made anew each time two thirds of the strips are gone.
func (c *closing) rounds() {
	f := c.f
	inTree := c.left
	c.now = c.now[:0]
	for k := range c.strips {
		if !c.strips[k].gone {
			c.now = append(c.now, int32(k))
		}
	}
	for len(c.now) > 0 {
		c.work = c.work[:0]
		for _, b := range c.now {
			if !c.strips[b].gone {
				c.try(b)
			}
		}
		c.now, c.work = c.work, c.now
		if c.left < inTree/3 && c.left > 64 {
			inTree = c.left
			f.hull.reset(f.elems, f.rings, c.isOpen)
		}
	}
}

// isOpen reports whether a strip of element e is left.
func (c *closing) isOpen(e int32) bool {
	for k := e; k >= 0; k = c.strips[k].more {
		if !c.strips[k].gone {
			return true
		}
	}
	return false
}

// add notes a run of element e. Discs that touch both sides of a joint that
// counts as smooth are the rounding of the drawing: the disc beside them stands
// for them, or the own circle of an arc.
func (c *closing) add(e, j int32, u0, u1, r0, r1 float64) {
	if u1 <= u0 {
		return
	}
	if u1 > 1 {
		// A run over the start of a circle is two.
		if u0 < 1 {
			p, n := c.f.elems[e].at(0)
			r := c.f.radius(e, p, n, j)
			if math.IsInf(r, 1) {
				r = r0 + (r1-r0)*(1-u0)/(u1-u0)
			}
			c.add(e, j, u0, 1, r0, r)
			u0, r0 = 1, r
		}
		u0, u1 = u0-1, u1-1
	}
	if j != noFoot && j != e {
		o := &c.f.elems[e]
		if o.next == j && o.turnNext > 0 && o.turnNext < smoothTurn && u1 == 1 || o.prev == j && o.turnPrev > 0 && o.turnPrev < smoothTurn && u0 == 0 {
			r := max(r0, r1)
			if o.kind != concave || r < 0.99*o.c.Radius || (u1-u0)*o.length < 1e-3*r {
				c.slight = append(c.slight, foundRun{run{u0, u1, r, r, j}, e})
				return
			}
			j, r0, r1 = e, o.c.Radius, o.c.Radius
		}
	}
	c.found = append(c.found, foundRun{run{u0, u1, r0, r1, j}, e})
}

// try closes strip b if it can.
func (c *closing) try(b int32) {
	s := &c.strips[b]
	if s.prev == s.next && !c.strips[s.prev].spoke && !s.spoke && s.prev != b {
		c.last(b, s.prev)
		return
	}
	p, n := &c.strips[s.prev], &c.strips[s.next]
	w := &c.walls[s.e]
	if w.kind == concave && c.own(b) {
		return
	}
	if s.prev == s.next {
		if s.prev == b {
			if (s.hi-s.lo)*w.length > 1e-6*s.rlo {
				return
			}
			s.gone = true // what is left of it is rounding
			c.left--
		} else if p.spoke != s.spoke {
			// What is left is one disc.
			c.left -= 2
			s.gone, p.gone = true, true
			for _, k := range [...]*strip{s, p} {
				r := max(k.rlo, k.rhi)
				if c.walls[k.e].k*r > 0.99 {
					c.add(k.e, k.e, k.lo, k.hi, r, r)
				}
			}
		}
		return
	}
	if s.lo == s.hi && c.hand(b) {
		return
	}
	var d touching
	ok := true
	switch {
	case p.spoke && s.spoke:
		return
	case p.spoke:
		d, ok = c.touchAt(s.e, s.lo, n.e)
	case s.spoke:
		d, ok = c.touchAt(s.e, s.hi, p.e)
	default:
		d, ok = c.meet(s.e, p.e, n.e)
	}
	if !ok || !(d.r <= c.f.far) || w.k*d.r > 1 {
		return
	}
	if d.u, ok = c.onStrip(s, d.u, d.r, inside); !ok {
		return
	}
	tp, tn := p.hi, n.lo
	if !p.spoke {
		if tp, ok = c.footOn(p, d, last); !ok {
			return
		}
	} else if c.walls[p.e].k*d.r > 1+1e-9 {
		return
	}
	if !s.spoke {
		if tn, ok = c.footOn(n, d, first); !ok {
			return
		}
	} else if c.walls[n.e].k*d.r > 1+1e-9 {
		return
	}
	if !c.free(d, p.prev, n.next) {
		return
	}
	c.shut(b, d.u, d.u, tp, tn, d.r)
}

// hand takes out strip b of which one disc is left and that is known: the strip
// before it and the one after share it.
func (c *closing) hand(b int32) bool {
	s := &c.strips[b]
	p, n := &c.strips[s.prev], &c.strips[s.next]
	r := max(s.rlo, s.rhi)
	switch {
	case p.spoke && s.spoke:
		return false
	case !p.spoke && !s.spoke:
		if s.rlo+s.rhi < r*(2-1e-2) {
			return false // not one disc
		}
		r = min(s.rlo, s.rhi)
	case p.spoke:
		r = s.rhi
	default:
		r = s.rlo
	}
	c.shut(b, s.lo, s.hi, p.hi, n.lo, r)
	return true
}

// shut closes strip b at a disc of radius r that touches it from u0 to u1, the
// strip before at tp and the one after at tn.
func (c *closing) shut(b int32, u0, u1, tp, tn, r float64) {
	s := &c.strips[b]
	p, n := &c.strips[s.prev], &c.strips[s.next]
	u0, u1 = min(max(u0, s.lo), s.hi), min(max(u1, s.lo), s.hi)
	if !p.spoke {
		c.add(s.e, p.e, s.lo, u0, s.rlo, r)
		c.add(p.e, s.e, tp, p.hi, r, p.rhi)
	}
	if !s.spoke {
		c.add(s.e, n.e, u1, s.hi, r, s.rhi)
		c.add(n.e, s.e, n.lo, tn, n.rlo, r)
	}
	p.hi, p.rhi = tp, r
	n.lo, n.rlo = tn, r
	p.spoke = false
	c.left--
	s.gone = true
	p.next, n.prev = s.next, s.prev
	c.work = append(c.work, s.next, s.prev)
}

// last closes the last two strips of a ring, which share what is left.
func (c *closing) last(a, b int32) {
	s, o := &c.strips[a], &c.strips[b]
	c.share(s, o)
	c.share(o, s)
	c.left -= 2
	s.gone, o.gone = true, true
}

// share adds the run of strip s against o that is all of it. Between two arcs that
// meet at corners the discs are largest in the middle.
func (c *closing) share(s, o *strip) {
	if u := (s.lo + s.hi) / 2; s.rlo == 0 && s.rhi == 0 {
		if d, ok := c.touchAt(s.e, u, o.e); ok {
			c.add(s.e, o.e, s.lo, u, 0, d.r)
			c.add(s.e, o.e, u, s.hi, d.r, 0)
			return
		}
	}
	c.add(s.e, o.e, s.lo, s.hi, s.rlo, s.rhi)
}

// own closes strip b at the circle of its own concave arc, if that holds no
// boundary.
func (c *closing) own(b int32) bool {
	f := c.f
	s := &c.strips[b]
	e := &f.elems[s.e]
	R := e.c.Radius
	p, n := &c.strips[s.prev], &c.strips[s.next]
	if !p.spoke && s.rlo < R*(1-1e-9) || !s.spoke && s.rhi < R*(1-1e-9) || R > f.far {
		return false
	}
	if !c.free(touching{r: R, c: e.c.Center}, p.prev, n.next) {
		return false
	}
	c.add(s.e, s.e, s.lo, s.hi, R, R)
	c.left--
	if s.prev == b {
		s.gone = true
		return true
	}
	s.gone = true
	p.rhi, n.rlo = R, R
	p.spoke = false
	p.next, n.prev = s.next, s.prev
	c.work = append(c.work, s.next, s.prev)
	return true
}

// touchAt returns the disc that touches element b at its end u and the whole line
// or circle of element j, or the point j: footOn says whether it does so within
// j's ends.
func (c *closing) touchAt(b int32, u float64, j int32) (touching, bool) {
	var p, n r2.Point
	if c.walls[b].kind == vertex {
		p, n = c.f.elems[b].at(u)
	} else {
		p, n = c.walls[b].at(u)
	}
	o := &c.walls[j]
	v := p.Sub(o.p)
	var over, under float64
	if o.kind == vertex {
		over, under = v.Dot(v), -2*n.Dot(v)
	} else {
		over, under = o.nrm.Dot(v)-o.k/2*v.Dot(v), lessDot(n, o.nrm)+o.k*n.Dot(v)
	}
	r := over / under
	return touching{u, r, p.Add(n.Mul(r))}, under > 0 && r > c.blur
}

// footOn returns where the disc touches strip s, and false where it does not.
func (c *closing) footOn(s *strip, d touching, where end) (float64, bool) {
	w := &c.walls[s.e]
	var t, gap float64
	if w.kind == vertex {
		v := d.c.Sub(w.p)
		t, gap = c.f.elems[s.e].fanFraction(v), math.Sqrt(v.Dot(v))-d.r
	} else {
		t, gap = w.foot(d.c, d.r)
	}
	if math.Abs(gap) > 1e-8*d.r+1e-12*c.f.far {
		return 0, false
	}
	return c.onStrip(s, t, d.r, where)
}

// end tells the two ends of a strip apart that lie at one place of a circle.
type end int8

const (
	first  end = -1
	inside end = 0 // neither
	last   end = 1
)

// onStrip returns the place on strip s where a disc of radius r touches whose
// foot on the strip's element is u, and false where it does not touch the strip.
// A disc with its foot beside the strip touches the end of the strip to
// rounding, if less of the end than the slack would have to lie inside.
func (c *closing) onStrip(s *strip, u, r float64, where end) (float64, bool) {
	w := &c.walls[s.e]
	beside := 1e-12
	switch {
	case w.kind == vertex:
		beside += c.lean / math.Abs(w.sweep)
	case w.k == 0:
		beside += c.lean * r / w.length
	default:
		beside += c.lean * r / (w.length * math.Sqrt(max(1-w.k*r, 1e-4)))
		if w.prev == s.e && c.f.elems[s.e].c.IsCircle() {
			// Strips go on beyond the circle's start.
			u += math.Round((s.lo+s.hi)/2 - u)
			if s.hi-s.lo > 1-2*beside && (u < s.lo+beside || u > s.hi-beside) {
				if where == first {
					return s.lo, true
				}
				return s.hi, where == last
			}
		}
	}
	if u < s.lo-beside || u > s.hi+beside {
		return 0, false
	}
	return min(max(u, s.lo), s.hi), true
}

// free reports whether no boundary lies inside the disc; two strips that may
// well do are looked at first.
func (c *closing) free(d touching, a, b int32) bool {
	f := c.f
	r := d.r*(1-c.slack) - c.blur
	if r <= 0 {
		return true
	}
	for _, k := range [...]int32{a, b} {
		if f.touched(c.strips[k].e, d.c, r, r*r) {
			return false
		}
	}
	return f.empty(d.c, r)
}
