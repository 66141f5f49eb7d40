package report

import (
	"fmt"
	"slices"
	"strings"
)

// EdgeChoice is one reading of "burr-free" and what it would mean for a part.
type EdgeChoice struct {
	Edge      string    `json:"edge"`  // preset of the shop file
	Means     string    `json:"means"` // in words
	Treatment Treatment `json:"treatment"`
	Line      Range     `json:"line_s"`
	Hand      Range     `json:"hand_s"`
	Cost      Range     `json:"cost"`
}

// Way is one way to finish a part that cannot be held, or to take its oxide off.
type Way struct {
	For    string `json:"for"` // "holding" or "oxide"
	Name   string `json:"name"`
	Line   Range  `json:"line_s"`
	Hand   Range  `json:"hand_s"`
	Cost   Range  `json:"cost"`
	Note   string `json:"note"`
	Source string `json:"source"`
}

// BurrStretch is one stretch of edge in the map of the burr: a contour, or a
// place on it.
type BurrStretch struct {
	Contour string `json:"contour"`           // "O" for the outline
	Feature string `json:"feature,omitempty"` // of the place; none for a whole contour
	X       Num    `json:"x_mm"`
	Y       Num    `json:"y_mm"`
	Length  *Num   `json:"length_mm"` // of edge; null for a place alone
	Kind    string `json:"kind"`
	Low     Num    `json:"low_mm"`
	High    Num    `json:"high_mm"`
	Why     string `json:"why"`
}

// Comparison is how the whole run does on every line of the shop file.
type Comparison struct {
	Currency    string       `json:"currency"`
	Best        string       `json:"best"`
	Judged      string       `json:"judged,omitempty"` // line that parts, totals and the exit code are of
	Why         string       `json:"why"`
	Lines       []LineWork   `json:"lines"` // best first
	Differences []Difference `json:"differences"`
	Others      int          `json:"others"` // parts that differ besides those
	Next        []Difference `json:"next"`   // between the best line and the next
}

// LineWork is the whole run on one line. Counts are pieces, times and costs are
// of all pieces.
type LineWork struct {
	Line     string      `json:"line"`
	Title    string      `json:"title"`
	Pieces   int         `json:"pieces"`
	By       ByTreatment `json:"by_treatment"`
	Never    int         `json:"not_taken"` // of all pieces, those that the line cannot take
	LineTime Range       `json:"line_s"`
	Hand     Range       `json:"hand_s"`
	Abrasive Range       `json:"abrasive"`
	Cost     Range       `json:"cost"`
}

// Difference is a part that the lines treat differently.
type Difference struct {
	File   string    `json:"file"`
	Part   string    `json:"part"`
	Pieces int       `json:"pieces"`
	Best   string    `json:"best"`  // line that does it cheapest
	Worst  string    `json:"worst"` // line that does it dearest
	Extra  Range     `json:"extra"` // what all its pieces cost more there
	By     []OnALine `json:"lines"`
}

// OnALine is a part's treatment on one line.
type OnALine struct {
	Line      string    `json:"line"`
	Treatment Treatment `json:"treatment"`
	Rule      string    `json:"rule,omitempty"` // that decides it
}

// finds reports whether a rule fails on one of the drawing's parts.
func (d *Drawing) finds(rule string) bool {
	return slices.ContainsFunc(d.Parts, func(p Part) bool {
		return slices.ContainsFunc(p.Findings, func(f Finding) bool { return f.Rule == rule })
	})
}

// burrWords tells what cutting leaves, where it is heaviest, and where sources
// disagree on it.
func burrWords(p *Part) string {
	if p.Burr == nil {
		return ""
	}
	height := "up to " + short(float64(p.Burr.High)) + " mm"
	if p.Burr.Low > 0 {
		height = short(float64(p.Burr.Low)) + " to " + short(float64(p.Burr.High)) + " mm"
	}
	s := fmt.Sprintf("burr: %s, %s, %s", p.Burr.Kind, height, p.Burr.Side)
	var worst []string
	for _, m := range p.Burr.Map {
		if id := m.Feature; m.High == p.Burr.High {
			if id == "" {
				id = m.Contour
			}
			worst = append(worst, id)
		}
	}
	if n := len(worst); n > 5 {
		worst = append(worst[:4:4], fmt.Sprintf("%d more", n-4))
	}
	if len(worst) > 0 {
		s += "; heaviest at " + strings.Join(worst, ", ")
	}
	if strings.Contains(p.Burr.Note, "disagree") {
		s += "; " + p.Burr.Note
	}
	return s
}

// edgeChoices tells what each reading of "burr-free" would cost, in one text.
func edgeChoices(list []EdgeChoice) string {
	if len(list) == 0 {
		return ""
	}
	words := make([]string, len(list))
	asked := true
	for i, c := range list {
		words[i] = fmt.Sprintf("%s %.2f to %.2f (%s)", c.Edge, float64(c.Cost[0]), float64(c.Cost[1]), c.Treatment)
		asked = asked && c.Treatment == "ask"
	}
	if asked { // something else must be cleared up before any edge can be priced
		return ""
	}
	return "edge not stated; a piece would cost with " + strings.Join(words, ", ")
}

// Second is the line that comes next to the best, or nothing.
func (c *Comparison) Second() string {
	if len(c.Lines) < 2 {
		return ""
	}
	return c.Lines[1].Line
}

// JudgedOn says which line everything but the comparison is about.
func (c *Comparison) JudgedOn() string {
	line := "the shop file's default line"
	if c.Judged != "" {
		line = c.Judged + ", " + line
	}
	return "totals, parts and the exit code are judged on " + line + "; only the comparison is of all lines"
}

// compared tells the comparison: counts, then times and money, then the parts
// that make the difference.
func (b *block) compared(c *Comparison) {
	b.wrapAt("", 0, c.JudgedOn())
	b.lines = append(b.lines, "")
	name := len("all pieces on")
	for _, l := range c.Lines {
		name = max(name, width(l.Line))
	}
	row := func(first string, cells ...string) {
		line := fmt.Sprintf("%-*s", name, clean(first))
		for _, s := range cells {
			line += "  " + s
		}
		b.lines = append(b.lines, strings.TrimRight(line, " "))
	}
	row("pieces on", " as is", " brush", "holding", "  hand", "   ask", "not taken")
	for _, l := range c.Lines {
		row(l.Line, fmt.Sprintf("%6d", l.By.Line), fmt.Sprintf("%6d", l.By.Brush), fmt.Sprintf("%7d", l.By.Fixture),
			fmt.Sprintf("%6d", l.By.Hand), fmt.Sprintf("%6d", l.By.Ask), fmt.Sprintf("%9d", l.Never))
	}
	b.lines = append(b.lines, "")
	row("all pieces on", fmt.Sprintf("%-16s  %-16s  %-15s  %s", "line", "bench", "abrasive", "cost, "+clean(c.Currency)))
	for _, l := range c.Lines {
		row(l.Line, fmt.Sprintf("%-16s  %-16s  %-15s  %s", duration(l.LineTime), duration(l.Hand), amounts(l.Abrasive), amounts(l.Cost)))
	}
	if c.Best != "" {
		b.lines = append(b.lines, "")
		b.bare("best for this mix: " + c.Best + "; " + c.Why)
	}
	if len(c.Lines) > 1 && len(c.Next) > 0 {
		b.lines = append(b.lines, "")
		b.bare("what makes the difference to " + c.Second() + ", most first:")
		b.differ(c.Next)
	}
	if len(c.Differences) > 0 {
		b.lines = append(b.lines, "")
		b.bare("what makes the difference among all lines, most first:")
		b.differ(c.Differences)
	}
	if c.Others > 0 {
		b.bare("and " + plural(c.Others, "part") + " more that the lines treat differently")
	}
}

// differ tells parts that lines treat differently.
func (b *block) differ(list []Difference) {
	for _, d := range list {
		b.wrapAt("* ", 2, fmt.Sprintf("%s  %s, %s: %s more on %s than on %s", d.File, d.Part, plural(d.Pieces, "piece"), amounts(d.Extra), d.Worst, d.Best))
		words := make([]string, len(d.By))
		for k, w := range d.By {
			words[k] = w.Line + " " + string(w.Treatment)
			if w.Rule != "" {
				words[k] += " (" + w.Rule + ")"
			}
		}
		b.wrapAt("  ", 2, strings.Join(words, ", "))
	}
}

// amounts is a range of money.
func amounts(r Range) string {
	return fmt.Sprintf("%.2f to %.2f", float64(r[0]), float64(r[1]))
}
