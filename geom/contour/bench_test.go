package contour

import (
	"fmt"
	"math"
	"testing"

	"burrcast/geom"
)

// The drawings of the benchmarks, of about n curves each.

func manyCircles(n int) []geom.Curve {
	w := int(math.Ceil(math.Sqrt(float64(n))))
	var out []geom.Curve
	for i := range n {
		out = append(out, geom.Circle(pt(10*float64(i%w), 10*float64(i/w)), 4))
	}
	return out
}

func manyRectangles(n int) []geom.Curve {
	w := int(math.Ceil(math.Sqrt(float64(n) / 4)))
	var out []geom.Curve
	for i := range n / 4 {
		x, y := 10*float64(i%w), 10*float64(i/w)
		out = append(out, rect(x, y, x+8, y+7)...)
	}
	return shuffled(out, 1)
}

// oneOutline is a gear of lines and arcs.
func oneOutline(n int) []geom.Curve {
	var out []geom.Curve
	r := float64(n)
	at := func(k, rr float64) (x, y float64) {
		s, c := math.Sincos(2 * math.Pi * k / float64(n))
		return rr * c, rr * s
	}
	for k := range n {
		r0, r1 := r, r
		if k%4 == 1 {
			r1 = r * 0.999
		} else if k%4 == 2 {
			r0, r1 = r*0.999, r*0.999
		} else if k%4 == 3 {
			r0 = r * 0.999
		}
		x0, y0 := at(float64(k), r0)
		x1, y1 := at(float64(k+1), r1)
		if k%2 == 0 {
			out = append(out, geom.Bulge(pt(x0, y0), pt(x1, y1), 0.2))
		} else {
			out = append(out, line(x0, y0, x1, y1))
		}
	}
	return shuffled(out, 1)
}

func sharedCuts(n int) []geom.Curve {
	m := max(1, int(math.Sqrt(float64(n)/2)))
	return shuffled(cells(m, m, 10), 1)
}

// perforated is a sheet with holes and a bend line.
func perforated(n int) []geom.Curve {
	holes := manyCircles(n - 5)
	w := 10 * (math.Ceil(math.Sqrt(float64(n))) + 1)
	return join(holes, rect(-10, -10, w, w), []geom.Curve{line(5, -10, 5, w)})
}

func BenchmarkBuild(b *testing.B) {
	for _, d := range []struct {
		name string
		make func(n int) []geom.Curve
		want func(n int) int // regions, at most
	}{
		{"circles", manyCircles, func(n int) int { return n }},
		{"rectangles", manyRectangles, func(n int) int { return n / 4 }},
		{"outline", oneOutline, func(int) int { return 1 }},
		{"shared", sharedCuts, func(n int) int { m := max(1, int(math.Sqrt(float64(n)/2))); return m * m }},
		{"perforated", perforated, func(int) int { return 1 }},
	} {
		for _, n := range []int{100, 1000, 10000, 100000} {
			b.Run(fmt.Sprintf("%s/%d", d.name, n), func(b *testing.B) {
				in := d.make(n)
				for b.Loop() {
					if res := Build(in, Defaults()); len(res.Regions) != d.want(n) {
						b.Fatalf("%d regions, want %d", len(res.Regions), d.want(n))
					}
				}
				b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*len(in)), "ns/curve")
			})
		}
	}
}
