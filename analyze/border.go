package analyze

import (
	"math"

	"burrcast/analyze/measure"
	"burrcast/geom"
	"burrcast/geom/contour"
)

// setBorderAside recognises an outline that is the sheet and not a part, takes
// its curves out and builds the rest again.
//
// A sheet is an outermost outline on a layer that means border; or a plain
// rectangle whose cut-outs include at least two that hold contours of their own:
// a plate does not have islands in several windows, a sheet has parts with
// holes; or a plain rectangle alone on its layer with at least two outlines in
// it, all on other layers.
func (a *analysis) setBorderAside() {
	drop := make(map[int]bool)
	for i := range a.built.Regions {
		r := &a.built.Regions[i]
		if r.Depth != 0 || !a.isBorder(i) {
			continue
		}
		for _, s := range r.Outline.Sources {
			drop[s] = true
		}
		box := geom.LoopBounds(r.Outline.Curves)
		a.res.Drawing.SheetWidth = measure.Of(box.X.Length(), 0)
		a.res.Drawing.SheetHeight = measure.Of(box.Y.Length(), 0)
		a.say("sheet-border", a.line(r.Outline.Sources), "the rectangle of %.4g x %.4g mm round the parts is taken for the sheet", box.X.Length(), box.Y.Length())
	}
	if len(drop) == 0 {
		return
	}
	cut, path := a.cut, a.path
	a.cut, a.path = nil, nil
	for i, c := range cut {
		if !drop[i] {
			a.cut = append(a.cut, c)
			a.path = append(a.path, path[i])
		}
	}
	a.build()
}

func (a *analysis) isBorder(i int) bool {
	r := &a.built.Regions[i]
	layer := a.layer(firstSource(r.Outline))
	if a.res.Meanings[layer] == Border {
		return len(r.Holes) > 0
	}
	if !isRectangle(r.Outline.Curves) || len(r.Holes) == 0 {
		return false
	}
	holding := make(map[int]bool)
	for k := range a.built.Regions {
		if a.built.Regions[k].Parent == i {
			holding[a.built.Regions[k].Cutout] = true
		}
	}
	if len(holding) >= 2 {
		return true
	}
	if len(r.Holes) < 2 {
		return false
	}
	for _, h := range r.Holes {
		if a.layer(firstSource(h)) == layer {
			return false
		}
	}
	return true
}

func firstSource(c contour.Contour) int {
	for _, s := range c.Sources {
		if s >= 0 {
			return s
		}
	}
	return -1
}

// isRectangle reports whether a loop is four lines square to each other.
func isRectangle(loop []geom.Curve) bool {
	curves, _ := geom.MergeLoop(loop, 1e-9*geom.LoopBounds(loop).Size().Norm())
	if len(curves) != 4 {
		return false
	}
	for i, c := range curves {
		if c.IsArc() || math.Abs(c.Tangent(0).Dot(curves[(i+1)%4].Tangent(0))) > 1e-6 {
			return false
		}
	}
	return true
}
