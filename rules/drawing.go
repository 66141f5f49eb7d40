package rules

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"burrcast/analyze/measure"

	"github.com/golang/geo/r2"
)

// drawingRules say whether drawing and inputs can be trusted.
func drawingRules() []Rule {
	own := "the reading of the drawing itself"
	return []Rule{
		{
			Name: "open-contour", Title: "contour that does not close", Group: GroupDrawing,
			Measured: "open contours on the part", Formula: "count <= limit", Default: 0, Unit: "contours", Applies: "always",
			Treatment: Ask, Why: "an open contour cannot be cut or measured: part of the drawing is missing",
			Do:     "close the contour in the drawing, or join ends over a wider gap if that is what was meant",
			Source: own, Provenance: Reasoning, Example: "a hole with a gap of 7 mm: 1 contours against 0 contours, ask",
			judge: func(b *judging, r *Rule) {
				b.places(r, b.d.OpenContours, func(p measure.Place) string {
					if p.Size > 0 {
						return fmt.Sprintf("its ends lie %.3g mm from any other", p.Size)
					}
					return p.Text
				})
			},
		},
		{
			Name: "crossing-contour", Title: "contour that crosses itself or another", Group: GroupDrawing,
			Measured: "crossings on the part", Formula: "count <= limit", Default: 0, Unit: "crossings", Applies: "always",
			Treatment: Ask, Why: "where contours cross nobody can say what is material",
			Do:     "mend the drawing",
			Source: own, Provenance: Reasoning, Example: "two holes of 20 mm, 15 mm apart: 1 crossings against 0 crossings, ask",
			judge: func(b *judging, r *Rule) {
				b.places(r, b.d.Crossings, func(p measure.Place) string { return p.Text })
			},
		},
		{
			Name: "contours-touch", Title: "contours that touch", Group: GroupDrawing,
			Measured: "width of material where two cuts meet", Formula: "width >= limit", Default: 0.01, Unit: "mm", Applies: "webs and necks of the part",
			Treatment: Ask, Why: "two cuts meet here: what hangs between them drops out, and nobody can say whether a web or one opening was meant",
			Do:     "mend the drawing: join both into one contour, or leave a web of at least the thickness",
			Source: "narrower than any cut's own tolerance (class 1 of ISO 9013: 0.075 mm at best, looked up); the limit is an inference", Provenance: Reasoning, Example: "two holes of 20 mm, 20 mm apart: 0 mm against 0.01 mm, ask; 40 mm apart they pass",
			judge: judgeContoursTouch,
		},
		{
			Name: "part-tiny", Title: "outline too small to be a part", Group: GroupDrawing,
			Measured: "larger side of the part's box", Formula: "side >= limit", Default: 3, Unit: "mm", Applies: "always",
			Treatment: Ask, Why: "an outline this small is hardly a part: more likely a mark, a letter, a pierce point, or a hole whose plate is missing",
			Do:     "say what it is: put marks and letters on a layer that is not cut, or draw the plate round the hole",
			Source: "between two bounds, both looked up: below 1 mm no laser cuts an opening, and laser shops take parts from 15 mm on; where between them is an inference", Provenance: Reasoning, Example: "a circle of 2 mm beside a plate: 2 mm against 3 mm, ask",
			judge: judgePartTiny,
		},
		{
			Name: "part-incomplete", Title: "part that was not measured whole", Group: GroupDrawing,
			Measured: "reasons not to trust the part", Formula: "count <= limit", Default: 0, Unit: "reasons", Applies: "always",
			Treatment: Ask, Why: "the part was not measured whole",
			Do:     "mend the drawing and check it again",
			Source: own, Provenance: Reasoning, Example: "a part one of whose cut-outs stayed open; where open-contour tells it, this rule fails without a word of its own",
			judge: func(b *judging, r *Rule) {
				if b.p.ID == "" {
					return
				}
				if b.p.Incomplete == "" || b.limit(r, r.Default) >= 1 {
					b.see(r, Pass)
					return
				}
				if b.saidBy(b.p.Incomplete) {
					b.see(r, Fail)
					return
				}
				b.fail(r, r.Treatment, Finding{Measured: 1, Limit: b.limit(r, r.Default), At: b.p.Centroid, Why: r.Why + ": " + b.p.Incomplete})
			},
		},
		{
			Name: "entity-skipped", Title: "entity that could not be read", Group: GroupDrawing,
			Measured: "entities that draw and could not be read", Formula: "count <= limit", Default: 0, Unit: "entities", Applies: "always",
			Treatment: Ask, Why: "an entity that draws could not be read, so a cut may be missing",
			Do:     "save the drawing again from its program, or mend the entity named in the messages",
			Source: own, Provenance: Reasoning, Example: "an arc whose radius is not a number: 1 entities against 0 entities, ask",
			judge: func(b *judging, r *Rule) {
				b.count(r, float64(b.d.RejectedCurves), r.Treatment)
			},
		},
		{
			Name: "duplicate-lines", Title: "lines drawn twice", Group: GroupDrawing,
			Measured: "curves dropped because they lie on another", Formula: "count <= limit", Default: 0, Unit: "curves", Applies: "always",
			Treatment: Line, Why: "a line drawn twice is cut twice: the second cut burns the edge",
			Do:     "delete the duplicates before nesting",
			Source: own, Provenance: Reasoning, Example: "a hole drawn twice: 1 curves against 0 curves, line",
			judge: judgeDuplicates,
		},
		{
			Name: "units-assumed", Title: "units assumed", Group: GroupDrawing,
			Measured: "whether somebody stated the units", Formula: "assumed <= limit; otherwise one question, no finding", Default: 0, Unit: "assumed", Applies: "always",
			Treatment: Ask, Why: "the drawing states no unit and one was assumed",
			Do:     "state the units, in the drawing's header or by a flag",
			Source: own, Provenance: Reasoning, Example: "a header without units: asked",
			judge: func(b *judging, r *Rule) {
				if b.d.UnitsAssumed && b.limit(r, 0) < 1 {
					b.need(r, "units")
					return
				}
				b.see(r, Pass)
			},
		},
		{
			Name: "units-conflict", Title: "units contradict", Group: GroupDrawing,
			Measured: "contradictions about units", Formula: "count <= limit", Default: 0, Unit: "count", Applies: "units not given by a flag",
			Treatment: Ask, Why: "what the drawing says of its units contradicts",
			Do:     "state the units by a flag, or mend the header",
			Source: own, Provenance: Reasoning, Example: "a header that says inch and metric: 1 count against 0 count, ask",
			judge: func(b *judging, r *Rule) {
				if b.d.UnitsDoubt == "" || b.d.UnitsSource == "given" || b.limit(r, r.Default) >= 1 {
					b.see(r, Pass)
					return
				}
				b.fail(r, r.Treatment, Finding{Measured: 1, Limit: b.limit(r, r.Default), At: b.center(), Why: b.unitsDoubt()})
			},
		},
		{
			Name: "thickness-missing", Title: "thickness missing", Group: GroupDrawing,
			Measured: "whether a thickness was given", Formula: "given >= limit; otherwise one question, no finding", Default: 1, Unit: "given", Applies: "always",
			Treatment: Ask, Why: "without a thickness half of the rules cannot be judged", Do: "state the thickness",
			Source: own, Provenance: Reasoning, Example: "a drawing without note, job table or flag of it: asked",
			judge: func(b *judging, r *Rule) { b.given(r, b.ThicknessKnown, "thickness") },
		},
		{
			Name: "material-missing", Title: "material missing", Group: GroupDrawing,
			Measured: "whether a material was given", Formula: "given >= limit; otherwise one question, no finding", Default: 1, Unit: "given", Applies: "always",
			Treatment: Ask, Why: "burr, belt speed, zinc and magnet hang on the material", Do: "state the material",
			Source: own, Provenance: Reasoning, Example: "a drawing without note, job table or flag of it: asked",
			judge: func(b *judging, r *Rule) { b.given(r, b.MaterialKnown, "material") },
		},
		{
			Name: "process-missing", Title: "cutting process missing", Group: GroupDrawing,
			Measured: "whether a process was given", Formula: "given >= limit; otherwise one question, no finding", Default: 1, Unit: "given", Applies: "always",
			Treatment: Ask, Why: "what burr to expect hangs on how the part is cut", Do: "state the process",
			Source: own, Provenance: Reasoning, Example: "a drawing without note, job table or flag of it: asked",
			judge: func(b *judging, r *Rule) { b.given(r, b.Process != nil, "process") },
		},
		{
			Name: "input-conflict", Title: "inputs contradict each other", Group: GroupDrawing,
			Measured: "contradictions among the inputs", Formula: "count <= limit", Default: 0, Unit: "count", Applies: "always",
			Treatment: Ask, Why: "two inputs cannot both be true", Do: "clear up which is right",
			Source: "gauge series, process scopes (ISO 9013: laser 0.5 to 32 mm, plasma 0.5 to 150 mm) and coatings of the shop file", Provenance: LookedUp,
			Example: "punched plate of 15 mm, where punching is for 0.2 to 12 mm: 1 count against 0 count, ask",
			judge:   judgeInputConflict,
		},
	}
}

// judgeDuplicates counts the doubles on the part; where the drawing does not say
// where they lie, those of the whole drawing.
func judgeDuplicates(b *judging, r *Rule) {
	n := float64(b.d.Duplicates)
	if b.p.ID != "" && len(b.d.DuplicatesAt) > 0 {
		n = 0
		for _, p := range b.d.DuplicatesAt {
			if b.covers(p.At) {
				n++
			}
		}
	}
	b.count(r, n, r.Treatment)
}

func judgeContoursTouch(b *judging, r *Rule) {
	limit := b.limit(r, r.Default)
	var told []r2.Point
	for i := range b.p.Webs {
		w := &b.p.Webs[i]
		if w.Kind == measure.Tab {
			continue
		}
		if width, ok := w.Width.Get(); ok && width < limit {
			// The material on either side of the place counts as a web of its own.
			if slices.ContainsFunc(told, func(p r2.Point) bool { return p.Sub(w.At).Norm() <= limit }) {
				continue
			}
			told = append(told, w.At)
			b.fail(r, r.Treatment, Finding{Feature: w.ID, At: w.At, Measured: width, Limit: limit})
			continue
		}
		b.see(r, Pass)
	}
}

// meets reports whether a width of material is none: contours-touch tells it, and
// no rule on webs does.
func (b *judging) meets(width measure.Value) bool {
	w, ok := width.Get()
	return ok && w < b.shared("contours-touch", 0.01)
}

func judgePartTiny(b *judging, r *Rule) {
	if b.p.ID == "" || b.p.BBox.IsEmpty() {
		return
	}
	side, limit := max(b.p.BBox.X.Length(), b.p.BBox.Y.Length()), b.limit(r, r.Default)
	if side >= limit-1e-9 {
		b.see(r, Pass)
		return
	}
	b.fail(r, r.Treatment, Finding{Measured: side, Limit: limit, At: b.p.Centroid})
}

// speck reports whether part-tiny fails: then the outline is no part to hold.
func (b *judging) speck() bool {
	return !b.p.BBox.IsEmpty() && max(b.p.BBox.X.Length(), b.p.BBox.Y.Length()) < b.shared("part-tiny", 3)-1e-9
}

func judgeInputConflict(b *judging, r *Rule) {
	b.see(r, Pass)
	var conflicts []Doubt
	for _, d := range b.Doubts {
		if d.Conflict {
			conflicts = append(conflicts, d)
		}
	}
	if float64(len(conflicts)) > b.limit(r, r.Default) {
		for _, d := range conflicts {
			b.fail(r, r.Treatment, Finding{Measured: float64(len(conflicts)), Limit: b.limit(r, r.Default), At: b.center(), Why: d.Text})
		}
	}
}

// given asks for an input that nobody gave, unless the shop's limit is below 1.
func (b *judging) given(r *Rule, known bool, input string) {
	if !known && b.limit(r, r.Default) >= 1 {
		b.need(r, input)
		return
	}
	b.see(r, Pass)
}

// unitsDoubt says what the units were taken for and what speaks against it.
func (b *judging) unitsDoubt() string {
	if b.d.Units == "" {
		return b.d.UnitsDoubt
	}
	return fmt.Sprintf("taken as %s (%s), but %s", b.d.Units, cmp.Or(b.d.UnitsSource, "no source"), b.d.UnitsDoubt)
}

// saidBy reports whether a finding about the drawing on this part names the
// cause already: an open or crossing contour that leaves the part incomplete.
func (b *judging) saidBy(cause string) bool {
	for _, f := range b.findings {
		if f.Rule == "crossing-contour" && strings.Contains(cause, "cross") ||
			f.Rule == "open-contour" && (strings.Contains(cause, "open") || strings.Contains(cause, "close")) {
			return true
		}
	}
	return false
}

// count fails once for a number of the whole drawing.
func (b *judging) count(r *Rule, n float64, t Treatment) {
	limit := b.limit(r, r.Default)
	if n <= limit {
		b.see(r, Pass)
		return
	}
	b.fail(r, t, Finding{Measured: n, Limit: limit, At: b.center()})
}

// places fails for each place that lies on the part, or anywhere when the
// drawing itself is judged.
func (b *judging) places(r *Rule, list []measure.Place, detail func(measure.Place) string) {
	b.see(r, Pass)
	limit := b.limit(r, r.Default)
	if float64(len(list)) <= limit {
		return
	}
	for _, p := range list {
		if b.p.ID != "" && !b.covers(p.At) {
			continue
		}
		why := fmt.Sprintf("%s (at %.1f, %.1f", r.Why, p.At.X, p.At.Y)
		if text := detail(p); !saidAlready(text, r) {
			why += "; " + text
		}
		why += ")"
		b.fail(r, r.Treatment, Finding{Measured: 1, Limit: limit, At: p.At, Why: why})
	}
}

// saidAlready reports whether a place's text tells no more than the rule does:
// "two contours cross" under a rule on contours that cross.
func saidAlready(text string, r *Rule) bool {
	known := strings.ToLower(r.Title + " " + r.Why + " " + r.Name)
	for word := range strings.FieldsSeq(strings.ToLower(text)) {
		if word != "two" && word != "a" && !strings.Contains(known, word) {
			return false
		}
	}
	return true
}

// covers reports whether a point lies in the box of one of the part's places,
// a millimetre wider for what hangs on its edge.
func (b *judging) covers(at r2.Point) bool {
	box := b.p.BBox
	if box.IsEmpty() {
		return false
	}
	if box.ExpandedByMargin(1).ContainsPoint(at) {
		return true
	}
	side := max(box.X.Length(), box.Y.Length())
	for _, corner := range b.p.At {
		if r2.RectFromPoints(corner, corner.Add(r2.Point{X: side, Y: side})).ExpandedByMargin(1).ContainsPoint(at) {
			return true
		}
	}
	return false
}

// center is where a finding without a place is shown.
func (b *judging) center() r2.Point {
	if b.p.ID == "" {
		return r2.Point{}
	}
	return b.p.Centroid
}
