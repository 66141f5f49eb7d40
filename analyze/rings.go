package analyze

import (
	"math"

	"burrcast/geom"
	"burrcast/geom/contour"
)

// widestSink bounds the outer circle of a countersink or counterbore, mm: an M20
// countersunk head is 36 mm wide (ISO 10642 and ISO 2009 give about twice the
// thread, from memory).
const widestSink = 40

// setSinksAside takes out the outer of two circles round one centre in a part,
// and builds the rest again: a countersink, a counterbore or a thread drawn round
// its hole. Cut as drawn, the hole would be as wide as the outer circle, with a
// disc that drops out of it.
//
// A disc cut from the drop of a larger hole lies anywhere in it, and rings laid
// in each other round one centre are larger, or have round outlines round the
// same centre; neither is taken for a countersink. Options.KeepRings takes none.
func (a *analysis) setSinksAside() {
	if a.opt.KeepRings {
		return
	}
	// Circles in circles in circles, as for a countersunk thread: a few rounds.
	for range 3 {
		if !a.sinkRound() {
			return
		}
	}
}

func (a *analysis) sinkRound() bool {
	found := false
	for _, i := range a.sinks() {
		r := &a.built.Regions[i]
		hole := &a.built.Regions[r.Parent].Holes[r.Cutout]
		found = true
		a.setAside(SinkMark, hole.Curves, hole.Sources)
	}
	if found {
		a.build()
	}
	return found
}

// sinks returns the regions that are a hole in its countersink.
func (a *analysis) sinks() []int {
	type spot struct{ region, cutout int }
	inside := make(map[spot]int) // cut-out -> number of regions in it
	for i := range a.built.Regions {
		if r := &a.built.Regions[i]; r.Parent >= 0 {
			inside[spot{r.Parent, r.Cutout}]++
		}
	}
	var out []int
	for i := range a.built.Regions {
		r := &a.built.Regions[i]
		if r.Parent < 0 || inside[spot{r.Parent, r.Cutout}] != 1 || !isCircle(r.Outline.Curves) {
			continue
		}
		hole := &a.built.Regions[r.Parent].Holes[r.Cutout]
		if !isCircle(hole.Curves) || !isSink(hole.Curves[0], r.Outline.Curves[0], a.opt.Contour.Join) {
			continue
		}
		if round := a.built.Regions[r.Parent].Outline.Curves; isCircle(round) &&
			round[0].Center.Sub(hole.Curves[0].Center).Norm() <= a.opt.Contour.Join {
			continue
		}
		out = append(out, i)
	}
	return out
}

// isSink reports whether two circles are those of a countersunk hole: round one
// centre, the outer no wider than three times the inner.
func isSink(outer, inner geom.Curve, near float64) bool {
	return outer.Center.Sub(inner.Center).Norm() <= near && 2*outer.Radius <= widestSink && outer.Radius <= 3*inner.Radius
}

// widestBoltHole bounds the circles that are holes and no parts, mm: shops do not
// take discs that small, they fall through the grate.
const widestBoltHole = 12

// setPocketsAside takes out cut-outs that hold nothing but contours without
// cut-outs of their own, at least two of them circles as small as bolt holes, and
// builds the rest again: the outline of a pocket, a recess or a part laid on,
// drawn round the holes in it. Cut as drawn, the holes would be loose discs.
func (a *analysis) setPocketsAside() {
	if a.opt.KeepRings {
		return
	}
	type spot struct{ region, cutout int }
	small := make(map[spot]int)
	never := make(map[spot]bool)
	var order []spot
	for i := range a.built.Regions {
		r := &a.built.Regions[i]
		if r.Parent < 0 {
			continue
		}
		at := spot{r.Parent, r.Cutout}
		if len(r.Holes) > 0 {
			never[at] = true
		}
		if isBoltHole(r.Outline.Curves) {
			if small[at]++; small[at] == 2 {
				order = append(order, at)
			}
		}
	}
	found := false
	for _, at := range order {
		if never[at] {
			continue
		}
		found = true
		hole := &a.built.Regions[at.region].Holes[at.cutout]
		a.setAside(PocketMark, hole.Curves, hole.Sources)
	}
	if found {
		a.build()
	}
}

// isBoltHole reports whether a loop is a small circle, also one drawn as a polygon
// of eight sides or more: of the circle that has its length it fills 94 %.
func isBoltHole(loop []geom.Curve) bool {
	if size := geom.LoopBounds(loop).Size(); max(size.X, size.Y) > widestBoltHole {
		return false
	}
	l := geom.LoopLength(loop)
	return 4*math.Pi*math.Abs(geom.Integrate(loop).Area) >= 0.94*l*l
}

// dropCorners takes out what lines that run on past a rounded corner cut off: a
// region of two lines and an arc tangent to both, whose arc is the corner of a
// neighbour. Nobody cuts a part that runs out to nothing on both sides.
func (a *analysis) dropCorners() {
	gone := make(map[int]bool)
	for i := range a.built.Regions {
		if a.isCorner(i) {
			gone[i] = true
			out := &a.built.Regions[i].Outline
			a.take(Overshoot, out.Curves, out.Sources)
			if a.overshoots++; a.overshoots <= mostTold {
				a.say("overshoot", a.line(out.Sources), "lines run past the rounded corner at %s: trim them where it begins and ends", at(geom.LoopBounds(out.Curves).Center()))
			}
		}
	}
	a.dropRegions(gone)
}

// dropRegions takes regions without cut-outs out of the result.
func (a *analysis) dropRegions(gone map[int]bool) {
	if len(gone) == 0 {
		return
	}
	to := make([]int, len(a.built.Regions))
	var kept []contour.Region
	for i, r := range a.built.Regions {
		to[i] = -1
		if !gone[i] {
			to[i] = len(kept)
			kept = append(kept, r)
		}
	}
	for i := range kept {
		if p := kept[i].Parent; p >= 0 {
			kept[i].Parent = to[p]
		}
	}
	for k := range a.built.Open {
		if r := a.built.Open[k].Region; r >= 0 {
			a.built.Open[k].Region = to[r]
		}
	}
	a.built.Regions = kept
	a.index()
}

func (a *analysis) isCorner(i int) bool {
	r := &a.built.Regions[i]
	if len(r.Outline.Curves) != 3 || len(r.Holes) > 0 {
		return false
	}
	arc, lines := -1, 0
	for k, c := range r.Outline.Curves {
		if c.IsArc() {
			arc = k
		} else {
			lines++
		}
	}
	if arc < 0 || lines != 2 {
		return false
	}
	const smooth = 0.05 // radians
	c := r.Outline.Curves[arc]
	before, after := r.Outline.Curves[(arc+2)%3], r.Outline.Curves[(arc+1)%3]
	// Round the tip at either end of the arc the walk turns back.
	turnsBack := before.Tangent(1).Dot(c.Tangent(0)) < -math.Cos(smooth) && c.Tangent(1).Dot(after.Tangent(0)) < -math.Cos(smooth)
	if s := r.Outline.Sources[arc]; turnsBack && s >= 0 {
		return len(a.owner[s]) > 1
	}
	return false
}
