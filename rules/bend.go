package rules

import (
	"fmt"

	"burrcast/analyze/measure"
)

// bendRules say what a bend does to edges beside it.
func bendRules() []Rule {
	return []Rule{{
		Name: "bend-edge", Title: "cut-out at a bend", Group: GroupEdge,
		Measured: "distance from a bend to the edge of the nearest cut-out, in thicknesses",
		Formula:  "distance / thickness >= limit; a cut-out that the bend runs into is a relief and passes",
		Default:  2.5, Unit: "x thickness", Applies: "parts with bends; thickness known",
		Treatment: Brush, Why: "bending draws this edge out of shape: a burr on the outer side of the bend starts a crack there, and once the part is bent no belt or brush of a line reaches it",
		Do:     "take the burr off this edge before bending, lay the burr side to the inside of the bend, or move the cut-out away",
		Source: "cut-outs two to three thicknesses from a bend, burr side inside: rules of thumb of press-brake work, no published source seen", Provenance: Practice,
		Example: "a hole whose edge lies 3 mm from a bend in 2 mm sheet: 1.5 x thickness against 2.5 x thickness, brush; 5 mm away it passes",
		judge:   judgeBendEdge,
	}}
}

func judgeBendEdge(b *judging, r *Rule) {
	for _, bend := range b.p.Bends {
		gap, ok := bend.Gap.Get()
		if !ok {
			if bend.Cutout != "" {
				b.see(r, Unknown)
			}
			continue
		}
		if !b.ThicknessKnown {
			b.need(r, "thickness")
			return
		}
		t, limit := b.Thickness.MM, b.limit(r, r.Default)
		if gap <= bend.Gap.Err+1e-6 || gap >= limit*t-bend.Gap.Err-1e-9*t {
			b.see(r, Pass)
			continue
		}
		b.fail(r, r.Treatment, Finding{Feature: bend.ID, At: bend.Gap.Witness.B, Measured: gap / t, Limit: limit,
			Why: fmt.Sprintf("the edge of %s lies %.3g mm from it: %s", bend.Cutout, gap, r.Why)})
	}
}

// stepBend says what matters to edges when the part is bent after the line.
func (b *judging) stepBend() Step {
	s := Step{Step: "bend", Note: "deburr flat, before bending"}
	s.Settings = append(s.Settings, Setting{"burr side", "to the inside of the bend", "a burr on the stretched side starts cracks (common practice)"})
	least := measure.Value{}
	for _, bend := range b.p.Bends {
		if f, ok := bend.Flange.Get(); ok && (!least.Known || f < least.V) {
			least = bend.Flange
		}
	}
	if least.Known {
		s.Settings = append(s.Settings, Setting{"narrowest flange", fmt.Sprintf("%.3g mm", least.V),
			"stands up so far after bending: then no belt passes over the part (geometry)"})
	}
	return s
}
