package analyze

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"burrcast/geom"
	"burrcast/geom/contour"
	"burrcast/geom/dxf"

	"github.com/golang/geo/r2"
	"pgregory.net/rapid"
)

// crowd is a drawing of about n curves laid out in a square of cells.
func crowd(n, each int, cell func(x, y float64) []geom.Curve) *dxf.Drawing {
	d := &dxf.Drawing{Units: dxf.Units{Millimetres: 1, Name: "mm", Source: "given"}}
	w := int(math.Ceil(math.Sqrt(float64(n) / float64(each))))
	for i := range n / each {
		for _, c := range cell(20*float64(i%w), 20*float64(i/w)) {
			d.Paths = append(d.Paths, dxf.Path{Curves: []geom.Curve{c}, Layer: "0"})
		}
	}
	rng := rand.New(rand.NewPCG(7, 7))
	rng.Shuffle(len(d.Paths), func(i, k int) { d.Paths[i], d.Paths[k] = d.Paths[k], d.Paths[i] })
	return d
}

func pt(x, y float64) r2.Point { return r2.Point{X: x, Y: y} }

func box(x, y, w, h float64) []geom.Curve {
	a, b, c, d := pt(x, y), pt(x+w, y), pt(x+w, y+h), pt(x, y+h)
	return []geom.Curve{geom.Line(a, b), geom.Line(b, c), geom.Line(c, d), geom.Line(d, a)}
}

// crowds are the drawings of the benchmark: parts, parts with lead-ins and
// pierces, parts with bends, countersunk plates, one sheet full of open strokes.
func crowds(n int) map[string]*dxf.Drawing {
	return map[string]*dxf.Drawing{
		"parts": crowd(n, 5, func(x, y float64) []geom.Curve {
			return append(box(x, y, 15, 12), geom.Circle(pt(x+5, y+5), 2))
		}),
		"lead-ins": crowd(n, 6, func(x, y float64) []geom.Curve {
			return append(box(x, y, 15, 12), geom.Line(pt(x+3, y-3), pt(x+5, y)), geom.Circle(pt(x+3, y-3), 0.5))
		}),
		"bends": crowd(n, 6, func(x, y float64) []geom.Curve {
			return append(box(x, y, 15, 12), geom.Line(pt(x+5, y), pt(x+5, y+12)), geom.Line(pt(x+9, y), pt(x+9, y+12)))
		}),
		"countersinks": crowd(n, 6, func(x, y float64) []geom.Curve {
			return append(box(x, y, 15, 12), geom.Circle(pt(x+5, y+5), 2), geom.Circle(pt(x+5, y+5), 4))
		}),
		"strokes": crowd(n, 2, func(x, y float64) []geom.Curve {
			return []geom.Curve{geom.Line(pt(x, y), pt(x+5, y+3)), geom.Line(pt(x+5, y+3), pt(x+9, y))}
		}),
		"overlapping": crowd(n, 4, func(x, y float64) []geom.Curve { return box(x+y/57, y+x/50, 21, 21) }),
	}
}

// nest does what measureNest does without measured parts.
func nest(a *analysis) { contour.Gaps(a.built.Regions) }

// BenchmarkUnderstand is everything but measuring: contours, what lines mean,
// distances in the nest.
func BenchmarkUnderstand(b *testing.B) {
	for _, n := range []int{1000, 10_000, 100_000} {
		for name, d := range crowds(n) {
			b.Run(fmt.Sprintf("%s/%d", name, n), func(b *testing.B) {
				for b.Loop() {
					nest(understand(d, Options{}))
				}
				b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*n), "ns/curve")
			})
		}
	}
}

// The crowds are read as what they were drawn as, large ones, too; how long that
// takes BenchmarkUnderstand says.
func TestCrowdsAreUnderstood(t *testing.T) {
	for _, n := range []int{600, 30_000} {
		if n > 1000 && testing.Short() {
			t.Skip("takes long")
		}
		checkCrowds(t, n)
	}
}

func checkCrowds(t *testing.T, n int) {
	t.Helper()
	for name, want := range map[string]struct {
		regions int
		taken   Taken
		count   int
	}{
		"parts":        {n / 5, "", 0},
		"lead-ins":     {n / 6, LeadIn, n / 6},
		"bends":        {n / 6, TakenBend, n / 3},
		"countersinks": {n / 6, SinkMark, n / 6},
		"strokes":      {0, OpenContour, n / 2},
		"overlapping":  {n / 4, "", 0},
	} {
		a := understand(crowds(n)[name], Options{})
		count := 0
		for _, l := range a.res.Lines {
			if l.Taken == want.taken {
				count++
			}
		}
		if len(a.built.Regions) != want.regions || count != want.count {
			t.Errorf("%s: %d regions, %d %s; want %d, %d", name, len(a.built.Regions), count, want.taken, want.regions, want.count)
		}
	}
}

// Random drawings on a coarse grid, where everything meets everything: each
// curve is accounted for, in contours or with what it was taken for, under every
// option.
func TestEveryCurveIsAccountedFor(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		coordinate := rapid.Map(rapid.IntRange(0, 12), func(k int) float64 { return 5 * float64(k) })
		layers := rapid.SampledFrom([]string{"0", "0", "0", "BEND", "ENGRAVE", "SHEET", "LOUVRE", "const0"})
		d := &dxf.Drawing{Units: dxf.Units{Millimetres: 1, Name: "mm", Source: "given"}}
		for range rapid.IntRange(1, 30).Draw(t, "paths") {
			p := pt(coordinate.Draw(t, "x"), coordinate.Draw(t, "y"))
			q := pt(coordinate.Draw(t, "x"), coordinate.Draw(t, "y"))
			var curves []geom.Curve
			switch rapid.IntRange(0, 5).Draw(t, "shape") {
			case 0:
				curves = box(p.X, p.Y, 5+q.X, 5+q.Y)
			case 1:
				curves = []geom.Curve{geom.Circle(p, 0.25+q.X/4)}
			case 2:
				curves = []geom.Curve{geom.Bulge(p, q, 0.5)}
			case 3:
				curves = []geom.Curve{geom.Line(p, q.Add(pt(0.3, 0)))}
			default:
				curves = []geom.Curve{geom.Line(p, q)}
			}
			d.Paths = append(d.Paths, dxf.Path{Curves: curves, Layer: layers.Draw(t, "layer")})
		}
		opt := Options{
			Layers:     shopLayers(),
			Chords:     contour.Reading(rapid.IntRange(0, 2).Draw(t, "chords")),
			KeepBorder: rapid.Bool().Draw(t, "border"),
			KeepRings:  rapid.Bool().Draw(t, "rings"),
		}
		checkAccount(t, d, opt)
		Analyze(d, opt)
	})
}
