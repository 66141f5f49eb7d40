package geom

import (
	"math"
	"testing"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"
)

func TestLengthBoundsExtentAgainstSampling(t *testing.T) {
	r := source(t)
	for range 300 {
		c := someCurve(r)
		const n = 2000
		// A chord of a piece of n falls short of its arc by less than this.
		sag := c.Length() * c.Length() / (n * n)
		u := Direction(s1.Angle(r.Float64() * 7))
		length := 0.0
		box := r2.EmptyRect()
		lo, hi := math.Inf(1), math.Inf(-1)
		pts := samples(c, n)
		for i, p := range pts {
			if i > 0 {
				length += p.Sub(pts[i-1]).Norm()
			}
			box = box.AddPoint(p)
			lo, hi = min(lo, p.Dot(u)), max(hi, p.Dot(u))
		}
		if !near(length, c.Length(), 1e-5*c.Length()) || length > c.Length()*(1+1e-12) {
			t.Errorf("%+v: length %g, sampled %g", c, c.Length(), length)
		}
		slack := sag/math.Max(c.Radius, 1e-3) + 1e-12
		b := c.Bounds()
		for _, d := range []float64{box.X.Lo - b.X.Lo, b.X.Hi - box.X.Hi, box.Y.Lo - b.Y.Lo, b.Y.Hi - box.Y.Hi} {
			if d < -1e-12 || d > slack {
				t.Errorf("%+v: bounds %v, sampled %v", c, b, box)
			}
		}
		iv := c.Extent(u)
		if d := lo - iv.Lo; d < -1e-12 || d > slack {
			t.Errorf("%+v: extent along %v from %g, sampled %g", c, u, iv.Lo, lo)
		}
		if d := iv.Hi - hi; d < -1e-12 || d > slack {
			t.Errorf("%+v: extent along %v to %g, sampled %g", c, u, iv.Hi, hi)
		}
	}
}

func TestTangentIsTheDerivative(t *testing.T) {
	r := source(t)
	for range 300 {
		c := someCurve(r)
		at := 0.01 + 0.98*r.Float64()
		const h = 1e-6
		d := Unit(c.At(at + h).Sub(c.At(at - h)))
		if !nearPoint(d, c.Tangent(at), 1e-6) {
			t.Errorf("%+v at %g: tangent %v, difference %v", c, at, c.Tangent(at), d)
		}
	}
}

func TestReversedAndSubAreTheSamePoints(t *testing.T) {
	r := source(t)
	for range 300 {
		c := someCurve(r)
		v := c.Reversed()
		t0, t1 := r.Float64(), r.Float64()
		if t0 > t1 {
			t0, t1 = t1, t0
		}
		s := c.Sub(t0, t1)
		for _, f := range []float64{0, 0.25, 0.5, 1} {
			if !nearPoint(v.At(f), c.At(1-f), 1e-12) {
				t.Errorf("%+v reversed at %g: %v, want %v", c, f, v.At(f), c.At(1-f))
			}
			if want := c.At(t0 + f*(t1-t0)); !nearPoint(s.At(f), want, 1e-12) {
				t.Errorf("%+v from %g to %g at %g: %v, want %v", c, t0, t1, f, s.At(f), want)
			}
		}
		if !near(s.Length(), (t1-t0)*c.Length(), 1e-12) {
			t.Errorf("%+v from %g to %g: length %g", c, t0, t1, s.Length())
		}
	}
}

func TestBulgeRoundTrip(t *testing.T) {
	r := source(t)
	for _, b := range []float64{1, -1, 0.5, -0.5, 1e-2, 1e-4, -1e-6, 1e-7, 0.41421356, 3, -20, 100} {
		p, q := somewhere(r), somewhere(r)
		c := Bulge(p, q, b)
		if c.Start != p || c.End != q {
			t.Errorf("bulge %g moved the ends", b)
		}
		if got := math.Tan(float64(c.Sweep) / 4); !near(got, b, 1e-13*math.Abs(b)) {
			t.Errorf("bulge %g came back as %g", b, got)
		}
		// The rise over the chord's middle, to the right of the travel for b > 0.
		chord := q.Sub(p)
		rise := Cross(c.At(0.5).Sub(p.Add(q).Mul(0.5)), Unit(chord))
		if want := b * chord.Norm() / 2; !near(rise, want, 1e-13*chord.Norm()*(1+1/math.Abs(b))) {
			t.Errorf("bulge %g rises %g, want %g", b, rise, want)
		}
		// The centre form and the ends tell the same story.
		tol := 1e-14 * (c.Radius + 20)
		if !nearPoint(c.pointAt(c.From), p, tol) || !nearPoint(c.pointAt(c.From+c.Sweep), q, tol) {
			t.Errorf("bulge %g: centre form misses the ends", b)
		}
	}
	for _, b := range []float64{0, 1e-9, -1e-300} {
		if c := Bulge(pt(0, 0), pt(1, 0), b); c.IsArc() {
			t.Errorf("bulge %g is an arc of radius %g", b, c.Radius)
		}
	}
}

func TestThroughTangentRoundTrip(t *testing.T) {
	r := source(t)
	for range 300 {
		p, q := somewhere(r), somewhere(r)
		dir := Direction(s1.Angle(r.Float64() * 7))
		c, ok := ThroughTangent(p, dir.Mul(0.1+r.Float64()), q)
		if !ok || c.Start != p || c.End != q {
			t.Fatalf("no arc from %v along %v to %v", p, dir, q)
		}
		if !nearPoint(c.Tangent(0), dir, 1e-9) {
			t.Errorf("from %v along %v to %v: leaves along %v", p, dir, q, c.Tangent(0))
		}
	}
	if c, ok := ThroughTangent(pt(0, 0), pt(1, 0), pt(5, 0)); !ok || c.IsArc() {
		t.Errorf("straight ahead: %+v, %v", c, ok)
	}
	if _, ok := ThroughTangent(pt(0, 0), pt(1, 0), pt(-5, 0)); ok {
		t.Error("an arc to straight behind")
	}
	if _, ok := ThroughTangent(pt(1, 1), pt(1, 0), pt(1, 1)); ok {
		t.Error("an arc to where it starts")
	}
}

func TestAngleParam(t *testing.T) {
	const q = math.Pi / 2
	tests := []struct {
		from, sweep, a, slack float64
		t                     float64
		ok                    bool
	}{
		{0, q, q / 2, 0, 0.5, true},
		{0, -q, -q / 2, 0, 0.5, true},
		{0, q, q / 2, 0, 0.5, true},
		{7, 1, 7.25 - 4*math.Pi, 0, 0.25, true},
		{0, q, -0.1, 0, 0, false},
		{0, q, q + 0.1, 0, 1, false},
		{0, q, -0.1, 0.2, 0, true},
		{0, q, q + 0.1, 0.2, 1, true},
		{0, 4 * q, 3 * q, 0, 0.75, true},
		{1, 0, 1, 0, 0, true},
		{1, 0, 1.5, 0, 0, false},
		{1, 0, 1 + 4*q - 0.01, 0.02, 0, true},
	}
	for _, tt := range tests {
		c := Arc(pt(1, 2), 3, s1.Angle(tt.from), s1.Angle(tt.sweep))
		got, ok := c.AngleParam(s1.Angle(tt.a), tt.slack)
		if !near(got, tt.t, 1e-12) || ok != tt.ok {
			t.Errorf("from %g sweep %g at %g slack %g: %g, %v; want %g, %v", tt.from, tt.sweep, tt.a, tt.slack, got, ok, tt.t, tt.ok)
		}
	}
}

func TestFinite(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, c := range []Curve{
		Line(pt(nan, 0), pt(1, 1)), Line(pt(0, 0), pt(inf, -inf)), Circle(pt(0, nan), 1),
		Circle(pt(0, 0), inf), {Radius: 1, Sweep: s1.Angle(nan)}, {Radius: 1, From: s1.Angle(inf)},
	} {
		if c.Finite() {
			t.Errorf("%+v passes as finite", c)
		}
	}
	for _, c := range []Curve{{}, Line(pt(1e308, 1e308), pt(1e308, 1e308)), Circle(pt(1, 2), 3)} {
		if !c.Finite() {
			t.Errorf("%+v does not pass as finite", c)
		}
	}
}

func TestZeroValues(t *testing.T) {
	var c Curve
	if c.Length() != 0 || c.IsArc() || c.IsCircle() || c.Tangent(0.5) != (r2.Point{}) {
		t.Errorf("zero curve: %+v", c)
	}
	if u := Unit(r2.Point{}); u != (r2.Point{}) {
		t.Errorf("unit of nothing is %v", u)
	}
	if tt, q := c.Closest(pt(3, 4)); tt != 0 || q != c.Start {
		t.Errorf("closest on nothing: %g, %v", tt, q)
	}
}
