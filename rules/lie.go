package rules

import (
	"fmt"

	"burrcast/analyze/measure"
)

// lieRules say whether parts lie still and apart from one another on the
// conveyor. They belong to the hold-down group.
func lieRules() []Rule {
	return []Rule{
		{
			Name: "part-tips", Title: "head tips the part over", Group: GroupHold,
			Measured: "moment of weight and hold-down about the part's end over the moment of the head's drag at its top face, safety included",
			Formula:  "(W a + Fh a) / (S x drag x t) >= limit; a from the nearer end to the centre of gravity, t thickness, Fh vacuum or magnet; rollers hold half their free gap ahead of the head",
			Default:  1, Unit: "margin", Applies: "lines with a head that touches the part; thickness and material known",
			Treatment: Fixture, Why: "the head's drag at the top face lifts one end off the conveyor: the part is too short or too light for its thickness, or its weight lies near one end",
			Do:     "feed the heavy end first, lay the part across, or hold it in a carrier or tray",
			Source: "balance of moments about an edge (textbook statics); force per mm and force ratio as for hold-slip", Provenance: Reasoning,
			Example: "a disc of 50 mm in 25 mm steel: weight and vacuum of 9.7 N hold at 25 mm, the belt drags with 8 N at 25 mm, safety 1.5: 0.806 margin against 1 margin, fixture; at 10 mm of thickness it passes",
			judge:   judgePartTips,
		},
		{
			Name: "part-interlocks", Title: "parts that hook or climb onto one another", Group: GroupHold,
			Measured: "depth of the deepest notch into which a tab or neck of the same part fits, or for parts fed nose to tail the thickness",
			Formula:  "depth <= limit; parts fed nose to tail: thickness >= 1 mm",
			Default:  5, Unit: "mm", Applies: "more than one piece; notches and tabs measured",
			Treatment: Line, Why: "pieces that lie close hook into each other and pass the heads as one tangle",
			Do:     "lay them with a clear space between, all the same way round, and do not feed them nose to tail",
			Source: "a hook needs a tab, and a design note has none below 3.2 mm of width (looked up); that half as much again in depth hooks, and the thickness, are inferences", Provenance: Reasoning,
			Example: "a rake of which two are laid on, tines of 6 mm, gaps of 8 x 60 mm: 60 mm against 5 mm, line; gaps 4 mm deep pass",
			judge:   judgeInterlocks,
		},
	}
}

// tipping balances moments about the part's end at one feed: what holds it down
// over what the worst head's drag lifts, safety included.
//
//	margin = (W a + Fh a') / (S lambda Fn t)
//
// The drag acts at the top face; the worst moment is when the head stands on the
// very end, so that its own pressing holds nothing.
func (b *judging) tipping(f measure.Feed) (margin float64, ok bool) {
	area, known := b.p.Area.Get()
	m, heavy := b.mass()
	if !known || !heavy || f.Lead <= 0 || f.Lead >= f.Length || f.Section <= 0 {
		return 0, false
	}
	list, sure := b.holds()
	if !sure {
		return 0, false
	}
	arm := min(f.Lead, f.Length-f.Lead)
	holds := m * gravity * arm
	for _, kind := range list {
		switch kind {
		case HoldVacuum:
			holds += VacuumForce(b.Line.Vacuum, area, b.Line.OpenArea) * arm
		case HoldMagnet:
			holds += b.magnet(area) * arm
		case HoldRollers: // the roller before the head, half its free gap away
			if near := b.Line.RollerGap / 2; f.Length >= near {
				holds += b.Line.RollerForce * area / f.Length * near
			}
		}
	}
	drag := 0.0
	for i, head := range b.Line.Heads {
		if b.lifted[i] == "" {
			drag = max(drag, head.ForceRatio*head.Force*f.Section)
		}
	}
	lifts := b.shared("hold-safety", 1.5) * drag * b.Thickness.MM
	if lifts <= 0 {
		return 0, false
	}
	return holds / lifts, true
}

// magnet is the pull in N on a part of an area in mm2.
func (b *judging) magnet(area float64) float64 {
	return b.Line.MagnetPull * 1e-3 * area * min(1, b.Thickness.MM/b.Line.MagnetFull)
}

func judgePartTips(b *judging, r *Rule) {
	if !b.hasHead(BeltHead, DrumBrush, DiscBrush, Oscillating) || !b.stockKnown(r) {
		return
	}
	margin, ok := b.tipping(b.feed)
	limit := b.limit(r, r.Default)
	switch {
	case !ok:
		b.see(r, Unknown)
	case margin >= limit-1e-9:
		b.see(r, Pass)
	case b.implied(r):
	default:
		b.fail(r, r.Treatment, Finding{Measured: margin, Limit: limit, At: b.p.Centroid})
	}
}

// noseToTail reports whether the part is too short for the line or its rollers
// and would be fed end to end, each piece pushed by the next: straight through,
// with parts that are thick enough not to climb onto one another.
func (b *judging) noseToTail() bool {
	if b.tiny() || b.feed.Length <= 0 || b.feed.Width < b.Line.LeastWidth {
		return false
	}
	return b.feed.Length < b.Line.Length[0] || b.hold.gripless
}

// leastPushed is the thickness in mm from which parts push one another without
// climbing; an inference.
const leastPushed = 1.0

func (b *judging) pieces() int {
	return max(b.p.Quantity, 1) * max(b.job.Quantity, 1)
}

func judgeInterlocks(b *judging, r *Rule) {
	if b.pieces() < 2 {
		return
	}
	limit := b.limit(r, r.Default)
	b.see(r, Pass)
	deepest, into := measure.Notch{}, measure.Passage{}
	for i := range b.p.Notches {
		n := &b.p.Notches[i]
		gap, ok1 := n.Width.Get()
		depth, ok2 := n.Depth.Get()
		if !ok1 || !ok2 || depth <= limit || depth <= deepest.Depth.V {
			continue
		}
		for i := range b.p.Webs {
			w := &b.p.Webs[i]
			if width, ok := w.Width.Get(); ok && w.Kind != measure.Web && w.Between[0] == w.Between[1] && width < gap && width > 0 {
				deepest, into = *n, *w
				break
			}
		}
	}
	if deepest.ID != "" {
		b.fail(r, r.Treatment, Finding{Feature: deepest.ID, At: deepest.At, Measured: deepest.Depth.V, Limit: limit,
			Why: fmt.Sprintf("%s, %.3g mm wide, takes the %s %s of the next piece, %.3g mm wide: pieces that lie close hook into each other",
				deepest.ID, deepest.Width.V, into.Kind, into.ID, into.Width.V)})
		return
	}
	if b.noseToTail() && b.ThicknessKnown && b.Thickness.MM < leastPushed && limit < 1e6 {
		b.fail(r, r.Treatment, Finding{Measured: b.Thickness.MM, Limit: leastPushed, At: b.p.Centroid,
			Why: "sheet this thin climbs onto the next piece when it is pushed",
			Do:  "do not feed it nose to tail: join the pieces in a carrier, or use a tray"})
	}
}
