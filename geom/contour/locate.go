package contour

import (
	"math"

	"github.com/golang/geo/r2"
)

// Locator says which region's material or cut-out a point lies in.
type Locator struct {
	tree  *boxTree
	loops []*loop
	place []Place
}

// Place is where a point lies, or which contour is meant: the outline of Region
// where Cutout is -1, else that cut-out.
type Place struct {
	Region int // -1: outside all regions
	Cutout int // index among the region's cut-outs; -1: in its material
}

// outside is the place of a point in no region.
var outside = Place{-1, -1}

// NewLocator prepares regions for questions; O(n log n) for n curves.
func NewLocator(regions []Region) *Locator {
	l := &Locator{}
	var boxes []box
	add := func(c *Contour, at Place) {
		lp := newLoop(c.Curves)
		l.loops = append(l.loops, lp)
		l.place = append(l.place, at)
		boxes = append(boxes, lp.box)
	}
	for i := range regions {
		add(&regions[i].Outline, Place{i, -1})
		for k := range regions[i].Holes {
			add(&regions[i].Holes[k], Place{i, k})
		}
	}
	l.tree = newBoxTree(boxes)
	return l
}

// At returns the place of p: that of the innermost contour round it.
func (l *Locator) At(p r2.Point) Place {
	best, area := outside, math.Inf(1)
	l.tree.query(box{p.X, p.Y, p.X, p.Y}, func(i int) bool {
		if a := math.Abs(l.loops[i].area); a < area && l.loops[i].contains(p) {
			best, area = l.place[i], a
		}
		return true
	})
	return best
}

// Near calls f with every contour that passes p within d, until f reports false.
func (l *Locator) Near(p r2.Point, d float64, f func(Place) bool) {
	l.tree.query(box{p.X, p.Y, p.X, p.Y}.grown(d), func(i int) bool {
		return !l.loops[i].passesNear(p, d) || f(l.place[i])
	})
}
