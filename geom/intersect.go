package geom

import (
	"math"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"
)

// Contact is a point that two curves share.
type Contact struct {
	T, U  float64  // fractions of the first and the second curve's length
	At    r2.Point // the point
	Touch bool     // the curves meet there without passing through each other
}

// Intersect returns the points, two at most, that c and d share, in order along
// c. Curves that come within tol of a tangential contact touch there once; a
// contact up to tol beyond a curve's end counts at that end. Curves that run
// along each other (parallel lines, arcs round one centre, both within tol)
// share no point in this sense.
//
// All cases are closed forms in coordinates relative to the first curve, so the
// error is some units in the last place of the curves' size over the sine of
// the angle between them:
//
//   - line and line: the quotient of two cross products;
//   - line and arc: the foot of the centre on the line, then half the chord
//     sqrt((r-h)(r+h));
//   - arc and arc: the chord common to the two circles lies square to the line
//     of centres at (D^2+r^2-s^2)/2D; half its length is found without
//     cancellation from the factors of Heron's formula.
func Intersect(c, d Curve, tol float64) []Contact {
	var out [2]Contact
	if n := Contacts(&c, &d, tol, &out); n > 0 {
		return append([]Contact(nil), out[:n]...)
	}
	return nil
}

// Contacts puts what Intersect returns into out and returns how many there are.
func Contacts(c, d *Curve, tol float64, out *[2]Contact) int {
	switch {
	case !c.IsArc() && !d.IsArc():
		return lineLine(c, d, tol, out)
	case !c.IsArc():
		return lineArc(c, d, tol, out)
	case !d.IsArc():
		n := lineArc(d, c, tol, out)
		for i, k := range out[:n] {
			out[i].T, out[i].U = k.U, k.T
		}
		return inOrder(out, n)
	}
	return arcArc(c, d, tol, out)
}

// inOrder puts n contacts in order along the first curve.
func inOrder(k *[2]Contact, n int) int {
	if n == 2 && k[1].T < k[0].T {
		k[0], k[1] = k[1], k[0]
	}
	return n
}

// lineFraction turns a distance s along a line of length n into a fraction,
// clamped if it is within tol of an end, and reports whether it lies on the
// line.
func lineFraction(s, n, tol float64) (float64, bool) {
	if s < -tol || s > n+tol {
		return 0, false
	}
	return math.Min(1, math.Max(0, s/n)), true
}

func lineLine(c, d *Curve, tol float64, out *[2]Contact) int {
	u, v := c.End.Sub(c.Start), d.End.Sub(d.Start)
	nu, nv := u.Norm(), v.Norm()
	if nu == 0 || nv == 0 {
		return 0
	}
	u, v = u.Mul(1/nu), v.Mul(1/nv)
	w := d.Start.Sub(c.Start)
	sin := Cross(u, v)
	// Parallel within tol over the length at hand: no single point.
	if math.Abs(sin)*math.Min(nu, nv) <= tol || sin == 0 {
		return 0
	}
	t, ok := lineFraction(Cross(w, v)/sin, nu, tol)
	if !ok {
		return 0
	}
	s, ok := lineFraction(Cross(w, u)/sin, nv, tol)
	if !ok {
		return 0
	}
	out[0] = Contact{T: t, U: s, At: c.At(t)}
	return 1
}

func lineArc(c, d *Curve, tol float64, out *[2]Contact) int {
	u := c.End.Sub(c.Start)
	n := u.Norm()
	if n == 0 {
		return 0
	}
	u = u.Mul(1 / n)
	w := d.Center.Sub(c.Start)
	foot, h := w.Dot(u), Cross(u, w) // the centre lies h to the left of the line
	r := d.Radius
	if math.Abs(h) > r+tol {
		return 0
	}
	side := Left(u).Mul(-h) // from the centre to the foot
	k := 0
	add := func(s float64, touch bool) {
		t, ok := lineFraction(foot+s, n, tol)
		if !ok {
			return
		}
		v := side.Add(u.Mul(s))
		f, ok := d.AngleParam(s1.Angle(math.Atan2(v.Y, v.X)), tol/r)
		if !ok {
			return
		}
		out[k] = Contact{T: t, U: f, At: c.At(t), Touch: touch}
		k++
	}
	if r-math.Abs(h) <= tol {
		add(0, true)
		return k
	}
	half := math.Sqrt((r - math.Abs(h)) * (r + math.Abs(h)))
	add(-half, false)
	add(half, false)
	return k
}

func arcArc(c, d *Curve, tol float64, out *[2]Contact) int {
	r, s := c.Radius, d.Radius
	w := d.Center.Sub(c.Center)
	D := w.Norm()
	if D <= tol || D > r+s+tol || D < math.Abs(r-s)-tol {
		return 0
	}
	u := w.Mul(1 / D)
	k := 0
	add := func(v r2.Point, touch bool) {
		t, ok := c.AngleParam(s1.Angle(math.Atan2(v.Y, v.X)), tol/r)
		if !ok {
			return
		}
		x := v.Sub(w)
		f, ok := d.AngleParam(s1.Angle(math.Atan2(x.Y, x.X)), tol/s)
		if !ok {
			return
		}
		out[k] = Contact{T: t, U: f, At: c.Center.Add(v), Touch: touch}
		k++
	}
	switch {
	case r+s-D <= tol:
		add(u.Mul(r), true)
	case D-math.Abs(r-s) <= tol:
		if r < s {
			u = u.Mul(-1)
		}
		add(u.Mul(r), true)
	default:
		// Along the line of centres, written so that r near s costs no digits.
		a := (D + (r-s)*(r+s)/D) / 2
		h := math.Sqrt((r+s-D)*(r+s+D)*(D+r-s)*(D-r+s)) / (2 * D)
		add(u.Mul(a).Add(Left(u).Mul(h)), false)
		add(u.Mul(a).Add(Left(u).Mul(-h)), false)
	}
	return inOrder(out, k)
}
