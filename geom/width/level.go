package width

import (
	"math"

	"github.com/golang/geo/r2"
)

// Level is the stretch along which a disc can be moved between two walls without
// changing its size: parallel lines, concentric arcs, and what follows on them.
// Where the narrowest place of a passage is a stretch, this is all of it. The
// zero Level is a place that is a point.
type Level struct {
	Length float64     // of the centre's way, mm
	Ends   [2]r2.Point // the centre at both ends; the same point where the way closes
	// Walls are the two stretches of contour touched on the way. The first is
	// given in order of travel, the second from the place opposite the start of
	// the first to the one opposite its end.
	Walls  [2][2]Place
	Closed bool // the way leads back to where it began
}

// Level returns the stretch along which the disc, one of those that the field
// returned, keeps its size.
//
//  1. Find the piece of even radius that the disc lies on or ends.
//  2. Go on along the wall, both ways, as long as the pieces keep that radius.
//  3. On a line the centre moves as the foot does, on an arc on a concentric one,
//     round a vertex on a circle.
func (f *Field) Level(d Disc) Level {
	m, ok := f.levelAt(d)
	if !ok {
		return Level{}
	}
	ring := f.ring[f.pieces[m].contour]
	n := len(ring)
	goes := func(k int) bool {
		pc := &f.pieces[ring[(k+n)%n]]
		return pc.levelAt(d.Radius)
	}
	first, last := int(f.pieces[m].position), int(f.pieces[m].position)
	for last-first < n-1 && goes(first-1) {
		first--
	}
	for last-first < n-1 && goes(last+1) {
		last++
	}
	l := Level{Closed: last-first == n-1 && goes(last+1) && n > 1}
	for k := first; k <= last; k++ {
		pc := &f.pieces[ring[(k+n)%n]]
		e := &f.elems[pc.elem]
		share := pc.u1 - pc.u0
		switch e.kind {
		case lineElem:
			l.Length += share * e.length
		case vertex:
			l.Length += share * math.Abs(e.sweep) * d.Radius
		case concave:
			l.Length += share * float64(e.c.Sweep) * math.Max(0, e.c.Radius-d.Radius)
		default:
			l.Length += share * -float64(e.c.Sweep) * (e.c.Radius + d.Radius)
		}
	}
	if l.Length <= 1e-6*d.Radius {
		return Level{}
	}
	for k, end := range [...]int{first, last} {
		pc := &f.pieces[ring[(end+n)%n]]
		u := pc.u0
		if k == 1 {
			u = pc.u1
		}
		l.Ends[k] = f.discOn(pc, u).Center.Add(f.origin)
		l.Walls[0][k] = f.place(pc.elem, u)
		l.Walls[1][k] = f.footPlace(pc, u)
	}
	if l.Closed {
		l.Ends[1] = l.Ends[0]
	}
	return l
}

// levelAt reports whether the piece keeps the radius r between two walls.
func (p *piece) levelAt(r float64) bool {
	return p.j != noFoot && p.j != p.elem && p.level() && math.Abs(p.r0-r) <= 1e-8*r
}

// levelAt returns the piece of even radius that the disc lies on: its own, one
// that follows it on its wall, or one of those on the wall opposite.
func (f *Field) levelAt(d Disc) (int32, bool) {
	if d.piece == 0 || d.Radius <= 0 {
		return 0, false
	}
	own := d.piece - 1
	for _, m := range [...]int32{own, f.pieces[own].twin} {
		if m < 0 {
			continue
		}
		ring := f.ring[f.pieces[m].contour]
		k, n := int(f.pieces[m].position), len(ring)
		for _, o := range [...]int32{m, ring[(k+1)%n], ring[(k+n-1)%n]} {
			if f.pieces[o].levelAt(d.Radius) {
				return o, true
			}
		}
	}
	return 0, false
}
