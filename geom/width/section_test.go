package width

import (
	"math"
	"math/rand/v2"
	"testing"

	"burrcast/geom"

	"github.com/golang/geo/r2"
)

func TestWidestSection(t *testing.T) {
	plate := poly(0, 0, 100, 0, 100, 60, 0, 60)
	tests := []struct {
		name     string
		contours [][]geom.Curve
		angle    float64
		want     float64
	}{
		{"nothing", nil, 0.4, 0},
		{"plate along", holes(plate), 0, 60},
		{"plate across", holes(plate), math.Pi / 2, 100},
		{"plate at 45 degrees", holes(plate), math.Pi / 4, 60 * math.Sqrt2},
		{"disc", holes(circle(9, 9, 20)), 1.1, 40},
		{"ring", holes(circle(0, 0, 20), circle(0, 0, 12)), 0.3, 2 * math.Sqrt(400-144)},
		{"plate with a window", holes(poly(0, 0, 100, 0, 100, 60, 0, 60), poly(2, 20, 98, 20, 98, 40, 2, 40)), 0, 60},
		{"plate with a full-length window seen across", holes(poly(0, 0, 100, 0, 100, 60, 0, 60), poly(2, 0.5, 98, 0.5, 98, 59.5, 2, 59.5)), math.Pi / 2, 100},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, _ := NewSections(tt.contours).Widest(tt.angle)
			near(t, "section", got, tt.want)
		})
	}
}

// Brute force: sum chord lengths on many lines across the feed.
func TestWidestSectionAgainstLines(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	for range 40 {
		// A star-shaped outline of lines and arcs round the origin, with a hole.
		n := 3 + rng.IntN(9)
		var xy []float64
		for k := range n {
			r := 20 + 20*rng.Float64()
			s, c := math.Sincos(2 * math.Pi * (float64(k) + 0.6*rng.Float64()) / float64(n))
			xy = append(xy, r*c, r*s)
		}
		loop := poly(xy...)
		for i := range loop {
			if rng.IntN(2) == 0 {
				loop[i] = geom.Bulge(loop[i].Start, loop[i].End, 0.2*rng.Float64())
			}
		}
		contours := holes(loop, circle(1, 2, 3+3*rng.Float64()))
		a := rng.Float64() * 7
		got, _ := NewSections(contours).Widest(a)
		most := 0.0
		u := pt(math.Cos(a), math.Sin(a))
		for k := range 1201 {
			most = math.Max(most, sectionAt(contours, u, -60+0.1*float64(k)+1e-7))
		}
		// The chords of the hole take away a little less than the hole: 6 (1-cos(pi/64)) on both sides.
		if got < most-0.02 || got > most+0.8 {
			t.Errorf("widest %g, sampled %g", got, most)
		}
	}
}

// sectionAt adds up the material on the line at distance x along u.
func sectionAt(contours [][]geom.Curve, u r2.Point, x float64) float64 {
	v := geom.Left(u)
	sum := 0.0
	for _, loop := range contours {
		for _, c := range loop {
			// March over short chords: crossings of chord and line.
			const n = 64
			for k := range n {
				p, q := c.At(float64(k)/n), c.At(float64(k+1)/n)
				a, b := p.Dot(u)-x, q.Dot(u)-x
				if (a < 0) == (b < 0) {
					continue
				}
				y := p.Add(q.Sub(p).Mul(a / (a - b))).Dot(v)
				if b > a {
					y = -y
				}
				sum += y
			}
		}
	}
	return sum
}

func TestFacing(t *testing.T) {
	f := NewEdges(holes(poly(0, 0, 100, 0, 100, 60, 0, 60))).Face(0, 0.26)
	near(t, "along", f.Along, 60)
	near(t, "against", f.Against, 60)
	near(t, "across", f.Across, 200)
	near(t, "lying", f.Lying, 200)
	f = NewEdges(holes(circle(0, 0, 10), circle(0, 0, 5))).Face(0.7, math.Pi/12)
	near(t, "ring along", f.Along, 30*math.Pi/4)
	near(t, "ring across", f.Across, 30*math.Pi/2)
	near(t, "ring lying", f.Lying, 30*math.Pi/6)
	near(t, "ring total", f.Total, 30*math.Pi)
}

// The plain answer looks at every edge by itself.
func TestFacingAgainstEdges(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 9))
	for k := range 60 {
		contours := randomPart(rng, k%3 > 0)
		e := NewEdges(contours)
		for _, a := range []float64{0, math.Pi / 4, -math.Pi / 2, math.Pi, -5.9, 40 * (rng.Float64() - 0.5)} {
			lying := 0.7 * rng.Float64()
			got := e.Face(a, lying)
			var along, against, lies, total float64
			for _, loop := range contours {
				for _, c := range loop {
					n := 1
					if c.IsArc() {
						n = 20000
					}
					l := c.Length() / float64(n)
					for i := range n {
						v := c.Tangent((float64(i) + 0.5) / float64(n))
						// The outer normal lies to the right of travel.
						d := math.Abs(math.Remainder(math.Atan2(-v.X, v.Y)-a, 2*math.Pi))
						total += l
						switch {
						case d <= math.Pi/4+1e-12:
							along += l
						case d >= 3*math.Pi/4-1e-12:
							against += l
						case math.Abs(d-math.Pi/2) <= lying:
							lies += l
						}
					}
				}
			}
			// A sampled arc is wrong by a sample at every end.
			tol := 1e-9 * total
			if k%3 > 0 {
				tol = 3e-4 * total
			}
			for _, x := range [][2]float64{{got.Along, along}, {got.Against, against}, {got.Lying, lies}, {got.Across, total - along - against}, {got.Total, total}} {
				if math.Abs(x[0]-x[1]) > tol {
					t.Errorf("part %d, feed at %g, lying %g: %+v; plainly %g %g %g of %g", k, a, lying, got, along, against, lies, total)
					break
				}
			}
		}
	}
}
