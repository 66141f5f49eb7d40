package width

import (
	"cmp"
	"math"
	"slices"

	"github.com/golang/geo/r2"
)

// Saddle is a disc whose two feet lie opposite each other and that grows when
// moved either way: the narrowest place of a web or neck.
type Saddle struct {
	Disc Disc
	// Loop says that the two sides meet again elsewhere: a web beside a cut-out.
	// Otherwise the saddle divides the region and Growth says by how much, in mm
	// of diameter, the smaller of the two sides opens.
	Loop    bool
	Growth  float64
	A, B    Place // of the disc's two feet
	Passage int   // that it lies in
	piece   int32
}

// saddleSearch is the room of a search for saddles.
type saddleSearch struct {
	joined, level sets
	links, sorted []link
	corners       []link
	order         []ranked
	child         []bool
	counted       []bool
	birth         []float64
	seen          places
}

// ranked is a link by its index, and what it is ordered by.
type ranked struct {
	key float64
	at  int32
}

// link joins two pieces whose discs meet at radius r.
type link struct {
	r      float64
	a, b   int32
	saddle bool
	u      float64 // of a saddle, its place on the element of piece b
}

// saddles finds the saddles as Features names them.
//
//  1. Pieces are linked with their neighbours on the contour and with the piece
//     that holds their foot on the wall opposite.
//  2. Links are taken by falling radius, saddles after the others at one radius,
//     joining sets of pieces: what is joined is connected by discs that large.
//  3. A saddle between two sets that both hold a larger disc divides the region
//     there; a saddle within one set closes a loop.
func (s *saddleSearch) saddles(f *Field, grow float64) []Saddle {
	set := &s.joined
	set.reset(len(f.pieces))
	links := s.findLinks(f)
	birth := cleared(s.birth, len(f.pieces))
	s.birth = birth
	unbounded := int32(-1)
	for m := range f.pieces {
		if f.pieces[m].j == noFoot {
			if unbounded >= 0 {
				set.union(unbounded, int32(m))
			}
			unbounded = int32(m)
		}
	}
	for m := range f.pieces {
		root := set.find(int32(m))
		birth[root] = max(birth[root], f.pieces[m].top())
	}
	var out []Saddle
	s.seen.clear()
	s.findLevels(f)
	s.counted = cleared(s.counted, len(f.pieces))
	for _, l := range links {
		a, b := set.find(l.a), set.find(l.b)
		if l.saddle {
			pc := &f.pieces[l.b]
			d := f.discOn(pc, l.u)
			small := math.Min(birth[a], birth[b])
			// A cusp is a corner, not a neck.
			cusp := l.r <= 1e-9*f.far && f.elems[pc.elem].contour == f.elems[pc.j].contour
			found := a != b && small > l.r*(1+grow) || a == b && f.rises(l, false) && f.rises(l, true)
			if !cusp && found && s.firstOf(f, l) && s.seen.add(d) {
				out = append(out, Saddle{Disc: f.placed(d), Loop: a == b, Growth: 2 * (small - l.r),
					A: f.place(pc.elem, l.u), B: f.footPlace(pc, l.u), piece: l.b})
			}
		}
		if a != b {
			top := math.Max(birth[a], birth[b])
			birth[set.union(a, b)] = top
		}
	}
	slices.SortStableFunc(out, func(a, b Saddle) int { return cmp.Compare(a.Disc.Radius, b.Disc.Radius) })
	return out
}

// rises reports whether the discs grow from the link on, forward or back along
// the contour, beyond what is flat to rounding.
func (f *Field) rises(l link, forward bool) bool {
	m := l.a
	if forward {
		m = l.b
	}
	ring := f.ring[f.pieces[m].contour]
	k := int(f.pieces[m].position)
	for range ring {
		pc := &f.pieces[ring[k]]
		r := pc.r0
		if forward {
			r = pc.r1
		}
		if math.Abs(r-l.r) > 1e-8*l.r {
			return r > l.r
		}
		if forward {
			k++
		} else {
			k--
		}
		k = (k + len(ring)) % len(ring)
	}
	return true // flat all round: a ring
}

func (f *Field) footPlace(pc *piece, u float64) Place {
	p, n := f.elems[pc.elem].at(u)
	r := f.radius(pc.elem, p, n, pc.j)
	q := f.foot(p, n, r, pc.j)
	return f.place(pc.j, f.elems[pc.j].paramOf(q, p.Add(n.Mul(r))))
}

// findLinks returns the links by falling radius. It joins at once what is one
// anyway: twins, and a piece with one of those that follow it at its largest disc.
func (s *saddleSearch) findLinks(f *Field) []link {
	set, links := &s.joined, s.links[:0]
	child := cleared(s.child, len(f.pieces))
	s.child = child
	for m := range f.pieces {
		pc := &f.pieces[m]
		switch {
		case pc.j == noFoot || pc.j == pc.elem:
		case pc.twin >= 0:
			set.union(int32(m), pc.twin)
		default:
			w := 1e-4
			if pc.r1 > pc.r0 {
				w = 1 - w
			}
			if o, ok := f.mirror(pc, pc.u0+w*(pc.u1-pc.u0)); ok {
				links = append(links, link{r: min(pc.top(), f.pieces[o].top()), a: int32(m), b: o})
			}
		}
	}
	// once reports whether piece m has not been joined at its top yet. Twins are
	// one piece.
	once := func(m int32, r float64) bool {
		if k := f.pieces[m].twin; k >= 0 {
			m = min(m, k)
		}
		if child[m] || r < f.pieces[m].top() {
			return false
		}
		child[m] = true
		return true
	}
	corners := s.corners[:0]
	for _, ring := range f.ring {
		for k, b := range ring {
			a := ring[(k+len(ring)-1)%len(ring)]
			p, q := &f.pieces[a], &f.pieces[b]
			r := min(p.r1, q.r0)
			l := link{r: r, a: a, b: b, u: q.u0}
			// Every place with its feet opposite may be a saddle; whether it is one
			// shows when it is taken.
			opposed := min(p.c1, q.c0) < opposite && q.j != noFoot && q.j != q.elem
			l.saddle = opposed || q.split && q.flat && p.flat && p.elem == q.elem
			switch {
			case l.saddle:
				links = append(links, l)
			case once(a, r) || once(b, r):
				set.union(a, b)
			case r == 0:
				corners = append(corners, l)
			default:
				links = append(links, l)
			}
		}
	}
	// A saddle waits for the other links of its radius, rounding included.
	order := s.order[:0]
	for k := range links {
		key := links[k].r
		if links[k].saddle {
			key *= 1 - 1e-9
		}
		order = append(order, ranked{key, int32(k)})
	}
	slices.SortFunc(order, func(a, b ranked) int {
		switch {
		case a.key > b.key:
			return -1
		case a.key < b.key:
			return 1
		}
		return int(a.at - b.at)
	})
	sorted := s.sorted[:0]
	for _, o := range order {
		sorted = append(sorted, links[o.at])
	}
	sorted = append(sorted, corners...)
	s.links, s.corners, s.order, s.sorted = links, corners, order, sorted
	return sorted
}

// findLevels joins, in s.level, the pieces along which the radius does not change,
// with those that follow them and those on the wall opposite: one level is one
// flat passage.
func (s *saddleSearch) findLevels(f *Field) {
	level := &s.level
	level.reset(len(f.pieces))
	for _, ring := range f.ring {
		for k, m := range ring {
			pc := &f.pieces[m]
			if !pc.level() {
				continue
			}
			if next := ring[(k+1)%len(ring)]; f.pieces[next].level() && math.Abs(f.pieces[next].r0-pc.r1) <= 1e-8*pc.r1 {
				level.union(m, next)
			}
			if pc.j != noFoot && pc.j != pc.elem {
				o, ok := pc.twin, pc.twin >= 0
				if !ok {
					o, ok = f.mirror(pc, (pc.u0+pc.u1)/2)
				}
				if ok && f.pieces[o].level() {
					level.union(m, o)
				}
			}
		}
	}
}

func (p *piece) level() bool { return math.Abs(p.r0-p.r1) <= 1e-8*p.top() }

// firstOf reports whether the saddle's flat passage, if it lies on one, has not
// been counted, and counts it.
func (s *saddleSearch) firstOf(f *Field, l link) bool {
	roots := [2]int32{noLevel, noLevel}
	first := true
	for k, m := range [...]int32{l.a, l.b} {
		if f.pieces[m].level() {
			roots[k] = s.level.find(m)
			first = first && !s.counted[roots[k]]
		}
	}
	for _, root := range roots {
		if root != noLevel {
			s.counted[root] = true
		}
	}
	return first
}

// noLevel stands for the level of a piece that has none.
const noLevel = int32(-1)

// places remembers the saddles counted, so that one found from both walls counts
// once. Near a saddle the radius grows with the square of the way, so rounding
// places it to some 1e-4 of the radius only.
type places struct {
	cells map[cell]int32 // of the last disc in each, one more than the index
	known []knownDisc
}

// cell is a square of the plane, its side a power of two that is some dozens of
// times what discs counted as one are apart: most lie in one cell with all like them.
type cell struct {
	size int
	x, y int64
}

type knownDisc struct {
	center r2.Point
	radius float64
	before int32 // it in its cell, likewise; 0 for none
}

// clear forgets all discs. To empty a map costs as much as it ever held, so after
// many a new one is made.
func (s *places) clear() {
	if s.cells == nil || len(s.known) > 256 {
		s.cells = make(map[cell]int32)
	}
	clear(s.cells)
	s.known = s.known[:0]
}

// add returns false when a disc of the same radius is known within a thousandth
// of it.
func (s *places) add(d Disc) bool {
	near := 1e-3 * d.Radius
	_, size := math.Frexp(32 * near)
	side := math.Ldexp(1, size)
	in := func(v float64) int64 { return int64(math.Floor(v / side)) }
	c := d.Center
	for x := in(c.X - near); x <= in(c.X+near); x++ {
		for y := in(c.Y - near); y <= in(c.Y+near); y++ {
			for k := s.cells[cell{size, x, y}]; k > 0; k = s.known[k-1].before {
				o := &s.known[k-1]
				if v := o.center.Sub(c); v.Dot(v) < near*near && math.Abs(o.radius-d.Radius) <= 1e-6*d.Radius {
					return false
				}
			}
		}
	}
	own := cell{size, in(c.X), in(c.Y)}
	s.known = append(s.known, knownDisc{c, d.Radius, s.cells[own]})
	s.cells[own] = int32(len(s.known))
	return true
}
