package samples

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Limit is the x at which a curve has a stated chance, with its interval.
type Limit struct {
	X         float64
	Low, High float64 // of the interval
	Open      [2]bool // the interval has no low end, no high end
}

// Closed reports whether the interval has both ends.
func (l Limit) Closed() bool { return !l.Open[0] && !l.Open[1] }

// Confidence of every interval of this package.
const Confidence = 0.95

// FitLimit finds where a curve fitted with Firth's penalty has the chance share,
// with the profile penalised-likelihood interval: the values m for which twice
// the fall of the penalised likelihood, maximised over the slope under the
// condition that the chance at m is the share, stays below the quantile of
// chi-squared with one degree of freedom. Unlike an interval from standard
// errors it need not be symmetric, and it is open where the samples do not bound
// the limit on a side, as where the slope may be zero.
//
// Sources: Heinze and Schemper (2002), as for FitCurve; Venzon and Moolgavkar, A
// method for computing profile-likelihood-based confidence intervals, Applied
// Statistics 37 (1988). From memory.
func FitLimit(trials []Trial, c Curve, share float64) Limit {
	mean, spread, err := standard(trials)
	if err != nil || c.B == 0 {
		return Limit{Open: [2]bool{true, true}}
	}
	t := scaled(trials, mean, spread)
	l := logit(share)
	x := (l - c.A) / c.B
	at := (x - mean) / spread
	bound := distuv.ChiSquared{K: 1}.Quantile(Confidence) / 2
	fall := func(m float64) float64 { return c.LogLik - profile(t, m, l, c.B*spread) }
	out := Limit{X: x}
	low, ok := cross(fall, at, -1, bound)
	out.Low, out.Open[0] = mean+spread*low, !ok
	high, ok := cross(fall, at, 1, bound)
	out.High, out.Open[1] = mean+spread*high, !ok
	return out
}

// cross goes from a place where a fall is about zero in one direction until it
// passes the bound, and closes in on where by regula falsi with the end that
// stays halved (the Illinois rule). It gives up a hundred spreads away.
func cross(fall func(float64) float64, from, sign, bound float64) (float64, bool) {
	const most, close = 100, 1e-6
	inside, fi := from, -bound
	for step := 0.1; step < most; step *= 2 {
		outside := from + sign*step
		fo := fall(outside) - bound
		if fo <= 0 {
			inside, fi = outside, fo
			continue
		}
		for range 60 {
			mid := (inside*fo - outside*fi) / (fo - fi)
			f := fall(mid) - bound
			if math.Abs(f) < close || math.Abs(outside-inside) < close {
				return mid, true
			}
			if f > 0 {
				outside, fo, fi = mid, f, fi/2
			} else {
				inside, fi, fo = mid, f, fo/2
			}
		}
		return (inside + outside) / 2, true
	}
	return 0, false
}

// profile is the greatest penalised likelihood over slopes for which the linear
// predictor at m is l. It may have more than one summit, so slopes of both signs
// are tried from flat to steep before the best is closed in on by golden
// section; one near a hint is tried, too.
func profile(t []Trial, m, l, hint float64) float64 {
	value := func(u float64) float64 {
		b := math.Sinh(u)
		return penalised(t, l-b*m, b)
	}
	const reach, step = 7.0, 1.0
	best, at := math.Inf(-1), 0.0
	try := func(u float64) {
		if v := value(u); v > best {
			best, at = v, u
		}
	}
	for u := -reach; u <= reach; u += step {
		try(u)
	}
	try(math.Asinh(hint))
	const g = 0.6180339887498949
	lo, hi := at-step, at+step
	u1, u2 := hi-g*(hi-lo), lo+g*(hi-lo)
	v1, v2 := value(u1), value(u2)
	for hi-lo > 1e-4 { // the likelihood is flat at its summit: some 1e-8 in value
		if v1 > v2 {
			hi, u2, v2 = u2, u1, v1
			u1 = hi - g*(hi-lo)
			v1 = value(u1)
		} else {
			lo, u1, v1 = u1, u2, v2
			u2 = lo + g*(hi-lo)
			v2 = value(u2)
		}
	}
	return math.Max(best, math.Max(v1, v2))
}

// penalised is the likelihood that evaluate gives with Firth's penalty, alone
// and with one exponential a trial.
func penalised(t []Trial, a, b float64) float64 {
	var sum, iaa, iab, ibb float64
	for _, v := range t {
		eta := a + b*v.X
		e := math.Exp(-math.Abs(eta))
		w := v.N * e / ((1 + e) * (1 + e))
		iaa += w
		iab += w * v.X
		ibb += w * v.X * v.X
		sum -= v.N * math.Log1p(e)
		if eta < 0 {
			sum += v.Clean * eta
		} else {
			sum -= (v.N - v.Clean) * eta
		}
	}
	det := float64(iaa*ibb) - float64(iab*iab)
	if !(det > 0) {
		return math.Inf(-1)
	}
	return sum + 0.5*math.Log(det)
}
