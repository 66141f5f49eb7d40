package width

import (
	"fmt"
	"math"
	"testing"

	"burrcast/geom"
)

// The three shapes that tell methods apart: a smooth outline of many short
// chords, a jagged one, and a comb whose parallel walls are plateaus.
func smoothOutline(n int) []geom.Curve {
	var xy []float64
	for k := range n {
		a := 2 * math.Pi * float64(k) / float64(n)
		r := 100 + 20*math.Cos(3*a) + 7*math.Sin(7*a)
		xy = append(xy, r*math.Cos(a), r*math.Sin(a))
	}
	return poly(xy...)
}

func jaggedOutline(n int) []geom.Curve {
	var xy []float64
	for k := range n {
		a := 2 * math.Pi * float64(k) / float64(n)
		r := 100.0
		if k%2 == 1 {
			r = 92 + 5*math.Sin(13*a)
		}
		xy = append(xy, r*math.Cos(a), r*math.Sin(a))
	}
	return poly(xy...)
}

func combOutline(n int) []geom.Curve {
	teeth := n / 4
	var xy []float64
	w := float64(teeth) * 9
	xy = append(xy, 0, 0, w, 0)
	for k := teeth - 1; k >= 0; k-- {
		x := float64(k) * 9
		xy = append(xy, x+9, 20, x+7, 20, x+7, 45, x+2, 45, x+2, 20)
	}
	xy = append(xy, 0, 20)
	return poly(xy...)
}

func BenchmarkField(b *testing.B) {
	shapes := []struct {
		name string
		make func(int) []geom.Curve
	}{{"smooth", smoothOutline}, {"jagged", jaggedOutline}, {"comb", combOutline}}
	for _, s := range shapes {
		for _, n := range []int{100, 1000, 10000, 100000} {
			loop := s.make(n)
			b.Run(fmt.Sprintf("%s/%d", s.name, n), func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					f, err := New([][]geom.Curve{loop}, 0)
					if err != nil {
						b.Fatal(err)
					}
					f.Features(0.01)
					f.Inscribed()
				}
			})
		}
	}
}
