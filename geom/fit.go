package geom

import (
	"errors"
	"math"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"
)

// ErrFit reports that a curve needs more arcs than allowed.
var ErrFit = errors.New("curve fit not converged: too many arcs")

// ErrNotFinite reports a parametric curve that yields NaN or infinity.
var ErrNotFinite = errors.New("curve is not finite")

// FitArcs approximates a parametric plane curve by arcs and lines.
//
// The function f returns the point and the derivative at a parameter. The
// parameters in breaks ascend strictly; the first and last bound the curve, and
// between two neighbours f is smooth. At an inner break the derivative may jump
// in size or direction: where it turns, the result has a corner, everywhere
// else neighbours are tangent to rounding. The ends are f at the first and last
// break exactly, their tangents are the curve's (unless the curve turns there
// within a few tolerances, where a line stands for it), and neighbours share
// their point bit for bit.
//
// The result keeps within tol of the curve as long as tol exceeds rounding;
// the second value is the largest distance found by sampling each piece and
// refining each peak, which is honest to a few percent. Pieces where the curve
// turns back within tol (cusps) become a line between two corners. At most most
// curves are returned; needing more, or some hundred evaluations for each of
// them, is ErrFit.
//
// Plan:
//  1. From the left end of what is left, take the longest span that one biarc
//     follows within tol. The error grows with the cube of the span, which
//     predicts the next trial.
//  2. The joint of a biarc lies on the curve: of all points from which both
//     ends are seen under the angle that lets two tangent arcs meet there, the
//     one where the curve crosses that locus (a circle). D. S. Meek, D. J.
//     Walton, "Approximating smooth planar curves by arc splines", J. Comput.
//     Appl. Math. 59, 1995.
//  3. Neighbours on one circle or one line become one curve.
func FitArcs(f func(t float64) (p, d r2.Point), breaks []float64, tol float64, most int) ([]Curve, float64, error) {
	if len(breaks) < 2 || !(tol > 0) {
		return nil, 0, errors.New("curve fit needs two breaks and a positive tolerance")
	}
	for i, t := range breaks {
		if math.IsNaN(t) || math.IsInf(t, 0) || i > 0 && t <= breaks[i-1] {
			return nil, 0, errors.New("breaks of a curve fit must ascend")
		}
	}
	ft := fitter{f: f, breaks: breaks, tol: tol, most: most, left: 300*most + 100*len(breaks)}
	if err := ft.run(); err != nil {
		return nil, 0, err
	}
	return ft.out, ft.worst, nil
}

type fitter struct {
	f      func(t float64) (p, d r2.Point)
	breaks []float64
	tol    float64
	most   int
	left   int // evaluations that may still be spent
	out    []Curve
	worst  float64
	t      []float64 // parameters of the span under trial
	p      []r2.Point
	d      []r2.Point // derivatives there
	bent   bool       // the last curve of out meets the next one at a corner
}

// node is a place on the curve with the tangent of one side.
type node struct {
	t   float64
	p   r2.Point
	tan r2.Point // unit, or zero where the curve has none
}

const cornerSine = 1e-7 // sine of the largest turn at a break that is no corner

func (ft *fitter) run() error {
	first := 0
	for first < len(ft.breaks)-1 {
		// A run of pieces without a corner between them.
		last := first + 1
		end := ft.node(ft.breaks[last], -1)
		for last < len(ft.breaks)-1 {
			next := ft.node(ft.breaks[last], +1)
			if math.Abs(Cross(end.tan, next.tan)) > cornerSine || end.tan.Dot(next.tan) <= 0 {
				break
			}
			last++
			end = ft.node(ft.breaks[last], -1)
		}
		ft.bent = true
		if err := ft.smooth(first, last, ft.node(ft.breaks[first], +1), end); err != nil {
			return err
		}
		first = last
	}
	return nil
}

// node returns the place at parameter t with the tangent on the given side.
func (ft *fitter) node(t float64, side float64) node {
	p, _ := ft.f(t)
	b := ft.breaks
	span := b[len(b)-1] - b[0]
	inside := math.Nextafter(t, math.Inf(int(side)))
	_, d := ft.f(inside)
	// A derivative of nothing, as at an end with two control points in one
	// place: the direction is the limit from inside, by one step of Richardson.
	h := span * 1e-5 * side
	_, d1 := ft.f(t + h)
	if n := d1.Norm(); d.Norm() <= 1e-9*n || n == 0 {
		_, d2 := ft.f(t + 2*h)
		d = d1.Mul(2).Sub(d2.Mul(0.5))
		if d.Norm() == 0 {
			d = d1
		}
	}
	return node{t: t, p: p, tan: Unit(d)}
}

// smooth fits breaks[first:last+1], between which there is no corner.
func (ft *fitter) smooth(first, last int, start, end node) error {
	domain := end.t - start.t
	step := ft.breaks[first+1] - start.t
	piece := first // breaks[piece] <= start.t
	for start.t < end.t {
		for ft.breaks[piece+1] <= start.t {
			piece++
		}
		span, err := ft.longest(piece, last, start, end, &step, domain)
		if err != nil {
			return err
		}
		if err := ft.add(start, span); err != nil {
			return err
		}
		start = span.end
	}
	return nil
}

// longest returns the longest span from start that keeps within the tolerance.
func (ft *fitter) longest(piece, last int, start, end node, step *float64, domain float64) (biarc, error) {
	var best biarc
	found := false
	h, low, high := *step, 0.0, math.Inf(1)
	for range 60 {
		t := start.t + h
		if t >= end.t || end.t-t < 1e-9*domain {
			t = end.t
		}
		at := end
		if t < end.t {
			at = ft.between(t, last)
		}
		b, ok, err := ft.try(piece, start, at)
		if err != nil {
			return b, err
		}
		if ft.left -= len(ft.t); ft.left < 0 {
			return b, ErrFit
		}
		h = t - start.t
		share, power := ft.excess(b, at.p.Sub(start.p).Norm())
		if ok && share <= 1 {
			best, found, low = b, true, h
			if t == end.t || b.line {
				break
			}
			gain := 4.0
			if share > 0 {
				gain = min(gain, 0.96*math.Pow(share, -1/power))
			}
			if gain < 1.06 {
				break
			}
			h *= gain
			if h >= high {
				// A longer span has failed already: go between, or stop.
				if high < 1.1*low {
					break
				}
				h = (low + high) / 2
			}
			continue
		}
		high = min(high, h)
		if found && high < 1.1*low {
			break
		}
		if h <= 1e-12*domain || t <= math.Nextafter(start.t, math.Inf(1)) {
			// No span is short enough: a line, with the error that it has.
			best, found = ft.straight(start, at), true
			break
		}
		loss := 0.3
		if ok {
			loss = max(0.1, min(0.9, 0.94*math.Pow(share, -1/power)))
		}
		h *= loss
		if h <= low {
			h = (low + high) / 2
		}
	}
	if !found {
		return best, ErrFit
	}
	*step = max(best.end.t-start.t, 1e-12*domain)
	if best.end.p.Sub(start.p).Norm() <= ft.tol && best.end.t < end.t {
		best = ft.stepOver(piece, last, start, end, best)
	}
	return best, nil
}

// stepOver passes a place where the curve turns within the tolerance by a line
// as long as a few tolerances: arcs shorter than the tolerance follow nothing
// that was drawn.
func (ft *fitter) stepOver(piece, last int, start, end node, best biarc) biarc {
	for h := 2 * (best.end.t - start.t); ; h *= 2 {
		at := end
		if t := start.t + h; t < end.t {
			at = ft.between(t, last)
		}
		if _, err := ft.sample(piece, start, at); err != nil {
			return best
		}
		b := ft.straight(start, at)
		if b.error > ft.tol || at.p.Sub(start.p).Norm() > 4*ft.tol {
			return best
		}
		best = b
		if at.t >= end.t {
			return best
		}
	}
}

// between returns the node at t inside a run.
func (ft *fitter) between(t float64, last int) node {
	p, d := ft.f(t)
	if d.X == 0 && d.Y == 0 {
		return ft.node(t, -1)
	}
	return node{t: t, p: p, tan: Unit(d)}
}

// sample fills t and p with places between start and end: some in every piece
// of the curve, so that no piece is stepped over unseen. It reports whether the
// curve turns by less than a right angle from the start's tangent to each.
func (ft *fitter) sample(piece int, start, end node) (bool, error) {
	ft.t, ft.p, ft.d = ft.t[:0], ft.p[:0], ft.d[:0]
	turned := start.tan.Dot(end.tan) > 0
	for k := piece; k < len(ft.breaks)-1 && ft.breaks[k] < end.t; k++ {
		a, b := max(ft.breaks[k], start.t), min(ft.breaks[k+1], end.t)
		n := 6
		if k == piece && b >= end.t {
			n = 14
		}
		if k > piece {
			ft.t = append(ft.t, a)
			p, d := ft.f(a)
			ft.p, ft.d = append(ft.p, p), append(ft.d, d)
		}
		for i := 1; i < n; i++ {
			t := a + (b-a)*float64(i)/float64(n)
			p, d := ft.f(t)
			s := p.X + p.Y + d.X + d.Y
			if s-s != 0 {
				return false, ErrNotFinite
			}
			if d.Dot(start.tan) <= 0 || d.Dot(end.tan) <= 0 {
				turned = false
			}
			ft.t, ft.p, ft.d = append(ft.t, t), append(ft.p, p), append(ft.d, d)
		}
	}
	return turned, nil
}

// add appends the curves of a span.
func (ft *fitter) add(start node, b biarc) error {
	ft.worst = max(ft.worst, b.error)
	if b.line {
		ft.bent = true
		if start.p != b.end.p {
			ft.push(Line(start.p, b.end.p))
		}
		ft.bent = true
	} else {
		ft.push(ft.arc(start.p, start.tan, b.joint))
		ft.push(ft.arc(b.end.p, b.end.tan.Mul(-1), b.joint).Reversed())
	}
	if len(ft.out) > ft.most {
		return ErrFit
	}
	return nil
}

// arc returns the arc from p in direction dir to q, or a line where that is as
// near as rounding lets an arc of that radius be.
func (ft *fitter) arc(p, dir, q r2.Point) Curve {
	d := q.Sub(p)
	half := math.Atan2(Cross(dir, d), dir.Dot(d))
	chord := d.Norm()
	if s := math.Abs(half) / 4 * chord; math.Abs(half) <= 2e-8 && s <= ft.tol/10 {
		ft.worst = max(ft.worst, s)
		return Line(p, q)
	}
	return Bulge(p, q, math.Tan(half/2))
}

// push appends c, or lengthens the last curve if both lie on one line or circle.
func (ft *fitter) push(c Curve) {
	if c.Start == c.End && !c.IsCircle() {
		return
	}
	bent := ft.bent
	ft.bent = false
	if n := len(ft.out); n > 0 && !bent {
		if m, err, ok := joined(ft.out[n-1], c); ok && err <= ft.tol/10 {
			ft.worst = max(ft.worst, err)
			ft.out[n-1] = m
			return
		}
	}
	ft.out = append(ft.out, c)
}

// sameCircle is the relative difference of two radii that rounding explains.
const sameCircle = 1e-9

// joined returns the one curve that replaces a and b, which are tangent where
// they meet, and how far it strays from them.
func joined(a, b Curve) (Curve, float64, bool) {
	if a.IsArc() != b.IsArc() {
		return Curve{}, 0, false
	}
	if !a.IsArc() {
		u, v := Unit(a.End.Sub(a.Start)), b.End.Sub(b.Start)
		off := math.Abs(Cross(u, v))
		if u.Dot(v) <= 0 || off > sameCircle*v.Norm() {
			return Curve{}, 0, false
		}
		return Line(a.Start, b.End), off, true
	}
	sweep := a.Sweep + b.Sweep
	apart := a.Center.Sub(b.Center).Norm() + math.Abs(a.Radius-b.Radius)
	if a.Sweep*b.Sweep < 0 || apart > sameCircle*a.Radius || math.Abs(float64(sweep)) > 2*math.Pi+1e-9 {
		return Curve{}, 0, false
	}
	long := a
	if math.Abs(float64(b.Sweep)) > math.Abs(float64(a.Sweep)) {
		long = b
	}
	m := Curve{Start: a.Start, End: b.End, Center: long.Center, Radius: long.Radius}
	v := m.Start.Sub(m.Center)
	w := m.End.Sub(m.Center)
	m.From = s1.Angle(math.Atan2(v.Y, v.X))
	// The sweep that leads to the end, next to the sum.
	turn := math.Remainder(math.Atan2(w.Y, w.X)-float64(m.From)-float64(sweep), 2*math.Pi)
	m.Sweep = sweep + s1.Angle(turn)
	if math.Abs(float64(m.Sweep)) > 2*math.Pi-1e-12 {
		if m.Start != m.End {
			return Curve{}, 0, false
		}
		m.Sweep = s1.Angle(math.Copysign(2*math.Pi, float64(sweep)))
	}
	off := apart + math.Abs(v.Norm()-m.Radius) + math.Abs(w.Norm()-m.Radius)
	return m, off, true
}
