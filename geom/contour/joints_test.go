package contour

import (
	"math"
	"testing"

	"burrcast/geom"
)

// gapped returns a rectangle whose lower edge misses the stretch from x0 to x1.
func gapped(w, h, x0, x1 float64) []geom.Curve {
	return append(rect(0, 0, w, h)[1:], line(0, 0, x0, 0), line(x1, 0, w, 0))
}

func TestJoints(t *testing.T) {
	tests := []struct {
		name    string
		in      []geom.Curve
		regions int
		joints  int
		open    int
	}{
		{"one joint", gapped(40, 20, 10, 11), 1, 1, 0},
		{"joint at the limit", gapped(40, 20, 10, 12), 1, 1, 0},
		{"wider than the limit", gapped(40, 20, 10, 12.5), 0, 0, 1},
		{"too wide for so small a contour", gapped(3, 3, 1, 2.5), 0, 0, 1},
		{"joint in a corner", join(rect(0, 0, 40, 20)[1:3], []geom.Curve{line(0, 19, 0, 0), line(0, 0, 40, 0)}), 1, 1, 0},
		{"two joints", append(gapped(40, 20, 10, 11)[1:], line(40, 0, 40, 5), line(40, 6, 40, 20)), 1, 2, 0},
		{"disc with two joints", []geom.Curve{geom.Arc(pt(0, 0), 10, 0.05, 3), geom.Arc(pt(0, 0), 10, 3.1, 3.1)}, 1, 2, 0},
		{"strokes a millimetre apart", []geom.Curve{line(0, 0, 30, 0), line(0, 1, 30, 1)}, 0, 0, 2},
		{"a letter c", []geom.Curve{geom.Arc(pt(0, 0), 1, 0.8, 4.7)}, 0, 0, 1},
		{"gap with a line through it", append(gapped(40, 20, 10, 11), line(10.5, -3, 10.5, 3)), 0, 0, 2},
		{"joint and a bend line", append(gapped(40, 20, 10, 11), line(20, 0, 20, 20)), 1, 1, 1},
		{"two parts with joints side by side", join(gapped(40, 20, 10, 11), []geom.Curve{
			line(0, -1.5, 10, -1.5), line(11, -1.5, 40, -1.5), line(40, -1.5, 40, -20), line(40, -20, 0, -20), line(0, -20, 0, -1.5)}), 2, 2, 0},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			for seed := range uint64(4) {
				res := build(t, shuffled(tt.in, seed))
				joints := 0
				for _, r := range res.Regions {
					joints += len(r.Outline.Joints)
				}
				if len(res.Regions) != tt.regions || joints != tt.joints || len(res.Open) != tt.open {
					t.Errorf("seed %d: %d regions, %d joints, %d open; want %d, %d, %d: %+v", seed,
						len(res.Regions), joints, len(res.Open), tt.regions, tt.joints, tt.open, res.Open)
				}
			}
		})
	}
}

func TestJointIsMeasuredAndClosed(t *testing.T) {
	res := build(t, gapped(40, 20, 10, 11.25))
	r := res.Regions[0].Outline
	if len(r.Joints) != 1 || math.Abs(r.Joints[0].Width-1.25) > 1e-12 {
		t.Fatalf("joints %+v", r.Joints)
	}
	// Travelling counter-clockwise the lower edge is met from left to right.
	if j := r.Joints[0]; j.A != pt(10, 0) || j.B != pt(11.25, 0) {
		t.Errorf("joint from %v to %v", j.A, j.B)
	}
	if a := geom.Integrate(r.Curves).Area; a != 800 {
		t.Errorf("area %g", a)
	}
	if res.LargestGap > 1e-9 {
		t.Errorf("a joint is no bridged gap: %g", res.LargestGap)
	}
	n := 0
	for _, s := range r.Sources {
		if s < 0 {
			n++
		}
	}
	if n != 1 {
		t.Errorf("%d curves without source", n)
	}
}

func TestOpenChainsTellTheirGap(t *testing.T) {
	tests := []struct {
		name string
		in   []geom.Curve
		gap  float64
	}{
		{"to its own other end", gapped(40, 20, 10, 15), 5},
		{"to another chain", []geom.Curve{line(0, 0, 90, 0), line(97, 0, 197, 0)}, 7},
		{"far away", []geom.Curve{line(0, 0, 5000, 0), line(9000, 0, 14000, 0)}, 4000},
	}
	for _, tt := range tests {
		res := build(t, tt.in)
		for _, o := range res.Open {
			if math.Abs(o.Gap-tt.gap) > 1e-9 {
				t.Errorf("%s: gap %g, want %g", tt.name, o.Gap, tt.gap)
			}
		}
		if len(res.Open) == 0 {
			t.Errorf("%s: nothing open", tt.name)
		}
	}
}
