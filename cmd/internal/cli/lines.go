package cli

import (
	"slices"
	"strings"

	"burrcast/analyze"
	"burrcast/analyze/measure"
	"burrcast/cmd/internal/report"
	"burrcast/rules"
)

// allLines is the word of --line that compares all lines of the shop file. The
// report itself is then judged for the shop's default line.
const allLines = "all"

// comparing takes the word out of the flags and says whether it was there.
func (f *checkFlags) comparing() bool {
	if !strings.EqualFold(strings.TrimSpace(f.line), allLines) {
		return false
	}
	f.line = ""
	return true
}

// toolsOf lists the tools to measure reach for: those of the line judged, first
// and ascending, and for a comparison those of all others after them.
func toolsOf(shop rules.Shop, line string, compare bool) []float64 {
	tools := shop.Tools(line)
	if compare {
		for _, d := range shop.AllTools() {
			if !slices.Contains(tools, d) {
				tools = append(tools, d)
			}
		}
	}
	return tools
}

// toolSets are the tools of every line of the shop, by name.
func toolSets(shop rules.Shop, compare bool) map[string][]float64 {
	sets := map[string][]float64{}
	for _, name := range shop.LineNames() {
		sets[name] = toolsOf(shop, name, compare)
	}
	return sets
}

// lineFor is the line that a drawing is judged for.
func (c *checker) lineFor(s source) string {
	line := c.flags.line
	if strings.TrimSpace(line) == "" && s.table != nil && s.row >= 0 {
		line = s.table.rows[s.row].values["line"]
	}
	return c.shop.LineName(strings.TrimSpace(line))
}

// toolsFor are the tools that a drawing's line brings.
func (c *checker) toolsFor(s source) []float64 { return c.tools[c.lineFor(s)] }

// optionsFor says how a drawing is measured.
func (c *checker) optionsFor(s source) analyze.Options {
	opt := c.measure
	opt.Tools = c.toolsFor(s)
	return opt
}

// onLines is one part on all lines.
type onLines struct {
	Part     string
	Pieces   int
	Verdicts []rules.LineVerdict
}

// allLinesOf judges a part on every line, if that was asked for.
func (c *checker) allLinesOf(d measure.Drawing, p measure.Part, job rules.Job) []onLines {
	if !c.compare {
		return nil
	}
	verdicts, err := rules.CompareLines(d, p, job, c.shop)
	if err != nil {
		panic("implementation error: " + err.Error()) // the shop's own lines
	}
	return []onLines{{Part: p.ID, Pieces: max(p.Quantity, 1) * pieces(job), Verdicts: verdicts}}
}

// comparison is the report's form of a mix.
func comparison(m *rules.Mix, shop rules.Shop) *report.Comparison {
	if m == nil {
		return nil
	}
	r := m.Report()
	out := &report.Comparison{Currency: shop.Currency, Judged: shop.LineName(""), Best: r.Best, Why: r.Why, Others: r.Others}
	for _, l := range r.Lines {
		out.Lines = append(out.Lines, report.LineWork{
			Line: l.Line, Title: l.Title, Pieces: l.Pieces, Never: l.Never,
			By:       report.ByTreatment{Line: l.Unaided, Brush: l.Brushing, Fixture: l.Holding, Hand: l.Hand, Ask: l.Asking},
			LineTime: rangeOf(l.LineTime), Hand: rangeOf(l.HandTime), Abrasive: rangeOf(l.Abrasive), Cost: rangeOf(l.Cost),
		})
	}
	out.Differences, out.Next = differences(r.Differences), differences(r.Next)
	return out
}

func differences(list []rules.Difference) []report.Difference {
	var out []report.Difference
	for _, d := range list {
		row := report.Difference{File: d.File, Part: d.Part, Pieces: d.Pieces, Best: d.Best, Worst: d.Worst, Extra: rangeOf(d.Extra)}
		for _, w := range d.By {
			row.By = append(row.By, report.OnALine{Line: w.Line, Treatment: treatment(w.Treatment), Rule: w.Rule})
		}
		out = append(out, row)
	}
	return out
}

// advice adds what the judgement says beyond findings: what each edge would
// cost where none was stated, other ways, and the burr's map.
func (c *checker) advice(out *report.Part, d measure.Drawing, p measure.Part, job rules.Job, j rules.Judgement) {
	if j.Abrasive.High > 0 {
		r := rangeOf(j.Abrasive)
		out.Abrasive = &r
	}
	if slices.ContainsFunc(j.Questions, func(q rules.Question) bool { return q.Input == "edge" }) {
		costs, err := rules.EdgeCosts(d, p, job, c.shop)
		if err != nil {
			panic("implementation error: " + err.Error()) // the line was looked up before
		}
		out.EdgeChoices = each(costs, func(e *rules.EdgeCost) report.EdgeChoice {
			return report.EdgeChoice{Edge: e.Edge.Preset, Means: e.Edge.Explain(),
				Treatment: treatment(e.Treatment), Line: rangeOf(e.LineTime), Hand: rangeOf(e.HandTime), Cost: rangeOf(e.Cost)}
		})
	}
	out.Ways = each(j.Ways, func(w *rules.Way) report.Way {
		return report.Way{For: w.For, Name: w.Name, Line: rangeOf(w.Line), Hand: rangeOf(w.Hand), Cost: rangeOf(w.Cost),
			Note: w.Note, Source: sourceOf(w.Source, w.Provenance)}
	})
	if out.Burr == nil {
		return
	}
	out.Burr.Note = j.Burr.Note
	out.Burr.Map = each(j.BurrMap, func(s *rules.BurrStretch) report.BurrStretch {
		x, y := at(s.At)
		return report.BurrStretch{Contour: s.Contour, Feature: s.Feature, X: x, Y: y,
			Length: report.Known(s.Length, s.Length > 0), Kind: s.Kind, Low: finite(s.Low), High: finite(s.High), Why: s.Why}
	})
}
