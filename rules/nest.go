package rules

import (
	"fmt"
	"math"
	"strings"
)

// nearRules say whether parts lie too near to each other in their sheet.
func nearRules() []Rule {
	return []Rule{{
		Name: "parts-near", Title: "parts close together in the sheet", Group: GroupCut,
		Measured: "least distance from the part to the nearest other part of the nest, in thicknesses",
		Formula:  "distance / thickness >= the process's multiple for webs; two schools stand beside each other where sources disagree (laser 0.7 and 1.0)",
		Default:  1.0, Unit: "x thickness", Applies: "nests of parts that do not share a cut; processes that cut openings",
		Treatment: Brush, Why: "the strip of sheet between two parts heats through, or bends away while it is cut, and both edges come out with heavier burr",
		Do:     "move the parts apart, or let them share one cut; look at these edges after the line",
		Source: "web between cuts >= t (1 to 1.5 t preferred): one shop; contours >= 0.7 t: two others; skeleton web 1.5 t or 0.7 mm in blanking", Provenance: LookedUp,
		Example: "two discs 1 mm apart in 2 mm sheet cut by laser: 0.5 x thickness against 0.7 x thickness, brush; 3 mm apart they pass",
		judge:   judgePartsNear,
	}}
}

// jointRules say whether joints hold a part that is finished in its sheet.
func jointRules() []Rule {
	return []Rule{{
		Name: "joint-hold", Title: "joints that a head breaks", Group: GroupHold,
		Measured: "drag of the worst head across the part, safety included, over the shear strength of the joints by which it hangs in the sheet",
		Formula:  "S q w / (sum of joint widths x t x 0.577 yield) <= limit; q drag per mm, w widest section of the part at any angle",
		Default:  1, Unit: "x strength", Applies: "parts that hang in the sheet only by joints; thickness and material known",
		Treatment: Line, Why: "finished in its sheet, the part is torn out of its joints under the head",
		Do:     "break the part out before the line, or give it more or wider joints",
		Source: "shear of the joints (textbook, distortion-energy criterion); force per mm and force ratio as for hold-slip", Provenance: Reasoning,
		Example: "a plate 300 x 300 mm of 1 mm AlMg3 on two joints of 0.3 mm: 102 N of drag on joints that hold 28 N, 3.68 x strength against 1 x strength, line; 2 mm of S235 on joints of 0.5 mm passes",
		judge:   judgeJointHold,
	}}
}

// overlapRules say whether parts of a nest lie over each other.
func overlapRules() []Rule {
	return []Rule{{
		Name: "parts-overlap", Title: "parts that overlap in the sheet", Group: GroupDrawing,
		Measured: "other parts that the part overlaps", Formula: "count <= limit", Default: 0, Unit: "parts", Applies: "nests",
		Treatment: Ask, Why: "one of the two parts is cut short by the other",
		Do:     "move one of them by more than the width of the cut",
		Source: "the reading of the drawing itself", Provenance: Reasoning, Example: "two plates that lie over each other by 10 mm: 1 parts against 0 parts, ask; apart they pass",
		judge: judgePartsOverlap,
	}}
}

func judgePartsNear(b *judging, r *Rule) {
	for _, n := range b.d.Nearest {
		if n.Parts[0] != b.p.ID && n.Parts[1] != b.p.ID {
			continue
		}
		gap, ok := n.Distance.Get()
		if ok && gap <= n.Distance.Err+1e-6 { // one cut for both
			continue
		}
		if b.Process == nil {
			b.need(r, "process")
		}
		if !b.ThicknessKnown {
			b.need(r, "thickness")
		}
		if b.Process == nil || !b.ThicknessKnown || b.Process.LeastWeb[1] == 0 {
			return
		}
		at, other := n.Distance.Witness.A, n.Parts[1]
		if n.Parts[0] != b.p.ID {
			at, other = n.Distance.Witness.B, n.Parts[0]
		}
		b.schools(r, &n.Distance, b.Process.LeastWeb, "", at, other+" lies "+digits(gap, 3)+" mm away: "+r.Why)
		return // nearest first
	}
}

// jointStrength is the shear strength in N of the joints by which the part hangs
// in its sheet.
func (b *judging) jointStrength() (float64, bool) {
	width := 0.0
	for _, j := range b.p.Joints {
		if j.Contour != "O" || j.Bridge {
			continue
		}
		gap, ok := j.Gap.Get()
		if !ok {
			return 0, false
		}
		width += gap
	}
	return width * b.Thickness.MM * shearOfYield * b.Material.YieldOrEstimate(), width > 0
}

func judgeJointHold(b *judging, r *Rule) {
	if b.p.HeldBy == 0 || !b.hasHead(BeltHead, DrumBrush, DiscBrush, Oscillating) || !b.stockKnown(r) {
		return
	}
	strength, ok := b.jointStrength()
	if !ok || len(b.p.Feeds) == 0 {
		b.see(r, Unknown)
		return
	}
	widest := 0.0
	for _, f := range b.p.Feeds {
		widest = math.Max(widest, f.Section)
	}
	_, drag := b.heaviest()
	load := b.shared("hold-safety", 1.5) * drag * widest
	share, limit := load/strength, b.limit(r, r.Default)
	if share <= limit {
		b.see(r, Pass)
		return
	}
	b.fail(r, r.Treatment, Finding{Measured: share, Limit: limit, At: b.p.Centroid,
		Why: fmt.Sprintf("finished in its sheet, the part hangs by %d joints, which hold %s N; the head drags with %s N, safety included", b.p.HeldBy, newtons(strength), newtons(load))})
}

func judgePartsOverlap(b *judging, r *Rule) {
	if b.p.ID == "" {
		return
	}
	var others []string
	for _, o := range b.d.Overlaps {
		for i, id := range o.Parts {
			if id == b.p.ID {
				others = append(others, o.Parts[1-i])
				break
			}
		}
	}
	limit := b.limit(r, r.Default)
	if n := float64(len(others)); n > limit {
		b.fail(r, r.Treatment, Finding{Measured: n, Limit: limit, At: b.p.Centroid, Why: r.Why + ": it lies over " + strings.Join(others, ", ")})
		return
	}
	if len(b.d.Nearest) > 0 || len(b.d.Overlaps) > 0 {
		b.see(r, Pass)
	}
}
