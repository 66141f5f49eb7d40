package width

import (
	"math"

	"github.com/golang/geo/r2"
)

// Place is a point on the boundary.
type Place struct {
	Contour int
	Curve   int     // index in the contour
	T       float64 // fraction of the curve's length
	At      r2.Point
}

// Passage is a connected set of discs whose object angle is at least 150
// degrees.
type Passage struct {
	Least  Disc    // its smallest disc; the width is its diameter
	Length float64 // mm of wall along it, the mean of both walls
	// Open counts the ends of walls at which the passage opens to wider ground:
	// 4 for a strip between two wider places, 2 for one with a dead end, 0 for a
	// strip that is all there is.
	Open  int
	Spans []Span
}

// Span is a stretch of one contour that is a wall of a passage, in order of
// travel.
type Span struct {
	From, To         Place
	OpenFrom, OpenTo bool // wider ground beyond that end
}

// Features lists the passages of the region in the order in which they are first
// met along the contours, and the saddles by ascending width: those whose two
// sides open by more than the fraction grow of the width, and every one that
// closes a loop.
func (f *Field) Features(grow float64) ([]Passage, []Saddle) {
	passages, of := f.passages()
	saddles := f.saddles(grow)
	for k := range saddles {
		saddles[k].Passage = of(saddles[k].piece)
	}
	return passages, saddles
}

// Passages is Features without the saddles.
func (f *Field) Passages() []Passage {
	passages, _ := f.passages()
	return passages
}

// passages finds the passages and returns with them which one a piece lies in.
//
//  1. Join the narrow parts of pieces that follow each other on a contour.
//  2. Join each with the piece on the wall opposite that holds its foot.
//  3. A group is a passage; its stretches on the contours are its spans.
func (f *Field) passages() ([]Passage, func(piece int32) int) {
	set := newSets(len(f.pieces))
	for _, ring := range f.ring {
		for k, m := range ring {
			next := ring[(k+1)%len(ring)]
			if f.continues(m, next) {
				set.union(m, next)
			}
		}
	}
	index := f.pieceIndex()
	for m := range f.pieces {
		if o, ok := f.opposite(index, int32(m)); ok {
			set.union(int32(m), o)
		}
	}
	slot := make([]int32, len(f.pieces)) // one more than the passage's index
	type placed struct {
		piece int32
		u     float64
	}
	var out []Passage
	var least []placed
	for m := range f.pieces {
		pc := &f.pieces[m]
		if !pc.narrow() {
			continue
		}
		root := set.find(int32(m))
		k := slot[root] - 1
		if k < 0 {
			k = int32(len(out))
			slot[root] = k + 1
			out = append(out, Passage{Least: Disc{Radius: math.Inf(1)}})
			least = append(least, placed{})
		}
		if l := pc.least(); l < out[k].Least.Radius {
			u := pc.p0
			if pc.q1 < pc.q0 {
				u = pc.p1
			}
			out[k].Least.Radius = l
			least[k] = placed{int32(m), u}
		}
		if e := &f.elems[pc.elem]; e.kind != vertex {
			out[k].Length += (pc.p1 - pc.p0) * e.length / 2
		}
	}
	for k, at := range least {
		r := out[k].Least.Radius
		out[k].Least = f.discOn(&f.pieces[at.piece], at.u)
		out[k].Least.Radius = r
	}
	for c := range f.ring {
		f.addSpans(c, &set, slot, out)
	}
	for k := range out {
		out[k].Least = f.placed(out[k].Least)
		for _, s := range out[k].Spans {
			if s.OpenFrom {
				out[k].Open++
			}
			if s.OpenTo {
				out[k].Open++
			}
		}
	}
	return out, func(m int32) int { return max(0, int(slot[set.find(m)])-1) }
}

// continues reports whether the narrow part of piece a runs on into that of b,
// the next on the contour.
func (f *Field) continues(a, b int32) bool {
	p, q := &f.pieces[a], &f.pieces[b]
	return p.narrow() && q.narrow() && p.p1 == p.u1 && q.p0 == q.u0
}

// opposite returns the piece that holds the foot of the middle of piece m's
// narrow part and has m's element as its own foot.
func (f *Field) opposite(index [][2]int32, m int32) (int32, bool) {
	pc := &f.pieces[m]
	if !pc.narrow() || pc.j == noFoot || pc.j == pc.elem {
		return 0, false
	}
	if pc.twin >= 0 {
		return pc.twin, true
	}
	return f.mirror(index, pc, (pc.p0+pc.p1)/2)
}

// mirror returns the piece on the element opposite that holds the foot of piece
// pc's disc at u, if it sees pc's element back.
func (f *Field) mirror(index [][2]int32, pc *piece, u float64) (int32, bool) {
	e := &f.elems[pc.elem]
	p, n := e.at(u)
	r := f.radius(pc.elem, p, n, pc.j)
	if math.IsInf(r, 1) {
		return 0, false
	}
	q := f.foot(p, n, r, pc.j)
	t := f.elems[pc.j].paramOf(q, p.Add(n.Mul(r)))
	at := f.pieceAt(index, pc.j, t)
	for _, k := range [...]int32{at, at - 1, at + 1} {
		if k >= index[pc.j][0] && k < index[pc.j][1] && f.pieces[k].j == pc.elem {
			return k, true
		}
	}
	return 0, false
}

// addSpans finds the stretches of contour c that belong to passages.
func (f *Field) addSpans(c int, set *sets, slot []int32, out []Passage) {
	ring := f.ring[c]
	n := len(ring)
	for k, m := range ring {
		before := ring[(k+n-1)%n]
		if !f.pieces[m].narrow() || n > 1 && f.continues(before, m) && before != m {
			continue // not the first piece of a span
		}
		last := k
		for steps := 0; steps < n && f.continues(ring[last%n], ring[(last+1)%n]); steps++ {
			last++
		}
		f.closeSpan(m, ring[last%n], set, slot, out)
	}
	// A contour that is narrow all round has no first piece.
	if n > 0 && f.pieces[ring[0]].narrow() && n > 1 {
		whole := true
		for k, m := range ring {
			if !f.continues(m, ring[(k+1)%n]) {
				whole = false
				break
			}
		}
		if whole {
			f.closeSpan(ring[0], ring[n-1], set, slot, out)
		}
	}
}

func (f *Field) closeSpan(first, last int32, set *sets, slot []int32, out []Passage) {
	a, b := &f.pieces[first], &f.pieces[last]
	s := Span{
		From: f.place(a.elem, a.p0), To: f.place(b.elem, b.p1),
	}
	s.OpenFrom = f.opens(first, false)
	s.OpenTo = f.opens(last, true)
	k := slot[set.find(first)] - 1
	out[k].Spans = append(out[k].Spans, s)
}

// opens reports whether the discs grow beyond the narrow part of piece m, going
// forward or back along the contour.
func (f *Field) opens(m int32, forward bool) bool {
	pc := &f.pieces[m]
	ring := f.ring[pc.contour]
	n := int32(len(ring))
	if forward {
		if pc.p1 < pc.u1 {
			return pc.r1 > pc.q1
		}
		next := &f.pieces[ring[(pc.position+1)%n]]
		return next.r0 > 0 && next.r1 > next.r0*(1+1e-9)
	}
	if pc.p0 > pc.u0 {
		return pc.r0 > pc.q0
	}
	before := &f.pieces[ring[(pc.position+n-1)%n]]
	return before.r1 > 0 && before.r0 > before.r1*(1+1e-9)
}

// place returns the fraction u of element id as a place on its contour.
func (f *Field) place(id int32, u float64) Place {
	e := &f.elems[id]
	p, _ := e.at(u)
	if e.kind == vertex {
		u = 1 // the end of the curve before it
	}
	return Place{Contour: int(e.contour), Curve: int(e.curve), T: u, At: p.Add(f.origin)}
}

// Straight returns the longest stretch of a straight wall that faces another
// straight wall within 30 degrees of parallel, and false when there is none.
func (f *Field) Straight() (length float64, d Disc, ok bool) {
	for i := range f.elems {
		e := &f.elems[i]
		if e.kind != lineElem {
			continue
		}
		for _, rn := range f.runs[i] {
			if rn.j < 0 || f.elems[rn.j].kind != lineElem || e.nrm.Dot(f.elems[rn.j].nrm) > -math.Cos(math.Pi-parallel) {
				continue
			}
			if l := (rn.u1 - rn.u0) * e.length; l > length*(1+1e-9) {
				length, ok = l, true
				u := (rn.u0 + rn.u1) / 2
				p, n := e.at(u)
				r := f.radius(int32(i), p, n, rn.j)
				d = Disc{Center: p.Add(n.Mul(r)), Radius: r, A: p, B: f.foot(p, n, r, rn.j),
					Contours: [2]int{int(e.contour), int(f.elems[rn.j].contour)}}
			}
		}
	}
	return length, f.placed(d), ok
}
