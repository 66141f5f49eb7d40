package dxf

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

// ringOf writes a closed polyline of n vertices on a circle.
func ringOf(n int, r float64) string {
	var b strings.Builder
	fmt.Fprintf(&b, "0 LWPOLYLINE 5 AB 8 cut 90 %d 70 1 ", n)
	for i := range n {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		fmt.Fprintf(&b, "10 %.6f 20 %.6f ", 50+r*cos, 30+r*sin)
	}
	return b.String()
}

// TestRefitPaths: polylines that stand for circles become circles, which is
// told once, with true polygons and the option to keep chords left alone.
func TestRefitPaths(t *testing.T) {
	hexagon, twelve := ringOf(6, 5), ringOf(12, 5)
	data := drawingOf("", "0 LINE 10 0 20 0 11 9 21 0 "+ringOf(36, 5)+ringOf(64, 8)+hexagon+twelve)
	d, err := ReadBytes(data, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if len(d.Paths) != 5 || len(d.Repairs) != 1 || d.Partial {
		t.Fatalf("%d paths, repairs %+v", len(d.Paths), d.Repairs)
	}
	r := d.Repairs[0]
	if r.Code != "chords-refitted" || r.Rejected || r.Line <= 1 || r.Layer != "cut" || r.Handle != "AB" ||
		!strings.HasPrefix(r.Text, "100 chords in 2 polylines stand for curves and became 2 arcs") {
		t.Errorf("%+v", r)
	}
	for i, want := range []struct {
		curves, chords int
		radius         float64
	}{{1, 0, 0}, {1, 36, 5}, {1, 64, 8}, {6, 0, 0}, {12, 0, 0}} {
		p := d.Paths[i]
		checkPath(t, p)
		if len(p.Curves) != want.curves || p.Chords != want.chords || math.Abs(p.Curves[0].Radius-want.radius) > 1e-5 {
			t.Errorf("path %d: %d curves, %d chords, radius %g", i, len(p.Curves), p.Chords, p.Curves[0].Radius)
		}
		if rise := want.radius * (1 - math.Cos(math.Pi/float64(max(1, want.chords)))); want.chords > 0 && math.Abs(p.Error-rise) > 1e-5 {
			t.Errorf("path %d: error %g, the chords rise %g", i, p.Error, rise)
		}
	}
	d, err = ReadBytes(data, Options{KeepChords: true})
	if err != nil || len(d.Repairs) != 0 || len(d.Paths[1].Curves) != 36 || d.Paths[1].Error != 0 {
		t.Errorf("chords not kept: %v, %+v", err, d.Repairs)
	}
}

// TestRefitInches: a drawing that turns out to be in inches is refitted in mm.
func TestRefitInches(t *testing.T) {
	text := tags("0 SECTION 2 ENTITIES") + tags(ringOf(36, 0.5)) + tags("0 ENDSEC 0 EOF")
	d, err := ReadBytes([]byte(text), Options{})
	if err != nil || d.Units.Name != "inch" || len(d.Repairs) != 1 || len(d.Paths[0].Curves) != 1 {
		t.Fatalf("%v, %+v", err, d)
	}
	if rise := 12.7 * (1 - math.Cos(math.Pi/36)); !strings.Contains(d.Repairs[0].Text, fmt.Sprintf("chords %.2g mm", rise)) {
		t.Errorf("%s, want a rise of %g", d.Repairs[0].Text, rise)
	}
}
