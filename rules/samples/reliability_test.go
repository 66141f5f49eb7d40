package samples

import (
	"math"
	"math/rand/v2"
	"testing"
)

func TestConfuseAndBrier(t *testing.T) {
	list := []Forecasted{{0.9, true}, {0.8, true}, {0.7, false}, {0.5, true}, {0.4, true}, {0.1, false}, {0, false}}
	if got, want := Confuse(list), (Confusion{CleanClean: 3, CleanBurr: 1, BurrClean: 1, BurrBurr: 2}); got != want || got.Right() != 5 || got.All() != 7 {
		t.Errorf("%+v", got)
	}
	near(t, "Brier", Brier(list), (0.01+0.04+0.49+0.25+0.36+0.01+0)/7, 1e-12)
	near(t, "Brier of nothing", Brier(nil), 0, 0)
}

// The Brier score is reliability less resolution plus uncertainty, where all
// forecasts of a band are equal. Source: Murphy, A new vector partition of the
// probability score, Journal of Applied Meteorology 12 (1973), from memory.
func TestBrierPartition(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	var list []Forecasted
	mean := 0.0
	for range 400 {
		f := Forecasted{Chance: 0.1 + 0.2*float64(rng.IntN(5))}
		f.Clean = rng.Float64() < f.Chance*f.Chance
		mean += outcome(f.Clean) / 400
		list = append(list, f)
	}
	rel, res := 0.0, 0.0
	n := 0
	for _, b := range Reliability(list, 5) {
		n += b.N
		rel += float64(b.N) / 400 * math.Pow(b.Forecast-b.Clean, 2)
		res += float64(b.N) / 400 * math.Pow(b.Clean-mean, 2)
		if !(b.Low <= b.Clean && b.Clean <= b.High) || b.Forecast < b.From || b.Forecast > b.To {
			t.Errorf("%+v", b)
		}
	}
	if n != 400 {
		t.Errorf("%d in the bands", n)
	}
	near(t, "Brier", Brier(list), rel-res+mean*(1-mean), 1e-12)
}

func TestBandsAtTheirEdges(t *testing.T) {
	b := Reliability([]Forecasted{{0, true}, {0.2, true}, {1, true}}, 5)
	if b[0].N != 1 || b[1].N != 1 || b[4].N != 1 {
		t.Errorf("%+v", b)
	}
}
