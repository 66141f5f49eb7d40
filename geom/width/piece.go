package width

import (
	"math"
	"sort"

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
	a0, a1   float64 // object angle at the ends, radians
	p0, p1   float64 // the part with an angle of at least 150 degrees; p0 > p1 for none
	q0, q1   float64 // radii at p0 and p1
	flat     bool    // radius constant: parallel walls or concentric arcs
	split    bool    // begins at a stationary point or in the middle of a flat run
	contour  int32
	position int32 // index in its contour's ring of pieces
}

func (p *piece) top() float64   { return math.Max(p.r0, p.r1) }
func (p *piece) narrow() bool   { return p.p0 <= p.p1 }
func (p *piece) least() float64 { return math.Min(p.q0, p.q1) }

// cutPieces splits the runs at their stationary points and flat runs in halves,
// and lists the pieces in order of travel.
func (f *Field) cutPieces() {
	f.ring = make([][]int32, len(f.rings))
	for k, ring := range f.rings {
		for _, id := range ring {
			for _, rn := range f.runs[id] {
				f.cutRun(id, rn)
			}
		}
		first := 0
		if k > 0 {
			first = int(f.ring[k-1][len(f.ring[k-1])-1]) + 1
		}
		for m := first; m < len(f.pieces); m++ {
			f.pieces[m].contour = int32(k)
			f.pieces[m].position = int32(len(f.ring[k]))
			f.ring[k] = append(f.ring[k], int32(m))
		}
	}
}

func (f *Field) cutRun(id int32, rn run) {
	cuts := []float64{rn.u0}
	if rn.j != noFoot && rn.j != id {
		for _, u := range f.stationary(id, rn.j) {
			if u <= rn.u0+1e-12 || u >= rn.u1-1e-12 {
				continue
			}
			// Between smooth neighbours the formula may not hold there.
			if p, n := f.elems[id].at(u); f.radius(id, p, n, rn.j) <= f.far {
				cuts = append(cuts, u)
			}
		}
		sort.Float64s(cuts)
	}
	flat := f.isFlat(id, rn)
	if flat && len(cuts) == 1 {
		cuts = append(cuts, (rn.u0+rn.u1)/2)
	}
	cuts = append(cuts, rn.u1)
	for k := 1; k < len(cuts); k++ {
		pc := piece{elem: id, j: rn.j, u0: cuts[k-1], u1: cuts[k], flat: flat, split: k > 1}
		pc.r0, pc.a0 = f.discAt(id, pc.u0, rn, true)
		pc.r1, pc.a1 = f.discAt(id, pc.u1, rn, false)
		f.narrowPart(&pc)
		f.pieces = append(f.pieces, pc)
	}
}

// discAt returns radius and angle on run rn at u; at the ends of the run the
// traced radius stands.
func (f *Field) discAt(id int32, u float64, rn run, start bool) (r, a float64) {
	e := &f.elems[id]
	if e.kind != vertex {
		if u == 0 && e.turnPrev > smoothTurn {
			return 0, e.turnPrev
		}
		if u == 1 && e.turnNext > smoothTurn {
			return 0, e.turnNext
		}
	}
	p, n := e.at(u)
	switch {
	case u == rn.u0 && start:
		r = rn.r0
	case u == rn.u1 && !start:
		r = rn.r1
	default:
		r = f.radius(id, p, n, rn.j)
	}
	return r, f.angle(id, p, n, r, rn.j)
}

// isFlat reports whether the radius is the same all along the run.
func (f *Field) isFlat(id int32, rn run) bool {
	if rn.j == noFoot || rn.j == id || math.Abs(rn.r0-rn.r1) > 1e-9*math.Max(rn.r0, rn.r1) {
		return false
	}
	p, n := f.elems[id].at(rn.u0 + 0.382*(rn.u1-rn.u0))
	r := f.radius(id, p, n, rn.j)
	return math.Abs(r-rn.r0) <= 1e-9*r && f.angle(id, p, n, r, rn.j) > math.Pi-1e-4
}

// stationary returns the fractions of element i at which the radius against
// element j has an extreme: where the two normals are opposite.
func (f *Field) stationary(i, j int32) []float64 {
	e, o := &f.elems[i], &f.elems[j]
	target := o.p // the point whose direction matters; a line has none
	if o.kind == concave || o.kind == convex {
		target = o.c.Center
	}
	switch e.kind {
	case lineElem:
		if o.kind == lineElem {
			return nil
		}
		return []float64{e.dir.Dot(target.Sub(e.p)) / e.length}
	case vertex:
		d := target.Sub(e.p)
		if o.kind == lineElem {
			d = o.nrm.Mul(-1)
		}
		return []float64{e.fanFraction(d), e.fanFraction(d.Mul(-1))}
	}
	d := target.Sub(e.c.Center)
	if o.kind == lineElem {
		d = o.nrm
	}
	if d.X == 0 && d.Y == 0 {
		return nil
	}
	return []float64{fraction(&e.c, d), fraction(&e.c, d.Mul(-1))}
}

// fanFraction returns where in a vertex's fan the direction d lies; outside
// 0 to 1 when it lies outside.
func (e *element) fanFraction(d r2.Point) float64 {
	half := e.sweep / 2
	a := math.Remainder(math.Atan2(d.Y, d.X)-e.from-half, 2*math.Pi)
	return (a + half) / e.sweep
}

// narrowPart finds the part of the piece whose discs have an angle of at least
// 150 degrees. The angle is monotone on a piece, so there is one part, bounded
// by an end or by the place where the angle passes the threshold.
func (f *Field) narrowPart(pc *piece) {
	const t = parallel - 1e-9
	pc.p0, pc.p1, pc.q0, pc.q1 = pc.u0, pc.u1, pc.r0, pc.r1
	in0, in1 := pc.a0 >= t, pc.a1 >= t
	switch {
	case pc.j == noFoot || !in0 && !in1:
		pc.p0, pc.p1 = 1, 0
		return
	case in0 && in1:
		return
	}
	e := &f.elems[pc.elem]
	lo, hi := pc.u0, pc.u1 // lo inside, hi outside
	if in1 {
		lo, hi = hi, lo
	}
	r := pc.r0
	for range 60 {
		u := lo + (hi-lo)/2
		if u == lo || u == hi {
			break
		}
		p, n := e.at(u)
		ru := f.radius(pc.elem, p, n, pc.j)
		if !math.IsInf(ru, 1) && f.angle(pc.elem, p, n, ru, pc.j) >= t {
			lo, r = u, ru
		} else {
			hi = u
		}
	}
	if in0 {
		pc.p1, pc.q1 = lo, r
		if lo == pc.u0 {
			pc.q1 = pc.r0
		}
	} else {
		pc.p0, pc.q0 = lo, r
		if lo == pc.u1 {
			pc.q0 = pc.r1
		}
	}
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
	d := Disc{Center: p.Add(n.Mul(r)), Radius: r, A: p, B: p, Contours: [2]int{int(e.contour), int(e.contour)}}
	if pc.j != noFoot && pc.j != pc.elem {
		d.B = f.foot(p, n, r, pc.j)
		d.Contours[1] = int(f.elems[pc.j].contour)
	} else if pc.j == pc.elem {
		d.B = d.Center.Add(d.Center.Sub(p)) // opposite, on the arc's own circle
	}
	return d
}

// pieceAt returns the piece of element j that holds the fraction t.
func (f *Field) pieceAt(index [][2]int32, j int32, t float64) int32 {
	lo, hi := index[j][0], index[j][1]
	k := int32(sort.Search(int(hi-lo), func(k int) bool { return f.pieces[lo+int32(k)].u1 >= t })) + lo
	return min(k, hi-1)
}

// pieceIndex returns for every element the range of its pieces.
func (f *Field) pieceIndex() [][2]int32 {
	index := make([][2]int32, len(f.elems))
	for m := range f.pieces {
		id := f.pieces[m].elem
		if index[id][1] == 0 {
			index[id][0] = int32(m)
		}
		index[id][1] = int32(m) + 1
	}
	return index
}
