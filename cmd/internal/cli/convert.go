package cli

import (
	"math"
	"slices"

	"burrcast/analyze/measure"
	"burrcast/cmd/internal/report"
	"burrcast/rules"

	"github.com/golang/geo/r2"
)

// partOf is the report's part: what was measured and how it was judged, word
// for word.
func partOf(m measure.Part, j rules.Judgement, pieces int) report.Part {
	p := report.Part{
		ID:            m.ID,
		Quantity:      max(m.Quantity, 1) * pieces,
		MirroredOf:    m.MirroredOf,
		Area:          num(m.Area),
		OutlineLength: num(m.OutlineLength),
		CutLength:     num(m.CutLength),
		BBox:          [2]report.Num{finite(m.BBox.X.Length()), finite(m.BBox.Y.Length())},
		MinWidth:      num(m.MinWidth),
		Incomplete:    m.Incomplete,
		Inside:        m.Inside,
		HeldBy:        m.HeldBy,
		Forms:         formsOf(m.Forms),
		Feed:          feedOf(m, j.Feed),
		Time:          report.Time{Line: rangeOf(j.LineTime), Hand: rangeOf(j.HandTime)},
		Cost:          rangeOf(j.Cost),
		Treatment:     treatment(j.Treatment),
	}
	p.Cutouts = each(m.Cutouts, func(c *measure.Cutout) report.Cutout {
		x, y := at(c.At)
		return report.Cutout{ID: c.ID, Kind: c.Kind, X: x, Y: y, Area: num(c.Area),
			Perimeter: num(c.Perimeter), Inscribed: num(c.Inscribed), MinWidth: num(c.MinWidth)}
	})
	p.Notches = each(m.Notches, func(n *measure.Notch) report.Notch {
		x, y := at(n.At)
		return report.Notch{ID: n.ID, X: x, Y: y, Width: num(n.Width), Depth: num(n.Depth)}
	})
	p.Webs = each(m.Webs, func(w *measure.Passage) report.Web {
		x, y := at(w.At)
		return report.Web{ID: w.ID, Kind: w.Kind, X: x, Y: y, Width: num(w.Width), Length: num(w.Length),
			Between: slices.DeleteFunc(slices.Clone(w.Between[:]), func(id string) bool { return id == "" })}
	})
	p.Corners = each(m.Corners, func(k *measure.Corner) report.Corner {
		x, y := at(k.At)
		return report.Corner{ID: k.ID, X: x, Y: y, Angle: finite(k.Angle), Side: k.Side}
	})
	p.Joints = each(m.Joints, func(g *measure.Joint) report.Joint {
		x, y := at(g.At)
		return report.Joint{ID: g.ID, X: x, Y: y, Gap: num(g.Gap), Contour: g.Contour, Bridge: g.Bridge}
	})
	p.Bends = each(m.Bends, bendOf)
	p.Findings = each(j.Findings, func(f *rules.Finding) report.Finding {
		x, y := at(f.At)
		return report.Finding{Rule: f.Rule, Treatment: treatment(f.Treatment), Feature: f.Feature,
			X: x, Y: y, Measured: report.Known(f.Measured, true), Limit: report.Known(f.Limit, true), Unit: f.Unit,
			Why: f.Why, Do: f.Do, Source: f.Source, Provenance: f.Provenance}
	})
	if b := j.Burr; b != nil {
		p.Burr = &report.Burr{Process: b.Process, Side: b.Side, Kind: b.Kind, Low: finite(b.Low), High: finite(b.High), Source: sourceOf(b.Source, b.Provenance)}
	}
	p.Route = each(j.Route, func(s *rules.Step) report.Step {
		return report.Step{Step: s.Step, Head: s.Head, Note: s.Note, Settings: each(s.Settings, func(set *rules.Setting) report.Setting {
			return report.Setting{Name: set.Name, Value: set.Value, Source: set.Source}
		})}
	})
	return p
}

// each turns every item of a list; of an empty one it makes none.
func each[T, U any](list []T, turn func(*T) U) []U {
	if len(list) == 0 {
		return nil
	}
	out := make([]U, len(list))
	for i := range list {
		out[i] = turn(&list[i])
	}
	return out
}

// feedOf is nil for a part whose lie on the conveyor was not measured.
func feedOf(m measure.Part, c rules.FeedChoice) *report.Feed {
	if len(m.Feeds) == 0 {
		return nil
	}
	return &report.Feed{
		Angle: finite(c.Angle), Length: finite(c.Length), Width: finite(c.Width),
		HoldMargin: report.Known(c.HoldMargin, c.HoldKnown),
		Worked:     report.Known(c.Worked, true),
	}
}

func num(v measure.Value) *report.Num { return report.Known(v.Get()) }

// finite panics where a number that must be there is none. The panic stays with
// the drawing; a number that is not one, once in the report, would end the run.
func finite(v float64) report.Num {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		panic("implementation error: a number of the report is not finite")
	}
	return report.Number(v)
}

// grid is what places are rounded to, mm: far below any drawing's accuracy, and
// it keeps the rounding noise of a place at zero out of the report.
const grid = 1e-9

func at(p r2.Point) (x, y report.Num) { return snap(p.X), snap(p.Y) }

func snap(v float64) report.Num {
	if math.Abs(v) < grid {
		return 0
	}
	return finite(v)
}

func rangeOf(r rules.Range) report.Range { return report.Range{finite(r.Low), finite(r.High)} }

func treatment(t rules.Treatment) report.Treatment { return report.Treatments[t] }

// sheet is nil without a border.
func sheet(d measure.Drawing) *report.Sheet {
	if !d.SheetWidth.Known && !d.SheetHeight.Known {
		return nil
	}
	return &report.Sheet{Width: num(d.SheetWidth), Height: num(d.SheetHeight)}
}

// sourceOf names a source with the kind of knowledge that it is.
func sourceOf(source, provenance string) string {
	if source == "" || provenance == "" {
		return source + provenance
	}
	return source + " (" + provenance + ")"
}

// ratesOf are the shop's prices that costs are computed with.
func ratesOf(shop rules.Shop) report.Rates {
	r := shop.Rates
	return report.Rates{Currency: shop.Currency, Line: rangeOf(r.LineHour.Range()), Bench: rangeOf(r.BenchHour.Range())}
}
