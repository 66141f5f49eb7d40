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

// longestLeadIn bounds a lead-in, mm. Lead-ins are a few millimetres long for a
// laser and up to an inch and a half for plasma on thick plate (common practice).
const longestLeadIn = 40

// sortOpen decides what the chains that do not close are, from what their ends
// lie on and from where they run:
//
//	chain                            in the material    in scrap (a cut-out, or outside)
//	straight from edge to edge       bend               scrap cut
//	other from edge to edge          etch               scrap cut
//	from an edge, ends free          etch               lead-in if at most 40 mm long
//	touches no edge                  etch               open contour; centre line if straight, in a cut-out
//	over edges, ends free            centre line        centre line
//
// with these exceptions:
//
//   - lines from edge to edge that cross each other are centre lines: sheet is
//     not folded across a fold;
//   - a stretch of a contour's own line beyond a corner, no longer than a joint
//     may be wide, is an overshoot, and a centre line if it is longer;
//   - what touches no edge or one, and whose ends lie so near each other for its
//     length that it was meant to close, is an open contour, also in the
//     material, and leaves the part incomplete.
//
// Lines whose layer means bend or etch are given to the region they lie in.
func (a *analysis) sortOpen() {
	a.doubt = make(map[int]string)
	a.marks = make(map[int]*regionMarks)
	folds := a.folds()
	for k := range a.built.Open {
		o := &a.built.Open[k]
		if len(o.Curves) == 0 {
			continue
		}
		taken := a.takenFor(o, folds[k])
		if a.leads[k] {
			taken = LeadIn
		}
		a.take(taken, o.Curves, o.Sources)
		switch taken {
		case TakenBend:
			m := a.mark(o.Region)
			m.bends = append(m.bends, straight(o.Curves))
		case TakenEtch:
			if o.Region >= 0 {
				a.mark(o.Region).etch = append(a.mark(o.Region).etch, o.Curves...)
			}
		case Overshoot:
			a.tellOvershoot(o)
		case OpenContour:
			a.tellOpen(o)
		}
	}
	for _, p := range a.built.Problems {
		if p.Code != "crossing" && p.Code != "not-converged" {
			continue
		}
		for _, i := range a.regionsOf(p.Sources) {
			a.doubt[i] = p.Text
		}
	}
	for _, c := range a.bends {
		a.take(TakenBend, []geom.Curve{c.Curve}, nil)
		if i := a.regionAt(c.At(0.5)); i >= 0 {
			a.mark(i).bends = append(a.mark(i).bends, c.Curve)
		}
	}
	for _, c := range a.etch {
		a.take(TakenEtch, []geom.Curve{c.Curve}, nil)
		if i := a.regionAt(c.At(0.5)); i >= 0 {
			a.mark(i).etch = append(a.mark(i).etch, c.Curve)
		}
	}
}

// take enters what curves were taken for into the account.
func (a *analysis) take(taken Taken, curves []geom.Curve, sources []int) {
	a.res.Lines = append(a.res.Lines, Line{Taken: taken, Curves: curves, sources: a.refits.all(sources)})
}

// takenFor decides on a chain; fold says that it could be folded along.
func (a *analysis) takenFor(o *contour.Open, fold bool) Taken {
	at := a.placeOf(o)
	material := at.Region >= 0 && at.Cutout < 0
	if o.Kind != contour.Chord && a.isOvershoot(o) {
		if geom.LoopLength(o.Curves) <= a.opt.Contour.JointLimit {
			return Overshoot
		}
		return CentreLine
	}
	switch o.Kind {
	case contour.Across:
		return CentreLine
	case contour.Chord:
		switch {
		case !material:
			return ScrapCut
		case fold:
			return TakenBend
		case isStraight(o.Curves):
			return CentreLine
		}
		return TakenEtch
	case contour.Spur:
		switch {
		case nearlyCloses(o.Curves):
			return OpenContour
		case material:
			return TakenEtch
		case geom.LoopLength(o.Curves) <= longestLeadIn:
			return LeadIn
		}
		return OpenContour
	}
	switch {
	case nearlyCloses(o.Curves):
		return OpenContour
	case material:
		return TakenEtch
	case at.Region >= 0 && isStraight(o.Curves):
		return CentreLine
	}
	return OpenContour
}

// placeOf returns where a chain runs, by the middle of its middle curve.
func (a *analysis) placeOf(o *contour.Open) contour.Place {
	return a.where().At(o.Curves[len(o.Curves)/2].At(0.5))
}

// isOvershoot reports whether a chain is what was left of one curve of a contour.
func (a *analysis) isOvershoot(o *contour.Open) bool {
	if o.Kind == contour.Loose {
		return false
	}
	for _, s := range o.Sources {
		if s < 0 || s != o.Sources[0] || len(a.owner[s]) == 0 {
			return false
		}
	}
	return true
}

// mostFolds bounds the chords of one region that are compared pair by pair.
const mostFolds = 500

// folds returns for every open chain whether it is a straight line in the
// material, from edge to edge, that no other such line crosses. A bend along two
// pieces of one line counts as two.
func (a *analysis) folds() []bool {
	out := make([]bool, len(a.built.Open))
	byRegion := make(map[int][]int)
	for k := range a.built.Open {
		o := &a.built.Open[k]
		if o.Kind != contour.Chord || !isStraight(o.Curves) {
			continue
		}
		if at := a.placeOf(o); at.Region >= 0 && at.Cutout < 0 {
			out[k] = true
			byRegion[at.Region] = append(byRegion[at.Region], k)
			o.Region = at.Region
		}
	}
	for _, list := range byRegion {
		if len(list) > mostFolds {
			continue
		}
		for i, k := range list {
			for _, l := range list[:i] {
				if crossInside(straight(a.built.Open[k].Curves), straight(a.built.Open[l].Curves), a.opt.Contour.Join) {
					out[k], out[l] = false, false
				}
			}
		}
	}
	return out
}

// crossInside reports whether two lines cross away from their ends, or meet
// there with both at a corner that neither needs.
func crossInside(c, d geom.Curve, near float64) bool {
	for _, x := range geom.Intersect(c, d, 0) {
		if x.T*c.Length() > near && (1-x.T)*c.Length() > near && x.U*d.Length() > near && (1-x.U)*d.Length() > near {
			return true
		}
	}
	return false
}

// isStraight reports whether a chain is one straight line.
func isStraight(chain []geom.Curve) bool {
	whole := straight(chain)
	if whole.Start == whole.End {
		return false
	}
	for _, c := range chain {
		if c.IsArc() || c.Tangent(0).Dot(whole.Tangent(0)) < 1-1e-9 {
			return false
		}
	}
	return true
}

// straight returns the line from the start of a chain to its end.
func straight(chain []geom.Curve) geom.Curve {
	return geom.Line(chain[0].Start, chain[len(chain)-1].End)
}

// nearlyCloses reports whether a chain has its ends nearer to each other than a
// tenth of its length, as a circle of more than 330 degrees has; two straight
// lines there and back do not count.
func nearlyCloses(chain []geom.Curve) bool {
	gap := chain[0].Start.Sub(chain[len(chain)-1].End).Norm()
	round := len(chain) >= 3 || slices.ContainsFunc(chain, geom.Curve.IsArc)
	return round && gap < geom.LoopLength(chain)/10
}

func (a *analysis) mark(i int) *regionMarks {
	m := a.marks[i]
	if m == nil {
		m = &regionMarks{}
		a.marks[i] = m
	}
	return m
}

// regionsOf returns the regions with a contour made of one of the sources.
func (a *analysis) regionsOf(sources []int) []int {
	var out []int
	for _, s := range sources {
		if s >= 0 {
			out = append(out, a.owner[s]...)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// regionAt returns the region in whose outline p lies, the innermost of several,
// or -1.
func (a *analysis) regionAt(p r2.Point) int { return a.where().At(p).Region }

// account tells what was taken for what, with counts.
func (a *analysis) account() {
	count := make(map[Taken]int)
	for _, l := range a.res.Lines {
		count[l.Taken]++
	}
	tell := func(taken Taken, code, one, many string) {
		switch n := count[taken]; {
		case n == 1:
			a.say(code, a.lineOf(taken), "%s", one)
		case n > 1:
			a.say(code, a.lineOf(taken), "%d %s", n, many)
		}
	}
	tell(TakenBend, "bend-lines", "1 line is taken for a bend, not cut", "lines are taken for bends, not cut")
	tell(TakenEtch, "etch-lines", "1 open line inside a part is taken for an etch mark, not cut", "open lines inside parts are taken for etch marks, not cut")
	tell(CentreLine, "centre-lines", "1 line that runs over contours or crosses another is taken for a centre line, not cut",
		"lines that run over contours or cross each other are taken for centre lines, not cut")
	tell(LeadIn, "lead-ins", "1 short line from scrap to a contour is taken for a lead-in: no edge of the part", "short lines from scrap to contours are taken for lead-ins: no edges of the parts")
	tell(PierceMark, "pierce-marks", "1 tiny circle at the end of a lead-in is taken for a pierce mark", "tiny circles at the ends of lead-ins are taken for pierce marks")
	tell(SinkMark, "countersinks", "1 circle round a smaller one is taken for its countersink or thread: the inner is the hole",
		"circles round smaller ones are taken for their countersinks or threads: the inner are the holes")
	tell(PocketMark, "pockets", "1 closed contour round bolt holes is taken for the edge of a pocket, not cut",
		"closed contours round bolt holes are taken for edges of pockets, not cut")
	tell(ScrapCut, "scrap-cuts", "1 line from edge to edge through scrap is left out: no edge of a part", "lines from edge to edge through scrap are left out: no edges of parts")
	a.tellSpread(count)
}

// tellSpread tells how the curves divide among contours and all else, where
// there is anything else.
func (a *analysis) tellSpread(count map[Taken]int) {
	if len(count) == 0 || len(count) == 1 && count[SheetBorder]+count[SinkMark]+count[PocketMark] > 0 {
		return
	}
	contours := 0
	for s := range a.owner {
		if len(a.owner[s]) > 0 {
			contours++
		}
	}
	parts := make(map[Taken]bool)
	text := fmt.Sprintf("of %d curves %d are contours of parts", len(a.cut)+len(a.bends)+len(a.etch), contours)
	for _, l := range a.res.Lines {
		if parts[l.Taken] {
			continue
		}
		parts[l.Taken] = true
		text += fmt.Sprintf(", %d %s", a.curvesTaken(l.Taken), l.Taken)
	}
	if n := len(a.built.Duplicates); n > 0 {
		text += fmt.Sprintf(", %d drawn twice", n)
	}
	if n := len(a.built.Degenerate); n > 0 {
		text += fmt.Sprintf(", %d too short to matter", n)
	}
	a.say("curves", 0, "%s; a curve that was split counts on both sides", text)
}

func (a *analysis) curvesTaken(taken Taken) int {
	n := 0
	for _, l := range a.res.Lines {
		if l.Taken == taken {
			n += len(l.Curves)
		}
	}
	return n
}

// lineOf returns where in the file the first of what was taken so stands.
func (a *analysis) lineOf(taken Taken) int {
	for _, l := range a.res.Lines {
		if l.Taken == taken {
			return a.line(l.sources)
		}
	}
	return 0
}

// tellOpen enters an open contour, with its ends and how to close it, and doubts
// the part that it lies in.
func (a *analysis) tellOpen(o *contour.Open) {
	first, last := o.Curves[0].Start, o.Curves[len(o.Curves)-1].End
	if at := a.placeOf(o); at.Region >= 0 && at.Cutout < 0 {
		a.doubt[at.Region] = "a cut-out does not close"
	}
	place := measure.Place{At: first, Size: o.Gap, Text: "open contour", Mend: a.mend(o)}
	a.res.Drawing.OpenContours = append(a.res.Drawing.OpenContours, place)
	if n := len(a.res.Drawing.OpenContours); n > mostTold {
		return
	}
	a.say("open-contour", a.line(o.Sources), "a chain of %s from %s to %s does not close: %s",
		plural(len(o.Curves), "curve"), at(first), at(last), place.Mend)
}

// mostTold bounds the messages of one kind.
const mostTold = 200

func plural(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}

// farGap is the share of a chain's length beyond which a gap is no slip of the
// pen: then a piece is missing.
const farGap = 0.25

// mend says how an open contour is mended.
func (a *analysis) mend(o *contour.Open) string {
	first, last := o.Curves[0].Start, o.Curves[len(o.Curves)-1].End
	whose := "its own other end"
	if o.Other {
		whose = "the next open end"
	}
	if o.Gap > math.Max(farGap*geom.LoopLength(o.Curves), a.opt.Contour.JointLimit) {
		return fmt.Sprintf("%s lies %.3f mm from %s; draw what is missing, or put it on a layer that is not cut", at(o.From), o.Gap, whose)
	}
	if !o.Other && isStraight(o.Curves) {
		return "it stands alone; delete it, or draw what is missing"
	}
	if o.Gap <= a.opt.Contour.Join {
		return fmt.Sprintf("more than two lines meet at %s; delete the one too many", at(first))
	}
	text := fmt.Sprintf("draw a line from %s to %s, gap %.3f mm", at(o.From), at(o.To), o.Gap)
	if !o.Other && o.Kind == contour.Spur {
		text += fmt.Sprintf(", or trim it at the contour that it meets at one of %s and %s", at(first), at(last))
	}
	return text
}

func (a *analysis) tellOvershoot(o *contour.Open) {
	from, to := o.Curves[0].Start, o.Curves[len(o.Curves)-1].End
	near := math.Max(a.opt.Contour.Join, 1e-6)
	on := false
	a.where().Near(from, near, func(contour.Place) bool { on = true; return false })
	if !on {
		from, to = to, from
	}
	a.overshoots++
	if a.overshoots <= mostTold {
		a.say("overshoot", a.line(o.Sources), "a line runs %.3f mm past its corner to %s: trim it at %s", from.Sub(to).Norm(), at(to), at(from))
	}
}
