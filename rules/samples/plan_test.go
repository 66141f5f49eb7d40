package samples

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

func TestSettledSaysWhy(t *testing.T) {
	c := Curve{A: 0, B: 8}
	closed := Limit{X: 0, Low: -0.1, High: 0.1}
	for _, v := range []struct {
		n, clean int
		c        Curve
		l        Limit
		sense    float64
		why      string
	}{
		{19, 10, c, closed, 1, "19 samples; 20 are needed"},
		{30, 3, c, closed, 1, "3 clean places; 4 are needed"},
		{30, 29, c, closed, 1, "1 burred place; 4 are needed"},
		{30, 15, c, closed, -1, "against the rule"},
		{30, 15, Curve{B: -8}, closed, 1, "against the rule"},
		{30, 15, c, Limit{Open: [2]bool{false, true}}, 1, "do not bound"},
		{30, 15, c, Limit{Low: -0.3, High: 0.3}, 1, "1.82 to 1; 1.5 to 1"},
		{30, 15, c, closed, 1, ""},
		{30, 15, Curve{B: -8}, closed, -1, ""},
	} {
		ok, why := Settled(v.n, v.clean, v.c, v.l, v.sense)
		if ok != (v.why == "") || !strings.Contains(why, v.why) {
			t.Errorf("%+v: %v %q", v, ok, why)
		}
	}
}

// So many more samples near the limit as were said do settle it, mostly.
func TestMoreSettles(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 9))
	asked, settled, total := 0, 0, 0
	for range 150 {
		trials := simulate(rng, shopOf{1, 8}, 16)
		c, err := FitCurve(trials, true)
		if err != nil {
			t.Fatal(err)
		}
		more, ok := More(16, 8, c, FitLimit(trials, c, 0.5), 1)
		if !ok || more > 200 {
			continue
		}
		asked++
		total += more
		for range more { // looked for near what is taken for the limit so far
			x := -c.A/c.B + 0.15*(2*rng.Float64()-1)
			trials = append(trials, Trial{x, 1, outcome(rng.Float64() < logistic(8*x))})
			if c, err = FitCurve(trials, true); err != nil {
				t.Fatal(err)
			}
		}
		clean := 0.0
		for _, v := range trials {
			clean += v.Clean
		}
		if ok, _ := Settled(len(trials), int(clean), c, FitLimit(trials, c, 0.5), 1); ok {
			settled++
		}
	}
	t.Logf("%d of %d settled after %.1f more on average", settled, asked, float64(total)/float64(asked))
	if asked < 100 || settled < asked*6/10 {
		t.Errorf("%d of %d settled", settled, asked)
	}
	if total > 80*asked {
		t.Errorf("%d more asked for on average", total/asked)
	}
}

func TestMoreNeedsARisingCurve(t *testing.T) {
	if n, ok := More(30, 15, Curve{B: -1}, Limit{}, 1); ok {
		t.Errorf("%d", n)
	}
	if n, ok := More(5, 1, Curve{B: 8, Cov: [2][2]float64{{0.1, 0}, {0, 0.1}}}, Limit{Low: -0.01, High: 0.01}, 1); !ok || n < 15 {
		t.Errorf("%d %v", n, ok)
	}
}

// The next place is the one that a direct computation finds: the information of
// all samples with it, inverted.
func TestNextAgainstDirectly(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 10))
	for range 20 {
		trials := simulate(rng, shopOf{1, 8}, 40)
		c, err := FitCurve(trials, true)
		if err != nil {
			t.Fatal(err)
		}
		var xs []float64
		for range 15 {
			xs = append(xs, 2*rng.Float64()-1)
		}
		best, at := math.Inf(1), -1
		for i, x := range xs {
			p := evaluate(append(append([]Trial{}, trials...), Trial{x, 1, 0}), c.A, c.B, false)
			det := p.det()
			with := Curve{A: c.A, B: c.B, Cov: [2][2]float64{{p.ibb / det, -p.iab / det}, {-p.iab / det, p.iaa / det}}}
			if v := limitVariance(with); v < best {
				best, at = v, i
			}
		}
		if got := Next(c, xs); got != at {
			t.Errorf("%d, not %d", got, at)
		}
	}
	if Next(Curve{}, []float64{1}) != -1 || Next(Curve{B: 1, Cov: [2][2]float64{{1, 0}, {0, 1}}}, nil) != -1 {
		t.Error("a place out of nothing")
	}
}
