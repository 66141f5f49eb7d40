package geom

import (
	"math"
	"testing"

	"github.com/golang/geo/s1"
)

// polygonal returns the integrals of the loop flattened to n chords a curve,
// by splitting every chord's triangle: second order in 1/n.
func polygonal(loop []Curve, n int, o Integrals) Integrals {
	out := Integrals{Origin: o.Origin}
	for _, c := range loop {
		pts := samples(c, n)
		for i := 1; i < len(pts); i++ {
			out.addChord(pts[i-1].Sub(o.Origin), pts[i].Sub(o.Origin))
		}
	}
	return out
}

// extrapolated removes the leading 1/n^2 error of polygonal.
func extrapolated(loop []Curve, o Integrals) [6]float64 {
	a, b := fields(polygonal(loop, 400, o)), fields(polygonal(loop, 800, o))
	for i := range b {
		b[i] += (b[i] - a[i]) / 3
	}
	return b
}

func fields(in Integrals) [6]float64 {
	return [6]float64{in.Area, in.Mx, in.My, in.Ixx, in.Iyy, in.Ixy}
}

func TestIntegrateAgainstChords(t *testing.T) {
	r := source(t)
	for range 100 {
		loop := someLoop(r)
		in := Integrate(loop)
		got, want := fields(in), extrapolated(loop, in)
		size := LoopBounds(loop).Size()
		d := math.Max(size.X, size.Y)
		scale := [6]float64{d * d, d * d * d, d * d * d, d * d * d * d, d * d * d * d, d * d * d * d}
		for i := range got {
			if !near(got[i], want[i], 1e-8*scale[i]) {
				t.Errorf("field %d: %g, sampled %g (size %g)", i, got[i], want[i], d)
			}
		}
	}
}

func TestIntegrateKnownShapes(t *testing.T) {
	const r = 3.0
	for _, at := range []float64{0, 1e6} {
		for name, loop := range map[string][]Curve{
			"circle": {Circle(pt(at, -at), r)},
			"halves": {Bulge(pt(at-r, -at), pt(at+r, -at), 1), Bulge(pt(at+r, -at), pt(at-r, -at), 1)},
		} {
			in := Integrate(loop)
			c, ok := in.Centroid()
			ixx, iyy, ixy := in.Central()
			want := math.Pi * r * r * r * r / 4
			if !ok || !near(in.Area, math.Pi*r*r, 1e-8) || !nearPoint(c, pt(at, -at), 1e-9) ||
				!near(ixx, want, 1e-7) || !near(iyy, want, 1e-7) || !near(ixy, 0, 1e-7) {
				t.Errorf("%s at %g: area %.12g, centre %v, moments %g %g %g", name, at, in.Area, c, ixx, iyy, ixy)
			}
		}
		// A rectangle 4 x 2: b*h^3/12 about its centre.
		p := []Curve{
			Line(pt(at, at), pt(at+4, at)), Line(pt(at+4, at), pt(at+4, at+2)),
			Line(pt(at+4, at+2), pt(at, at+2)), Line(pt(at, at+2), pt(at, at)),
		}
		in := Integrate(p)
		ixx, iyy, ixy := in.Central()
		if in.Area != 8 || !near(ixx, 2*64.0/12, 1e-12) || !near(iyy, 4*8.0/12, 1e-12) || !near(ixy, 0, 1e-12) {
			t.Errorf("rectangle at %g: %g, %g %g %g", at, in.Area, ixx, iyy, ixy)
		}
	}
}

// A sliver between a flat arc and its chord: the area must not cancel.
func TestIntegrateFlatSegment(t *testing.T) {
	for _, sweep := range []float64{0.03, 0.0201, 0.0199, 1e-3, 1e-5} {
		c := Arc(pt(0, 0), 1000, 0, s1.Angle(sweep))
		got := Integrate([]Curve{c, Line(c.End, c.Start)}).Area
		// r^2/2 (s - sin s) as its series in s.
		want := 1e6 / 2 * (math.Pow(sweep, 3)/6 - math.Pow(sweep, 5)/120 + math.Pow(sweep, 7)/5040)
		if !near(got, want, 1e-9*want) {
			t.Errorf("sweep %g: area %.15g, want %.15g", sweep, got, want)
		}
	}
}

func TestPlus(t *testing.T) {
	r := source(t)
	for range 50 {
		a, b := someLoop(r), someLoop(r)
		// One loop over both: out along a line and back.
		link := Line(a[0].Start, b[0].Start)
		both := append(append(append([]Curve{}, a...), link), append(append([]Curve{}, b...), link.Reversed())...)
		got, want := fields(Integrate(a).Plus(Integrate(b))), fields(Integrate(both))
		for i := range got {
			if !near(got[i], want[i], 1e-9*(1+math.Abs(want[i]))*100) {
				t.Errorf("field %d: %g, want %g", i, got[i], want[i])
			}
		}
		if got := (Integrals{}).Plus(Integrate(a)); got != Integrate(a) {
			t.Errorf("zero plus a is %+v", got)
		}
		back := Integrate(ReverseLoop(a))
		if !near(back.Area, -Integrate(a).Area, 1e-9) || !near(LoopLength(a), LoopLength(ReverseLoop(a)), 1e-9) {
			t.Errorf("reversed area %g, want %g", back.Area, -Integrate(a).Area)
		}
	}
	if _, ok := (Integrals{}).Centroid(); ok {
		t.Error("nothing has a centre of gravity")
	}
}
