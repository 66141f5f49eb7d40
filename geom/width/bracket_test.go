package width

import (
	"math"
	"testing"
)

func TestBracket(t *testing.T) {
	inf := math.Inf(1)
	tests := []struct {
		name  string
		f     func(x float64) float64
		lo    float64
		hi    float64
		want  float64
		steps int // at most
	}{
		{"line", func(x float64) float64 { return x - 0.3 }, 0, 1, 0.3, 60},
		{"square", func(x float64) float64 { return x*x - 0.5 }, 0, 1, math.Sqrt2 / 2, 70},
		{"from above", func(x float64) float64 { return 0.5 - x*x }, 1, 0, math.Sqrt2 / 2, 70},
		{"flat at the root", func(x float64) float64 { return math.Pow(x-0.25, 9) }, 0, 1, 0.25, 120},
		{"steep", func(x float64) float64 { return math.Cbrt(x - 0.6) }, 0, 1, 0.6, 120},
		{"without bound beyond", func(x float64) float64 {
			if x > 0.7 {
				return inf
			}
			return x - 1
		}, 0, 1, 0.7, 120},
		{"without bound on both sides", func(x float64) float64 { return math.Copysign(inf, x-0.4) }, 0, 1, 0.4, 120},
	}
	for _, tt := range tests {
		b := bracket{lo: tt.lo, hi: tt.hi, glo: tt.f(tt.lo), ghi: tt.f(tt.hi)}
		steps := 0
		for ; steps < 200; steps++ {
			u, ok := b.next()
			if !ok {
				break
			}
			b.put(u, tt.f(u))
		}
		if steps > tt.steps || math.Abs(b.lo-tt.want) > 1e-15 || tt.f(b.lo) > 0 || tt.f(b.hi) <= 0 {
			t.Errorf("%s: %d steps to %.17g, want %.17g", tt.name, steps, b.lo, tt.want)
		}
	}
}
