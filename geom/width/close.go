package width

import (
	"math"

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
	strips []strip
	work   []int32 // to be looked at in the next round
	left   int     // strips not closed
	slack  float64 // share of a disc's radius, and
	blur   float64 // mm, by which boundary may lie inside it
	found  []foundRun
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

// slackU is by how much of an element a foot may lie beyond its strip: rounding
// only, where more than three elements touch one disc.
const slackU = 1e-4

// closeAll finds the runs of every element by closing strips, and reports
// whether all of them closed.
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
func (f *Field) closeAll() bool {
	c := closing{f: f, strips: make([]strip, len(f.elems), len(f.elems)+4*len(f.rings))}
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
	if !c.bridge() {
		return false
	}
	c.found = make([]foundRun, 0, 4*len(f.elems))
	c.left = len(c.strips)
	c.blur = 4e-16 * (f.far + f.origin.Norm())
	for _, c.slack = range [...]float64{1e-12, 1e-10, lastSlack} {
		c.rounds()
		if c.left == 0 || c.open() {
			return c.gather()
		}
	}
	return false
}

// rounds closes what can be closed. A strip is looked at again when one beside it
// has closed. Boundary behind strips that are closed need not be looked at: where
// a disc reaches it, it reaches the end of an open strip first. So the tree is
// made anew each time half of the strips are gone.
func (c *closing) rounds() {
	f := c.f
	inTree := c.left
	now := make([]int32, 0, c.left)
	for k := range c.strips {
		if !c.strips[k].gone {
			now = append(now, int32(k))
		}
	}
	for len(now) > 0 {
		c.work = c.work[:0]
		for _, b := range now {
			if !c.strips[b].gone {
				c.try(b)
			}
		}
		now, c.work = c.work, now
		if c.left < inTree/2 && c.left > 64 {
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
	if j != noFoot && j != e {
		o := &c.f.elems[e]
		if o.next == j && o.turnNext > 0 && o.turnNext < smoothTurn && u1 == 1 || o.prev == j && o.turnPrev > 0 && o.turnPrev < smoothTurn && u0 == 0 {
			if o.kind != concave || max(r0, r1) < 0.99*o.c.Radius {
				return
			}
			j, r0, r1 = e, o.c.Radius, o.c.Radius
		}
	}
	c.found = append(c.found, foundRun{run{u0, u1, r0, r1, j}, e})
}

// try closes strip b if it can.
func (c *closing) try(b int32) {
	f := c.f
	s := &c.strips[b]
	if s.prev == s.next && !c.strips[s.prev].spoke && !s.spoke && s.prev != b {
		c.last(b, s.prev)
		return
	}
	p, n := &c.strips[s.prev], &c.strips[s.next]
	e := &f.elems[s.e]
	if e.kind == concave && c.own(b) {
		return
	}
	if s.prev == s.next {
		if s.prev == b {
			if (s.hi-s.lo)*e.length > 1e-6*s.rlo {
				return
			}
			s.gone = true // what is left of it is rounding
			c.left--
		} else if p.spoke != s.spoke {
			// What is left is one disc.
			c.left -= 2
			s.gone, p.gone = true, true
			for _, k := range [...]*strip{s, p} {
				if e := &f.elems[k.e]; e.kind == concave && max(k.rlo, k.rhi) > 0.99*e.c.Radius {
					c.add(k.e, k.e, k.lo, k.hi, e.c.Radius, e.c.Radius)
				}
			}
		}
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
		d, ok = f.meet(s.e, p.e, n.e, s.lo, s.hi)
	}
	d.u = e.wrapped(d.u, s)
	if !ok || !(d.r <= f.far) || d.u < s.lo-slackU || d.u > s.hi+slackU || e.kind == concave && d.r > e.c.Radius {
		return
	}
	tp, tn := p.hi, n.lo
	if !p.spoke {
		if tp, ok = c.footOn(p, d); !ok {
			return
		}
	} else if o := &f.elems[p.e]; o.kind == concave && d.r > o.c.Radius*(1+1e-9) {
		return
	}
	if !s.spoke {
		if tn, ok = c.footOn(n, d); !ok {
			return
		}
	} else if o := &f.elems[n.e]; o.kind == concave && d.r > o.c.Radius*(1+1e-9) {
		return
	}
	if !c.free(d, p.prev, n.next) {
		return
	}
	c.shut(b, d.u, d.u, tp, tn, d.r)
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
	c.add(s.e, o.e, s.lo, s.hi, s.rlo, s.rhi)
	c.add(o.e, s.e, o.lo, o.hi, o.rlo, o.rhi)
	c.left -= 2
	s.gone, o.gone = true, true
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

// touchAt returns the disc that touches element b at its end u and element j, or,
// in the last rounds, where rounding may put the foot beyond j's ends, the whole
// line or circle of j: footOn says how far beyond.
func (c *closing) touchAt(b int32, u float64, j int32) (touching, bool) {
	f := c.f
	e := &f.elems[b]
	p, n := e.at(u)
	r := f.radius(b, p, n, j)
	switch {
	case r < math.Inf(1) || c.slack < lastSlack:
	case e.kind == lineElem:
		q, ok := f.onLine(e, b, j)
		if !ok {
			return touching{}, false
		}
		s := u * e.length
		r = q[0] + s*(q[1]+s*q[2])
	default:
		over, under := f.elems[j].apart(p, n)
		if under <= 0 {
			return touching{}, false
		}
		r = over / under
	}
	return touching{u, r, p.Add(n.Mul(r))}, r >= 0 && r < math.Inf(1)
}

// apart returns the two sides of the fraction that is the radius of the disc
// which touches at p, with the inner normal n, and the line, point or circle of e.
func (e *element) apart(p, n r2.Point) (over, under float64) {
	switch e.kind {
	case lineElem:
		return e.nrm.Dot(p.Sub(e.p)), lessDot(n, e.nrm)
	case vertex:
		w := e.p.Sub(p)
		return w.Dot(w), 2 * n.Dot(w)
	}
	d := p.Sub(e.c.Center)
	R := e.c.Radius
	if e.kind == concave {
		return R*R - d.Dot(d), 2 * (R + n.Dot(d))
	}
	return d.Dot(d) - R*R, 2 * (R - n.Dot(d))
}

// footOn returns where the disc touches strip s, and false where it does not.
func (c *closing) footOn(s *strip, d touching) (float64, bool) {
	e := &c.f.elems[s.e]
	var t float64
	var v r2.Point
	tol := 1e-8*d.r + 1e-12*c.f.far
	switch e.kind {
	case lineElem:
		v = d.c.Sub(e.p)
		if math.Abs(v.Dot(e.nrm)-d.r) > tol {
			return 0, false
		}
		t = v.Dot(e.dir) / e.length
	case vertex:
		v = d.c.Sub(e.p)
		if math.Abs(math.Sqrt(v.Dot(v))-d.r) > tol {
			return 0, false
		}
		t = e.fanFraction(v)
	default:
		z, R, sign := e.site()
		v = d.c.Sub(z)
		if math.Abs(math.Sqrt(v.Dot(v))-R-sign*d.r) > tol {
			return 0, false
		}
		t = fraction(&e.c, v)
	}
	t = e.wrapped(t, s)
	if t < s.lo-slackU || t > s.hi+slackU {
		return 0, false
	}
	return min(max(t, s.lo), s.hi), true
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
		if f.elems[c.strips[k].e].within2(d.c, r, r*r) {
			return false
		}
	}
	return f.empty(d.c, r)
}

// wrapped moves the fraction u of a circle to the strip where it goes on beyond
// the circle's start.
func (e *element) wrapped(u float64, s *strip) float64 {
	switch {
	case !e.c.IsCircle():
	case u > s.hi && u-1 >= s.lo-slackU:
		u--
	case u < s.lo && u+1 <= s.hi+slackU:
		u++
	}
	return u
}
