package samples

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// DriftAlpha is the level of the drift test: where nothing has changed, one test
// in twenty, at most, says that something has.
const DriftAlpha = 0.05

// Drift is the test of later samples against a limit that was fitted before.
type Drift struct {
	Samples        int
	Contradictions int     // found on the other side than the curve forecasts
	Expected       float64 // of them, if the curve still holds
	BurrMore       int     // contradictions that were forecast clean and found burred
	P              float64
	Flagged        bool
}

// TestDrift counts the samples whose outcome contradicts the curve, and says how
// likely so many or so few would be if the curve still held: an exact binomial
// test, two-sided, at DriftAlpha. The probability of one contradiction is the
// mean of the curve's own; samples whose probabilities differ scatter less than
// a binomial count with their mean, so the test errs on the side of silence. Too
// few contradictions say that the change from burred to clean is steeper than
// was fitted, which is no drift and is not flagged.
// Chances are those of the curve for every sample.
func TestDrift(list []Forecasted) Drift {
	d := Drift{Samples: len(list), P: 1}
	if len(list) == 0 {
		return d
	}
	for _, f := range list {
		d.Expected += math.Min(f.Chance, 1-f.Chance)
		switch {
		case f.Chance >= 0.5 && !f.Clean:
			d.Contradictions++
			d.BurrMore++
		case f.Chance < 0.5 && f.Clean:
			d.Contradictions++
		}
	}
	// However steep the curve, an inspector errs now and then: one in two hundred.
	const least = 0.005
	p := math.Max(d.Expected/float64(len(list)), least)
	d.P = BinomialTest(d.Contradictions, len(list), p)
	d.Flagged = d.P < DriftAlpha && float64(d.Contradictions) > d.Expected
	return d
}

// BinomialTest is the exact two-sided test of k out of n against a probability:
// the sum of the probabilities of all counts that are no likelier than k.
func BinomialTest(k, n int, p float64) float64 {
	switch {
	case n == 0:
		return 1
	case p <= 0:
		return outcome(k == 0)
	case p >= 1:
		return outcome(k == n)
	}
	dist := distuv.Binomial{N: float64(n), P: p}
	// Equal probabilities on both sides differ by rounding; 1e-7 is what R allows.
	most := dist.LogProb(float64(k)) + 1e-7
	sum := 0.0
	for i := range n + 1 {
		if l := dist.LogProb(float64(i)); l <= most {
			sum += math.Exp(l)
		}
	}
	return math.Min(sum, 1)
}

// wilson is the interval of a share of k in n.
func wilson(k, n float64) (low, high float64) {
	z := distuv.UnitNormal.Quantile(0.5 + Confidence/2)
	p := k / n
	mid := (p + z*z/(2*n)) / (1 + z*z/n)
	half := z / (1 + z*z/n) * math.Sqrt(p*(1-p)/n+z*z/(4*n*n))
	return math.Max(0, mid-half), math.Min(1, mid+half)
}
