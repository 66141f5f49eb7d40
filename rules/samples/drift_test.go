package samples

import (
	"math/rand/v2"
	"testing"
)

// 682 in 925 against three quarters: p = 0.3825, the example of R's binom.test
// after Conover, Practical Nonparametric Statistics (1971); from memory.
func TestBinomialTest(t *testing.T) {
	near(t, "Conover's plants", BinomialTest(682, 925, 0.75), 0.3825, 0.00005)
	near(t, "5 of 5 of a coin", BinomialTest(5, 5, 0.5), 2.0/32, 1e-12)
	near(t, "2 of 4 of a coin", BinomialTest(2, 4, 0.5), 1, 1e-12)
	near(t, "0 of 3 at a tenth", BinomialTest(0, 3, 0.1), 1, 1e-12)
	near(t, "1 of 3 at a tenth", BinomialTest(1, 3, 0.1), 1-0.729, 1e-12)
	for _, c := range []struct {
		k, n int
		p    float64
		want float64
	}{{0, 0, 0.3, 1}, {0, 5, 0, 1}, {1, 5, 0, 0}, {5, 5, 1, 1}, {4, 5, 1, 0}} {
		near(t, "at a bound", BinomialTest(c.k, c.n, c.p), c.want, 0)
	}
}

// drifted is 25 samples of a shop, forecast by a curve with its limit at 1.
func drifted(rng *rand.Rand, s shopOf) []Forecasted {
	var list []Forecasted
	for _, v := range simulate(rng, s, 25) {
		list = append(list, Forecasted{Chance: logistic(12 * v.X), Clean: v.Clean == 1})
	}
	return list
}

// Where nothing changed the test is silent in 95 runs of 100 at least, and where
// the limit rose by a half it speaks in most.
func TestDriftOfSimulatedShops(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 6))
	const runs = 1000
	same, worn, fewer := 0, 0, 0
	for range runs {
		if TestDrift(drifted(rng, shopOf{1, 12})).Flagged {
			same++
		}
		d := TestDrift(drifted(rng, shopOf{1.5, 12}))
		if d.Flagged {
			worn++
			if 2*d.BurrMore < d.Contradictions {
				fewer++
			}
		}
	}
	t.Logf("flagged: %d of %d where nothing changed, %d where the limit rose by a half", same, runs, worn)
	if same > runs*DriftAlpha*12/10 {
		t.Errorf("%d of %d false alarms", same, runs)
	}
	if worn < runs*8/10 {
		t.Errorf("a limit half as high again is seen in %d of %d", worn, runs)
	}
	if fewer > 0 {
		t.Errorf("the direction is wrong in %d", fewer)
	}
}

func TestDriftCounts(t *testing.T) {
	d := TestDrift([]Forecasted{{0.9, false}, {0.8, true}, {0.3, true}, {0.1, false}})
	near(t, "expected", d.Expected, 0.1+0.2+0.3+0.1, 1e-12)
	if d.Samples != 4 || d.Contradictions != 2 || d.BurrMore != 1 || d.Flagged {
		t.Errorf("%+v", d)
	}
	if d := TestDrift(nil); d.Flagged || d.P != 1 {
		t.Errorf("of nothing: %+v", d)
	}
}
