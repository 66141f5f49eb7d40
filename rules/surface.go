package rules

import (
	"fmt"
	"slices"
)

// surfaceRules say what the heads would do to the faces.
func surfaceRules() []Rule {
	return []Rule{
		{
			Name: "zinc-keep", Title: "belt on zinc-coated sheet", Group: GroupSurface,
			Measured: "grain size of the line's finest belt over the zinc thickness of one side",
			Formula:  "grain <= limit x zinc; zinc = mass / 2 / 7.14 micrometres",
			Default:  1, Unit: "x zinc", Applies: "zinc-coated stock on a line with a belt",
			Treatment: Brush, Why: "a belt grain is larger than the zinc layer is thick: the belt cuts through it",
			Do:     "lift the belts and run brushes only",
			Source: "zinc mass to thickness and P grades looked up, ratio arithmetic; that the belt cuts through is an inference", Provenance: Arithmetic,
			Example: "P150 has grains of 100 micrometres, Z275 a layer of 19.3: 5.19 x zinc against 1 x zinc, brush; a line of brushes passes",
			judge:   judgeZincKeep,
		},
		{
			Name: "film-keep", Title: "belt on film-covered sheet", Group: GroupSurface,
			Measured: "belt heads of the line",
			Formula:  "belts <= limit",
			Default:  0, Unit: "belts", Applies: "stock with a protective film",
			Treatment: Brush, Why: "a belt grinds through a film of 50 to 100 micrometres and smears it",
			Do:     "lift the belts and run soft brushes only, or run the filmed face down, or strip the film first",
			Source: "brushes and discs deburr without harming film or zinc: a dealer's page (looked up); film thickness common practice", Provenance: Practice,
			Example: "filmed stainless on a line of belt and drum brush: 1 belts against 0 belts, brush; a line of brushes passes",
			judge:   judgeFilmKeep,
		},
		{
			Name: "grain-wanted", Title: "grained face and no belt to make it", Group: GroupSurface,
			Measured: "fine belts behind the last brush whose grades include the grain wanted or one beside it",
			Formula:  "belts >= limit",
			Default:  1, Unit: "belts", Applies: "an edge requirement that asks for a grain",
			Treatment: Brush, Why: "the line's last head does not leave the grain that is wanted",
			Do:     "finish on a line whose last head is a fine belt, or put the grain on in a pass of its own",
			Source: "stainless grain finish P180 to P320, belt first and brush after, fine belt last", Provenance: Practice,
			Example: "a grain of P240 on a line of belt and drum brush: 0 belts against 1 belts, brush; a fine belt at the end passes",
			judge:   judgeGrainWanted,
		},
		{
			Name: "iron-free", Title: "steel wire on stainless or light metal", Group: GroupSurface,
			Measured: "steel-wire brushes that touch the part",
			Formula:  "brushes <= limit",
			Default:  0, Unit: "brushes", Applies: "stainless, aluminium, copper and titanium",
			Treatment: Brush, Why: "iron from steel wire is rubbed into the face and rusts there",
			Do:     "use a brush of stainless wire on stainless, of abrasive nylon on aluminium and brass",
			Source: "a brush maker's article", Provenance: LookedUp,
			Example: "1.4301 under a drum brush of steel wire: 1 brushes against 0 brushes, brush; carbon steel passes",
			judge:   judgeIronFree,
		},
	}
}

func judgeZincKeep(b *judging, r *Rule) {
	if !b.Zinc {
		if !b.MaterialKnown && b.job.Coating.Value == "" {
			b.need(r, "material")
		}
		return
	}
	grade := ""
	for _, h := range b.Line.Heads {
		if h.Kind == BeltHead {
			if g, ok := finest(h.Grades); ok && (grade == "" || grainOf(g) < grainOf(grade)) {
				grade = g
			}
		}
	}
	if grade == "" {
		b.see(r, Pass)
		return
	}
	zinc, note := ZincThickness(b.ZincMass), ""
	if b.ZincMass == 0 {
		zinc, note = ZincThickness(275), " (mass not stated, Z275 taken)"
	}
	ratio, limit := grainOf(grade)/zinc, b.limit(r, r.Default)
	if ratio <= limit {
		b.see(r, Pass)
		return
	}
	t, do := r.Treatment, ""
	if !b.hasBrush() {
		t, do = Hand, "this line has no brush: deburr on the bench without grinding the faces, or use a line with brushes"
	}
	b.fail(r, t, Finding{Measured: ratio, Limit: limit, At: b.p.Centroid, Do: do,
		Why: fmt.Sprintf("the grain of the line's finest belt, %s, is %.0f micrometres; the zinc is %.1f micrometres a side%s: the belt cuts through it", grade, grainOf(grade), zinc, note)})
}

func judgeFilmKeep(b *judging, r *Rule) {
	if !b.Film {
		return
	}
	belts := 0.0
	for _, h := range b.Line.Heads {
		if h.Kind == BeltHead {
			belts++
		}
	}
	limit := b.limit(r, r.Default)
	if belts <= limit {
		b.see(r, Pass)
		return
	}
	t, do := r.Treatment, ""
	if !b.hasBrush() {
		t, do = Hand, "this line has no brush: deburr on the bench, or strip the film first"
	}
	b.fail(r, t, Finding{Measured: belts, Limit: limit, At: b.p.Centroid, Do: do})
}

func judgeGrainWanted(b *judging, r *Rule) {
	if !b.EdgeKnown {
		b.need(r, "edge")
		return
	}
	if b.Edge.Grain == "" {
		return
	}
	want := grainOf(b.Edge.Grain)
	fits := 0.0
	for i := len(b.Line.Heads) - 1; i >= 0 && b.Line.Heads[i].Kind == BeltHead && b.lifted[i] == ""; i-- {
		if leaves(b.Line.Heads[i], want) {
			fits++
		}
	}
	limit := b.limit(r, r.Default)
	if fits >= limit {
		b.see(r, Pass)
		return
	}
	b.fail(r, r.Treatment, Finding{Measured: fits, Limit: limit, At: b.p.Centroid, Do: b.elsewhere(r, func(l *LineSpec) bool {
		return len(l.Heads) > 0 && l.Heads[len(l.Heads)-1].Kind == BeltHead && leaves(l.Heads[len(l.Heads)-1], want) && b.takes(l)
	})})
}

// leaves reports whether a head has a grade that leaves a grain of a size in
// micrometres, or one beside it.
func leaves(h Head, want float64) bool {
	return slices.ContainsFunc(h.Grades, func(g string) bool {
		s := grainOf(g)
		return s <= 1.3*want && s >= want/1.3
	})
}

func judgeIronFree(b *judging, r *Rule) {
	wire := 0.0
	for i, h := range b.Line.Heads {
		if h.Material == "steel-wire" && b.lifted[i] == "" {
			wire++
		}
	}
	if wire == 0 {
		return
	}
	if !b.MaterialKnown {
		b.need(r, "material")
		return
	}
	limit := b.limit(r, r.Default)
	if b.Material.Family == "steel" || wire <= limit {
		b.see(r, Pass)
		return
	}
	b.fail(r, r.Treatment, Finding{Measured: wire, Limit: limit, At: b.p.Centroid})
}
