package analyze

import (
	"math"
	"testing"

	"burrcast/geom"
	"burrcast/geom/dxf"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"
)

// wavy fits arcs to the closed curve r = 30 + a cos 2t + 3 sin 3t + 0.8 cos 5t mm, begun at t0
// and seen through m: other places of the cuts, the same shape.
func wavy(t *testing.T, a, t0 float64, m geom.Affine) dxf.Path {
	t.Helper()
	at := func(u float64) (p, d r2.Point) {
		sin, cos := math.Sincos(u)
		r, dr := 30+a*math.Cos(2*u)+3*math.Sin(3*u)+0.8*math.Cos(5*u), 9*math.Cos(3*u)-2*a*math.Sin(2*u)-4*math.Sin(5*u)
		return m.Point(r2.Point{X: r * cos, Y: r * sin}), m.Vector(r2.Point{X: dr*cos - r*sin, Y: dr*sin + r*cos})
	}
	curves, off, err := geom.FitArcs(at, []float64{t0, t0 + 2, t0 + 2*math.Pi}, 1e-3, 10000)
	if err != nil {
		t.Fatal(err)
	}
	return dxf.Path{Curves: curves, Error: off}
}

func TestEqualFitted(t *testing.T) {
	place := func(turn, x, y float64) geom.Affine {
		return geom.Rotation(s1.Angle(turn)).Then(geom.Translation(r2.Point{X: x, Y: y}))
	}
	flip := geom.Scaling(-1, 1)
	tests := []struct {
		name     string
		a        float64
		t0       float64
		m        geom.Affine
		quantity int
		mirrored bool
	}{
		{"begun elsewhere", 4, 0.7, place(0, 200, 10), 2, false},
		{"turned", 4, 1.9, place(2.2, 200, 10), 2, false},
		{"turned, axis hardly told", 0.05, 1.1, place(0.4, -300, 90), 2, false},
		{"far off", 4, 0.5, place(3, 1e6, -2e6), 2, false},
		{"mirrored", 4, 0.3, flip.Then(place(-1.3, 200, 10)), 1, true},
		{"mirrored twice", 4, 0.3, flip.Then(flip).Then(place(-1.3, 200, 10)), 2, false},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			paths := []dxf.Path{wavy(t, tt.a, 0, geom.Identity()), wavy(t, tt.a, tt.t0, tt.m)}
			if n := len(paths[0].Curves); n == len(paths[1].Curves) && n < 20 {
				t.Fatalf("%d arcs are too few to tell", n)
			}
			parts := Analyze(&dxf.Drawing{Paths: paths}, Options{}).Parts
			if got := parts[0].Measure.Quantity; got != tt.quantity || len(parts) != 3-tt.quantity {
				t.Fatalf("%d parts, quantity %d", len(parts), got)
			}
			if tt.mirrored != (parts[len(parts)-1].Measure.MirroredOf != "") {
				t.Errorf("mirrored of %q", parts[len(parts)-1].Measure.MirroredOf)
			}
		})
	}
}

// A hundredth of a millimetre more of the same wave is another part.
func TestEqualFittedNearMiss(t *testing.T) {
	far := geom.Translation(r2.Point{X: 150})
	paths := []dxf.Path{wavy(t, 4, 0, geom.Identity()), wavy(t, 4.01, 0, far)}
	if parts := Analyze(&dxf.Drawing{Paths: paths}, Options{}).Parts; len(parts) != 2 {
		t.Errorf("%d parts", len(parts))
	}
}
