package rules

import (
	"fmt"

	"burrcast/analyze/measure"

	"github.com/golang/geo/r2"
)

// cutRules say where the cutting process itself makes a bad edge.
func cutRules() []Rule {
	return []Rule{
		{
			Name: "hole-thickness", Title: "hole small for the thickness", Group: GroupCut,
			Measured: "diameter of the largest disc that fits into a round or window cut-out, in thicknesses",
			Formula:  "diameter / thickness >= the process's multiple; two schools stand beside each other where sources disagree (laser 0.7 and 1.0; punch 1.0 and 1.5, stainless 1.5 and 2.0)",
			Default:  1.0, Unit: "x thickness", Applies: "processes that cut openings",
			Treatment: Hand, Why: "an opening this small for its thickness is cut badly: heavy burr or dross, a taper, a broken punch",
			Do:     "drill it, or widen it, or plan bench work",
			Source: "laser 0.7 t: two job shops, 1.0 t: two others; punch 1.0 t common practice, 1.5 t a stamping shop, 2 t precision stamping; waterjet 0.2 t and plasma 1.0 t: a comparison page", Provenance: LookedUp,
			Example: "a laser hole of 3 mm in 6 mm sheet meets neither school: 0.5 x thickness against 0.7 x thickness, hand; one of 6 mm meets both",
			judge:   judgeHoleThickness,
		},
		{
			Name: "slot-thickness", Title: "slot narrow for the thickness", Group: GroupCut,
			Measured: "least width of a slot, also a bent one, of a window's passage or of a notch, in thicknesses",
			Formula:  "width / thickness >= the process's multiple, as for holes",
			Default:  1.0, Unit: "x thickness", Applies: "processes that cut openings",
			Treatment: Hand, Why: "a slot this narrow for its thickness holds heat and dross, or breaks the punch",
			Do:     "widen it, or plan bench work",
			Source: "slot width as hole diameter: laser 0.7 t and 1.0 t, two shop rules each; punch common practice", Provenance: LookedUp,
			Example: "a laser slot of 3 mm in 6 mm sheet: 0.5 x thickness against 0.7 x thickness, hand; one of 6 mm passes",
			judge:   judgeSlotThickness,
		},
		{
			Name: "web-thickness", Title: "web thin for the thickness", Group: GroupCut,
			Measured: "least width of material between two cuts, in thicknesses",
			Formula:  "width / thickness >= the process's multiple",
			Default:  1.0, Unit: "x thickness", Applies: "processes that cut openings",
			Treatment: Brush, Why: "a web this thin heats through or bends away while it is cut, and its edges come out uneven",
			Do:     "look at these edges after the line and give them an extra brush pass, or move the cuts apart",
			Source: "web >= t (1 to 1.5 t preferred): one shop; contours >= 0.7 t: two others; punch: blank width 1.5 t, 1 t with more downtime", Provenance: LookedUp,
			Example: "holes 3 mm apart in 6 mm sheet cut by laser: 0.5 x thickness against 0.7 x thickness, brush; 6 mm apart they pass",
			judge:   judgeWebThickness,
		},
		{
			Name: "joint-nib", Title: "joint that leaves a nib", Group: GroupCut,
			Measured: "likely nib height: the joint's gap, 0.4 mm at most",
			Formula:  "height <= limit, or <= the burr that the edge requirement allows",
			Default:  0.1, Unit: "mm", Applies: "joints left in a contour",
			Treatment: Hand, Why: "the nib stands on the side face, where neither belt nor drum brush touches it",
			Do:     "file the nib off after breaking out, or move the joint to an edge that may carry it",
			Source: "residual height 0.1 to 0.4 mm, up to about the joint's width, common practice with no measured source; that the line leaves it is an inference", Provenance: Practice,
			Example: "a joint of 0.5 mm where edges are to be safe to handle: 0.4 mm against 0.1 mm, hand; where a burr of 0.5 mm is allowed it passes",
			judge:   judgeJointNib,
		},
		{
			Name: "oxide-edge", Title: "oxide on an edge that will be coated", Group: GroupCut,
			Measured: "whether the process leaves an oxide skin on the cut face and the edge will be coated",
			Formula:  "oxide skins <= limit",
			Default:  0, Unit: "skins", Applies: "oxygen, air and plasma cuts whose edges will be painted or powder-coated",
			Treatment: Brush, Why: "a coating sticks to the oxide at first and breaks away with it on impact or with moisture",
			Do:     "brush the cut faces to bare metal, pickle or blast them, or cut with nitrogen",
			Source: "two pages on oxide removal before powder coat and a trade FAQ; a belt on the flat does not touch the cut face (inference)", Provenance: LookedUp,
			Example: "S235 cut with oxygen, edges of preparation grade P2: 1 skins against 0 skins, brush; cut with nitrogen it passes",
			judge:   judgeOxideEdge,
		},
		{
			Name: "film-pierce", Title: "cut-outs close together on filmed stock", Group: GroupCut,
			Measured: "distance from a cut-out to the nearest other cut",
			Formula:  "distance >= limit",
			Default:  5, Unit: "mm", Applies: "stock with a protective film, thermal cutting",
			Treatment: Brush, Why: "film bubbles and lifts where cuts are close, mostly from the pierce, and a lifted film is torn by the heads",
			Do:     "pierce outside or burn the film first, and brush softly; strip film that has lifted",
			Source: "a trade article: bubbling is likely where holes are nearer than 5 mm, 90 % of it starts at the pierce", Provenance: LookedUp,
			Example: "holes 3 mm apart on filmed stainless cut by laser: 3 mm against 5 mm, brush; 6 mm apart they pass",
			judge:   judgeFilmPierce,
		},
		{
			Name: "burr-height", Title: "burr heavier than the line takes off", Group: GroupCut,
			Measured: "high end of the burr forecast",
			Formula:  "height <= the burr allowed as cut, or <= what the line's heads take off: 0.3 mm by brushes alone, 0.5 mm by any belt, more by a belt of P60 or coarser",
			Default:  0.5, Unit: "mm", Applies: "process, material, thickness and edge requirement known",
			Treatment: Hand, Why: "the forecast burr is above the requirement and more than the line's heads take off in a pass or two",
			Do:     "scrape or grind dross off first, use a line with a coarser belt, or tune the cut",
			Source: "belt 0.02 to 0.1 mm a pass and grade by burr (P36 to P60 dross, P80 to P120 punching burr) are common practice; the heights per head are an inference", Provenance: Reasoning,
			Example: "plasma dross on a line whose coarsest belt is P80: 2 mm against 0.5 mm, hand; on one with a belt of P60 it passes",
			judge:   judgeBurrHeight,
		},
	}
}

// schools judges a multiple of thickness at a place against the lenient and the
// strict school: at least strict passes; between them the finding names both and
// needs a look after brushing; below both it needs the treatment of the rule. An
// empty why is the rule's own.
func (b *judging) schools(r *Rule, v *measure.Value, span Span, feature string, at r2.Point, why string) {
	x, ok := v.Get()
	if !ok {
		b.see(r, Unknown)
		return
	}
	t := b.Thickness.MM
	lenient, strict := span[0], span[1]
	if own, has := b.shop.Limits[r.Name]; has {
		lenient, strict = own, own
	}
	ratio := x / t
	eps := (v.Err + 1e-9*x) / t
	if ratio >= strict-eps {
		b.see(r, Pass)
		return
	}
	f := Finding{Feature: feature, At: at, Measured: ratio, Limit: lenient, Why: why, Source: b.Process.Source, Provenance: b.Process.Provenance}
	treatment := r.Treatment
	if ratio >= lenient-eps {
		f.Limit, treatment = strict, min(Brush, r.Treatment)
		f.Why = digits(ratio, 2) + " t: sources disagree, " + fixed(lenient, -1) + " t is enough for one school and " + fixed(strict, -1) +
			" t is asked by the other; burr is likely heavier here"
		f.Do = "look at this place after brushing; bench if burr is left"
	}
	b.fail(r, treatment, f)
}

// leastOpening is the process's smallest opening for the material's family, in
// thicknesses. A rule that needs it and cannot have it says which input lacks.
func (b *judging) leastOpening(r *Rule) (Span, bool) {
	if b.Process == nil {
		b.need(r, "process")
	}
	if !b.ThicknessKnown {
		b.need(r, "thickness")
	}
	if b.Process == nil || !b.ThicknessKnown {
		return Span{}, false
	}
	if len(b.Process.HoleBy) > 0 {
		if !b.MaterialKnown {
			b.need(r, "material")
			return Span{}, false
		}
		if s, ok := b.Process.HoleBy[b.Material.Family]; ok {
			return s, true
		}
	}
	return b.Process.LeastHole, b.Process.LeastHole[1] > 0
}

func judgeHoleThickness(b *judging, r *Rule) {
	var span Span
	first := true
	for i := range b.p.Cutouts {
		c := &b.p.Cutouts[i]
		if c.Kind == measure.Slot || strip(c) {
			continue
		}
		if first {
			var ok bool
			if span, ok = b.leastOpening(r); !ok {
				return
			}
			first = false
		}
		b.schools(r, &c.Inscribed, span, c.ID, c.At, "")
	}
}

func judgeSlotThickness(b *judging, r *Rule) {
	var span Span
	known := false
	ready := func() bool { // asked only where there is a place
		if !known {
			span, known = b.leastOpening(r)
		}
		return known
	}
	for i := range b.p.Cutouts {
		c := &b.p.Cutouts[i]
		w, ok := b.narrow(c)
		if !ok {
			continue
		}
		if !ready() {
			return
		}
		b.schools(r, &w, span, c.ID, c.At, "")
	}
	for i := range b.p.Notches {
		n := &b.p.Notches[i]
		if !ready() {
			return
		}
		b.schools(r, &n.Width, span, n.ID, n.At, "")
	}
}

// narrow is the width of a slot, or of a window's passage that is narrower than
// the window itself. A width that runs to zero is a sharp tip, which
// corner-reach judges: then only the largest disc is left, and a window's is
// hole-thickness's.
func (b *judging) narrow(c *measure.Cutout) (measure.Value, bool) {
	w, known := passage(c).Get()
	switch {
	case c.Kind == measure.Slot:
		return passage(c), true
	case c.Kind == measure.Round:
		return measure.Value{}, false
	case !known || !c.Inscribed.Known:
		return passage(c), true
	}
	return passage(c), w < 0.98*c.Inscribed.V || strip(c)
}

// strip reports whether a window is a slot that is bent or tapered: as narrow
// everywhere as its largest disc, and longer than two of them.
func strip(c *measure.Cutout) bool {
	d, ok := c.Inscribed.Get()
	area, known := c.Area.Get()
	return c.Kind == measure.Window && ok && known && passage(c).V >= 0.98*d && area >= 2*d*d
}

// passage is the least width of a cut-out as a passage: where the measured width
// runs to zero in a sharp tip, the largest disc that fits.
func passage(c *measure.Cutout) measure.Value {
	if w, ok := c.MinWidth.Get(); ok && w <= tip {
		return c.Inscribed
	}
	return c.MinWidth
}

// tip is a width in mm below which an opening counts as a sharp tip: a hundredth
// of the finest kerf (laser 0.1 to 0.3 mm, looked up).
const tip = 0.001

func judgeWebThickness(b *judging, r *Rule) {
	for i := range b.p.Webs {
		w := &b.p.Webs[i]
		if w.Kind == measure.Tab || b.meets(w.Width) {
			continue
		}
		if b.Process == nil {
			b.need(r, "process")
		}
		if !b.ThicknessKnown {
			b.need(r, "thickness")
		}
		if b.Process == nil || !b.ThicknessKnown {
			return
		}
		if b.Process.LeastWeb[1] == 0 {
			return
		}
		b.schools(r, &w.Width, b.Process.LeastWeb, w.ID, w.At, "")
	}
}

func judgeJointNib(b *judging, r *Rule) {
	limit := b.limit(r, r.Default)
	if b.EdgeKnown {
		limit = max(limit, b.Edge.BurrAllowed())
	}
	for _, j := range b.p.Joints {
		gap, ok := j.Gap.Get()
		if !ok {
			b.see(r, Unknown)
			continue
		}
		if nib := min(gap, 0.4); nib > limit {
			b.fail(r, r.Treatment, Finding{Feature: j.ID, At: j.At, Measured: nib, Limit: limit})
			continue
		}
		b.see(r, Pass)
	}
}

func judgeOxideEdge(b *judging, r *Rule) {
	if b.Process == nil {
		b.need(r, "process")
		return
	}
	if !b.Process.Oxide {
		b.see(r, Pass)
		return
	}
	switch {
	case b.Painted:
		f := Finding{Measured: 1, Limit: b.limit(r, r.Default), At: b.p.Centroid}
		if f.Measured <= f.Limit {
			b.see(r, Pass)
			return
		}
		if !b.hasBrush() {
			f.Do = "this line has no brush that works the cut face: " + r.Do
		}
		b.fail(r, r.Treatment, f)
	case b.EdgeKnown || b.job.Coating.Value != "":
		b.see(r, Pass)
	default:
		b.need(r, "edge")
	}
}

func judgeFilmPierce(b *judging, r *Rule) {
	if !b.Film {
		return
	}
	if b.Process == nil {
		b.need(r, "process")
		return
	}
	if b.ProcessName == "punch" || b.ProcessName == "shear" || b.ProcessName == "waterjet" {
		return
	}
	limit := b.limit(r, r.Default)
	for i := range b.p.Cutouts {
		c := &b.p.Cutouts[i]
		if b.meets(c.EdgeGap) {
			continue
		}
		if b.atLeast(r, c.EdgeGap, limit) {
			b.fail(r, r.Treatment, Finding{Feature: c.ID, At: c.At, Measured: c.EdgeGap.V, Limit: limit})
		}
	}
}

func judgeBurrHeight(b *judging, r *Rule) {
	if b.burr == nil {
		if b.Process == nil {
			b.need(r, "process")
		}
		if !b.ThicknessKnown {
			b.need(r, "thickness")
		}
		if !b.MaterialKnown {
			b.need(r, "material")
		}
		b.see(r, Unknown)
		return
	}
	if !b.EdgeKnown {
		b.need(r, "edge")
		return
	}
	if b.asCutEnough() {
		b.see(r, Pass)
		return
	}
	takes, by := b.takesOff(b.limit(r, r.Default))
	if b.burr.High <= takes+1e-9 {
		b.see(r, Pass)
		return
	}
	b.fail(r, r.Treatment, Finding{Measured: b.burr.High, Limit: takes, At: b.p.Centroid,
		Why: fmt.Sprintf("%s of up to %.2g mm is forecast; %s takes off about %.2g mm in a pass or two", b.burr.Kind, b.burr.High, by, takes)})
}

// takesOff is the burr height in mm that the heads which touch the part take
// off, given what a belt of any grade does, and which head that is.
func (b *judging) takesOff(belt float64) (float64, string) {
	best, by := 0.0, "no head that may touch the part"
	for i, h := range b.Line.Heads {
		if b.lifted[i] != "" {
			continue
		}
		can := 0.3
		if h.Kind == BeltHead {
			can = belt
			if g, ok := coarsest(h.Grades); ok && grainOf(g) >= 269 { // P60 and coarser
				can = max(belt, 2)
			}
		}
		if can > best {
			best, by = can, h.Name
		}
	}
	return best, by
}

func grainOf(grade string) float64 {
	g, _ := GrainSize(grade)
	return g
}

func coarsest(grades []string) (string, bool) {
	best := ""
	for _, g := range grades {
		if best == "" || grainOf(g) > grainOf(best) {
			best = g
		}
	}
	return best, best != ""
}

func finest(grades []string) (string, bool) {
	best := ""
	for _, g := range grades {
		if best == "" || grainOf(g) < grainOf(best) {
			best = g
		}
	}
	return best, best != ""
}
