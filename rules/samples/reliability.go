package samples

// Confusion counts what was forecast against what was found. A chance of one
// half or more is a forecast of clean.
type Confusion struct {
	CleanClean int // forecast clean, found clean
	CleanBurr  int // forecast clean, burr left: it comes back
	BurrClean  int // forecast burr, found clean: bench work for nothing
	BurrBurr   int // forecast burr, burr left
}

// Right is the number of forecasts that came true.
func (c Confusion) Right() int { return c.CleanClean + c.BurrBurr }

// All is the number of forecasts.
func (c Confusion) All() int { return c.CleanClean + c.CleanBurr + c.BurrClean + c.BurrBurr }

// Forecasted is one forecast with what came of it.
type Forecasted struct {
	Chance float64 // of clean
	Clean  bool
}

// Confuse counts forecasts against outcomes.
func Confuse(list []Forecasted) Confusion {
	var c Confusion
	for _, f := range list {
		switch {
		case f.Chance >= 0.5 && f.Clean:
			c.CleanClean++
		case f.Chance >= 0.5:
			c.CleanBurr++
		case f.Clean:
			c.BurrClean++
		default:
			c.BurrBurr++
		}
	}
	return c
}

// Brier is the mean squared difference of chance and outcome: 0 is perfect, and
// 0.25 is what saying one half every time gives. It is 0 for no forecasts.
// Source: Brier, Verification of forecasts expressed in terms of probability,
// Monthly Weather Review 78 (1950); this is half of its two-class sum.
func Brier(list []Forecasted) float64 {
	if len(list) == 0 {
		return 0
	}
	sum := 0.0
	for _, f := range list {
		d := f.Chance - outcome(f.Clean)
		sum += d * d
	}
	return sum / float64(len(list))
}

// Band is one row of a reliability table: forecasts of a range of chances, and
// the share of them that came clean.
type Band struct {
	From, To  float64 // chances, To included in the last band only
	N         int
	Forecast  float64 // mean chance; valid if N > 0
	Clean     float64 // share found clean; valid if N > 0
	Low, High float64 // interval of that share; valid if N > 0
}

// Reliability sorts forecasts into bands of equal width. The interval of a share
// is Wilson's: Probable inference, the law of succession, and statistical
// inference, J. Am. Stat. Assoc. 22 (1927), from memory.
func Reliability(list []Forecasted, bands int) []Band {
	out := make([]Band, bands)
	for i := range out {
		out[i].From, out[i].To = float64(i)/float64(bands), float64(i+1)/float64(bands)
	}
	for _, f := range list {
		i := min(int(f.Chance*float64(bands)), bands-1)
		out[i].N++
		out[i].Forecast += f.Chance
		out[i].Clean += outcome(f.Clean)
	}
	for i := range out {
		b := &out[i]
		if b.N == 0 {
			continue
		}
		b.Low, b.High = wilson(b.Clean, float64(b.N))
		b.Forecast /= float64(b.N)
		b.Clean /= float64(b.N)
	}
	return out
}

func outcome(clean bool) float64 {
	if clean {
		return 1
	}
	return 0
}
