package rules

import (
	"cmp"
	"fmt"
	"slices"
)

// Mix gathers how a shop's mixed work does on every line of its shop file. Its
// zero value is not ready: use NewMix.
type Mix struct {
	lines []string
	title map[string]string
	rows  []mixRow
}

type mixRow struct {
	file, part string
	pieces     int
	by         []lineWork // in order of lines
}

// lineWork is what of a judgement the comparison keeps.
type lineWork struct {
	treatment Treatment
	line      Range
	hand      Range
	abrasive  Range
	cost      Range
	never     bool
	rule      string // that decides the treatment, or ""
}

// LineSummary is how the whole mix does on one line. Counts are pieces; times
// and costs are of all pieces.
type LineSummary struct {
	Line, Title string
	Pieces      int
	Unaided     int // run as they are
	Brushing    int // need a brush head or a pass more
	Holding     int // need a carrier, tray or plate
	Hand        int // need bench work
	Asking      int // a question must be answered first
	Never       int // of all, pieces that this line cannot take at all
	LineTime    Range
	HandTime    Range
	Abrasive    Range
	Cost        Range
}

// Difference is a part that the lines treat differently.
type Difference struct {
	File, Part string
	Pieces     int
	Best       string   // the line that does it cheapest
	Worst      string   // the one that does it dearest
	Extra      Range    // what all its pieces cost more on the worst than on the best
	By         []OnLine // in order of the lines' names
}

// OnLine is a part's treatment on one line, and the rule that decides it, if one
// does.
type OnLine struct {
	Line      string
	Treatment Treatment
	Rule      string
}

// MixReport is the comparison: lines with the best first.
type MixReport struct {
	Lines       []LineSummary
	Best        string
	Why         string       // in one sentence
	Differences []Difference // what makes the difference, most first; at most mixShown, none below a hundredth of it
	Others      int          // parts that the lines treat differently besides those
	Next        []Difference // the same between the best line and the next, either way; at most half as many
}

// mixShown is how many differing parts a comparison names.
const mixShown = 10

// NewMix starts a comparison of all lines of a shop.
func NewMix(shop Shop) *Mix {
	m := &Mix{lines: shop.LineNames(), title: map[string]string{}}
	for _, n := range m.lines {
		m.title[n] = shop.Lines[n].Title
	}
	return m
}

// Add puts one part with its number of pieces in, as CompareLines judged it.
func (m *Mix) Add(file, part string, pieces int, verdicts []LineVerdict) {
	row := mixRow{file: file, part: part, pieces: pieces, by: make([]lineWork, len(m.lines))}
	for _, v := range verdicts {
		i := slices.Index(m.lines, v.Line)
		if i < 0 {
			continue
		}
		j := v.Judgement
		w := lineWork{treatment: j.Treatment, line: j.LineTime, hand: j.HandTime, abrasive: j.Abrasive, cost: j.Cost, never: j.LineTime.High == 0}
		if len(j.Findings) > 0 && j.Treatment > Line {
			w.rule = j.Findings[0].Rule
		}
		row.by[i] = w
	}
	m.rows = append(m.rows, row)
}

// Report adds up and compares.
//
//  1. A line's cost is that of all pieces, bench work on what it cannot do
//     included, so that a line that takes little does not look cheap.
//  2. The best line is the one with the least cost in the middle of its range;
//     of two within 2 % the one with less bench time.
//  3. The parts that make the difference are those with the largest gap between
//     their cheapest and their dearest line.
func (m *Mix) Report() MixReport {
	var r MixReport
	for i, name := range m.lines {
		s := LineSummary{Line: name, Title: m.title[name]}
		for _, row := range m.rows {
			w, n := row.by[i], row.pieces
			s.Pieces += n
			switch w.treatment {
			case Line:
				s.Unaided += n
			case Brush:
				s.Brushing += n
			case Fixture:
				s.Holding += n
			case Hand:
				s.Hand += n
			case Ask:
				s.Asking += n
			}
			if w.never {
				s.Never += n
			}
			s.LineTime, s.HandTime = add(s.LineTime, times(w.line, n)), add(s.HandTime, times(w.hand, n))
			s.Abrasive, s.Cost = add(s.Abrasive, times(w.abrasive, n)), add(s.Cost, times(w.cost, n))
		}
		r.Lines = append(r.Lines, s)
	}
	slices.SortStableFunc(r.Lines, func(a, b LineSummary) int {
		return cmp.Or(cmp.Compare(middle(a.Cost), middle(b.Cost)), cmp.Compare(a.Line, b.Line))
	})
	best := 0
	for i, l := range r.Lines {
		if middle(l.Cost) <= 1.02*middle(r.Lines[0].Cost) && middle(l.HandTime) < middle(r.Lines[best].HandTime) {
			best = i
		}
	}
	if best > 0 {
		r.Lines = slices.Concat(r.Lines[best:best+1], r.Lines[:best], r.Lines[best+1:])
	}
	if len(r.Lines) > 0 && len(m.rows) > 0 {
		r.Best, r.Why = r.Lines[0].Line, why(r.Lines)
	}
	all := make([]int, len(m.lines))
	for i := range all {
		all[i] = i
	}
	r.Differences, r.Others = m.differences(all, mixShown, 0.01)
	if len(r.Lines) > 1 {
		r.Next, _ = m.differences([]int{slices.Index(m.lines, r.Lines[0].Line), slices.Index(m.lines, r.Lines[1].Line)}, mixShown/2, 0.05)
	}
	return r
}

func times(r Range, n int) Range { return Range{r.Low * float64(n), r.High * float64(n)} }

func middle(r Range) float64 { return (r.Low + r.High) / 2 }

// why says what the best line has over the next.
func why(lines []LineSummary) string {
	a := lines[0]
	ready := a.Unaided + a.Brushing
	s := fmt.Sprintf("%d of %d pieces run on it without holding or bench work", ready, a.Pieces)
	if len(lines) < 2 {
		return s
	}
	b := lines[1]
	x, y := middle(a.Cost), middle(b.Cost)
	switch {
	case y > 1.02*x:
		s += fmt.Sprintf("; the next, %s, costs %.0f %% more", b.Line, 100*(y/x-1))
	default:
		s += fmt.Sprintf("; %s costs as much within 2 %%", b.Line)
	}
	if h := middle(b.HandTime) - middle(a.HandTime); h > 0.05*middle(b.HandTime) && h >= 1 {
		s += fmt.Sprintf(" and leaves %.0f min more to the bench", h/60)
	} else if h < -0.05*middle(a.HandTime) && -h >= 1 {
		s += fmt.Sprintf(", although it leaves %.0f min less to the bench", -h/60)
	}
	return s
}

// differences lists the parts that some of the lines, by index, treat or price
// differently, at most so many and none below a share of their sum, and how many
// more there are.
func (m *Mix) differences(lines []int, most int, least float64) ([]Difference, int) {
	var all []Difference
	for _, row := range m.rows {
		d := Difference{File: row.file, Part: row.part, Pieces: row.pieces}
		best, worst, same := lines[0], lines[0], len(lines) > 2
		for _, i := range lines {
			w := row.by[i]
			if middle(w.cost) < middle(row.by[best].cost) {
				best = i
			}
			if middle(w.cost) > middle(row.by[worst].cost) {
				worst = i
			}
			same = same && w.treatment == row.by[lines[0]].treatment
			d.By = append(d.By, OnLine{m.lines[i], w.treatment, w.rule})
		}
		b, w := row.by[best].cost, row.by[worst].cost
		if same || middle(w) <= middle(b) {
			continue
		}
		d.Best, d.Worst = m.lines[best], m.lines[worst]
		d.Extra = times(Range{max(w.Low-b.Low, 0), max(w.High-b.High, 0)}, row.pieces)
		all = append(all, d)
	}
	slices.SortStableFunc(all, func(a, b Difference) int { return -cmp.Compare(middle(a.Extra), middle(b.Extra)) })
	sum := 0.0
	for _, d := range all {
		sum += middle(d.Extra)
	}
	shown := 0
	for shown < min(len(all), most) && middle(all[shown].Extra) >= least*sum {
		shown++
	}
	return all[:shown], len(all) - shown
}
