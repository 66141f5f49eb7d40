package analyze

import (
	"fmt"
	"math"
	"slices"

	"burrcast/analyze/measure"
	"burrcast/geom"
	"burrcast/geom/contour"

	"github.com/golang/geo/r2"
)

// measureNest measures how the parts lie to each other: in cut-outs of others,
// over each other, how far apart, and how much of the sheet they cover. Nothing
// is said of a drawing with one part.
func (a *analysis) measureNest() {
	if len(a.built.Regions) == 0 {
		return
	}
	part := a.partsByRegion()
	a.measureUse()
	if len(a.built.Regions) < 2 {
		return
	}
	a.tellIslands(part)
	crossing := a.tellOverlaps(part)
	gaps, ok := contour.Gaps(a.built.Regions)
	if !ok {
		a.say("unmeasured-nest", 0, "the parts lie too close over each other to measure their distances")
		return
	}
	gaps = slices.DeleteFunc(gaps, func(g contour.Gap) bool { return crossing[[2]int{g.A, g.B}] })
	slices.SortStableFunc(gaps, func(p, q contour.Gap) int {
		switch {
		case p.Distance < q.Distance:
			return -1
		case p.Distance > q.Distance:
			return 1
		}
		return 0
	})
	for _, g := range gaps {
		v := measure.Of(g.Distance, a.errorOf(g.A)+a.errorOf(g.B)).Seen(measure.Witness{A: g.P, B: g.Q, Points: true})
		a.res.Drawing.Nearest = append(a.res.Drawing.Nearest, measure.Apart{Parts: [2]string{part[g.A], part[g.B]}, Distance: v})
	}
	if len(gaps) > 0 {
		g := gaps[0]
		a.say("nearest-parts", 0, "the least distance between parts is %.3f mm, %s at %s to %s at %s",
			g.Distance, part[g.A], at(g.P), part[g.B], at(g.Q))
	}
}

// partsByRegion returns the id of the part that each region is a piece of, by
// where its lower left corner lies.
func (a *analysis) partsByRegion() []string {
	byCorner := make(map[r2.Point][]int)
	for k := range a.res.Parts {
		for _, p := range a.res.Parts[k].Measure.At {
			byCorner[p] = append(byCorner[p], k)
		}
	}
	out := make([]string, len(a.built.Regions))
	for i := range a.built.Regions {
		loop := a.built.Regions[i].Outline.Curves
		corner, length := geom.LoopBounds(loop).Lo(), geom.LoopLength(loop)
		// Of several at one corner the one that is as long.
		best := math.Inf(1)
		for _, k := range byCorner[corner] {
			m := &a.res.Parts[k].Measure
			if d := math.Abs(m.OutlineLength.V - length); d < best {
				best, out[i] = d, m.ID
			}
		}
	}
	return out
}

// measureUse measures which share of the sheet the parts cover.
func (a *analysis) measureUse() {
	pieces, area, err := 0, 0.0, 0.0
	for i := range a.res.Parts {
		m := &a.res.Parts[i].Measure
		pieces += m.Quantity
		area += float64(m.Quantity) * m.Area.V
		err += float64(m.Quantity) * m.Area.Err
	}
	sheet := 0.0
	for _, s := range a.sheets {
		sheet += math.Abs(geom.Integrate(s).Area)
	}
	box := r2.EmptyRect()
	for i := range a.built.Regions {
		box = box.Union(geom.LoopBounds(a.built.Regions[i].Outline.Curves))
	}
	what := "sheet"
	switch round := box.X.Length() * box.Y.Length(); {
	case sheet > 0:
		a.res.Drawing.Used = measure.Of(area/sheet, err/sheet)
	case pieces > 1 && round > 0:
		sheet, what = round, "rectangle round them"
	default:
		return
	}
	a.say("nest", 0, "%s cover %.1f %% of the %s", plural(pieces, "piece"), 100*area/sheet, what)
}

// tellIslands tells which parts lie in cut-outs of others.
func (a *analysis) tellIslands(part []string) {
	said := make(map[[2]string]int)
	var order [][2]string
	for i := range a.built.Regions {
		r := &a.built.Regions[i]
		if r.Parent < 0 {
			continue
		}
		pair := [2]string{part[i], part[r.Parent]}
		if said[pair]++; said[pair] == 1 {
			order = append(order, pair)
		}
	}
	for n, pair := range order {
		for k := range a.res.Parts {
			if m := &a.res.Parts[k].Measure; m.ID == pair[0] && m.Inside == "" {
				m.Inside = pair[1]
			}
		}
		if n < mostTold {
			a.say("island", 0, "%s lies in a cut-out of %s%s", pair[0], pair[1], times(said[pair]))
		}
	}
}

func times(n int) string {
	if n == 1 {
		return ""
	}
	return fmt.Sprintf(" (%d times)", n)
}

// tellOverlaps enters the parts that overlap each other and returns the pairs of
// regions.
func (a *analysis) tellOverlaps(part []string) map[[2]int]bool {
	out := make(map[[2]int]bool)
	for _, o := range a.overlapping {
		pair := [2]int{min(o[0], o[1]), max(o[0], o[1])}
		if out[pair] {
			continue
		}
		out[pair] = true
		ids := [2]string{part[pair[0]], part[pair[1]]}
		a.res.Drawing.Overlaps = append(a.res.Drawing.Overlaps, measure.Apart{Parts: ids, Distance: measure.Of(0, 0)})
		if len(out) <= mostTold {
			a.say("parts-overlap", 0, "%s and %s overlap each other: move one by more than the width of the cut", ids[0], ids[1])
		}
	}
	return out
}
