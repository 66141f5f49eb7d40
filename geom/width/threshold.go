package width

import (
	"math"

	"burrcast/geom"

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
	us, count := e.lenientAgainst(&f.elems[pc.j])
	for _, u := range us[:count] {
		if u <= pc.u0 || u >= pc.u1 {
			continue
		}
		p, n := e.at(u)
		r := f.radius(pc.elem, p, n, pc.j)
		if !math.IsInf(r, 1) && math.Abs(f.cosine(pc.elem, p, n, r, pc.j)-parallelCos) <= 1e-12 {
			return u, r
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

// round is what an arc or a vertex is to a disc of radius r that touches it: the
// disc's centre lies at the distance R + s r from z, s being 1 from outside and -1
// from inside.
func (e *element) round() (z r2.Point, R, s float64) {
	switch e.kind {
	case vertex:
		return e.p, 0, 1
	case concave:
		return e.c.Center, e.c.Radius, -1
	}
	return e.c.Center, e.c.Radius, 1
}

// lenientAgainst returns the fractions of element e, count of them, at which a disc
// that touches o, too, has the object angle lenient, C its cosine. Some may lie
// beyond the ends of e or o, or belong to discs on the other side of one.
//
//   - A line and a round whose centre is at height h over it: the feet lie in the
//     directions -n and s (z-c)/(R + s r) from c, so C (R + s r) = -s (h - r), which
//     is linear in r.
//   - Two rounds, D between their centres, c at distances a = R1 + s1 r and
//     b = R2 + s2 r: D^2 = a^2 + b^2 - 2 a b s1 s2 C, quadratic in a.
func (e *element) lenientAgainst(o *element) (us [4]float64, count int) {
	switch {
	case e.kind == lineElem && o.kind == lineElem:
		return us, 0
	case e.kind == lineElem:
		z, R, s := o.round()
		if along, t, _, ok := lenientOverLine(e, z, R, s); ok {
			return [4]float64{(along - t) / e.length, (along + t) / e.length}, 2
		}
		return us, 0
	case o.kind == lineElem:
		z, R, s := e.round()
		if _, t, up, ok := lenientOverLine(o, z, R, s); ok {
			up, side := o.nrm.Mul(up), o.dir.Mul(t)
			return [4]float64{e.turned(up.Sub(side)), e.turned(up.Add(side))}, 2
		}
		return us, 0
	}
	z1, R1, s1 := e.round()
	z2, R2, s2 := o.round()
	w := z2.Sub(z1)
	D2 := w.Dot(w)
	side := s1 * s2
	diff := R2 - side*R1 // b = diff + side a
	root := math.Sqrt(diff*diff - 2*(diff*diff-D2)/(1-parallelCos))
	for _, root := range [...]float64{-root, root} {
		a := (root - side*diff) / 2
		b := diff + side*a
		along := (a*a + D2 - b*b) / (2 * D2) // of w
		across := a*a/D2 - along*along
		if !(a > 0 && b > 0 && s1*(a-R1) > 0 && across >= 0) {
			continue
		}
		p, q := w.Mul(along), geom.Left(w).Mul(math.Sqrt(across))
		us[count], us[count+1] = e.turned(p.Sub(q)), e.turned(p.Add(q))
		count += 2
	}
	return us, count
}

// lenientOverLine returns, for discs on a line and a round with the object angle
// lenient, where along the line the round's centre is, how far beside it the discs'
// centres are, and how much higher.
func lenientOverLine(l *element, z r2.Point, R, s float64) (along, beside, above float64, ok bool) {
	v := z.Sub(l.p)
	along = l.dir.Dot(v)
	h := l.nrm.Dot(v)
	r := (s*parallelCos*R + h) / (1 - parallelCos)
	q := (R+s*r)*(R+s*r) - (h-r)*(h-r)
	return along, math.Sqrt(q), r - h, r > 0 && q >= 0
}
