package samples

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

// Two heights: the closed form with t of one degree of freedom, 12.7062.
func TestHeightsByHand(t *testing.T) {
	f := FitHeights([]float64{0.1, 0.4})
	s := math.Log(4) / math.Sqrt2
	near(t, "median", f.Median, 0.2, 1e-12)
	near(t, "high", math.Log(f.High/0.2), 12.7062*s*math.Sqrt(1.5), 1e-3)
	near(t, "symmetry", f.Low*f.High, 0.04, 1e-9)
}

// The next height of a log-normal process lies in the range 95 times in 100.
func TestHeightRangeHoldsTheNext(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 7))
	const runs = 4000
	for _, n := range []int{5, 10, 30} {
		in := 0
		for range runs {
			h := make([]float64, n)
			for i := range h {
				h[i] = 0.08 * math.Exp(0.5*rng.NormFloat64())
			}
			f := FitHeights(h)
			if next := 0.08 * math.Exp(0.5*rng.NormFloat64()); next >= f.Low && next <= f.High {
				in++
			}
		}
		if share := float64(in) / runs; math.Abs(share-0.95) > 0.013 {
			t.Errorf("%d heights: %.1f %% of the next lie inside", n, 100*share)
		}
	}
}

func TestHeightsSettled(t *testing.T) {
	many := func(n int, h ...float64) (list []float64) {
		for i := range n {
			list = append(list, h[i%len(h)])
		}
		return list
	}
	for _, c := range []struct {
		heights []float64
		why     string
	}{
		{nil, "0 heights; 10 are needed"},
		{many(9, 0.1, 0.12), "9 heights; 10 are needed"},
		{many(12, 0.1), "all heights are equal"},
		{many(12, 0, 0.1), "0, which no range"},
		{many(12, 0.01, 1), "to 1 is the most"},
		{many(12, 0.1, 0.12, 0.08), ""},
		{many(12, 0.03, 0.04, 0.05, 0.06, 0.05, 0.04, 0.03, 0.05, 0.04, 0.06, 0.05, 0.03), ""},
	} {
		ok, why := FitHeights(c.heights).Settled()
		if ok != (c.why == "") || !strings.Contains(why, c.why) {
			t.Errorf("%v: %v %q", c.heights, ok, why)
		}
	}
}
