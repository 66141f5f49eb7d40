package samples

import (
	"errors"
	"math"
)

// Trial is a number of samples with the same measure.
type Trial struct {
	X     float64 // the measure, on the scale of the fit
	N     float64 // samples
	Clean float64 // of them clean
}

// Curve is a fitted logistic curve: the chance at x is 1/(1+exp(-A-B x)).
type Curve struct {
	A, B   float64
	Cov    [2][2]float64 // of A and B: the inverse of Fisher's information at the fit
	LogLik float64       // at the fit, with the penalty if there is one; a constant is left out
	Firth  bool          // fitted with Firth's penalty
}

// Chance is the curve's probability of clean at x.
func (c Curve) Chance(x float64) float64 { return logistic(c.A + c.B*x) }

// Errors of a fit.
var (
	ErrFew      = errors.New("a curve needs samples of two measures")
	ErrDiverged = errors.New("not converged: clean and burred samples do not overlap, or nearly so")
)

// FitCurve fits a logistic curve by maximum likelihood, or with Firth's penalty,
// which takes the first-order bias away and gives a finite answer where clean
// and burred samples do not overlap.
//
//  1. Centre and scale x; neither changes the fit.
//  2. Solve the score equations by Newton's steps with the information matrix,
//     halved while the likelihood falls or where they swing. Firth's score has y - p replaced by
//     y - p + h (1/2 - p), h the sample's leverage; its likelihood has half the
//     logarithm of the information's determinant added.
//  3. Take centre and scale out again.
//
// Sources: McCullagh and Nelder, Generalized Linear Models (1989), for 2 without
// the penalty; Firth, Bias reduction of maximum likelihood estimates, Biometrika
// 80 (1993); Heinze and Schemper, A solution to the problem of separation in
// logistic regression, Statistics in Medicine 21 (2002). From memory.
func FitCurve(trials []Trial, firth bool) (Curve, error) {
	c, s, err := standard(trials)
	if err != nil {
		return Curve{}, err
	}
	t := scaled(trials, c, s)
	a, b := 0.0, 0.0
	at := evaluate(t, a, b, firth)
	const most, small = 500, 1e-11
	converged := false
	damp, lastA, lastB := 1.0, 0.0, 0.0
	for range most {
		da, db := at.step()
		// With few samples the penalty bends the likelihood more than the
		// information says, and full steps swing to and fro.
		if da*lastA+db*lastB < 0 {
			damp = math.Max(damp/2, 1.0/64)
		}
		da, db = da*damp, db*damp
		// No step further than 5 in the linear predictor's terms: far away the
		// information is nearly singular and says little.
		if far := math.Max(math.Abs(da), math.Abs(db)) / 5; far > 1 {
			da, db = da/far, db/far
		}
		next := evaluate(t, a+da, b+db, firth)
		for k := 0; k < 60 && !(next.logLik >= at.logLik-1e-12); k++ {
			da, db = da/2, db/2
			next = evaluate(t, a+da, b+db, firth)
		}
		a, b, at = a+da, b+db, next
		lastA, lastB = da, db
		if math.Max(math.Abs(da), math.Abs(db)) < small*(1+math.Abs(a)+math.Abs(b)) {
			converged = true
			break
		}
		if math.Abs(a)+math.Abs(b) > 1e4 {
			break
		}
	}
	det := at.det()
	if !converged || !(det > 1e-300) || math.IsNaN(a) || math.IsNaN(b) {
		return Curve{}, ErrDiverged
	}
	// Back from z = (x-c)/s: A = a - b c/s, B = b/s.
	out := Curve{A: a - b*c/s, B: b / s, LogLik: at.logLik, Firth: firth}
	vaa, vab, vbb := at.ibb/det, -at.iab/det, at.iaa/det
	out.Cov[1][1] = vbb / (s * s)
	out.Cov[0][1] = (vab - vbb*c/s) / s
	out.Cov[1][0] = out.Cov[0][1]
	out.Cov[0][0] = vaa - 2*vab*c/s + vbb*c*c/(s*s)
	return out, nil
}

// standard is the mean and the spread of x over all samples.
func standard(trials []Trial) (mean, spread float64, err error) {
	n := 0.0
	for _, t := range trials {
		if math.IsNaN(t.X) || math.IsInf(t.X, 0) || !(t.N >= 0) || t.Clean < 0 || t.Clean > t.N {
			return 0, 0, errors.New("a sample is not a number")
		}
		n += t.N
		mean += t.N * t.X
	}
	if n == 0 {
		return 0, 0, ErrFew
	}
	mean /= n
	for _, t := range trials {
		spread += t.N * (t.X - mean) * (t.X - mean)
	}
	spread = math.Sqrt(spread / n)
	if !(spread > 1e-9*(1+math.Abs(mean))) {
		return 0, 0, ErrFew
	}
	return mean, spread, nil
}

func scaled(trials []Trial, mean, spread float64) []Trial {
	t := make([]Trial, len(trials))
	for i, v := range trials {
		t[i] = Trial{X: (v.X - mean) / spread, N: v.N, Clean: v.Clean}
	}
	return t
}

// point is the likelihood at one pair of coefficients, with what leads on.
type point struct {
	logLik        float64
	ua, ub        float64 // score
	iaa, iab, ibb float64 // information
}

func (p point) det() float64 { return float64(p.iaa*p.ibb) - float64(p.iab*p.iab) }

// step is Newton's.
func (p point) step() (da, db float64) {
	det := p.det()
	if !(det > 0) {
		return 0, 0
	}
	return (p.ibb*p.ua - p.iab*p.ub) / det, (p.iaa*p.ub - p.iab*p.ua) / det
}

// evaluate computes likelihood, score and information at (a, b).
func evaluate(trials []Trial, a, b float64, firth bool) point {
	var p point
	for _, t := range trials {
		eta := a + b*t.X
		pr := logistic(eta)
		w := t.N * pr * logistic(-eta)
		p.iaa += w
		p.iab += w * t.X
		p.ibb += w * t.X * t.X
		r := t.Clean - t.N*pr
		p.ua += r
		p.ub += r * t.X
		p.logLik += t.Clean*logLogistic(eta) + (t.N-t.Clean)*logLogistic(-eta)
	}
	if !firth {
		return p
	}
	det := p.det()
	if !(det > 0) {
		p.logLik = math.Inf(-1)
		return p
	}
	p.logLik += 0.5 * math.Log(det)
	for _, t := range trials {
		eta := a + b*t.X
		pr := logistic(eta)
		w := t.N * pr * logistic(-eta)
		h := w * (p.ibb - 2*p.iab*t.X + p.iaa*t.X*t.X) / det
		r := h * (0.5 - pr)
		p.ua += r
		p.ub += r * t.X
	}
	return p
}

// logistic is 1/(1+exp(-x)) without overflow.
func logistic(x float64) float64 {
	if x >= 0 {
		return 1 / (1 + math.Exp(-x))
	}
	e := math.Exp(x)
	return e / (1 + e)
}

// logLogistic is the logarithm of logistic(x).
func logLogistic(x float64) float64 {
	if x >= 0 {
		return -math.Log1p(math.Exp(-x))
	}
	return x - math.Log1p(math.Exp(x))
}

// logit is the inverse of logistic.
func logit(p float64) float64 { return math.Log(p / (1 - p)) }
