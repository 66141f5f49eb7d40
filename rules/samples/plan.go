package samples

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// A fitted limit is used from so many samples on, so many of either outcome
// among them, and up to such a ratio of the interval's high to its low end.
const (
	LeastSamples = 20
	LeastEither  = 4
	WidestLimit  = 1.5
)

// Settled reports whether a limit on a logarithmic scale may be used, and if
// not, why. Sense is +1 where a larger measure comes cleaner, else -1.
func Settled(n, clean int, c Curve, l Limit, sense float64) (bool, string) {
	switch {
	case n < LeastSamples:
		return false, fewer(n, LeastSamples, "sample")
	case clean < LeastEither:
		return false, fewer(clean, LeastEither, "clean place")
	case n-clean < LeastEither:
		return false, fewer(n-clean, LeastEither, "burred place")
	case c.B*sense <= 0:
		return false, "the samples run against the rule: what should come cleaner does not"
	case !l.Closed():
		return false, "the samples do not bound the limit on both sides"
	case math.Exp(l.High-l.Low) > WidestLimit:
		return false, tooWide(math.Exp(l.High-l.Low), WidestLimit)
	}
	return true, ""
}

func fewer(have, want int, noun string) string {
	return fmt.Sprintf("%s; %d are needed", plural(have, noun), want)
}

func tooWide(have, most float64) string {
	if have > 1000 {
		return fmt.Sprintf("the interval spans more than 1000 to 1; %.3g to 1 is the most", most)
	}
	return fmt.Sprintf("the interval spans %.3g to 1; %.3g to 1 is the most", have, most)
}

func plural(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}

// More estimates how many more samples settle a limit, if they are taken near
// it: a sample where the chance is p adds B squared times p(1-p) to the
// information on the limit, and p lies between a quarter and three quarters
// there. It is at least 1, and says nothing, 0 and false, where the samples run
// against the rule. Where the interval is open the slope is hardly known, and the
// number is a least one.
func More(n, clean int, c Curve, l Limit, sense float64) (int, bool) {
	missing := max(LeastSamples-n, LeastEither-clean, LeastEither-(n-clean), 1)
	if c.B*sense <= 0 {
		return 0, false
	}
	z := distuv.UnitNormal.Quantile(0.5 + Confidence/2)
	now := 1 / limitVariance(c)
	if l.Closed() {
		s := (l.High - l.Low) / (2 * z)
		now = math.Min(now, 1/(s*s))
	}
	s := math.Log(WidestLimit) / (2 * z)
	slope := math.Abs(c.B)
	const near = 0.22 // mean of p(1-p) for p from a quarter to three quarters
	more := math.Ceil((1/(s*s) - now) / (near * slope * slope))
	if more > 10000 {
		return 10000, true
	}
	return max(missing, int(math.Max(more, 0))), true
}

// limitVariance is the variance of where the curve has one half, by the delta
// method.
func limitVariance(c Curve) float64 {
	x := -c.A / c.B
	return (c.Cov[0][0] + 2*x*c.Cov[0][1] + x*x*c.Cov[1][1]) / (c.B * c.B)
}

// Next picks the measure at which one more sample narrows the limit most: it
// gives, for each candidate, the variance of the limit with that sample added
// to the information, and returns the index of the least, or -1 for none.
func Next(c Curve, candidates []float64) int {
	det := c.Cov[0][0]*c.Cov[1][1] - c.Cov[0][1]*c.Cov[0][1]
	if !(det > 0) || c.B == 0 {
		return -1
	}
	iaa, iab, ibb := c.Cov[1][1]/det, -c.Cov[0][1]/det, c.Cov[0][0]/det
	best, at := math.Inf(1), -1
	for i, x := range candidates {
		p := c.Chance(x)
		w := p * (1 - p)
		a, b, d := iaa+w, iab+w*x, ibb+w*x*x
		k := a*d - b*b
		with := c
		with.Cov = [2][2]float64{{d / k, -b / k}, {-b / k, a / k}}
		if v := limitVariance(with); v < best {
			best, at = v, i
		}
	}
	return at
}
