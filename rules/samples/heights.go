package samples

import (
	"math"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// A fitted burr height is used from so many heights on and up to such a ratio of
// high to low.
const (
	LeastHeights  = 10
	WidestHeights = 20.0 // a log-normal with a spread of 2 to 1 already spans 16 to 1
)

// leastRead is the least height in mm that a dial gauge shows; a height of 0 is
// somewhere below it and counts as half of it.
const leastRead = 0.01

// HeightFit is the range in which the next burr height is expected.
type HeightFit struct {
	N         int
	Zero      int     // of them below what a gauge shows
	Median    float64 // mm
	Low, High float64 // mm, prediction interval; valid if Known
	Known     bool    // two heights at least, and not all equal
}

// FitHeights fits burr heights in mm as log-normal and gives the interval in
// which one more height lies with the probability Confidence: with the mean m
// and the standard deviation s of n logarithms, m -+ t s sqrt(1+1/n), t of n-1
// degrees of freedom. Source: any textbook on prediction intervals, such as
// Hahn and Meeker, Statistical Intervals (1991), from memory.
func FitHeights(heights []float64) HeightFit {
	f := HeightFit{N: len(heights)}
	logs := make([]float64, 0, len(heights))
	for _, h := range heights {
		if h < leastRead/2 {
			f.Zero++
			h = leastRead / 2
		}
		logs = append(logs, math.Log(h))
	}
	if f.N == 0 {
		return f
	}
	m, s := stat.MeanStdDev(logs, nil)
	f.Median = math.Exp(m)
	if f.N < 2 || !(s > 0) {
		return f
	}
	n := float64(f.N)
	t := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: n - 1}.Quantile(0.5 + Confidence/2)
	reach := t * s * math.Sqrt(1+1/n)
	f.Low, f.High, f.Known = math.Exp(m-reach), math.Exp(m+reach), true
	return f
}

// Settled reports whether the range may replace the forecast, and if not, why.
func (f HeightFit) Settled() (bool, string) {
	switch {
	case f.N < LeastHeights:
		return false, fewer(f.N, LeastHeights, "height")
	case !f.Known:
		return false, "all heights are equal"
	case 4*f.Zero > f.N:
		return false, "more than a quarter of the heights is 0, which no range of this kind describes"
	case f.High/f.Low > WidestHeights:
		return false, tooWide(f.High/f.Low, WidestHeights)
	}
	return true, ""
}
