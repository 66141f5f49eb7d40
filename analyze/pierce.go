package analyze

import (
	"math"

	"burrcast/geom"
	"burrcast/geom/contour"

	"github.com/golang/geo/r2"
)

// widestPierce bounds the circle that marks where the beam pierces, mm: pierced
// holes in thin sheet are a few tenths wide and up to 3 mm in thick plate
// (common practice).
const widestPierce = 3

// dropPierces takes out circles that mark a pierce, and notes the lead-ins that
// start there: a pierce lies in scrap, and is neither a part nor a cut-out.
//
// A pierce is a circle of at most 3 mm that would be a part of its own, in which
// a chain begins that leads through scrap to a contour and is not longer than a
// lead-in.
func (a *analysis) dropPierces() {
	a.leads = make(map[int]bool)
	gone := make(map[int]bool) // regions
	for k := range a.built.Open {
		o := &a.built.Open[k]
		if len(o.Curves) == 0 || o.Kind == contour.Loose || geom.LoopLength(o.Curves) > longestLeadIn+widestPierce {
			continue
		}
		ends := [2]r2.Point{o.Curves[0].Start, o.Curves[len(o.Curves)-1].End}
		p, q := a.pierceAt(ends[0]), a.pierceAt(ends[1])
		if p == q {
			continue
		}
		a.leads[k] = true
		for _, i := range [2]int{p, q} {
			if i >= 0 && !gone[i] {
				gone[i] = true
				out := &a.built.Regions[i].Outline
				a.take(PierceMark, out.Curves, out.Sources)
			}
		}
	}
	a.dropRegions(gone)
}

// pierceAt returns the region that is a tiny circle round p or through it, or -1.
func (a *analysis) pierceAt(p r2.Point) int {
	found := -1
	near := math.Max(a.opt.Contour.Join, 1e-6)
	a.where().Near(p, widestPierce/2+near, func(at contour.Place) bool {
		r := &a.built.Regions[at.Region]
		if at.Cutout >= 0 || len(r.Holes) > 0 || !isCircle(r.Outline.Curves) {
			return true
		}
		c := r.Outline.Curves[0]
		if d := c.Center.Sub(p).Norm(); c.Radius <= widestPierce/2 && d <= c.Radius+near {
			found = at.Region
		}
		return found < 0
	})
	return found
}

// isCircle reports whether a loop runs along one circle.
func isCircle(loop []geom.Curve) bool {
	for _, c := range loop {
		if !c.IsArc() || c.Center.Sub(loop[0].Center).Norm() > 1e-6*loop[0].Radius ||
			math.Abs(c.Radius-loop[0].Radius) > 1e-6*loop[0].Radius {
			return false
		}
	}
	return true
}
