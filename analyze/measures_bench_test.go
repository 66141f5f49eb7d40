package analyze

import (
	"fmt"
	"math"
	"testing"

	"burrcast/analyze/measure"
	"burrcast/geom"
	"burrcast/geom/dxf"

	"github.com/golang/geo/r2"
)

// outlineOf returns the closed polygon through n points.
func outlineOf(n int, at func(k int) r2.Point) []geom.Curve {
	loop := make([]geom.Curve, n)
	for k := range loop {
		loop[k] = geom.Line(at(k), at((k+1)%n))
	}
	return loop
}

// The three outlines that tell methods apart: many short chords, points alike,
// and parallel walls.
var outlines = []struct {
	name string
	make func(n int) []geom.Curve
}{
	{"smooth", func(n int) []geom.Curve {
		return outlineOf(n, func(k int) r2.Point {
			a := 2 * math.Pi * float64(k) / float64(n)
			r := 100 + 20*math.Cos(3*a) + 7*math.Sin(7*a)
			return r2.Point{X: r * math.Cos(a), Y: r * math.Sin(a)}
		})
	}},
	{"jagged", func(n int) []geom.Curve {
		return outlineOf(n, func(k int) r2.Point {
			a := 2 * math.Pi * float64(k) / float64(n)
			r := 100.0
			if k%2 == 1 {
				r = 92 + 5*math.Sin(13*a)
			}
			return r2.Point{X: r * math.Cos(a), Y: r * math.Sin(a)}
		})
	}},
	{"comb", func(n int) []geom.Curve {
		teeth := max(1, (n-4)/4)
		corners := [4]r2.Point{{X: 7, Y: 20}, {X: 7, Y: 45}, {X: 2, Y: 45}, {X: 2, Y: 20}}
		return outlineOf(4*teeth+4, func(k int) r2.Point {
			end := float64(teeth) * 9
			switch k {
			case 0:
				return r2.Point{}
			case 1:
				return r2.Point{X: end}
			case 2:
				return r2.Point{X: end, Y: 20}
			case 4*teeth + 3:
				return r2.Point{Y: 20}
			}
			c := corners[(k-3)%4]
			c.X += float64(teeth-1-(k-3)/4) * 9
			return c
		})
	}},
}

// BenchmarkMeasures takes all measures of one part whose curves are contours
// already: discs on both sides, reach of two tools, sections at every angle.
func BenchmarkMeasures(b *testing.B) {
	for _, o := range outlines {
		for _, n := range []int{100, 1000, 10000, 100000} {
			b.Run(fmt.Sprintf("%s/%d", o.name, n), func(b *testing.B) {
				a := newBenchPart(b, o.make(n))
				b.ReportAllocs()
				for b.Loop() {
					w := *a
					w.part = &measure.Part{}
					w.totals()
					if err := w.measure(); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}

func newBenchPart(b *testing.B, loop []geom.Curve) *work {
	b.Helper()
	if len(loop) <= 1000 {
		if got := len(Analyze(&dxf.Drawing{Paths: []dxf.Path{{Curves: loop}}}, Options{}).Parts); got != 1 {
			b.Fatalf("%d parts", got)
		}
	}
	return &work{opt: Options{Tools: []float64{2.4, 6}}, loops: [][]geom.Curve{loop}, merged: [][]geom.Curve{loop}, ids: []string{outlineID}}
}
