package samples

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"
)

// beetles are Bliss's deaths of flour beetles after five hours in carbon
// disulphide, The calculation of the dosage-mortality curve, Annals of Applied
// Biology 22 (1935), as Dobson and Barnett tabulate them in An Introduction to
// Generalized Linear Models: logarithm of the dose, number, killed. From memory.
var beetles = []Trial{
	{1.6907, 59, 6}, {1.7242, 60, 13}, {1.7552, 62, 18}, {1.7842, 56, 28},
	{1.8113, 63, 52}, {1.8369, 59, 53}, {1.8610, 62, 61}, {1.8839, 60, 60},
}

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if math.IsNaN(got) || math.Abs(got-want) > within {
		t.Errorf("%s: %.8g, want %.8g within %g", what, got, want, within)
	}
}

// The book's logit fit: -60.717 (standard error 5.181), 34.270 (2.912), deviance
// 11.23; from memory.
func TestBeetles(t *testing.T) {
	c, err := FitCurve(beetles, false)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "intercept", c.A, -60.717, 0.0006)
	near(t, "slope", c.B, 34.270, 0.0006)
	near(t, "its standard error", math.Sqrt(c.Cov[1][1]), 2.912, 0.0006)
	near(t, "the intercept's", math.Sqrt(c.Cov[0][0]), 5.181, 0.0006)
	near(t, "deviance", deviance(beetles, c), 11.23, 0.006)
}

// deviance is twice the difference to the likelihood of the samples' own shares.
func deviance(trials []Trial, c Curve) float64 {
	sum := 0.0
	part := func(k, fitted float64) {
		if k > 0 {
			sum += 2 * k * math.Log(k/fitted)
		}
	}
	for _, t := range trials {
		p := c.Chance(t.X)
		part(t.Clean, t.N*p)
		part(t.N-t.Clean, t.N*(1-p))
	}
	return sum
}

// On two groups Firth's penalty is one half added to each of the four cells
// (Firth 1993; Heinze and Schemper 2002), so the answer has a closed form, also
// where a cell is empty.
func TestFirthOnTwoGroups(t *testing.T) {
	for _, cells := range [][4]float64{{3, 7, 6, 4}, {0, 10, 10, 0}, {0, 5, 3, 9}, {1, 0, 0, 1}, {20, 0, 15, 0}, {0, 2, 11, 40}} {
		a, b, c, d := cells[0], cells[1], cells[2], cells[3] // clean, burred of the first, of the second group
		got, err := FitCurve([]Trial{{0, a + b, a}, {1, c + d, c}}, true)
		if err != nil {
			t.Fatalf("%v: %v", cells, err)
		}
		first := math.Log((a + 0.5) / (b + 0.5))
		second := math.Log((c + 0.5) / (d + 0.5))
		near(t, "intercept", got.A, first, 1e-7)
		near(t, "slope", got.B, second-first, 1e-7)
	}
}

// Samples that do not overlap have no greatest likelihood, and have a penalised
// one.
func TestSeparatedSamples(t *testing.T) {
	apart := []Trial{{1, 1, 0}, {2, 1, 0}, {3, 1, 0}, {4, 1, 1}, {5, 1, 1}, {6, 1, 1}}
	if c, err := FitCurve(apart, false); !errors.Is(err, ErrDiverged) {
		t.Errorf("without the penalty: %+v, %v", c, err)
	}
	c, err := FitCurve(apart, true)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "the middle", -c.A/c.B, 3.5, 1e-6) // by symmetry
	if !(c.B > 0) || math.IsInf(c.B, 0) {
		t.Errorf("slope %g", c.B)
	}
	l := FitLimit(apart, c, 0.5)
	if !l.Closed() || !(l.Low < 3.5) || !(l.High > 3.5) {
		t.Errorf("interval %+v", l)
	}
	near(t, "interval's middle", (l.Low+l.High)/2, 3.5, 1e-4)
}

func TestFitNeedsTwoMeasures(t *testing.T) {
	for _, trials := range [][]Trial{nil, {{2, 10, 4}}, {{2, 3, 1}, {2, 4, 4}}} {
		if c, err := FitCurve(trials, true); !errors.Is(err, ErrFew) {
			t.Errorf("%v: %+v, %v", trials, c, err)
		}
	}
	for _, bad := range []Trial{{math.NaN(), 1, 1}, {math.Inf(1), 1, 0}, {1, 1, 2}, {1, -1, 0}} {
		if _, err := FitCurve([]Trial{{0, 1, 1}, bad}, true); err == nil {
			t.Errorf("%v is fitted", bad)
		}
	}
}

// Another unit of the measure, another zero, another order of the samples: the
// same curve.
func TestFitIsEquivariant(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 1))
	for range 50 {
		trials := simulate(rng, shopOf{limit: 1, steep: 6}, 25)
		c, err := FitCurve(trials, true)
		if err != nil {
			t.Fatal(err)
		}
		moved := make([]Trial, len(trials))
		for i, v := range rng.Perm(len(trials)) {
			moved[i] = Trial{7 + 0.01*trials[v].X, trials[v].N, trials[v].Clean}
		}
		m, err := FitCurve(moved, true)
		if err != nil {
			t.Fatal(err)
		}
		if c.B > 1e-3 {
			near(t, "middle", (-m.A/m.B-7)*100, -c.A/c.B, 1e-5)
		}
		near(t, "slope", m.B*0.01, c.B, 1e-6*(1+math.Abs(c.B)))
	}
}

// The fit's likelihood is the greatest: no neighbour has more, with the penalty
// and without, and the score is what the differences say.
func TestFitIsASummit(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 2))
	for range 30 {
		trials := simulate(rng, shopOf{limit: 1.2, steep: 5}, 30)
		for _, firth := range []bool{true, false} {
			c, err := FitCurve(trials, firth)
			if err != nil {
				continue
			}
			at := evaluate(trials, c.A, c.B, firth)
			for _, d := range [][2]float64{{0.01, 0}, {-0.01, 0}, {0, 0.01}, {0, -0.01}, {0.01, -0.02}, {-0.01, 0.02}} {
				if n := evaluate(trials, c.A+d[0], c.B+d[1], firth); n.logLik > at.logLik+1e-9 {
					t.Fatalf("firth %v: more at a distance of %v", firth, d)
				}
			}
			const h = 1e-5
			p := evaluate(trials, 0.3, 1.1, firth)
			near(t, "score of the intercept", p.ua, (evaluate(trials, 0.3+h, 1.1, firth).logLik-evaluate(trials, 0.3-h, 1.1, firth).logLik)/(2*h), 1e-5)
			near(t, "score of the slope", p.ub, (evaluate(trials, 0.3, 1.1+h, firth).logLik-evaluate(trials, 0.3, 1.1-h, firth).logLik)/(2*h), 1e-5)
		}
	}
}
