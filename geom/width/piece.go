package width

import (
	"math"
	"slices"
	"sort"

	"burrcast/geom"

	"github.com/golang/geo/r2"
)

// parallel is the least object angle of a passage: walls within 30 degrees of
// parallel.
const parallel = 150 * math.Pi / 180

// piece is a part of a run along which the radius only grows or only falls, so
// that its extremes are at its ends.
type piece struct {
	elem, j  int32
	u0, u1   float64
	r0, r1   float64
	c0, c1   float64 // cosine of the object angle at the ends
	p0, p1   float64 // the part with an angle of at least 150 degrees; p0 > p1 for none
	q0, q1   float64 // radii at p0 and p1
	flat     bool    // radius constant: parallel walls or concentric arcs
	split    bool    // begins at a stationary point or in the middle of a flat run
	contour  int32
	position int32 // index in its contour's ring of pieces
	twin     int32 // the piece of the same discs on the element opposite, or -1
}

func (p *piece) top() float64   { return max(p.r0, p.r1) }
func (p *piece) narrow() bool   { return p.p0 <= p.p1 }
func (p *piece) least() float64 { return min(p.q0, p.q1) }

// cutPieces splits the runs at their stationary points and flat runs in halves,
// and lists the pieces in order of travel.
func (s *Scratch) cutPieces() {
	f := &s.field
	n := 0
	for _, runs := range f.runs {
		n += len(runs)
	}
	f.pieces = slices.Grow(f.pieces[:0], n+n/8+4)
	f.ring = f.ring[:0]
	f.piecesOf = slices.Grow(f.piecesOf[:0], len(f.elems))[:len(f.elems)]
	for k, ring := range f.rings {
		first := len(f.pieces)
		for _, id := range ring {
			e := &f.elems[id]
			from := int32(len(f.pieces))
			u := 0.0
			p, n := e.at(u)
			for _, rn := range f.runs[id] {
				if rn.u0 != u {
					p, n = e.at(rn.u0)
				}
				p, n = f.cutRun(id, rn, p, n)
				u = rn.u1
			}
			f.piecesOf[id] = [2]int32{from, int32(len(f.pieces))}
		}
		for m := first; m < len(f.pieces); m++ {
			pc := &f.pieces[m]
			pc.contour, pc.position = int32(k), int32(m-first)
		}
		f.ring = append(f.ring, nil)
	}
	// Pieces stand in order of travel already.
	f.order = slices.Grow(f.order[:0], len(f.pieces))[:len(f.pieces)]
	from := 0
	for m := range f.pieces {
		f.order[m] = int32(m)
		if m+1 == len(f.pieces) || f.pieces[m+1].contour != f.pieces[m].contour {
			f.ring[f.pieces[m].contour] = f.order[from : m+1 : m+1]
			from = m + 1
		}
	}
	s.pairPieces()
}

// pairPieces finds the twins: on a disc's two elements lie two pieces with the
// same radii, run through the other way.
func (s *Scratch) pairPieces() {
	f := &s.field
	bits := 1
	for 1<<bits < len(f.pieces) {
		bits++
	}
	head := cleared(s.heads, 1<<bits) // by pair of elements; one more than the index
	next := slices.Grow(s.nexts[:0], len(f.pieces))[:len(f.pieces)]
	s.heads, s.nexts = head, next
	for m := range f.pieces {
		p := &f.pieces[m]
		p.twin = -1
		if p.j == noFoot || p.j == p.elem {
			continue
		}
		slot := (uint64(min(p.elem, p.j))<<32 | uint64(max(p.elem, p.j))) * 0x9e3779b97f4a7c15 >> (64 - bits)
		for k := head[slot]; k > 0; k = next[k-1] {
			o := &f.pieces[k-1]
			if o.elem == p.j && o.j == p.elem && o.twin < 0 && alike(o.r0, p.r1) && alike(o.r1, p.r0) {
				p.twin, o.twin = k-1, int32(m)
				break
			}
		}
		next[m], head[slot] = head[slot], int32(m)+1
	}
}

func alike(a, b float64) bool { return math.Abs(a-b) <= 1e-9*max(a, b) }

// cutRun adds the pieces of a run of element id that begins at the place p with
// the normal n, and returns place and normal at its end.
func (f *Field) cutRun(id int32, rn run, p, n r2.Point) (r2.Point, r2.Point) {
	e := &f.elems[id]
	cuts := [4]float64{rn.u0}
	count := 1
	if rn.j != noFoot && rn.j != id {
		us, some := f.stationary(id, rn.j)
		for _, u := range us[:some] {
			if u <= rn.u0+1e-12 || u >= rn.u1-1e-12 {
				continue
			}
			// Between smooth neighbours the formula may not hold there.
			if q, nrm := e.at(u); f.radius(id, q, nrm, rn.j) <= f.far {
				cuts[count] = u
				if count++; count == 3 && cuts[1] > cuts[2] {
					cuts[1], cuts[2] = cuts[2], cuts[1]
				}
			}
		}
	}
	flat := f.isFlat(id, rn)
	if flat && count == 1 {
		cuts[count] = (rn.u0 + rn.u1) / 2
		count++
	}
	cuts[count] = rn.u1
	for k := 1; k <= count; k++ {
		f.pieces = append(f.pieces, piece{elem: id, j: rn.j, u0: cuts[k-1], u1: cuts[k], flat: flat, split: k > 1})
		pc := &f.pieces[len(f.pieces)-1]
		pc.r0, pc.c0 = f.discAt(id, pc.u0, p, n, rn, true)
		p, n = e.at(pc.u1)
		pc.r1, pc.c1 = f.discAt(id, pc.u1, p, n, rn, false)
		f.narrowPart(pc)
	}
	return p, n
}

// discAt returns radius and cosine of the angle on run rn at u, which is the place
// p with the normal n; at the ends of the run the traced radius stands.
func (f *Field) discAt(id int32, u float64, p, n r2.Point, rn run, start bool) (r, c float64) {
	e := &f.elems[id]
	if e.kind != vertex {
		if u == 0 && e.turnPrev > smoothTurn {
			return 0, math.Cos(e.turnPrev)
		}
		if u == 1 && e.turnNext > smoothTurn {
			return 0, math.Cos(e.turnNext)
		}
	}
	switch {
	case u == rn.u0 && start:
		r = rn.r0
	case u == rn.u1 && !start:
		r = rn.r1
	default:
		r = f.radius(id, p, n, rn.j)
	}
	return r, f.cosine(id, p, n, r, rn.j)
}

// isFlat reports whether the radius is the same all along the run.
func (f *Field) isFlat(id int32, rn run) bool {
	if rn.j == noFoot || rn.j == id || math.Abs(rn.r0-rn.r1) > 1e-9*max(rn.r0, rn.r1) {
		return false
	}
	p, n := f.elems[id].at(rn.u0 + 0.382*(rn.u1-rn.u0))
	r := f.radius(id, p, n, rn.j)
	return math.Abs(r-rn.r0) <= 1e-9*r && f.cosine(id, p, n, r, rn.j) < opposite
}

// stationary returns the fractions of element i, count of them, at which the
// radius against element j has an extreme: where the two normals are opposite.
// Of arcs and fans those beyond their ends are left out.
func (f *Field) stationary(i, j int32) (us [2]float64, count int) {
	e, o := &f.elems[i], &f.elems[j]
	target := o.p // the point whose direction matters; a line has none
	if o.kind == concave || o.kind == convex {
		target = o.c.Center
	}
	if e.kind == lineElem {
		if o.kind == lineElem {
			return us, 0
		}
		return [2]float64{e.dir.Dot(target.Sub(e.p)) / e.length}, 1
	}
	var d r2.Point
	switch {
	case o.kind == lineElem:
		d = o.nrm
	case e.kind == vertex:
		d = target.Sub(e.p)
	default:
		d = target.Sub(e.c.Center)
	}
	if d.X == 0 && d.Y == 0 {
		return us, 0
	}
	for _, d := range [...]r2.Point{d, d.Mul(-1)} {
		switch {
		case e.kind != vertex && within(e, d):
			us[count] = fraction(&e.c, d)
			count++
		case e.kind == vertex && e.fans(d):
			us[count] = e.fanFraction(d)
			count++
		}
	}
	return us, count
}

// fans reports whether a vertex's fan may hold the direction d: no angle is
// formed.
func (e *element) fans(d r2.Point) bool {
	slack := 1e-9 * (math.Abs(d.X) + math.Abs(d.Y))
	// The fan turns to the right, by half a turn at most.
	return geom.Cross(e.first, d) <= slack && geom.Cross(d, e.last) <= slack
}

// fanFraction returns where in a vertex's fan the direction d lies; outside
// 0 to 1 when it lies outside.
func (e *element) fanFraction(d r2.Point) float64 {
	half := e.sweep / 2
	a := nearTurn(math.Atan2(d.Y, d.X) - e.from - half)
	return (a + half) / e.sweep
}

// nearTurn is the angle a less whole turns, within half a turn of 0.
func nearTurn(a float64) float64 {
	if math.Abs(a) > 4*math.Pi {
		return math.Remainder(a, 2*math.Pi)
	}
	for a > math.Pi {
		a -= 2 * math.Pi
	}
	for a < -math.Pi {
		a += 2 * math.Pi
	}
	return a
}

// discOn returns the disc of piece pc at u.
func (f *Field) discOn(pc *piece, u float64) Disc {
	e := &f.elems[pc.elem]
	p, n := e.at(u)
	r := f.radius(pc.elem, p, n, pc.j)
	switch {
	case u == pc.u0:
		r = pc.r0
	case u == pc.u1:
		r = pc.r1
	}
	d := Disc{Center: p.Add(n.Mul(r)), Radius: r, A: p, B: p, Contours: [2]int{int(e.contour), int(e.contour)},
		piece: f.ring[pc.contour][pc.position] + 1}
	if pc.j != noFoot && pc.j != pc.elem {
		d.B = f.foot(p, n, r, pc.j)
		d.Contours[1] = int(f.elems[pc.j].contour)
	} else if pc.j == pc.elem {
		d.B = d.Center.Add(d.Center.Sub(p)) // opposite, on the arc's own circle
	}
	return d
}

// pieceAt returns the piece of element j that holds the fraction t.
func (f *Field) pieceAt(j int32, t float64) int32 {
	lo, hi := f.piecesOf[j][0], f.piecesOf[j][1]
	k := int32(sort.Search(int(hi-lo), func(k int) bool { return f.pieces[lo+int32(k)].u1 >= t })) + lo
	return min(k, hi-1)
}
