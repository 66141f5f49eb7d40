package width

import (
	"math"

	"burrcast/geom"

	"github.com/golang/geo/r2"
)

// touching is a disc that touches element b at the fraction u.
type touching struct {
	u, r float64
	c    r2.Point // centre
}

// meet returns the disc that touches element b and the elements a and e as well,
// a before and e after it: along b the radius against a is the smaller one up to
// that place and the one against e beyond. Instead of e, noFoot stands for a disc
// of the radius at which discs count as unbounded.
//
// Let x, y be the disc's centre in the directions of b and of its normal at the
// start of b, k the curvature of b, and S = x^2 + y^2 - r^2. A disc that touches b
// has y - r = k S/2, and touches another wall with the reference m, the normal n
// and the curvature j, or a point m, where
//
//	(n + j m).(x, y) - r - j/2 S = n.m + j/2 m.m
//	m.(x, y) - 1/2 S = 1/2 m.m
//
// With the place t = 2/k tan(phi/2) on b, phi the angle from its start (on a line
// the way from there), R = r / (1 - k r) (1 + k^2 t^2/4) is a polynomial
//
//	R = q0 + q1 t + q2 t^2
//
// against walls and points alike, and the places are the roots of a quadratic.
// Round a point b the reciprocal of r is linear in the direction instead.
func (c *closing) meet(b, a, e int32) (touching, bool) {
	if c.walls[b].kind == vertex {
		return c.meetRound(b, a, e)
	}
	w := &c.walls[b]
	// Seen from a joint the neighbour behind it loses nothing.
	atEnd := e == w.next && (a != w.prev || math.Abs(w.turn) < math.Abs(c.walls[a].turn))
	p, ok := c.along(w, b, a, atEnd, false)
	q, ok2 := c.along(w, b, e, atEnd, true)
	if !ok || !ok2 {
		return touching{}, false
	}
	g0, g1, g2 := p[0]-q[0], p[1]-q[1], p[2]-q[2]
	// The root at which g grows.
	d := g1*g1 - 4*g2*g0
	if d < 0 {
		if d < -1e-12*g1*g1 {
			return touching{}, false
		}
		d = 0
	}
	root := math.Sqrt(d)
	over, under := -2*g0, g1+root
	if g1 <= 0 {
		over, under = root-g1, 2*g2
	}
	if under == 0 && (w.k == 0 || over == 0) {
		return touching{}, false
	}
	if under < 0 {
		over, under = -over, -under
	}
	if w.k == 0 {
		t := over / under
		if math.Abs(q[1]+2*t*q[2]) < math.Abs(p[1]+2*t*p[2]) {
			p = q // the flatter one tells the radius better
		}
		r := p[0] + t*(p[1]+t*p[2])
		u, at := t/w.length, w.p
		if atEnd {
			u, at = 1+u, w.q
		}
		return touching{u, r, at.Add(w.dir.Mul(t)).Add(w.nrm.Mul(r))}, r >= 0
	}
	// In sine and cosine of phi/2, which hold where t is infinite.
	cos, sin := under, w.k*over/2
	angle := 2 * math.Atan2(sin, cos)
	l := math.Sqrt(cos*cos + sin*sin)
	cos, sin = cos/l, sin/l
	ct := 2 * sin * cos / w.k         // t cos^2
	st := 4 * sin * sin / (w.k * w.k) // t^2 cos^2
	if math.Abs(cos*q[1]+4*sin*q[2]/w.k) < math.Abs(cos*p[1]+4*sin*p[2]/w.k) {
		p = q
	}
	R := p[0]*cos*cos + p[1]*ct + p[2]*st
	less := 1 / (1 + w.k*R) // 1 - k r
	r := R * less
	at, dir := w.p, w.dir
	if atEnd {
		angle, at, dir = angle+w.sweep, w.q, w.end
	}
	u := w.fraction(angle)
	x, y := less*ct, r+w.k*less*st/2
	return touching{u, r, at.Add(dir.Mul(x)).Add(geom.Left(dir).Mul(y))}, less > 0 && r >= 0
}

// along returns the coefficients of R against element j along wall w of element b,
// from its end or its start; after says that j follows b's strip, or is before it.
func (c *closing) along(w *wall, b, j int32, atEnd, after bool) (q [3]float64, ok bool) {
	k := w.k
	if j == b {
		return q, false
	}
	if j == noFoot {
		far := c.f.far
		if k*far >= 1 {
			return q, false
		}
		far /= 1 - k*far
		return [3]float64{far, 0, far * k * k / 4}, true
	}
	o := &c.walls[j]
	var p, less, h, mn float64 // n.dir, 1 - n.nrm, n.m + j/2 m.m, m.nrm
	switch {
	case o.kind != vertex && (after && j == w.next || !after && j == w.prev):
		// n is turned by the angle from b's normal.
		turn, way := w.turn, 1.0
		if !after {
			turn, way = o.turn, -1
		}
		if k == 0 && o.k == 0 {
			cot := way / math.Tan(turn/2)
			if after == atEnd {
				return [3]float64{0, -cot, 0}, turn > 0
			}
			return [3]float64{way * cot * w.length, -cot, 0}, turn > 0
		}
		angle := way * turn
		if after != atEnd {
			angle += way * w.sweep
		}
		p = -math.Sin(angle)
		s := math.Sin(angle / 2)
		less = 2 * s * s
		if after != atEnd {
			l, sin, cos := w.length, 0.0, 1.0
			if k != 0 {
				sin, cos = math.Sincos(w.sweep / 2)
				l = 2 * sin / k
			}
			h = o.k*l*l/2 - l*math.Sin(w.sweep/2+turn)
			mn = l * sin
			p += way * o.k * l * cos
		}
	default:
		at, dir, nrm := w.p, w.dir, w.nrm
		if atEnd {
			at, dir = w.q, w.end
			nrm = geom.Left(dir)
		}
		m := o.p.Sub(at)
		mn = m.Dot(nrm)
		if o.kind == vertex {
			h = m.Dot(m) / 2
			den := mn - h*k
			if !(den > 0) {
				return q, false
			}
			return [3]float64{h / den, -m.Dot(dir) / den, (h*k*k/4 + (1-mn*k)/2) / den}, true
		}
		p, less = o.nrm.Dot(dir), lessDot(o.nrm, nrm)
		h = o.nrm.Dot(m)
		if o.k != 0 {
			p += o.k * m.Dot(dir)
			h += o.k * m.Dot(m) / 2
		}
	}
	less -= o.k * mn // 1 - (n + j m).nrm
	den := less + h*k
	if !(den > 0) {
		return q, false
	}
	return [3]float64{-h / den, p / den, ((1-less)*k - o.k - h*k*k/2) / (2 * den)}, true
}

// lessDot is 1 - n.m of two unit vectors without loss where they are close.
func lessDot(n, m r2.Point) float64 {
	dot := n.Dot(m)
	if dot < 0.9 {
		return 1 - dot
	}
	x := geom.Cross(n, m)
	return x * x / (1 + dot)
}

// meetRound is meet for a vertex b: with the centre in the direction d, the
// reciprocal of the radius against each of the others is alpha + w.d.
func (c *closing) meetRound(b, a, e int32) (touching, bool) {
	at := c.walls[b].p
	alpha, v, ok := c.round(at, a)
	beta, w, ok2 := c.round(at, e)
	if !ok || !ok2 {
		return touching{}, false
	}
	W := v.Sub(w)
	A := beta - alpha
	l := W.Dot(W)
	d := l - A*A
	if l == 0 || d < -1e-12*l {
		return touching{}, false
	}
	root := math.Sqrt(max(0, d))
	// Fans are travelled clockwise.
	dir := r2.Point{X: (A*W.X + root*W.Y) / l, Y: (A*W.Y - root*W.X) / l}
	k := alpha + dir.Dot(v)
	if k <= 0 {
		return touching{}, false
	}
	r := 1 / k
	return touching{c.f.elems[b].fanFraction(dir), r, at.Add(dir.Mul(r))}, true
}

func (c *closing) round(at r2.Point, j int32) (alpha float64, w r2.Point, ok bool) {
	if j == noFoot {
		return 1 / c.f.far, w, true
	}
	o := &c.walls[j]
	m := o.p.Sub(at)
	if o.kind == vertex {
		h := m.Dot(m) / 2
		return 0, m.Mul(1 / h), h > 0
	}
	h := o.nrm.Dot(m)
	n := o.nrm
	if o.k != 0 {
		h += o.k * m.Dot(m) / 2
		n = n.Add(m.Mul(o.k))
	}
	return -1 / h, n.Mul(1 / h), h != 0
}
