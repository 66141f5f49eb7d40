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
//  2. Where the curve goes on, a span ends on the curve, but aslant of its
//     tangent by the angle with which arcs of that curvature and tolerance reach
//     farthest (slanted): by half as far again as arcs with the curve's own tangents.
//  3. The joint of a biarc lies where the curve crosses the circle from all
//     of whose points both ends are seen under the angle that lets two tangent
//     arcs meet there. D. S. Meek, D. J. Walton, "Approximating smooth planar
//     curves by arc splines", J. Comput. Appl. Math. 59, 1995.
//  4. At the end of a smooth run three arcs are tried where one biarc is too
//     little and two may be too much.
//  5. Neighbours on one circle or one line become one curve.
func FitArcs(f func(t float64) (p, d r2.Point), breaks []float64, tol float64, most int) ([]Curve, float64, error) {
	if len(breaks) < 2 || !(tol > 0) {
		return nil, 0, errors.New("curve fit needs two breaks and a positive tolerance")
	}
	for i, t := range breaks {
		if math.IsNaN(t) || math.IsInf(t, 0) || i > 0 && t <= breaks[i-1] {
			return nil, 0, errors.New("breaks of a curve fit must ascend")
		}
	}
	ft := fitter{f: f, breaks: breaks, tol: tol, slack: slantAllowed(tol), most: most, left: 300*most + 100*len(breaks)}
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
	slack  float64   // slantAllowed(tol)
	domain float64   // of the smooth run, in parameters
	at     []sample  // of the span under trial
	off    []float64 // and their distances
	bent   bool      // the last curve of out meets the next one at a corner
}

// sample is a place on the curve and the derivative there.
type sample struct {
	t    float64
	p, d r2.Point
}

// node is a place on the curve with the tangent that arcs have there, or that the
// curve has on one side.
type node struct {
	t   float64
	p   r2.Point
	tan r2.Point // unit, or zero where the curve has none
}

const cornerSine = 1e-7 // sine of the largest turn at a break that is no corner

func (ft *fitter) run() error {
	start := ft.node(ft.breaks[0], +1)
	ft.bent = true
	for first := 0; first < len(ft.breaks)-1; {
		// A run of pieces without a corner or kink between them.
		last := first + 1
		end := ft.node(ft.breaks[last], -1)
		next := end // what the next run starts from
		for last < len(ft.breaks)-1 {
			if on := ft.node(ft.breaks[last], +1); math.Abs(Cross(end.tan, on.tan)) > cornerSine || end.tan.Dot(on.tan) <= 0 {
				next = on
				break
			}
			if ft.kink(last) {
				break
			}
			last++
			end = ft.node(ft.breaks[last], -1)
			next = end
		}
		if err := ft.smooth(first, last, start, end); err != nil {
			return err
		}
		ft.bent = ft.bent || next != end
		first, start = last, next
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
	}
	if !b.line && !b.one {
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
