package analyze

import (
	"math"

	"burrcast/geom"

	"github.com/golang/geo/r2"
)

// mergeEqual counts parts that are the same shape moved and turned as one part
// with a quantity; a mirrored shape stays its own part and names the other.
//
//  1. Sort out by invariants: counts of contours and curves, area, length,
//     second moments.
//  2. Try every start of the outline at which the curves fit one after another;
//     the first curve's chord gives the motion.
//  3. Accept by the largest deviation of any vertex or arc middle of any
//     contour, never by the sequence alone: small differences add up.
//  4. Fitted curves are compared by their places alone (equalfitted.go).
func mergeEqual(parts []Part) []Part {
	var out []Part
	bins := make(map[shapeKey][]int)
	for i := range parts {
		p := &parts[i]
		p.shape = newShape(p)
		p.mirrorOf = -1
		found := -1
		for _, k := range bins[p.shape.key] {
			q := &out[k]
			if !q.shape.like(&p.shape) || q.Measure.Incomplete != p.Measure.Incomplete {
				continue
			}
			if congruent(q, p, false) || p.fitted > 0 && congruentFitted(q, p, false) {
				found = k
				break
			}
			if p.mirrorOf < 0 && q.mirrorOf < 0 && (congruent(q, p, true) || p.fitted > 0 && congruentFitted(q, p, true)) {
				p.mirrorOf = k
			}
		}
		if found >= 0 {
			out[found].Measure.Quantity++
			out[found].Measure.At = append(out[found].Measure.At, p.Measure.BBox.Lo())
			continue
		}
		bins[p.shape.key] = append(bins[p.shape.key], len(out))
		out = append(out, *p)
	}
	return out
}

// shapeKey sorts parts exactly; shape compares them within tolerance. Curves are
// not counted where they have been fitted.
type shapeKey struct{ contours, curves int }

type shape struct {
	key          shapeKey
	area, length float64
	major, minor float64 // principal second moments
	size         float64
}

func newShape(p *Part) shape {
	s := shape{area: p.Measure.Area.V, length: p.Measure.CutLength.V}
	s.key.contours = len(p.merged)
	for _, loop := range p.merged {
		s.key.curves += len(loop)
	}
	m := p.Measure.Moments
	mid, half := (m[0]+m[1])/2, math.Hypot((m[0]-m[1])/2, m[2])
	s.major, s.minor = mid+half, mid-half
	s.size = p.Measure.BBox.Size().Norm()
	if p.fitted > 0 {
		s.key.curves = 0
	}
	return s
}

// like compares the invariants loosely: what differs here cannot be equal.
func (s *shape) like(o *shape) bool {
	near := func(a, b, scale float64) bool { return math.Abs(a-b) <= 1e-3*scale }
	return near(s.area, o.area, s.size*s.size) && near(s.length, o.length, s.length) &&
		near(s.major, o.major, s.major) && near(s.minor, o.minor, s.major)
}

// sameWithin is the largest deviation, as a share of the part's diagonal, of
// parts that count as equal: a micrometre on a plate of 50 mm, the rounding of
// ordinary drawings.
const sameWithin = 2e-5

// congruent reports whether p is q moved and turned, or mirrored as well.
func congruent(q, p *Part, mirrored bool) bool {
	tol := sameWithin * q.shape.size
	a := q.merged[0]
	b := p.merged[0]
	if mirrored {
		b = mirrorLoop(b)
	}
	if len(a) != len(b) {
		return false
	}
	for start := range b {
		m, ok := motion(a, b, start, tol)
		if !ok {
			continue
		}
		if matchLoops(q.merged[1:], p.merged[1:], m, mirrored, tol) {
			return true
		}
	}
	return false
}

// mirrorLoop reflects a loop in the Y axis and keeps material on its left.
func mirrorLoop(loop []geom.Curve) []geom.Curve {
	out := make([]geom.Curve, len(loop))
	for i, c := range loop {
		out[len(loop)-1-i] = c.Transformed(geom.Scaling(-1, 1)).Reversed()
	}
	return out
}

// motion returns the rigid motion that takes loop b, begun at start, onto loop
// a, if it takes every curve to within tol.
func motion(a, b []geom.Curve, start int, tol float64) (geom.Affine, bool) {
	n := len(a)
	for k := range a {
		c, d := &a[k], &b[(start+k)%n]
		if math.Abs(c.Length()-d.Length()) > 4*tol || c.IsArc() != d.IsArc() {
			return geom.Affine{}, false
		}
	}
	if a[0].IsCircle() {
		return geom.Translation(a[0].Center.Sub(b[0].Center)), true
	}
	// The longest chord from the first vertex fixes the turn best.
	far, best := 0, 0.0
	for k := range a {
		if l := a[k].End.Sub(a[0].Start).Norm(); l > best {
			far, best = k, l
		}
	}
	u := a[far].End.Sub(a[0].Start)
	v := b[(start+far)%n].End.Sub(b[start].Start)
	if u.Norm() == 0 || v.Norm() == 0 {
		return geom.Affine{}, false
	}
	u, v = geom.Unit(u), geom.Unit(v)
	cos, sin := v.Dot(u), geom.Cross(v, u)
	m := geom.Affine{A: cos, B: -sin, C: sin, D: cos}
	to := m.Point(b[start].Start)
	m.Tx, m.Ty = a[0].Start.X-to.X, a[0].Start.Y-to.Y
	return m, fits(a, b, start, m, tol)
}

func fits(a, b []geom.Curve, start int, m geom.Affine, tol float64) bool {
	n := len(a)
	for k := range a {
		c, d := &a[k], &b[(start+k)%n]
		if m.Point(d.Start).Sub(c.Start).Norm() > tol || m.Point(d.At(0.5)).Sub(c.At(0.5)).Norm() > tol {
			return false
		}
	}
	return true
}

// matchLoops pairs every cut-out of a with one of b under the motion m.
func matchLoops(a, b [][]geom.Curve, m geom.Affine, mirrored bool, tol float64) bool {
	used := make([]bool, len(b))
	moved := make([][]geom.Curve, len(b))
	middle := make([]r2.Point, len(b))
	for k, loop := range b {
		if mirrored {
			loop = mirrorLoop(loop)
		}
		moved[k] = make([]geom.Curve, len(loop))
		for i, c := range loop {
			moved[k][i] = c.Transformed(m)
		}
		middle[k] = geom.LoopBounds(moved[k]).Center()
	}
	for _, loop := range a {
		center := geom.LoopBounds(loop).Center()
		ok := false
		for k := range moved {
			if used[k] || len(moved[k]) != len(loop) || middle[k].Sub(center).Norm() > 2*tol {
				continue
			}
			if sameLoop(loop, moved[k], tol) {
				used[k], ok = true, true
				break
			}
		}
		if !ok {
			return false
		}
	}
	return true
}

// sameLoop reports whether two loops run through the same curves.
func sameLoop(a, b []geom.Curve, tol float64) bool {
	if a[0].IsCircle() || b[0].IsCircle() {
		return a[0].IsCircle() && b[0].IsCircle() &&
			a[0].Center.Sub(b[0].Center).Norm() <= tol && math.Abs(a[0].Radius-b[0].Radius) <= tol
	}
	for start := range b {
		if fits(a, b, start, geom.Identity(), tol) {
			return true
		}
	}
	return false
}
