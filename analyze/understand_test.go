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
		"overlapping": crowd(n, 4, func(x, y float64) []geom.Curve { return box(x, y, 21, 21) }),
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
