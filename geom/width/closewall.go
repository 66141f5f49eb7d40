package width

import (
	"math"

	"burrcast/geom"

	"github.com/golang/geo/r2"
)

// wall is an element as discs meet it: of a vertex its place, of a curve its
// start, the direction and the inner normal there, and the curvature k, which is
// 1/R where the region lies on the centre's side of an arc, -1/R where it lies
// outside, and 0 on a line. With v the way from the start to its centre, a disc of
// radius r touches where
//
//	nrm.v - r = k/2 (v.v - r^2)
//
// on lines and arcs alike. Nothing in it is as large as the radius of an arc that
// is nearly straight, or as its square, so such an arc loses no more digits than
// a line.
type wall struct {
	p, q     r2.Point // start and end
	dir, nrm r2.Point // at the start
	end      r2.Point // direction at the end
	k        float64
	sweep    float64 // of a vertex that of its fan
	length   float64
	turn     float64 // to the next curve
	prev     int32   // curves, by travel
	next     int32
	kind     kind
	flat     bool // an arc of so small a sweep that only this form tells where it lies
}

// flatSweep is the sweep, in radians, below which an arc is taken from its ends
// and its sweep: the rounding of its centre would move it by more than 1e-13 of
// its length.
const flatSweep = 1e-3

func wallOf(e *element) wall {
	w := wall{p: e.p, q: e.p, length: e.length, turn: e.turnNext, prev: e.prev, next: e.next, kind: e.kind}
	switch e.kind {
	case vertex:
		w.sweep = e.sweep
		return w
	case lineElem:
		w.q, w.dir, w.nrm, w.end = e.c.End, e.dir, e.nrm, e.dir
		return w
	}
	w.sweep = float64(e.c.Sweep)
	w.q, w.k = e.c.End, math.Copysign(1/e.c.Radius, w.sweep)
	if math.Abs(w.sweep) < flatSweep {
		d := w.q.Sub(w.p)
		l := math.Sqrt(d.Dot(d))
		sin, cos := math.Sincos(w.sweep / 2)
		d = d.Mul(1 / l)
		w.dir = r2.Point{X: d.X*cos + d.Y*sin, Y: d.Y*cos - d.X*sin}
		w.end = r2.Point{X: d.X*cos - d.Y*sin, Y: d.Y*cos + d.X*sin}
		w.k = 2 * sin / l
		w.length = w.sweep / w.k
		w.flat = true
	} else {
		from, to := e.first, e.last
		w.dir, w.end = geom.Left(from), geom.Left(to)
		if w.sweep < 0 {
			from, to = to, from
			w.dir, w.end = geom.Left(from).Mul(-1), geom.Left(to).Mul(-1)
		}
		w.p, w.q = e.c.Center.Add(from.Mul(e.c.Radius)), e.c.Center.Add(to.Mul(e.c.Radius))
	}
	w.nrm = geom.Left(w.dir)
	return w
}

// at returns the place and the inner normal at the fraction u of a curve.
func (w *wall) at(u float64) (p, n r2.Point) {
	if w.k == 0 {
		return r2.Point{X: w.p.X + u*(w.q.X-w.p.X), Y: w.p.Y + u*(w.q.Y-w.p.Y)}, w.nrm
	}
	sin, cos := math.Sincos(u * w.sweep / 2)
	l := 2 * sin / w.k
	p = w.p.Add(w.dir.Mul(l * cos)).Add(w.nrm.Mul(l * sin))
	return p, w.nrm.Mul(cos*cos - sin*sin).Sub(w.dir.Mul(2 * sin * cos))
}

// foot returns the fraction at which the normal through c meets the curve, beyond
// 0 and 1 where it passes it, and by how much a disc of radius r round c fails to
// touch the whole line or circle there.
func (w *wall) foot(c r2.Point, r float64) (u, gap float64) {
	v := c.Sub(w.p)
	x, y := v.Dot(w.dir), v.Dot(w.nrm)
	if w.k == 0 {
		return x / w.length, y - r
	}
	// The way from c to the arc's centre, in radii.
	gx, gy := -w.k*x, 1-w.k*y
	g, rest := math.Sqrt(gx*gx+gy*gy), math.Abs(1-w.k*r)
	if g+rest > 0 {
		gap = 2 * (y - r - w.k/2*(x*x+y*y-r*r)) / (g + rest)
	}
	return w.fraction(math.Atan2(-gx, gy)), gap
}

// fraction returns where on an arc the angle a from its start lies, in fractions
// of its length, between the middle of the uncovered part on either side.
func (w *wall) fraction(a float64) float64 {
	if !w.flat {
		a = nearTurn(a-w.sweep/2) + w.sweep/2
	}
	return a / w.sweep
}

// touched reports whether element id comes nearer to c than r, whose square is r2.
func (f *Field) touched(id int32, c r2.Point, r, r2 float64) bool {
	w := &f.walls[id]
	v := c.Sub(w.p)
	x, y := v.Dot(w.dir), v.Dot(w.nrm)
	if w.k == 0 { // lines and points
		if x > w.length {
			x -= w.length
			return x*x+y*y < r2
		}
		if x > 0 {
			return math.Abs(y) < r
		}
		return v.Dot(v) < r2
	}
	// The whole circle first.
	g, h := y-w.k/2*(x*x+y*y), w.k/2*r2
	if g <= -r-h && -w.k*r < 1 || g >= r-h && w.k*r < 1 {
		return false
	}
	if !w.flat {
		return f.elems[id].within2(c, r, r2)
	}
	z := c.Sub(w.q)
	if v.Dot(v) < r2 || z.Dot(z) < r2 {
		return true
	}
	// The foot lies between the ends if the angle there does.
	u := math.Atan2(w.k*x, 1-w.k*y) / w.sweep
	return u > 0 && u < 1
}
