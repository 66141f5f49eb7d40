package analyze

import (
	"cmp"
	"slices"

	"burrcast/geom"
	"burrcast/geom/contour"

	"github.com/golang/geo/r2"
)

// refits is what was refitted in the contours of a drawing. An arc has the first
// of its chords for its source; stood and head know the others.
type refits struct {
	did      geom.Refitted
	first    int             // source of the first arc
	contours int             // with arcs that were chords
	rise     map[int]float64 // source of an arc -> rise of the chords it stands for, mm
	stood    map[int][]int   // source of an arc -> its other chords
	head     map[int]int     // and back

	coarse, coarseAt int     // chords too coarse to refit, and source of the first
	coarseRise       float64 // their largest rise, mm
}

// refitOptions returns what chords stand for curves.
func (a *analysis) refitOptions() geom.RefitOptions {
	opt := geom.DefaultRefit()
	if a.opt.CurveTolerance > 0 {
		opt.Tolerance = a.opt.CurveTolerance
	}
	return opt
}

// refit turns runs of chords in contours that stand for curves into tangent
// arcs, as the reader does within one polyline: drawn as single lines or as
// short polylines, chords are a run only now that they are joined. It reports
// whether there were any.
//
// What must stay as it is breaks a run: a joint, a cut that two regions share,
// a line that was split, and a place where an open chain ends, so that bends
// and etched lines still meet their contour where they did.
func (a *analysis) refit() bool {
	if a.opt.KeepChords {
		return false
	}
	opt := a.refitOptions()
	ends := a.openEnds()
	for i := range a.built.Regions {
		for _, c := range contoursOf(&a.built.Regions[i]) {
			a.refitContour(c, ends, opt)
			a.seeCoarse(c, opt)
		}
	}
	return a.refits.did.Runs > 0
}

// refitContour refits one contour, between the places that must stay.
func (a *analysis) refitContour(c *contour.Contour, ends *openEnds, opt geom.RefitOptions) {
	n := len(c.Curves)
	if n < opt.Chords {
		return
	}
	stays := make([]bool, n)
	for k, s := range c.Sources {
		stays[k] = s < 0 || len(a.owner[s]) > 1 || s == c.Sources[(k+1)%n] || s == c.Sources[(k+n-1)%n] || ends.within(&c.Curves[k])
	}
	breaks := func(k int) bool { // at the start of curve k
		return ends.at[c.Curves[k].Start] || stays[k] || stays[(k+n-1)%n]
	}
	first := 0
	for first < n && !breaks(first) {
		first++
	}
	if first == n {
		if curves, index, did := geom.RefitChords(c.Curves, true, opt); did.Runs > 0 {
			a.refits.add(c, 0, n, index, did)
			c.Sources, c.Curves = picked(c.Sources, index), curves
		}
		return
	}
	turned := make([]geom.Curve, 0, n)
	from := make([]int, 0, n)
	for k := range n {
		turned, from = append(turned, c.Curves[(first+k)%n]), append(from, c.Sources[(first+k)%n])
	}
	loop := contour.Contour{Curves: turned, Sources: from}
	var curves []geom.Curve
	var sources []int
	runs := 0
	for k := 0; k < n; {
		end := k + 1
		for end < n && !breaks((first+end)%n) {
			end++
		}
		part, index, did := geom.RefitChords(turned[k:end], false, opt)
		curves = append(curves, part...)
		if did.Runs > 0 {
			a.refits.add(&loop, k, end, index, did)
			runs += did.Runs
			sources = append(sources, picked(from[k:end], index)...)
		} else {
			sources = append(sources, from[k:end]...)
		}
		k = end
	}
	if runs > 0 {
		c.Curves, c.Sources = curves, sources
	}
}

// openEnds finds where open chains end on contours.
type openEnds struct {
	at     map[r2.Point]bool
	sorted []r2.Point // by X
	near   float64    // mm
	left   int        // pairs of an end and a curve that may still be compared
}

// mostMeetings bounds the pairs of an open end and a chord that are compared in
// one drawing; chords that nobody looked at stay.
const mostMeetings = 4_000_000

func (a *analysis) openEnds() *openEnds {
	e := &openEnds{at: make(map[r2.Point]bool), near: a.opt.Contour.Join, left: mostMeetings}
	for i := range a.built.Open {
		if c := a.built.Open[i].Curves; len(c) > 0 {
			e.at[c[0].Start], e.at[c[len(c)-1].End] = true, true
		}
	}
	for p := range e.at {
		e.sorted = append(e.sorted, p)
	}
	slices.SortFunc(e.sorted, func(p, q r2.Point) int { return cmp.Or(cmp.Compare(p.X, q.X), cmp.Compare(p.Y, q.Y)) })
	return e
}

// within reports whether an open chain ends on c between its ends.
func (e *openEnds) within(c *geom.Curve) bool {
	if len(e.sorted) == 0 {
		return false
	}
	box := c.Bounds().ExpandedByMargin(e.near)
	i, _ := slices.BinarySearchFunc(e.sorted, box.X.Lo, func(p r2.Point, x float64) int { return cmp.Compare(p.X, x) })
	for ; i < len(e.sorted) && e.sorted[i].X <= box.X.Hi; i++ {
		if e.left--; e.left < 0 {
			return true
		}
		p := e.sorted[i]
		if !box.ContainsPoint(p) || p == c.Start || p == c.End {
			continue
		}
		if _, q := c.Closest(p); q.Sub(p).Norm() <= e.near {
			return true
		}
	}
	return false
}

// picked returns the sources at an index.
func picked(sources, index []int) []int {
	out := make([]int, len(index))
	for k, i := range index {
		out[k] = sources[i]
	}
	return out
}

// add enters that the curves of a contour from one place to another became
// those that begin at index.
func (r *refits) add(c *contour.Contour, from, to int, index []int, did geom.Refitted) {
	if r.did.Runs == 0 {
		r.first = c.Sources[from+index[0]]
		r.rise, r.stood, r.head = make(map[int]float64), make(map[int][]int), make(map[int]int)
	}
	r.did = r.did.Plus(did)
	r.contours++
	n := to - from
	for k, i := range index {
		next := index[(k+1)%len(index)] // a loop may begin elsewhere
		if next <= i {
			next += n
		}
		if next-i == 1 {
			continue
		}
		s := c.Sources[from+i]
		r.rise[s] = did.Rise
		for j := i + 1; j < next; j++ {
			o := c.Sources[from+j%n]
			r.stood[s] = append(r.stood[s], o)
			r.head[o] = s
		}
	}
}

// all returns sources with the chords that refitted ones stand for.
func (r *refits) all(sources []int) []int {
	if len(r.stood) == 0 {
		return sources
	}
	var out []int
	for _, s := range sources {
		out = append(append(out, s), r.stood[s]...)
	}
	return out
}

// seeCoarse counts chords that are too coarse to refit.
func (a *analysis) seeCoarse(c *contour.Contour, opt geom.RefitOptions) {
	n, rise := geom.CoarseChords(c.Curves, true, opt)
	if n == 0 {
		return
	}
	r := &a.refits
	if r.coarse == 0 {
		r.coarseAt = firstSource(*c)
	}
	r.coarse += n
	r.coarseRise = max(r.coarseRise, rise)
}

// tellRefits tells what was refitted, and what was not because it may well be
// what was meant.
func (a *analysis) tellRefits() {
	r := &a.refits
	if r.did.Runs > 0 {
		a.say("chords-refitted", a.line([]int{r.first}),
			"%d chords drawn one by one stand for curves and became %s; corners at most %.2g mm and chords %.2g mm from them",
			r.did.Chords, plural(r.did.Arcs, "arc"), r.did.Deviation, r.did.Rise)
	}
	if r.coarse > 0 {
		a.say("coarse-chords", a.line([]int{r.coarseAt}),
			"%d chords turn like those of a curve, but lie up to %.2g mm off the arc through their corners, more than %g mm: they are measured as drawn",
			r.coarse, r.coarseRise, a.refitOptions().Rise)
	}
}
