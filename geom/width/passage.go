package width

import (
	"math"
	"sync"

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
	s := searches.Get().(*search)
	defer searches.Put(s)
	passages := s.passages(f)
	saddles := s.saddles(f, grow)
	for k := range saddles {
		saddles[k].Passage = max(0, int(s.passage[saddles[k].piece])-1)
	}
	return passages, saddles
}

// Passages is Features without the saddles.
func (f *Field) Passages() []Passage {
	s := searches.Get().(*search)
	defer searches.Put(s)
	return s.passages(f)
}

// search is the room of a search for passages, saddles and stretches that a tool
// does not touch.
type search struct {
	set     sets
	passage []int32 // by piece: one more than the index of the passage it lies in
	least   []onPiece
	spans   []spanOf
	count   []int32
	saddleSearch

	untouched []stretch // by a tool
}

// searches are handed from field to field.
var searches = sync.Pool{New: func() any { return new(search) }}

// onPiece is a place on a piece.
type onPiece struct {
	piece int32
	u     float64
}

// spanOf is a span and the index of its passage.
type spanOf struct {
	Span
	passage int32
}

// passages finds the passages, and in s.passage which one a piece lies in.
//
//  1. Join the narrow parts of pieces that follow each other on a contour.
//  2. Join each with the piece on the wall opposite that holds its foot.
//  3. A group is a passage; its stretches on the contours are its spans.
func (s *search) passages(f *Field) []Passage {
	set := &s.set
	set.reset(len(f.pieces))
	for _, ring := range f.ring {
		for k, m := range ring {
			next := ring[(k+1)%len(ring)]
			if f.continues(m, next) {
				set.union(m, next)
			}
		}
	}
	for m := range f.pieces {
		if o, ok := f.opposite(int32(m)); ok {
			set.union(int32(m), o)
		}
	}
	passage := cleared(s.passage, len(f.pieces)) // of roots first
	s.passage = passage
	count := int32(0)
	for m := range f.pieces {
		if root := set.find(int32(m)); f.pieces[m].narrow() && passage[root] == 0 {
			count++
			passage[root] = count
		}
	}
	for m := range f.pieces {
		passage[m] = passage[set.find(int32(m))]
	}
	out := make([]Passage, count)
	for k := range out {
		out[k].Least.Radius = math.Inf(1)
	}
	least := cleared(s.least, int(count))
	s.least = least
	for m := range f.pieces {
		pc := &f.pieces[m]
		if !pc.narrow() {
			continue
		}
		k := passage[m] - 1
		if l := pc.least(); l < out[k].Least.Radius {
			u := pc.p0
			if pc.q1 < pc.q0 {
				u = pc.p1
			}
			out[k].Least.Radius = l
			least[k] = onPiece{int32(m), u}
		}
		if e := &f.elems[pc.elem]; e.kind != vertex {
			out[k].Length += (pc.p1 - pc.p0) * e.length / 2
		}
	}
	for k, at := range least {
		r := out[k].Least.Radius
		out[k].Least = f.discOn(&f.pieces[at.piece], at.u)
		out[k].Least.Radius = r
		out[k].Least = f.placed(out[k].Least)
	}
	s.spans = s.spans[:0]
	for c := range f.ring {
		s.addSpans(f, c)
	}
	s.giveSpans(out)
	return out
}

// continues reports whether the narrow part of piece a runs on into that of b,
// the next on the contour.
func (f *Field) continues(a, b int32) bool {
	p, q := &f.pieces[a], &f.pieces[b]
	return p.narrow() && q.narrow() && p.p1 == p.u1 && q.p0 == q.u0
}

// opposite returns the piece that holds the foot of the middle of piece m's
// narrow part and has m's element as its own foot.
func (f *Field) opposite(m int32) (int32, bool) {
	pc := &f.pieces[m]
	if !pc.narrow() || pc.j == noFoot || pc.j == pc.elem {
		return 0, false
	}
	if pc.twin >= 0 {
		return pc.twin, true
	}
	return f.mirror(pc, (pc.p0+pc.p1)/2)
}

// mirror returns the piece on the element opposite that holds the foot of piece
// pc's disc at u, if it sees pc's element back.
func (f *Field) mirror(pc *piece, u float64) (int32, bool) {
	e := &f.elems[pc.elem]
	p, n := e.at(u)
	r := f.radius(pc.elem, p, n, pc.j)
	if math.IsInf(r, 1) {
		return 0, false
	}
	q := f.foot(p, n, r, pc.j)
	t := f.elems[pc.j].paramOf(q, p.Add(n.Mul(r)))
	at, index := f.pieceAt(pc.j, t), f.piecesOf[pc.j]
	for _, k := range [...]int32{at, at - 1, at + 1} {
		if k >= index[0] && k < index[1] && f.pieces[k].j == pc.elem {
			return k, true
		}
	}
	return 0, false
}

// addSpans finds the stretches of contour c that belong to passages.
func (s *search) addSpans(f *Field, c int) {
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
		s.closeSpan(f, m, ring[last%n])
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
			s.closeSpan(f, ring[0], ring[n-1])
		}
	}
}

func (s *search) closeSpan(f *Field, first, last int32) {
	a, b := &f.pieces[first], &f.pieces[last]
	s.spans = append(s.spans, spanOf{Span{
		From: f.place(a.elem, a.p0), To: f.place(b.elem, b.p1),
		OpenFrom: f.opens(first, false), OpenTo: f.opens(last, true),
	}, s.passage[first] - 1})
}

// giveSpans hands the spans to their passages, in the order in which they were
// found.
func (s *search) giveSpans(out []Passage) {
	count := cleared(s.count, len(out)) // of spans by passage
	s.count = count
	for k := range s.spans {
		count[s.spans[k].passage]++
	}
	all := make([]Span, len(s.spans))
	for k, n := range count {
		out[k].Spans, all = all[:0:n], all[n:]
	}
	for k := range s.spans {
		p := &out[s.spans[k].passage]
		p.Spans = append(p.Spans, s.spans[k].Span)
		if s.spans[k].OpenFrom {
			p.Open++
		}
		if s.spans[k].OpenTo {
			p.Open++
		}
	}
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
