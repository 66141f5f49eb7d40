package width

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"burrcast/geom"
	"burrcast/geom/contour"
	"burrcast/geom/dxf"

	"github.com/golang/geo/r2"
)

// checkDiscs holds the envelope to the definition of a disc, by brute force over
// all curves: at a place on the boundary the disc touches there, no boundary
// lies inside it, and a slightly larger one does not have that property.
func checkDiscs(f *Field, contours [][]geom.Curve, rng *rand.Rand, count int) error {
	var curves []geom.Curve
	for _, loop := range contours {
		for _, c := range loop {
			curves = append(curves, c.Moved(f.origin.Mul(-1)))
		}
	}
	clear := func(c r2.Point) float64 {
		d := math.Inf(1)
		for _, k := range curves {
			_, q := k.Closest(c)
			d = math.Min(d, q.Sub(c).Norm())
		}
		return d
	}
	for range count {
		i := int32(rng.IntN(len(f.elems)))
		u := 0.001 + 0.998*rng.Float64()
		p, n := f.elems[i].at(u)
		r := f.envelopeAt(i, u)
		if math.IsInf(r, 1) || r < 0 || math.IsNaN(r) {
			return fmt.Errorf("element %d at %.6f: radius %g", i, u, r)
		}
		tol := 1e-9*f.far + 1e-7*r
		if got := clear(p.Add(n.Mul(r))); got < r-tol {
			return fmt.Errorf("element %d (kind %d) at %.6f, %v: boundary %.9g inside disc of %.9g", i, f.elems[i].kind, u, p.Add(f.origin), got, r)
		}
		if r >= f.far {
			continue
		}
		// The gap of a disc 0.1 % larger to what it should miss shrinks with the
		// angle of its feet; where that is nearly nothing (smooth continuations)
		// the test says nothing.
		big := r*1.001 + 1e-5*f.far
		if got := clear(p.Add(n.Mul(big))); got >= big*(1-1e-12) {
			return fmt.Errorf("element %d (kind %d) at %.6f, %v: disc of %.9g could grow: %.12g", i, f.elems[i].kind, u, p.Add(f.origin), r, got/big-1)
		}
	}
	return nil
}

// randomShape is a star-shaped outline of lines, arcs and rounded corners with
// some cut-outs that do not touch.
func randomShape(rng *rand.Rand) [][]geom.Curve {
	n := 6 + rng.IntN(14)
	var pts []r2.Point
	for k := range n {
		r := 40 + 40*rng.Float64()
		s, c := math.Sincos(2 * math.Pi * (float64(k) + 0.7*rng.Float64()) / float64(n))
		pts = append(pts, pt(r*c, r*s))
	}
	var loop []geom.Curve
	for k := range n {
		b := 0.0
		if rng.IntN(3) == 0 {
			b = 0.25 * (rng.Float64() - 0.5)
		}
		loop = append(loop, geom.Bulge(pts[k], pts[(k+1)%n], b))
	}
	contours := [][]geom.Curve{loop}
	for k := range rng.IntN(5) {
		s, c := math.Sincos(float64(k) * 2 * math.Pi / 5)
		at := geom.Rotation(geom.Curve{}.From).Then(geom.Translation(pt(12*c, 12*s)))
		var h []geom.Curve
		switch rng.IntN(3) {
		case 0:
			h = circle(0, 0, 1+3*rng.Float64())
		case 1:
			h = obround(1+3*rng.Float64(), 1+2*rng.Float64())
		default:
			h = regular(3+rng.IntN(5), 1+3*rng.Float64(), rng.Float64())
		}
		turned := make([]geom.Curve, len(h))
		for i, q := range h {
			turned[i] = q.Transformed(at)
		}
		contours = append(contours, geom.ReverseLoop(turned))
	}
	return contours
}

func TestDiscsAgainstBruteForce(t *testing.T) {
	const seed = 7
	rng := rand.New(rand.NewPCG(seed, 1))
	for k := range 600 {
		contours := randomShape(rng)
		void := [][]geom.Curve{geom.ReverseLoop(contours[0])}
		for _, region := range [][][]geom.Curve{contours, void} {
			f, err := New(region, 0)
			if err != nil {
				t.Fatal(err)
			}
			if err := checkDiscs(f, region, rng, 60); err != nil {
				t.Errorf("seed %d shape %d: %v", seed, k, err)
			}
		}
	}
}

// The shapes of the benchmarks, where the foot walks along chains of chords.
func TestDiscsOnChains(t *testing.T) {
	rng := rand.New(rand.NewPCG(13, 1))
	for name, loop := range map[string][]geom.Curve{
		"smooth": smoothOutline(900), "jagged": jaggedOutline(300), "comb": combOutline(120), "circle": regular(500, 50, 0),
	} {
		for _, l := range [][]geom.Curve{loop, geom.ReverseLoop(loop)} {
			f := field(t, l)
			if err := checkDiscs(f, [][]geom.Curve{l}, rng, 3000); err != nil {
				t.Errorf("%s: %v", name, err)
			}
		}
	}
}

// TestDiscsOnRealDrawings does the same on every region of real drawings.
func TestDiscsOnRealDrawings(t *testing.T) {
	names, _ := filepath.Glob("../../../shared/corpus/parts/*/*.[dD][xX][fF]")
	if len(names) == 0 {
		t.Skip("no real drawings beside the project")
	}
	rng := rand.New(rand.NewPCG(11, 1))
	regions, wrong, skipped := 0, 0, 0
	for _, name := range names {
		data, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		d, err := dxf.ReadBytes(data, dxf.Options{})
		if err != nil {
			continue
		}
		var curves []geom.Curve
		for _, p := range d.Paths {
			curves = append(curves, p.Curves...)
		}
		built := contour.Build(curves, contour.Defaults())
		if slices.ContainsFunc(built.Problems, func(p contour.Problem) bool { return p.Code == "crossing" || p.Code == "touching" }) {
			// Regions that touch themselves have discs of no size at the pinch.
			skipped++
			continue
		}
		for _, reg := range built.Regions {
			loops := [][]geom.Curve{reg.Outline.Curves}
			for _, h := range reg.Holes {
				loops = append(loops, h.Curves)
			}
			for k := range loops {
				loops[k], _ = geom.MergeLoop(loops[k], 1e-9*geom.LoopBounds(loops[k]).Size().Norm())
			}
			f, err := New(loops, 0)
			if err != nil {
				t.Errorf("%s: %v", name, err)
				continue
			}
			regions++
			if err := checkDiscs(f, loops, rng, 25); err != nil {
				wrong++
				t.Logf("%s: %v", filepath.Base(name), err)
			}
		}
	}
	if wrong > 0 {
		t.Errorf("%d regions with wrong discs", wrong)
	}
	t.Logf("%d regions, %d wrong; %d drawings with crossing lines left out", regions, wrong, skipped)
}
