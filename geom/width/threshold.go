package width

import (
	"math"

	"github.com/golang/geo/r2"
)

// lenient is the least angle of a passage, rounding left out.
const lenient = parallel - 1e-9

// parallelCos is its cosine, and opposite that of an angle of half a turn less 1e-4.
var (
	parallelCos = math.Cos(lenient)
	opposite    = math.Cos(math.Pi - 1e-4)
)

// narrowPart finds the part of the piece whose discs have an angle of at least
// 150 degrees. The angle is monotone on a piece, so there is one part, bounded
// by an end or by the place where the angle passes the threshold.
func (f *Field) narrowPart(pc *piece) {
	pc.p0, pc.p1, pc.q0, pc.q1 = pc.u0, pc.u1, pc.r0, pc.r1
	in0, in1 := pc.c0 <= parallelCos, pc.c1 <= parallelCos
	switch {
	case pc.j == noFoot || !in0 && !in1:
		pc.p0, pc.p1 = 1, 0
		return
	case in0 && in1:
		return
	}
	u, r := f.threshold(pc, in0)
	if in0 {
		pc.p1, pc.q1 = u, r
		if u == pc.u0 {
			pc.q1 = pc.r0
		}
	} else {
		pc.p0, pc.q0 = u, r
		if u == pc.u1 {
			pc.q0 = pc.r1
		}
	}
}

// threshold returns the last place from the end of the piece whose disc has the
// angle of a passage that has it too, and the radius there.
func (f *Field) threshold(pc *piece, fromStart bool) (u, r float64) {
	e := &f.elems[pc.elem]
	if us, ok := e.passesLenient(&f.elems[pc.j]); ok {
		for _, u := range us {
			if u > pc.u0 && u < pc.u1 {
				p, n := e.at(u)
				if r := f.radius(pc.elem, p, n, pc.j); !math.IsInf(r, 1) {
					return u, r
				}
			}
		}
	}
	lo, hi := pc.u0, pc.u1 // lo inside, hi outside
	r, glo, ghi := pc.r0, pc.c0-parallelCos, pc.c1-parallelCos
	if !fromStart {
		lo, hi, r, glo, ghi = hi, lo, pc.r1, ghi, glo
	}
	b := bracket{lo: lo, hi: hi, glo: glo, ghi: ghi}
	for range 100 {
		u, ok := b.next()
		if !ok {
			break
		}
		p, n := e.at(u)
		ru, g := f.radius(pc.elem, p, n, pc.j), math.Inf(1)
		if !math.IsInf(ru, 1) {
			g = f.cosine(pc.elem, p, n, ru, pc.j) - parallelCos
		}
		if b.put(u, g); g <= 0 {
			r = ru
			if g > -1e-15 {
				break
			}
		}
	}
	return b.lo, r
}

// passesLenient returns the fractions of element e at which the disc that touches
// o has the least angle of a passage, where neither is an arc:
//
//	line, vertex at height k   cos = 1 - 2 k^2 / (k^2 + s^2), s from its foot
//	fan, line with normal m    cos = n.m
//	fan, vertex, w from it     cos = 1 - 2 (n.w)^2 / w^2
//
// They may lie beyond the element's ends.
func (e *element) passesLenient(o *element) (us [2]float64, ok bool) {
	var axis r2.Point // of a fan: the normal at which the angle is half a turn
	turn := math.Pi - lenient
	switch {
	case e.kind == lineElem && o.kind == vertex:
		w := o.p.Sub(e.p)
		s, d := e.dir.Dot(w), e.nrm.Dot(w)*math.Sqrt((1+parallelCos)/(1-parallelCos))
		return [2]float64{(s - d) / e.length, (s + d) / e.length}, true
	case e.kind == vertex && o.kind == lineElem:
		axis = o.nrm.Mul(-1)
	case e.kind == vertex && o.kind == vertex:
		axis, turn = o.p.Sub(e.p), turn/2
	default:
		return us, false
	}
	at := math.Atan2(axis.Y, axis.X) - e.from - e.sweep/2
	for k, turn := range [...]float64{-turn, turn} {
		us[k] = (nearTurn(at+turn) + e.sweep/2) / e.sweep
	}
	return us, true
}
