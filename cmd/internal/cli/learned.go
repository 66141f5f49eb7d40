package cli

import (
	"slices"

	"burrcast/cmd/internal/report"
	"burrcast/rules"
	"burrcast/rules/samples"
)

// learnedOf is the report's form of what samples say, word for word.
func learnedOf(tables []samples.Table, r samples.Result) *report.Learned {
	out := &report.Learned{Used: r.Used, Older: r.Older}
	for _, t := range tables {
		out.Files = append(out.Files, report.SampleFile{File: t.File, Rows: t.Rows, Samples: len(t.Samples), Waiting: len(t.Waiting), Bad: len(t.Problems), Unused: t.Unused})
		for _, p := range t.Problems {
			out.Problems = append(out.Problems, report.SampleProblem{File: p.File, Row: p.Row, Column: p.Column, Reason: p.Reason})
		}
	}
	for _, d := range r.Duplicates {
		out.Duplicates = append(out.Duplicates, report.SampleDuplicate{File: d.Sample.File, Row: d.Sample.Row, FirstFile: d.First.File, FirstRow: d.First.Row, Contradicts: d.Contradicts})
	}
	for i := range r.Groups {
		out.Groups = append(out.Groups, learnedGroup(&r.Groups[i]))
	}
	for _, h := range r.Heights {
		row := report.LearnedHeight{Process: h.Process, Family: h.Family, Thickness: finite(h.Thickness), Samples: h.Fit.N, Median: finite(h.Fit.Median),
			Low: report.Known(h.Fit.Low, h.Fit.Known), High: report.Known(h.Fit.High, h.Fit.Known),
			ForecastLow: report.Known(h.Forecast.Low, h.Known), ForecastHigh: report.Known(h.Forecast.High, h.Known),
			Inside: h.Inside, Settled: h.Settled, Why: h.Why, More: h.More}
		out.Heights = append(out.Heights, row)
	}
	return out
}

func learnedGroup(g *samples.Group) report.LearnedGroup {
	rule, _ := rules.Lookup(g.Rule)
	out := report.LearnedGroup{Rule: g.Rule, Title: sentenceCase(rule.Title), Line: g.Line, Unit: g.Unit, Samples: len(g.Samples), Clean: g.Clean, Mixed: g.Mixed,
		Default: report.Known(g.Default, g.HasDefault), Settled: g.Settled, Why: g.Why}
	out.Forecast = report.LearnedForecast{Judged: g.Confusion.All(), Computed: g.Computed, Right: g.Confusion.Right(),
		CleanClean: g.Confusion.CleanClean, CleanBurr: g.Confusion.CleanBurr, BurrClean: g.Confusion.BurrClean, BurrBurr: g.Confusion.BurrBurr,
		Brier: report.Known(g.Brier, len(g.Forecasts) > 0)}
	for _, b := range g.Bands {
		some := b.N > 0
		out.Forecast.Reliability = append(out.Forecast.Reliability, report.LearnedBand{From: finite(b.From), To: finite(b.To), Samples: b.N,
			Forecast: report.Known(b.Forecast, some), Clean: report.Known(b.Clean, some), Low: report.Known(b.Low, some), High: report.Known(b.High, some)})
	}
	if g.Fitted {
		out.Fit = fitOf(g)
		out.LookNear = report.Known(g.LookNear, true)
	}
	if g.HasMore {
		n := g.More
		out.More = &n
	}
	if n := g.Next; n != nil {
		out.Next = &report.NextPlace{File: n.File, Row: n.Row, Drawing: n.Drawing, Part: n.Part, Piece: n.Piece, Place: n.Place, Measured: finite(n.Measured)}
	}
	if k := g.Known; k != nil {
		out.Known = &report.KnownLimit{Limit: finite(k.Limit), Low: finite(k.Interval[0]), High: finite(k.Interval[1]), Samples: k.Samples, Date: k.Date}
	}
	if d := g.Drift; d != nil {
		out.Drift = &report.LearnedDrift{Samples: d.Samples, Contradictions: d.Contradictions, Expected: finite(d.Expected), BurrMore: d.BurrMore,
			P: finite(d.P), Alpha: samples.DriftAlpha, Flagged: d.Flagged}
	}
	for _, s := range g.Samples {
		out.Points = append(out.Points, report.LearnedPoint{Measured: g.Now(s), Clean: s.Clean})
	}
	slices.SortStableFunc(out.Points, func(a, b report.LearnedPoint) int {
		switch {
		case a.Measured < b.Measured:
			return -1
		case a.Measured > b.Measured:
			return 1
		}
		return 0
	})
	return out
}

func fitOf(g *samples.Group) *report.LearnedFit {
	end := func(l samples.Limit, i int) *report.Num {
		return report.Known(g.In([2]float64{l.Low, l.High}[i]), !l.Open[i])
	}
	f := &report.LearnedFit{Limit: finite(g.In(g.Limit.X)), Low: end(g.Limit, 0), High: end(g.Limit, 1), Share: finite(g.Share), Words: samples.ShareWords(g.Share),
		Intercept: finite(g.Curve.A), Slope: finite(g.Curve.B), Scale: finite(g.Scale), Filament: report.Known(g.Filament, g.Filament > 0)}
	if g.HasSafe {
		f.Safe, f.SafeLow, f.SafeHigh = report.Known(g.In(g.Safe.X), true), end(g.Safe, 0), end(g.Safe, 1)
	}
	return f
}

// sentenceCase starts a title with a capital.
func sentenceCase(s string) string {
	if s == "" {
		return s
	}
	return sentence(s)[:len(sentence(s))-1]
}
