package report

import (
	"fmt"
	"strings"
)

// learnedText tells people what samples say: the answer first, then each rule
// and line, heights, and what was left out.
func learnedText(l *Learned) string {
	b := &block{}
	b.bare(l.headline())
	b.bare(l.summary())
	if l.Shop != nil {
		b.bare(l.Shop.words())
	}
	for i := range l.Groups {
		b.lines = append(b.lines, "")
		b.learnedGroup(&l.Groups[i])
	}
	if len(l.Heights) > 0 {
		b.lines = append(b.lines, "", "burr heights as cut")
		for i := range l.Heights {
			b.wrapAt("  ", 4, l.Heights[i].words())
		}
	}
	if len(l.Problems) > 0 {
		b.lines = append(b.lines, "", "left out")
		for _, p := range l.Problems {
			b.wrapAt("  ", 4, p.Words())
		}
	}
	if len(l.Duplicates) > 0 {
		b.lines = append(b.lines, "", "duplicates")
		for _, d := range l.Duplicates {
			b.wrapAt("  ", 4, d.words())
		}
	}
	return strings.Join(b.lines, "\n") + "\n"
}

// headline is the answer in a line.
func (l *Learned) headline() string {
	judged, right := 0, 0
	for _, g := range l.Groups {
		judged += g.Forecast.Judged
		right += g.Forecast.Right
	}
	if l.Used == 0 {
		return "no samples that count"
	}
	s := plural(l.Used, "sample")
	if judged > 0 {
		s += fmt.Sprintf(": the forecast was right in %d of %d", right, judged)
	}
	return s
}

// summary counts limits and rows.
func (l *Learned) summary() string {
	settled, drifted := 0, 0
	for _, g := range l.Groups {
		if g.Settled {
			settled++
		}
		if g.Drift != nil && g.Drift.Flagged {
			drifted++
		}
	}
	words := []string{fmt.Sprintf("limits settled: %d of %d", settled, len(l.Groups))}
	if drifted > 0 {
		words = append(words, plural(drifted, "limit")+" contradicted by later samples")
	}
	waiting := 0
	for _, f := range l.Files {
		waiting += f.Waiting
	}
	for _, c := range []struct {
		n          int
		noun, word string
	}{{waiting, "row", " not inspected yet"}, {len(l.Problems), "row", " left out"}, {len(l.Duplicates), "duplicate", ""}, {l.Older, "row", " older than --since"}} {
		if c.n > 0 {
			words = append(words, plural(c.n, c.noun)+c.word)
		}
	}
	return strings.Join(words, "; ")
}

// words says what became of the shop file.
func (s *LearnedShop) words() string {
	n := 0
	for _, e := range s.Entries {
		if e.Written {
			n++
		}
	}
	switch {
	case n == 0:
		return "nothing is settled, so nothing was written to " + s.File
	case !s.Written:
		return s.File + " holds these numbers already"
	}
	words := fmt.Sprintf("written to %s: %s", s.File, plural(n, "entry"))
	if n > 1 {
		words = fmt.Sprintf("written to %s: %d entries", s.File, n)
	}
	return words
}

func (b *block) learnedGroup(g *LearnedGroup) {
	line := func(text string) { b.wrapAt("  ", 4, text) }
	b.bare(fmt.Sprintf("%s on %s: %s, %d clean, %d with burr left", g.Rule, g.Line, plural(g.Samples, "sample"), g.Clean, g.Samples-g.Clean))
	for _, s := range g.answer() {
		line(s)
	}
	line(g.Forecast.words())
	if n := g.Forecast.Judged; n > 0 {
		b.lines = append(b.lines, "  chance forecast   samples   came clean")
		for _, r := range g.Forecast.Reliability {
			b.lines = append(b.lines, "  "+r.row())
		}
	}
	if g.Drift != nil {
		line(g.driftWords())
	}
	if s := g.nextWords(); s != "" {
		line(s)
	}
	if g.Mixed != "" {
		line("fitted together: " + g.Mixed)
	}
}

// answer is the fitted limit in sentences without stops.
func (g *LearnedGroup) answer() []string {
	var out []string
	if f := g.Fit; f != nil {
		s := fmt.Sprintf("limit %s, %s; %s of the places come clean there", g.value(f.Limit), g.interval(f.Low, f.High), f.Words)
		if g.Default != nil {
			s += ", forecast so far " + g.value(*g.Default)
		}
		out = append(out, s)
		if f.Safe != nil {
			out = append(out, fmt.Sprintf("nine of ten come clean at %s, %s", g.value(*f.Safe), g.interval(f.SafeLow, f.SafeHigh)))
		}
	} else if g.Default != nil {
		out = append(out, "no limit can be fitted; forecast so far "+g.value(*g.Default))
	}
	if k := g.Known; k != nil {
		out = append(out, fmt.Sprintf("the shop file has %s (%s to %s) from %s up to %s", g.value(k.Limit), short(float64(k.Low)), g.value(k.High), plural(k.Samples, "sample"), k.Date))
	}
	return append(out, g.state())
}

// state says whether the limit may be used.
func (g *LearnedGroup) state() string {
	if g.Settled {
		return "settled"
	}
	s := "not settled: " + g.Why
	switch {
	case g.More == nil:
	case *g.More >= 10000:
		s += "; more than 10000 samples would be needed"
	case g.Fit != nil && (g.Fit.Low == nil || g.Fit.High == nil):
		s += fmt.Sprintf("; at least %s near %s will be needed", plural(*g.More, "more sample"), g.value(g.Fit.Limit))
	case g.LookNear != nil:
		s += fmt.Sprintf("; about %s near %s would settle it", plural(*g.More, "more sample"), g.value(*g.LookNear))
	default:
		s += fmt.Sprintf("; %s at least", plural(*g.More, "more sample"))
	}
	return s
}

// value is a measure with the group's unit.
func (g *LearnedGroup) value(n Num) string { return short(float64(n)) + " " + g.Unit }

// interval is the 95 % interval in words, open where it has no end.
func (g *LearnedGroup) interval(low, high *Num) string {
	switch {
	case low != nil && high != nil:
		return fmt.Sprintf("95 %% interval %s to %s", short(float64(*low)), g.value(*high))
	case low != nil:
		return fmt.Sprintf("95 %% interval from %s up without end", g.value(*low))
	case high != nil:
		return fmt.Sprintf("95 %% interval up to %s without a low end", g.value(*high))
	}
	return "the samples do not bound it"
}

// words says how often the forecast was right.
func (f *LearnedForecast) words() string {
	if f.Judged == 0 {
		return "no forecast to compare with: process, material or thickness are not written"
	}
	s := fmt.Sprintf("forecast right in %d of %d: of %d forecast clean %d were, of %d forecast burred %d were",
		f.Right, f.Judged, f.CleanClean+f.CleanBurr, f.CleanClean, f.BurrBurr+f.BurrClean, f.BurrBurr)
	if f.Brier != nil {
		s += fmt.Sprintf("; Brier score %.3f (0 perfect, 0.25 a coin)", float64(*f.Brier))
	}
	if f.Computed > 0 {
		s += fmt.Sprintf("; %s computed now from the shop's limit", plural(f.Computed, "forecast"))
	}
	return s
}

func (r *LearnedBand) row() string {
	s := fmt.Sprintf("%3.0f to %3.0f %% %12d", 100*float64(r.From), 100*float64(r.To), r.Samples)
	if r.Clean == nil {
		return s
	}
	return s + fmt.Sprintf("%9.0f %%   (%.0f to %.0f %%)", 100*float64(*r.Clean), 100*float64(*r.Low), 100*float64(*r.High))
}

func (g *LearnedGroup) driftWords() string {
	d := g.Drift
	since := ""
	if g.Known != nil {
		since = " after " + g.Known.Date
	}
	s := fmt.Sprintf("%s%s: %d contradict the limit of the shop file, %.1f were to be expected (exact binomial test, two-sided, p = %.2g)",
		plural(d.Samples, "sample"), since, d.Contradictions, float64(d.Expected), float64(d.P))
	switch {
	case !d.Flagged:
		return "no drift: " + s
	case 2*d.BurrMore >= d.Contradictions:
		return "DRIFT at the level of " + short(float64(d.Alpha)) + ": " + s + "; burr is left where it used to come clean: look at brush and belt, then fit the samples after the change alone (--since)"
	}
	return "DRIFT at the level of " + short(float64(d.Alpha)) + ": " + s + "; places come clean where burr used to be left: fit the samples after the change alone (--since)"
}

// nextWords names the place to inspect next.
func (g *LearnedGroup) nextWords() string {
	switch {
	case g.Next != nil:
		n := g.Next
		s := fmt.Sprintf("inspect next: %s %s, place %s (%s)", n.Drawing, n.Part, n.Place, g.value(n.Measured))
		if n.Piece != "" {
			s += ", piece " + n.Piece
		}
		if n.Row > 0 {
			s += fmt.Sprintf(", row %d of %s", n.Row, n.File)
		}
		return s
	case !g.Settled && g.LookNear != nil:
		return "inspect next: any place near " + g.value(*g.LookNear)
	}
	return ""
}

func (h *LearnedHeight) words() string {
	s := fmt.Sprintf("%s, %s, %s mm: %s, median %s mm", h.Process, h.Family, short(float64(h.Thickness)), plural(h.Samples, "height"), short(float64(h.Median)))
	if h.Low != nil {
		s += fmt.Sprintf("; the next lies between %s and %s mm (95 %%)", short(float64(*h.Low)), short(float64(*h.High)))
	}
	if h.ForecastLow != nil {
		s += fmt.Sprintf("; the forecast of %s to %s mm held %d of them", short(float64(*h.ForecastLow)), short(float64(*h.ForecastHigh)), h.Inside)
	}
	if h.Settled {
		return s + "; settled"
	}
	return s + "; not settled: " + h.Why
}

// Words names the row and says what is wrong with it.
func (p *SampleProblem) Words() string {
	at := p.File
	if p.Row > 0 {
		at += fmt.Sprintf(":%d", p.Row)
	}
	if p.Column != "" {
		at += ", " + p.Column
	}
	return at + ": " + p.Reason
}

func (d *SampleDuplicate) words() string {
	s := fmt.Sprintf("%s:%d repeats %s:%d", d.File, d.Row, d.FirstFile, d.FirstRow)
	if d.Contradicts {
		return s + " and contradicts it: neither counts"
	}
	return s
}
