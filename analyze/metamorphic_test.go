package analyze

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"sort"
	"strings"
	"testing"

	"burrcast/analyze/measure"
	"burrcast/geom"
	"burrcast/geom/dxf"

	"github.com/golang/geo/r2"
)

// scalar is one measured number with the power of length it scales by, and the
// bound stated on its error.
type scalar struct {
	what  string
	v     float64
	power float64
	err   float64
}

// scalars lists what is measured of a drawing, places left out, in an order
// that does not depend on them.
func scalars(res Result) []scalar {
	var out []scalar
	for _, p := range res.Parts {
		m := &p.Measure
		id := fmt.Sprintf("part of %d cut-outs", len(m.Cutouts))
		add := func(what string, v measure.Value, power float64) {
			if x, ok := v.Get(); ok {
				out = append(out, scalar{id + " " + what, x, power, v.Err})
			}
		}
		for range m.Quantity {
			add("area", m.Area, 2)
			add("outline", m.OutlineLength, 1)
			add("cut", m.CutLength, 1)
			add("least width", m.MinWidth, 1)
			add("inscribed", m.Inscribed, 1)
			out = append(out, scalar{id + " major moment", m.Moments[0] + m.Moments[1], 4, m.Area.Err * m.OutlineLength.V * m.OutlineLength.V})
			for _, c := range m.Cutouts {
				add("cut-out "+c.Kind+" area", c.Area, 2)
				add("cut-out "+c.Kind+" perimeter", c.Perimeter, 1)
				add("cut-out "+c.Kind+" inscribed", c.Inscribed, 1)
				add("cut-out "+c.Kind+" least", c.MinWidth, 1)
				add("cut-out "+c.Kind+" straight", c.Straight, 1)
				add("cut-out "+c.Kind+" to edge", c.EdgeGap, 1)
				for _, r := range c.Reach {
					add("cut-out reach", r.Share, 0)
				}
			}
			for _, n := range m.Notches {
				add("notch width", n.Width, 1)
				add("notch depth", n.Depth, 1)
			}
			for _, w := range m.Webs {
				add(w.Kind+" width", w.Width, 1)
			}
			for _, c := range m.Corners {
				out = append(out, scalar{id + " corner " + c.Side, c.Angle, 0, 180 / math.Pi * m.OutlineLength.Err / leastCurve(p)})
			}
			for _, r := range m.Reach {
				add("outline reach", r.Share, 0)
			}
		}
	}
	sort.Slice(out, func(i, k int) bool {
		if out[i].what != out[k].what {
			return out[i].what < out[k].what
		}
		return out[i].v < out[k].v
	})
	return out
}

// leastCurve is the length of the shortest curve of a part.
func leastCurve(p Part) float64 {
	least := math.Inf(1)
	for _, loop := range p.Contours {
		for _, c := range loop {
			least = math.Min(least, c.Length())
		}
	}
	return least
}

// change is a way to draw the same thing otherwise.
type change struct {
	name  string
	scale float64
	do    func(rng *rand.Rand, paths []dxf.Path) []dxf.Path
}

func transformed(m geom.Affine) func(*rand.Rand, []dxf.Path) []dxf.Path {
	return func(_ *rand.Rand, paths []dxf.Path) []dxf.Path {
		return eachCurve(paths, func(c geom.Curve) []geom.Curve { return []geom.Curve{c.Transformed(m)} })
	}
}

func eachCurve(paths []dxf.Path, f func(geom.Curve) []geom.Curve) []dxf.Path {
	out := append([]dxf.Path(nil), paths...)
	for i := range out {
		var curves []geom.Curve
		for _, c := range out[i].Curves {
			curves = append(curves, f(c)...)
		}
		out[i].Curves = curves
	}
	return out
}

var changes = []change{
	{"moved by a million", 1, transformed(geom.Translation(r2.Point{X: 1e6, Y: -1e6}))},
	{"turned", 1, transformed(geom.Rotation(geom.Bulge(r2.Point{}, r2.Point{X: 1}, 0.3).Sweep))},
	{"mirrored", 1, transformed(geom.Scaling(-1, 1))},
	{"a thousand times larger", 1000, transformed(geom.Scaling(1000, 1000))},
	{"a thousand times smaller", 0.001, transformed(geom.Scaling(0.001, 0.001))},
	{"reversed", 1, func(_ *rand.Rand, paths []dxf.Path) []dxf.Path {
		out := append([]dxf.Path(nil), paths...)
		for i := range out {
			out[i].Curves = geom.ReverseLoop(out[i].Curves)
		}
		return out
	}},
	{"reordered", 1, func(rng *rand.Rand, paths []dxf.Path) []dxf.Path {
		out := append([]dxf.Path(nil), paths...)
		rng.Shuffle(len(out), func(i, k int) { out[i], out[k] = out[k], out[i] })
		return out
	}},
	{"split at random", 1, func(rng *rand.Rand, paths []dxf.Path) []dxf.Path {
		return eachCurve(paths, func(c geom.Curve) []geom.Curve {
			if rng.IntN(2) == 0 {
				return []geom.Curve{c}
			}
			t := 0.2 + 0.6*rng.Float64()
			a, b := c.Sub(0, t), c.Sub(t, 1)
			b.Start = a.End
			return []geom.Curve{a, b}
		})
	}},
}

// TestSameThingDrawnOtherwise measures the demo drawings moved, turned, mirrored,
// scaled, reversed, reordered and split, and expects the same numbers and kinds.
func TestSameThingDrawnOtherwise(t *testing.T) {
	names, err := filepath.Glob("../testdata/demo/*.dxf")
	if err != nil || len(names) == 0 {
		t.Fatal("no demo drawings")
	}
	drawOtherwise(t, names, dxf.Options{})
}

// TestTruthDrawnOtherwise does the same with the drawings whose answers are known.
func TestTruthDrawnOtherwise(t *testing.T) {
	if testing.Short() {
		t.Skip("takes long")
	}
	names, err := filepath.Glob(filepath.Join(truthDir, "dxf", "*.dxf"))
	if err != nil || len(names) == 0 {
		t.Skip("no drawings with known answers beside the project")
	}
	drawOtherwise(t, names, dxf.Options{CurveTolerance: 1e-7})
}

func drawOtherwise(t *testing.T, names []string, read dxf.Options) {
	for _, name := range names {
		data, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		d, err := dxf.ReadBytes(data, read)
		if err != nil {
			t.Fatal(err)
		}
		opt := Options{Tools: []float64{2.4, 6}}.withDefaults()
		want := scalars(Analyze(d, opt))
		for _, c := range changes {
			t.Run(strings.TrimSuffix(filepath.Base(name), ".dxf")+"/"+c.name, func(t *testing.T) {
				rng := rand.New(rand.NewPCG(5, 6))
				changed := *d
				changed.Paths = c.do(rng, d.Paths)
				if size := farthest(changed.Paths); size > 1e9 {
					t.Skipf("a coordinate of %.0f m is refused", size/1000)
				}
				scaled := opt
				scaled.Contour.Join *= c.scale
				scaled.Contour.JointLimit *= c.scale
				scaled.Tools = nil
				for _, tool := range opt.Tools {
					scaled.Tools = append(scaled.Tools, tool*c.scale)
				}
				compareScalars(t, scalars(Analyze(&changed, scaled)), want, c.scale)
			})
		}
	}
}

// farthest is the largest coordinate, mm.
func farthest(paths []dxf.Path) float64 {
	size := 0.0
	for _, p := range paths {
		b := geom.LoopBounds(p.Curves)
		size = max(size, math.Abs(b.X.Lo), math.Abs(b.X.Hi), math.Abs(b.Y.Lo), math.Abs(b.Y.Hi))
	}
	return size
}

func compareScalars(t *testing.T, got, want []scalar, scale float64) {
	t.Helper()
	if len(got) != len(want) {
		t.Errorf("%d values, want %d", len(got), len(want))
		count := make(map[string]int)
		for _, s := range want {
			count[s.what]++
		}
		for _, s := range got {
			count[s.what]--
		}
		for what, n := range count {
			if n != 0 {
				t.Errorf("%s: %+d", what, -n)
			}
		}
		return
	}
	// A coordinate of a million holds 1e-10 mm; a corner's angle loses that over
	// its shorter wall.
	bad := 0
	for k := range got {
		g, w := got[k], want[k]
		v := w.v * math.Pow(scale, w.power)
		tol := 2e-6*math.Abs(v) + 1e-7*math.Pow(scale, w.power) + g.err + w.err*math.Pow(scale, w.power)
		if g.what != w.what || math.Abs(g.v-v) > tol {
			if bad++; bad < 6 {
				t.Errorf("%s = %.12g, want %s = %.12g", g.what, g.v, w.what, v)
			}
		}
	}
}
