package rules

import (
	"fmt"
	"math"

	"burrcast/analyze/measure"
)

// fragileRules say what bends or catches under a head.
func fragileRules() []Rule {
	return []Rule{
		{
			Name: "tab-bend", Title: "slender tab under a head", Group: GroupFragile,
			Measured: "bending stress of the tab as a cantilever under the heads' pressure, over yield; or its deflection over thickness",
			Formula:  "6 q L / t^2 <= limit x yield, and 4 q L^3 / (E t^3) <= t; q force per mm, L free length",
			Default:  0.67, Unit: "x yield", Applies: "tabs, thickness and material known",
			Treatment: Fixture, Why: "a tab that bends up is caught by the head or the next roller and folds over",
			Do:     "leave the tab joined until after finishing, support it in a tray, or feed it trailing with low pressure",
			Source: "textbook beam formula, tab taken as unsupported; force per mm is an inference, 0.67 is 1 over the safety of 1.5", Provenance: Reasoning,
			Example: "0.4 N/mm on a tab 60 mm long in 1 mm steel: 144 of 235 MPa would do, but it sags by more than its thickness, 1.65 mm against 1 mm, fixture; one of 30 mm passes",
			judge:   judgeTabBend,
		},
		{
			Name: "neck-thin", Title: "piece hanging on a thin neck", Group: GroupFragile,
			Measured: "in-plane bending stress of the neck when a head drags what hangs on it, over yield",
			Formula:  "6 q s (L + s/2) / (t w^2) <= limit x yield; s side of a square of the hanging area, q drag per mm",
			Default:  0.67, Unit: "x yield", Applies: "necks, thickness and material known",
			Treatment: Fixture, Why: "the head drags the hanging piece sideways and the neck bends",
			Do:     "leave a joint across the gap until after finishing, widen the neck, or finish it on the bench",
			Source: "textbook beam formula; force per mm and force ratio are inferences", Provenance: Reasoning,
			Example: "a piece of 40 x 40 mm on a neck 1 mm wide and 5 mm long in 1 mm steel: 963 of 235 MPa, 4.1 x yield against 0.67 x yield, fixture; a neck of 3 mm passes",
			judge:   judgeNeckThin,
		},
		{
			Name: "formed-up", Title: "forms that stand up", Group: GroupFragile,
			Measured: "forms that stand out of the sheet",
			Formula:  "count <= limit",
			Default:  0, Unit: "forms", Applies: "always",
			Treatment: Brush, Why: "a belt grinds off or catches what stands up; a brush gives way",
			Do:     "lift the belts and run brushes only, or deburr before forming",
			Source: "trade", Provenance: Practice,
			Example: "a louvre on layer LOUVRE: 1 forms against 0 forms, brush",
			judge:   judgeFormedUp,
		},
	}
}

// heaviest returns the largest pressing force per mm and drag per mm of the
// heads that touch the part.
func (b *judging) heaviest() (press, drag float64) {
	for i, h := range b.Line.Heads {
		if b.lifted[i] == "" {
			press, drag = max(press, h.Force), max(drag, h.Force*h.ForceRatio)
		}
	}
	return press, drag
}

// stockKnown reports whether thickness and material are known, and asks for
// what is not.
func (b *judging) stockKnown(r *Rule) bool {
	if !b.ThicknessKnown {
		b.need(r, "thickness")
	}
	if !b.MaterialKnown {
		b.need(r, "material")
	}
	return b.ThicknessKnown && b.MaterialKnown
}

func judgeTabBend(b *judging, r *Rule) {
	limit := b.limit(r, r.Default)
	for i := range b.p.Webs {
		w := &b.p.Webs[i]
		if w.Kind != measure.Tab {
			continue
		}
		if !b.stockKnown(r) {
			return
		}
		length, ok := w.Length.Get()
		if !ok {
			b.see(r, Unknown)
			continue
		}
		press, _ := b.heaviest()
		t := b.Thickness.MM
		stress, sag := cantilever(press, length, t, b.Material.Group.Modulus)
		share := stress / b.Material.YieldOrEstimate()
		most := t * limit / r.Default // a shop that allows more stress allows more sag
		switch {
		case share > limit:
			b.fail(r, r.Treatment, Finding{Feature: w.ID, At: w.At, Measured: share, Limit: limit})
		case sag > most:
			b.fail(r, r.Treatment, Finding{Feature: w.ID, At: w.At, Measured: sag, Limit: most, Unit: "mm",
				Why: fmt.Sprintf("the tab springs %.1f mm under the head, about its thickness or more, and can be caught", sag)})
		default:
			b.see(r, Pass)
		}
	}
}

func judgeNeckThin(b *judging, r *Rule) {
	limit := b.limit(r, r.Default)
	for i := range b.p.Webs {
		w := &b.p.Webs[i]
		if w.Kind != measure.Neck || b.meets(w.Width) {
			continue
		}
		if !b.stockKnown(r) {
			return
		}
		width, ok1 := w.Width.Get()
		length, ok2 := w.Length.Get()
		hangs, ok3 := w.Hangs.Get()
		if !ok1 || !ok2 || !ok3 || width <= 0 {
			b.see(r, Unknown)
			continue
		}
		_, drag := b.heaviest()
		share := neckStress(drag, math.Max(hangs, 0), length, width, b.Thickness.MM) / b.Material.YieldOrEstimate()
		if share <= limit {
			b.see(r, Pass)
			continue
		}
		b.fail(r, r.Treatment, Finding{Feature: w.ID, At: w.At, Measured: share, Limit: limit})
	}
}

func judgeFormedUp(b *judging, r *Rule) {
	n, limit := float64(len(b.p.Forms)), b.limit(r, r.Default)
	if n <= limit {
		b.see(r, Pass)
		return
	}
	t, do := r.Treatment, ""
	if !b.hasBrush() {
		t, do = Hand, "this line has no brush: finish the part on the bench, or deburr before forming"
	}
	for _, f := range b.p.Forms {
		b.fail(r, t, Finding{Feature: f.ID, At: f.At, Measured: n, Limit: limit, Do: do})
	}
}
