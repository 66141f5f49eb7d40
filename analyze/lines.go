package analyze

import (
	"math"

	"burrcast/analyze/measure"
	"burrcast/geom"
	"burrcast/geom/contour"

	"github.com/golang/geo/r2"
)

// sortOpen decides what the chains that do not close are.
//
//   - A straight line inside a region whose both ends lie on its contours is a
//     bend.
//   - A chain inside a region that touches no contour is etch, unless its ends
//     lie so near each other, for its length, that it was meant to close.
//   - Anything else is an open contour: it is named with its ends, and the region
//     it lies in or leads to is not complete.
//
// Lines whose layer means bend or etch are given to the region they lie in.
func (a *analysis) sortOpen() {
	a.doubt = make(map[int]string)
	a.marks = make(map[int]*regionMarks)
	near := math.Max(a.opt.Contour.Join, 1e-6)
	etch, bends := 0, 0
	for k := range a.built.Open {
		o := &a.built.Open[k]
		if len(o.Curves) == 0 {
			continue
		}
		first, last := o.Curves[0].Start, o.Curves[len(o.Curves)-1].End
		if o.Region >= 0 {
			r := &a.built.Regions[o.Region]
			on := touches(r, first, near)
			onToo := touches(r, last, near)
			switch {
			case len(o.Curves) == 1 && !o.Curves[0].IsArc() && on && onToo:
				bends++
				a.mark(o.Region).bends = append(a.mark(o.Region).bends, o.Curves[0])
				continue
			case !on && !onToo && !nearlyCloses(o.Curves):
				etch++
				a.mark(o.Region).etch = append(a.mark(o.Region).etch, o.Curves...)
				continue
			}
			a.doubt[o.Region] = "a line inside the part neither closes nor reaches from edge to edge"
			if nearlyCloses(o.Curves) {
				a.doubt[o.Region] = "a cut-out does not close"
			}
		}
		a.res.Drawing.OpenContours = append(a.res.Drawing.OpenContours, measure.Place{At: first, Size: o.Gap, Text: "open contour"})
		a.say("open-contour", a.line(o.Sources), "a chain of %d curves from %s to %s does not close: gap %.3f mm",
			len(o.Curves), at(first), at(last), o.Gap)
	}
	if bends > 0 {
		a.say("bend-lines", 0, "%d straight lines from edge to edge inside parts are taken for bends, not cut", bends)
	}
	if etch > 0 {
		a.say("etch-lines", 0, "%d open lines inside parts, touching no edge, are taken for etch marks, not cut", etch)
	}
	for _, p := range a.built.Problems {
		if p.Code != "crossing" && p.Code != "not-converged" {
			continue
		}
		if i := a.regionOf(p.Sources); i >= 0 {
			a.doubt[i] = p.Text
		}
	}
	for _, c := range a.bends {
		if i := a.regionAt(c.At(0.5)); i >= 0 {
			a.mark(i).bends = append(a.mark(i).bends, c)
		}
	}
	for _, c := range a.etch {
		if i := a.regionAt(c.At(0.5)); i >= 0 {
			a.mark(i).etch = append(a.mark(i).etch, c)
		}
	}
}

// nearlyCloses reports whether a chain of three curves or more has its ends
// nearer to each other than a tenth of its length.
func nearlyCloses(chain []geom.Curve) bool {
	gap := chain[0].Start.Sub(chain[len(chain)-1].End).Norm()
	return len(chain) >= 3 && gap < geom.LoopLength(chain)/10
}

func (a *analysis) mark(i int) *regionMarks {
	m := a.marks[i]
	if m == nil {
		m = &regionMarks{}
		a.marks[i] = m
	}
	return m
}

// touches reports whether p lies on a contour of the region.
func touches(r *contour.Region, p r2.Point, near float64) bool {
	if onLoop(r.Outline.Curves, p, near) {
		return true
	}
	for _, h := range r.Holes {
		if onLoop(h.Curves, p, near) {
			return true
		}
	}
	return false
}

func onLoop(loop []geom.Curve, p r2.Point, near float64) bool {
	for _, c := range loop {
		if !c.Bounds().ExpandedByMargin(near).ContainsPoint(p) {
			continue
		}
		_, q := c.Closest(p)
		if q.Sub(p).Norm() <= near {
			return true
		}
	}
	return false
}

// regionOf returns the region with a contour made of one of the sources, or -1.
func (a *analysis) regionOf(sources []int) int {
	want := make(map[int]bool, len(sources))
	for _, s := range sources {
		want[s] = true
	}
	for i := range a.built.Regions {
		r := &a.built.Regions[i]
		for _, c := range append([]contour.Contour{r.Outline}, r.Holes...) {
			for _, s := range c.Sources {
				if s >= 0 && want[s] {
					return i
				}
			}
		}
	}
	return -1
}

// regionAt returns the innermost region whose outline holds p, or -1.
func (a *analysis) regionAt(p r2.Point) int {
	best, area := -1, math.Inf(1)
	for i := range a.built.Regions {
		loop := a.built.Regions[i].Outline.Curves
		box := geom.LoopBounds(loop)
		if box.ContainsPoint(p) && box.X.Length()*box.Y.Length() < area && contour.Contains(loop, p) {
			best, area = i, box.X.Length()*box.Y.Length()
		}
	}
	return best
}
