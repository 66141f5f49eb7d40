package rules

import (
	"fmt"
	"slices"
)

// edgeRules judge the requirement itself, and whether the line can meet it.
func edgeRules() []Rule {
	return []Rule{
		{
			Name: "edge-unstated", Title: "nobody said what burr-free means", Group: GroupEdge,
			Measured: "whether the edge requirement states a size, a radius or a grade",
			Formula:  "stated requirements >= limit; otherwise one question, no finding",
			Default:  1, Unit: "requirements", Applies: "always",
			Treatment: Ask, Why: "\"burr-free\" states no size, so nobody can check it or price it",
			Do:     "agree on a size: +0.1, -0.3, a radius, a preparation grade, or one of the presets",
			Source: "ISO 13715 gives an edge a sign and a size; ISO 8501-3 grades", Provenance: LookedUp,
			Example: "a note that says only \"deburr all edges\": asked; with -0.1/-0.3 it passes",
			judge:   judgeEdgeUnstated,
		},
		{
			Name: "radius-too-big", Title: "radius larger than the sheet allows", Group: GroupEdge,
			Measured: "twice the radius wanted over the thickness",
			Formula:  "2 r / t <= limit",
			Default:  1, Unit: "x thickness", Applies: "a radius or grade P3 on both sides, thickness known",
			Treatment: Ask, Why: "two radii do not fit into the thickness: the requirement cannot be met on both edges",
			Do:     "ask which radius is really wanted; 0.3 to 0.5 mm is usual on sheet of 1 to 3 mm for powder coat",
			Source: "2 r <= t is geometry; the usual radius is common practice", Provenance: Arithmetic,
			Example: "a radius of 2 mm (grade P3) on both edges of 3 mm sheet: 1.33 x thickness against 1 x thickness, ask; 4 mm of sheet passes",
			judge:   judgeRadiusTooBig,
		},
		{
			Name: "radius-reach", Title: "radius larger than the line's brushes make", Group: GroupEdge,
			Measured: "least radius or removal wanted",
			Formula:  "radius <= limit",
			Default:  0.5, Unit: "mm", Applies: "a requirement that takes material off the edge",
			Treatment: Brush, Why: "brushes round an edge by 0.05 to 0.5 mm a pass, a belt alone hardly at all",
			Do:     "plan several brush passes, slower, or round these edges by machine or on the bench",
			Source: "abrasive nylon 0.05 to 0.2 mm a pass, flap brush 0.1 to 0.5 mm: common practice, no published source", Provenance: Practice,
			Example: "a radius of 2 mm (grade P3): 2 mm against 0.5 mm, brush; -0.1/-0.3 passes",
			judge:   judgeRadiusReach,
		},
		{
			Name: "belt-rolls-burr", Title: "belt is the last to touch the edge", Group: GroupEdge,
			Measured: "edges that a belt touches last: cut-outs, and the outline where no burr is allowed",
			Formula:  "edges <= limit",
			Default:  0, Unit: "edges", Applies: "lines whose last head on the part is a belt with no brush behind it",
			Treatment: Brush, Why: "a belt cuts the burr off and lays part of it over the edge: a secondary burr lies in the cut-outs and on the trailing side",
			Do:     "run a brush after the belt, turning against the feed, or a pass on a line with one",
			Source: "an article on deburring basics and a dealer's page; a fine belt (P180 and finer) behind a brush is taken as harmless unless no burr at all is allowed (inference)", Provenance: LookedUp,
			Example: "a plate with one hole on a line of one belt, hole and outline: 2 edges against 0 edges, brush; with a brush behind the belt it passes",
			judge:   judgeBeltRollsBurr,
		},
	}
}

func judgeEdgeUnstated(b *judging, r *Rule) {
	if b.EdgeKnown || b.limit(r, r.Default) < 1 {
		b.see(r, Pass)
		return
	}
	b.need(r, "edge")
}

func judgeRadiusTooBig(b *judging, r *Rule) {
	if !b.EdgeKnown {
		b.need(r, "edge")
		return
	}
	wanted := b.Edge.TakesOff()
	if wanted == 0 || b.Edge.Sides != BothSides {
		return
	}
	if !b.ThicknessKnown {
		b.need(r, "thickness")
		return
	}
	ratio, limit := 2*wanted/b.Thickness.MM, b.limit(r, r.Default)
	if ratio <= limit+1e-9 {
		b.see(r, Pass)
		return
	}
	b.fail(r, r.Treatment, Finding{Measured: ratio, Limit: limit, At: b.p.Centroid,
		Why: fmt.Sprintf("two edges of %.3g mm do not fit into %.3g mm of thickness: the requirement (%s) cannot be met on both", wanted, b.Thickness.MM, b.Edge.Title)})
}

func judgeRadiusReach(b *judging, r *Rule) {
	if !b.EdgeKnown {
		b.need(r, "edge")
		return
	}
	wanted := b.Edge.TakesOff()
	if wanted == 0 {
		return
	}
	limit := b.limit(r, r.Default)
	if !b.hasBrush() {
		limit = 0.05 // a belt leaves an edge that still counts as sharp
	}
	if wanted <= limit+1e-9 {
		b.see(r, Pass)
		return
	}
	f := Finding{Measured: wanted, Limit: limit, At: b.p.Centroid}
	if !b.hasBrush() {
		f.Why = "the line has no brush that touches the part, and a belt alone hardly rounds an edge"
	}
	b.fail(r, r.Treatment, f)
}

func judgeBeltRollsBurr(b *judging, r *Rule) {
	last := -1
	brushed := false
	for i, h := range b.Line.Heads {
		if b.lifted[i] == "" {
			last = i
			brushed = brushed || h.Brush()
		}
	}
	if last < 0 {
		return
	}
	if b.Line.Heads[last].Brush() {
		b.see(r, Pass)
		return
	}
	// A fine belt behind a brush leaves little; a requirement that allows a burr
	// of 0.3 mm or more has room for what a belt lays over.
	fine := brushed && !slices.ContainsFunc(b.Line.Heads[last].Grades, func(g string) bool { return grainOf(g) > 82 })
	edges := float64(len(b.p.Cutouts))
	switch {
	case b.EdgeKnown && b.Edge.BurrAllowed() >= 0.3:
		b.see(r, Pass)
		return
	case fine && !b.EdgeKnown:
		b.need(r, "edge")
		return
	case fine && b.Edge.BurrAllowed() > 0.05:
		b.see(r, Pass)
		return
	case b.EdgeKnown:
		edges++ // the outline
	case edges == 0:
		b.need(r, "edge")
		return
	}
	limit := b.limit(r, r.Default)
	if edges <= limit {
		b.see(r, Pass)
		return
	}
	b.fail(r, r.Treatment, Finding{Measured: edges, Limit: limit, At: b.p.Centroid, Do: b.elsewhere(r, func(l *LineSpec) bool {
		return len(l.Heads) > 0 && l.Heads[len(l.Heads)-1].Brush() && b.takes(l)
	})})
}
