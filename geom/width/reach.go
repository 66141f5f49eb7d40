package width

import (
	"math"
	"slices"
)

// Gap is a stretch of a contour that a disc cannot touch from inside the region.
type Gap struct {
	From, To Place
	Length   float64 // mm
}

// Reach returns, for one contour of the region, the length that a disc of the
// given diameter can touch without crossing the boundary, and the stretches it
// cannot. A stretch counts as touched when none of it is farther than slack
// from the discs that touch at its two ends: a polygon drawn for a circle has
// such stretches at its vertices.
//
//  1. On each piece the radius is monotone: search its formula for the place
//     where it passes half the diameter.
//  2. Join the untouched parts that follow each other.
//  3. Drop those within slack.
func (f *Field) Reach(contour int, diameter, slack float64) (touched float64, gaps []Gap) {
	if contour < 0 || contour >= len(f.ring) {
		return 0, nil
	}
	s := searches.Get().(*search)
	defer searches.Put(s)
	untouched := s.untouched[:0]
	total := 0.0
	for _, m := range f.ring[contour] {
		pc := &f.pieces[m]
		e := &f.elems[pc.elem]
		if e.kind == vertex {
			continue
		}
		total += (pc.u1 - pc.u0) * e.length
		lo, hi, ok := f.below(pc, diameter/2)
		if !ok || hi-lo < 1e-12 {
			continue
		}
		if k := len(untouched) - 1; k >= 0 && f.follows(untouched[k], stretch{pc.elem, pc.elem, lo, hi}, rounding*diameter) {
			untouched[k].to, untouched[k].u1 = pc.elem, hi
			continue
		}
		untouched = append(untouched, stretch{pc.elem, pc.elem, lo, hi})
	}
	// The contour is closed: a stretch may run over its start.
	if k := len(untouched) - 1; k > 0 {
		if a, b := untouched[k], untouched[0]; f.follows(a, b, rounding*diameter) {
			untouched[0] = stretch{a.from, b.to, a.u0, b.u1}
			untouched = untouched[:k]
		}
	}
	s.untouched = untouched
	touched = total
	gaps = slices.Grow(gaps, len(untouched))
	for _, u := range untouched {
		length, near := f.beside(u, diameter/2, slack)
		if whole := length >= total*(1-1e-9); near && !whole {
			continue
		}
		touched -= length
		gaps = append(gaps, Gap{From: f.place(u.from, u.u0), To: f.place(u.to, u.u1), Length: length})
	}
	if touched < 1e-9*total {
		touched = 0
	}
	return touched, gaps
}

// stretch is a part of a contour from one element's fraction to another's.
type stretch struct {
	from, to int32
	u0, u1   float64
}

// rounding is the share of a tool's diameter by which stretches that follow each
// other may seem to lie apart: what a coordinate of a million leaves of a length.
const rounding = 1e-8

// follows reports whether stretch t begins where s ends, within a length.
func (f *Field) follows(s, t stretch, within float64) bool {
	if s.to == t.from && s.u1 <= t.u0 {
		return (t.u0-s.u1)*f.elems[s.to].length <= within
	}
	return f.elems[s.to].next == t.from && (1-s.u1)*f.elems[s.to].length+t.u0*f.elems[t.from].length <= within
}

// below returns the part of piece pc whose radius is less than r.
func (f *Field) below(pc *piece, r float64) (lo, hi float64, ok bool) {
	r *= 1 - 1e-9 // a tool as wide as the slot fits
	in0, in1 := pc.r0 < r, pc.r1 < r
	switch {
	case in0 && in1:
		return pc.u0, pc.u1, true
	case !in0 && !in1:
		return 0, 0, false
	}
	b := bracket{lo: pc.u0, hi: pc.u1, glo: pc.r0 - r, ghi: pc.r1 - r}
	if in1 {
		b = bracket{lo: b.hi, hi: b.lo, glo: b.ghi, ghi: b.glo}
	}
	u := f.passes(pc, r, b)
	if in0 {
		return pc.u0, u, true
	}
	return u, pc.u1, true
}

// passes returns the last place from b.lo on at which the radius of piece pc is
// less than r, or r to rounding. A radius right to 1e-13, what its formula is
// right to, ends the search: below asks for one that is 1e-9 less than the tool's,
// so that a flat place is moved no further by that.
func (f *Field) passes(pc *piece, r float64, b bracket) float64 {
	e := &f.elems[pc.elem]
	for range 100 {
		u, ok := b.next()
		if !ok {
			break
		}
		p, n := e.at(u)
		g := f.radius(pc.elem, p, n, pc.j) - r
		if math.Abs(g) <= 1e-13*r {
			return u
		}
		b.put(u, g)
	}
	return b.lo
}

// beside returns the length of a stretch and whether all of it is within slack of
// the discs of radius r that touch at its two ends. Each curve of the stretch is
// looked at in a few places: the distance peaks at a vertex.
func (f *Field) beside(s stretch, r, slack float64) (length float64, near bool) {
	pa, na := f.elems[s.from].at(s.u0)
	pb, nb := f.elems[s.to].at(s.u1)
	ca, cb := pa.Add(na.Mul(r)), pb.Add(nb.Mul(r))
	most := (r + slack) * (r + slack)
	near = true
	id := s.from
	for range len(f.elems) + 1 {
		e := &f.elems[id]
		lo, hi := 0.0, 1.0
		if id == s.from {
			lo = s.u0
		}
		last := id == s.to && (s.from != s.to || s.u1 >= s.u0)
		if last {
			hi = s.u1
		}
		length += (hi - lo) * e.length
		for k := 0; near && k < 5; k++ {
			p, _ := e.at(lo + (hi-lo)*float64(k)/4)
			a, b := p.Sub(ca), p.Sub(cb)
			near = min(a.Dot(a), b.Dot(b)) <= most
		}
		if last {
			break
		}
		id = e.next
	}
	return length, near
}

// Corner is a convex corner of the region, where its width runs to zero.
type Corner struct {
	At    Place
	Angle float64 // inside the region, radians, less than pi
}

// Corners lists the convex corners whose tangent turns by at least the angle
// turn, in radians.
func (f *Field) Corners(turn float64) []Corner {
	n := 0
	for id := range f.elems {
		if e := &f.elems[id]; e.kind != vertex && e.turnNext >= turn {
			n++
		}
	}
	out := make([]Corner, 0, n)
	for id := range f.elems {
		if e := &f.elems[id]; e.kind != vertex && e.turnNext >= turn {
			out = append(out, Corner{f.place(int32(id), 1), math.Pi - e.turnNext})
		}
	}
	return out
}

// Depth returns how far from the corner the nearest point of a disc of the
// given diameter stays: d/2 (1/sin(a/2) - 1).
func (c Corner) Depth(diameter float64) float64 {
	return diameter / 2 * (1/math.Sin(c.Angle/2) - 1)
}
