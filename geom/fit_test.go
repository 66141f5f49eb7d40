package geom

import (
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/golang/geo/r2"
)

type fitCase struct {
	name   string
	f      func(t float64) (p, d r2.Point)
	breaks []float64
	corner []r2.Point // places where the result may be bent
}

func ellipse(cx, cy, a, b float64) func(t float64) (p, d r2.Point) {
	return func(t float64) (p, d r2.Point) {
		sin, cos := math.Sincos(t)
		return r2.Point{X: cx + a*cos, Y: cy + b*sin}, r2.Point{X: -a * sin, Y: b * cos}
	}
}

// bezier is a cubic with the given control points.
func bezier(c [4]r2.Point) func(t float64) (p, d r2.Point) {
	return func(t float64) (p, d r2.Point) {
		s := 1 - t
		b := [4]float64{s * s * s, 3 * s * s * t, 3 * s * t * t, t * t * t}
		for i := range c {
			p = p.Add(c[i].Mul(b[i]))
		}
		e := [3]float64{3 * s * s, 6 * s * t, 3 * t * t}
		for i := range e {
			d = d.Add(c[i+1].Sub(c[i]).Mul(e[i]))
		}
		return p, d
	}
}

var quarters = []float64{0, math.Pi / 2, math.Pi, 3 * math.Pi / 2, 2 * math.Pi}

var fitCases = []fitCase{
	{"ellipse", ellipse(0, 0, 12, 4), quarters, nil},
	{"ellipse without breaks", ellipse(0, 0, 12, 4), []float64{0, 2 * math.Pi}, nil},
	{"ellipse far away", ellipse(1e4, -2e4, 300, 200), quarters, nil},
	// Its ends are rounder than the coarser tolerances: a corner each is right.
	{"needle", ellipse(0, 0, 50, 0.05), quarters, []r2.Point{{X: 50}, {X: -50}}},
	{"circle", ellipse(3, 4, 5, 5), quarters, nil},
	{"inflexion", bezier([4]r2.Point{{X: 0, Y: 0}, {X: 40, Y: 0}, {X: 0, Y: 30}, {X: 40, Y: 30}}), []float64{0, 1}, nil},
	{"loop", bezier([4]r2.Point{{X: 0, Y: 0}, {X: 60, Y: 40}, {X: -20, Y: 40}, {X: 40, Y: 0}}), []float64{0, 1}, nil},
	{"double first point", bezier([4]r2.Point{{X: 0, Y: 0}, {X: 0, Y: 0}, {X: 10, Y: 30}, {X: 40, Y: 30}}), []float64{0, 1}, nil},
	{"double last point", bezier([4]r2.Point{{X: 0, Y: 0}, {X: 10, Y: 30}, {X: 40, Y: 30}, {X: 40, Y: 30}}), []float64{0, 1}, nil},
	{"cusp", bezier([4]r2.Point{{X: 0, Y: 0}, {X: 40, Y: 40}, {X: 0, Y: 40}, {X: 40, Y: 0}}), []float64{0, 1}, []r2.Point{{X: 20, Y: 30}}},
	{"straight", bezier([4]r2.Point{{X: 0, Y: 0}, {X: 10, Y: 5}, {X: 20, Y: 10}, {X: 30, Y: 15}}), []float64{0, 1}, nil},
	{"wave of many pieces", func(t float64) (p, d r2.Point) {
		return r2.Point{X: 10 * t, Y: 3 * math.Sin(t)}, r2.Point{X: 10, Y: 3 * math.Cos(t)}
	}, []float64{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14}, nil},
	{"corner", func(t float64) (p, d r2.Point) {
		if t < 1 {
			return r2.Point{X: t, Y: t * t}, r2.Point{X: 1, Y: 2 * t}
		}
		return r2.Point{X: t, Y: (2 - t)}, r2.Point{X: 1, Y: -1}
	}, []float64{0, 1, 2}, []r2.Point{{X: 1, Y: 1}}},
	{"slight corner", func(t float64) (p, d r2.Point) {
		if t < 1 {
			return r2.Point{X: t, Y: t * t}, r2.Point{X: 1, Y: 2 * t}
		}
		return r2.Point{X: t, Y: 1 + 1.9*(t-1)}, r2.Point{X: 1, Y: 1.9}
	}, []float64{0, 1, 2}, []r2.Point{{X: 1, Y: 1}}},
}

// TestFitArcs checks every promise of FitArcs by dense sampling.
func TestFitArcs(t *testing.T) {
	for _, c := range fitCases {
		for _, tol := range []float64{0.1, 1e-3, 1e-5, 1e-7} {
			curves, worst, err := FitArcs(c.f, c.breaks, tol, 100000)
			if err != nil {
				t.Errorf("%s, %g: %v", c.name, tol, err)
				continue
			}
			if worst > tol {
				t.Errorf("%s, %g: deviation %g", c.name, tol, worst)
			}
			checkFit(t, c, tol, worst, curves)
		}
	}
}

func checkFit(t *testing.T, c fitCase, tol, worst float64, curves []Curve) {
	t.Helper()
	first, last := c.breaks[0], c.breaks[len(c.breaks)-1]
	p0, d0 := c.f(first)
	p1, d1 := c.f(last)
	if curves[0].Start != p0 || curves[len(curves)-1].End != p1 {
		t.Errorf("%s, %g: ends moved", c.name, tol)
	}
	if d0.Norm() > 0 && curves[0].Length() > 4*tol && math.Abs(Cross(Unit(d0), curves[0].Tangent(0))) > 1e-7 {
		t.Errorf("%s, %g: first tangent is off by %g", c.name, tol, Cross(Unit(d0), curves[0].Tangent(0)))
	}
	if d1.Norm() > 0 && curves[len(curves)-1].Length() > 4*tol && math.Abs(Cross(Unit(d1), curves[len(curves)-1].Tangent(1))) > 1e-7 {
		t.Errorf("%s, %g: last tangent is off", c.name, tol)
	}
	for i := 1; i < len(curves); i++ {
		a, b := curves[i-1], curves[i]
		if a.End != b.Start {
			t.Fatalf("%s, %g: gap at curve %d", c.name, tol, i)
		}
		bent := math.Abs(Cross(a.Tangent(1), b.Tangent(0)))
		allowed := false
		for _, k := range c.corner {
			allowed = allowed || k.Sub(b.Start).Norm() <= 8*tol
		}
		if !allowed && (bent > 1e-6 || a.Tangent(1).Dot(b.Tangent(0)) < 0) {
			t.Errorf("%s, %g: bent by %g at %v (curve %d of %d)", c.name, tol, bent, b.Start, i, len(curves))
		}
	}
	// A corner at a break is met exactly.
	for _, k := range c.corner {
		for _, at := range c.breaks[1 : len(c.breaks)-1] {
			if p, _ := c.f(at); p != k || !strings.HasSuffix(c.name, "corner") {
				continue
			}
			if !slices.ContainsFunc(curves, func(c Curve) bool { return c.Start == k }) {
				t.Errorf("%s, %g: no joint at the corner %v", c.name, tol, k)
			}
		}
	}
	const n = 2500
	far := 0.0
	for i := range n + 1 {
		p, _ := c.f(first + (last-first)*float64(i)/n)
		best := math.Inf(1)
		for k := range curves {
			best = min(best, distanceTo(curves[k], p))
		}
		far = max(far, best)
	}
	if far > 1.05*worst+1e-12*(1+p0.Norm()) {
		t.Errorf("%s, %g: sampled deviation %g exceeds the stated %g (%d curves)", c.name, tol, far, worst, len(curves))
	}
	t.Logf("%-22s %6.0e: %4d curves, deviation %.3g", c.name, tol, len(curves), worst)
}

// distanceTo is the distance from p to c, written apart from the code tested.
func distanceTo(c Curve, p r2.Point) float64 {
	ends := min(p.Sub(c.Start).Norm(), p.Sub(c.End).Norm())
	if !c.IsArc() {
		d := c.End.Sub(c.Start)
		s := p.Sub(c.Start).Dot(d) / d.Dot(d)
		if s <= 0 || s >= 1 {
			return ends
		}
		return p.Sub(c.Start.Add(d.Mul(s))).Norm()
	}
	v := p.Sub(c.Center)
	turn := math.Atan2(v.Y, v.X) - float64(c.From)
	if c.Sweep < 0 {
		turn = -turn
	}
	turn -= 2 * math.Pi * math.Floor(turn/(2*math.Pi))
	if turn <= math.Abs(float64(c.Sweep)) {
		return math.Abs(v.Norm() - c.Radius)
	}
	return ends
}

// TestFitArcsIntegrals compares area and length with quadrature: the trapezoid
// rule converges faster than any power on a closed smooth curve.
func TestFitArcsIntegrals(t *testing.T) {
	for _, axes := range [][2]float64{{12, 4}, {300, 200}, {7, 6.9}} {
		a, b := axes[0], axes[1]
		f := ellipse(1000, -500, a, b)
		curves, _, err := FitArcs(f, quarters, 1e-7, 100000)
		if err != nil {
			t.Fatal(err)
		}
		length := 0.0
		const n = 4096
		for i := range n {
			_, d := f(2 * math.Pi * float64(i) / n)
			length += d.Norm() * 2 * math.Pi / n
		}
		if got := LoopLength(curves); math.Abs(got-length) > 1e-6*length {
			t.Errorf("ellipse %g x %g: length %.12g, want %.12g", a, b, got, length)
		}
		area := math.Pi * a * b
		if got := Integrate(curves).Area; math.Abs(got-area) > 1e-6*area {
			t.Errorf("ellipse %g x %g: area %.12g, want %.12g", a, b, got, area)
		}
	}
}

// TestFitArcsJoins checks that arcs of one circle come back as one arc.
func TestFitArcsJoins(t *testing.T) {
	f := func(t float64) (p, d r2.Point) {
		p, d = ellipse(30, 40, 5, 5)(t)
		if t == 2*math.Pi {
			p, _ = ellipse(30, 40, 5, 5)(0)
		}
		return p, d
	}
	curves, _, err := FitArcs(f, quarters, 1e-6, 100)
	if err != nil || len(curves) != 1 || !curves[0].IsCircle() {
		t.Fatalf("got %v, %v, want one circle", curves, err)
	}
	if d := curves[0].Center.Sub(r2.Point{X: 30, Y: 40}).Norm(); d > 1e-9 {
		t.Errorf("centre is off by %g", d)
	}
}

func TestFitArcsRefuses(t *testing.T) {
	circle := ellipse(0, 0, 1, 1)
	nan := func(t float64) (p, d r2.Point) { return r2.Point{X: math.NaN()}, r2.Point{X: 1} }
	wild := func(t float64) (p, d r2.Point) {
		return r2.Point{X: t, Y: math.Sin(1e6 * t)}, r2.Point{X: 1, Y: 1e6 * math.Cos(1e6*t)}
	}
	for _, c := range []struct {
		name   string
		f      func(float64) (p, d r2.Point)
		breaks []float64
		tol    float64
	}{
		{"no tolerance", circle, quarters, 0},
		{"one break", circle, []float64{0}, 1},
		{"breaks that fall", circle, []float64{1, 0}, 1},
		{"NaN break", circle, []float64{0, math.NaN()}, 1},
		{"NaN curve", nan, []float64{0, 1}, 1},
		{"more arcs than allowed", wild, []float64{0, 1}, 1e-6},
	} {
		if got, _, err := FitArcs(c.f, c.breaks, c.tol, 500); err == nil {
			t.Errorf("%s: %d curves and no error", c.name, len(got))
		}
	}
}

func BenchmarkFitArcs(b *testing.B) {
	f := ellipse(0, 0, 60, 25)
	for b.Loop() {
		if _, _, err := FitArcs(f, quarters, 1e-3, 10000); err != nil {
			b.Fatal(err)
		}
	}
}
