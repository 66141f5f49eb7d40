package dxf

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"burrcast/geom"

	"github.com/golang/geo/r2"
)

// flag is a triangle that its mirror image cannot cover, with a circle of
// radius 1 round its first corner.
var flag = []r2.Point{{X: 0, Y: 0}, {X: 6, Y: 0}, {X: 0, Y: 3}}

// raised draws flag in the plane with axes u and v through o.
func raised(o, u, v vec) string {
	at := func(p r2.Point) vec {
		return vec{o[0] + p.X*u[0] + p.Y*v[0], o[1] + p.X*u[1] + p.Y*v[1], o[2] + p.X*u[2] + p.Y*v[2]}
	}
	var b strings.Builder
	b.WriteString("0 POLYLINE 8 cut 66 1 70 9 ")
	for _, p := range flag {
		q := at(p)
		fmt.Fprintf(&b, "0 VERTEX 10 %.17g 20 %.17g 30 %.17g ", q[0], q[1], q[2])
	}
	b.WriteString("0 SEQEND ")
	n := u.cross(v)
	// The circle's centre in its own object coordinate system.
	f := objectFrame(n)
	fmt.Fprintf(&b, "0 CIRCLE 8 cut 10 %.17g 20 %.17g 30 %.17g 40 1 210 %.17g 220 %.17g 230 %.17g",
		f.x.dot(o), f.y.dot(o), f.z.dot(o), n[0], n[1], n[2])
	return b.String()
}

// TestPlanes turns upright drawings flat: seen from the front, from the right
// or from above, never mirrored.
func TestPlanes(t *testing.T) {
	s := math.Sqrt(0.5)
	for _, c := range []struct {
		name    string
		o, u, v vec
	}{
		{"front", vec{5, 7, 2}, vec{1, 0, 0}, vec{0, 0, 1}},
		{"right", vec{5, 7, 2}, vec{0, 1, 0}, vec{0, 0, 1}},
		{"tilted to the front", vec{1, 2, 3}, vec{1, 0, 0}, vec{0, s, s}},
		{"tilted to the right", vec{1, 2, 3}, vec{0, 1, 0}, vec{-s, 0, s}},
		{"turned in its plane", vec{0, 0, 0}, vec{s, 0, s}, vec{-s, 0, s}},
	} {
		d, err := ReadBytes(drawingOf("", raised(c.o, c.u, c.v)), Options{})
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if d.Partial || len(d.Repairs) != 1 || d.Repairs[0].Code != "turned-flat" || len(d.Paths) != 2 {
			t.Errorf("%s: %+v", c.name, d.Repairs)
			continue
		}
		in := geom.Integrate(d.Paths[0].Curves)
		if math.Abs(in.Area-9) > 1e-9 {
			t.Errorf("%s: area %g, want 9: mirrored or not flat", c.name, in.Area)
		}
		circle := d.Paths[1].Curves[0]
		if off := circle.Center.Sub(d.Paths[0].Curves[0].Start).Norm(); off > 1e-9 || math.Abs(circle.Radius-1) > 1e-9 {
			t.Errorf("%s: circle %+v, corner %v", c.name, circle, d.Paths[0].Curves[0].Start)
		}
	}
}

// TestSpatial holds that a drawing in no single plane is not turned: what does
// not lie flat is rejected.
func TestSpatial(t *testing.T) {
	ents := raised(vec{}, vec{1, 0, 0}, vec{0, 0, 1}) + " " + raised(vec{}, vec{0, 1, 0}, vec{0, 0, 1})
	d, err := ReadBytes(drawingOf("", ents+" 0 LINE 8 cut 10 0 20 0 11 9 21 9"), Options{})
	if err != nil || !d.Partial || len(d.Paths) != 1 {
		t.Fatalf("%v %+v", err, d)
	}
	for _, r := range d.Repairs {
		if r.Code != "not-flat" || !r.Rejected {
			t.Errorf("%+v", r)
		}
	}
}

// TestObjectFrame checks the arbitrary axis algorithm: orthonormal and
// right-handed for any direction, and the cases the DXF reference names.
func TestObjectFrame(t *testing.T) {
	near := func(a, b vec) bool { return a.sub(b).norm() < 1e-12 }
	for _, c := range []struct{ n, x, y vec }{
		{vec{0, 0, 1}, vec{1, 0, 0}, vec{0, 1, 0}},
		{vec{0, 0, -1}, vec{-1, 0, 0}, vec{0, 1, 0}},
		{vec{1, 0, 0}, vec{0, 1, 0}, vec{0, 0, 1}},
		{vec{0, -1, 0}, vec{1, 0, 0}, vec{0, 0, 1}},
	} {
		f := objectFrame(c.n)
		if !near(f.x, c.x) || !near(f.y, c.y) {
			t.Errorf("%v: x %v y %v", c.n, f.x, f.y)
		}
	}
	for i := range 500 {
		a, b := float64(i)*0.7, float64(i)*0.13
		n := vec{math.Cos(a) * math.Sin(b), math.Sin(a) * math.Sin(b), math.Cos(b)}
		f := objectFrame(vec{5 * n[0], 5 * n[1], 5 * n[2]})
		if !near(f.z, n) || !near(f.x.cross(f.y), f.z) || math.Abs(f.x.norm()-1) > 1e-12 {
			t.Errorf("%v: %v", n, f)
		}
	}
}
