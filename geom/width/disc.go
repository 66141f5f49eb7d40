package width

import (
	"math"

	"github.com/golang/geo/r2"
)

// Disc is a disc inside the region with two of the places where it touches the
// boundary. A and B are the witness of its diameter.
type Disc struct {
	Center   r2.Point
	Radius   float64 // mm
	A, B     r2.Point
	Contours [2]int // contours that A and B lie on
	piece    int32  // one more than the index of the piece that it lies on
}

// Diameter is twice the radius.
func (d Disc) Diameter() float64 { return 2 * d.Radius }

func (f *Field) placed(d Disc) Disc {
	d.Center = d.Center.Add(f.origin)
	d.A = d.A.Add(f.origin)
	d.B = d.B.Add(f.origin)
	return d
}

// Inscribed returns the largest disc in the region, and false when the region
// is unbounded and holds discs without limit.
func (f *Field) Inscribed() (Disc, bool) {
	d, ok := f.largest()
	return f.placed(d), ok
}

// largest is Inscribed in local coordinates.
func (f *Field) largest() (Disc, bool) {
	best, at := -1.0, -1
	for m := range f.pieces {
		pc := &f.pieces[m]
		if pc.j == noFoot {
			return Disc{}, false
		}
		if t := pc.top(); t > best {
			best, at = t, m
		}
	}
	if at < 0 {
		return Disc{}, false
	}
	pc := &f.pieces[at]
	u := pc.u0
	if pc.r1 > pc.r0 {
		u = pc.u1
	}
	return f.discOn(pc, u), true
}

// opposed reports whether the disc touches the boundary at places that are seen
// from its centre at an angle of at least 150 degrees. It looks at every element
// the disc touches: where three or more meet, no two need follow each other.
func (f *Field) opposed(d Disc) bool {
	const slack = 1e-9
	var feet []float64
	for i := range f.elems {
		e := &f.elems[i]
		q, ok := e.closest(d.Center)
		if v := q.Sub(d.Center); ok && math.Abs(v.Norm()-d.Radius) <= slack*d.Radius {
			feet = append(feet, math.Atan2(v.Y, v.X))
		}
	}
	for i, a := range feet {
		for _, b := range feet[:i] {
			if math.Abs(math.Remainder(a-b, 2*math.Pi)) >= parallel-1e-9 {
				return true
			}
		}
	}
	return false
}

// closest returns the point of e nearest to c whose normal passes through c,
// and false where an end is nearer.
func (e *element) closest(c r2.Point) (r2.Point, bool) {
	switch e.kind {
	case vertex:
		return e.p, true
	case lineElem:
		t := e.dir.Dot(c.Sub(e.p))
		return e.p.Add(e.dir.Mul(t)), t >= -footSlack*e.length && t <= e.length*(1+footSlack)
	}
	d := c.Sub(e.c.Center)
	l := d.Norm()
	if l == 0 {
		return e.c.Start, true
	}
	return e.c.Center.Add(d.Mul(e.c.Radius / l)), within(e, d)
}

// LeastPassage returns the smallest disc whose object angle is at least 150
// degrees, and false when there is none. A tip sharper than 30 degrees gives a
// disc of radius 0.
func (f *Field) LeastPassage() (Disc, bool) {
	best, at, u := math.Inf(1), -1, 0.0
	for m := range f.pieces {
		pc := &f.pieces[m]
		if !pc.narrow() {
			continue
		}
		if l := pc.least(); l < best {
			best, at, u = l, m, pc.p0
			if pc.q1 < pc.q0 {
				u = pc.p1
			}
		}
	}
	if at < 0 {
		// The middle of a regular shape is one disc with walls all round.
		d, ok := f.largest()
		if !ok || !f.opposed(d) {
			return Disc{}, false
		}
		return f.placed(d), true
	}
	d := f.discOn(&f.pieces[at], u)
	d.Radius = best
	return f.placed(d), true
}

// Clearance returns the smallest disc that touches the contour and another one:
// its diameter is the least distance to any other contour. It reports false for
// a contour alone.
func (f *Field) Clearance(contour int) (Disc, bool) {
	if contour < 0 || contour >= len(f.ring) {
		return Disc{}, false
	}
	best, at, u := math.Inf(1), int32(-1), 0.0
	for _, m := range f.ring[contour] {
		pc := &f.pieces[m]
		if pc.j == noFoot || f.elems[pc.j].contour == f.elems[pc.elem].contour {
			continue
		}
		if r := math.Min(pc.r0, pc.r1); r < best {
			best, at, u = r, m, pc.u0
			if pc.r1 < pc.r0 {
				u = pc.u1
			}
		}
	}
	if at < 0 {
		return Disc{}, false
	}
	return f.placed(f.discOn(&f.pieces[at], u)), true
}
