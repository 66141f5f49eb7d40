package analyze

import (
	"math"
	"slices"

	"burrcast/analyze/measure"
	"burrcast/geom"
	"burrcast/geom/contour"

	"github.com/golang/geo/r2"
)

// setBorderAside recognises rectangles that are the sheet and not a part, takes
// their curves out and builds the rest again.
//
// A sheet is an outermost plain rectangle with outlines in it
//
//   - on a layer that means border: then the rest of that layer (a second frame,
//     a title block) goes with it; or
//   - of whose cut-outs at least two hold contours of their own: a plate does not
//     have islands in several windows, a sheet has parts with holes. If most of
//     them cross their neighbours they are no parts, but bores and countersinks;
//
// or, where it is at least as long as an offcut that is kept, one
//
//   - each of whose cut-outs holds contours of their own, which hold nothing more:
//     those are the holes of the parts; or
//   - alone on its layer with at least two outlines in it, all on other layers and
//     not all of them circles; or
//   - with a second rectangle all along its inside, as drawing frames have, and
//     the outlines in that; or
//   - of the size of a sheet of the trade, with at least three outlines in it, no
//     two of which are circles.
//
// Without a border the same drawing is a plate with cut-outs: Options.KeepBorder
// takes it for that.
func (a *analysis) setBorderAside() {
	if a.opt.KeepBorder {
		return
	}
	holding, mixed := a.holding()
	found := false
	for i := range a.built.Regions {
		r := &a.built.Regions[i]
		if r.Depth != 0 || len(r.Holes) == 0 || !isRectangle(r.Outline.Curves) {
			continue
		}
		size := geom.LoopBounds(r.Outline.Curves).Size()
		layer := a.layer(firstSource(r.Outline))
		means := a.res.Meanings[layer] == Border
		frame := a.isFrame(r, holding[i])
		single := len(holding[i]) == len(r.Holes) && len(holding[i]) > 0 && !mixed[i]
		clear := means || len(holding[i]) >= 2 && !a.mostCross(i, holding[i])
		likely := frame || single || a.isBorder(r, layer)
		if !clear && !(likely && max(size.X, size.Y) >= leastSheet) {
			continue
		}
		found = true
		sheet := r.Outline
		a.setAside(SheetBorder, sheet.Curves, sheet.Sources)
		switch {
		case means:
			a.setLayerAside(layer)
		case frame:
			sheet = r.Holes[0]
			a.setAside(SheetBorder, sheet.Curves, sheet.Sources)
		}
		box := geom.LoopBounds(sheet.Curves)
		a.sheets = append(a.sheets, sheet.Curves)
		if w, ok := a.res.Drawing.SheetWidth.Get(); !ok || w*a.res.Drawing.SheetHeight.V < box.X.Length()*box.Y.Length() {
			a.res.Drawing.SheetWidth = measure.Of(box.X.Length(), 0)
			a.res.Drawing.SheetHeight = measure.Of(box.Y.Length(), 0)
		}
		a.say("sheet-border", a.line(sheet.Sources), "the rectangle of %.4g x %.4g mm round the parts is taken for the sheet", box.X.Length(), box.Y.Length())
	}
	if found {
		a.build()
	}
}

// leastSheet is the least longer side of a sheet, mm: an offcut that is kept.
const leastSheet = 150

// holding returns of every region which of its cut-outs hold regions, and whether
// any of those has cut-outs. A circle in a circle does not count: it may be a
// countersunk hole.
func (a *analysis) holding() (held map[int]map[int]bool, mixed map[int]bool) {
	sink := make(map[int]bool)
	for _, i := range a.sinks() {
		sink[i] = true
	}
	held, mixed = make(map[int]map[int]bool), make(map[int]bool)
	for k := range a.built.Regions {
		r := &a.built.Regions[k]
		if r.Parent < 0 || sink[k] {
			continue
		}
		if held[r.Parent] == nil {
			held[r.Parent] = make(map[int]bool)
		}
		held[r.Parent][r.Cutout] = true
		mixed[r.Parent] = mixed[r.Parent] || len(r.Holes) > 0
	}
	return held, mixed
}

// mostCross reports whether most of the cut-outs of a region that hold contours
// of their own cross another cut-out.
func (a *analysis) mostCross(i int, holding map[int]bool) bool {
	crossing := make(map[int]bool)
	for k := range a.built.Problems {
		p := &a.built.Problems[k]
		if p.Code != "crossing" || len(p.Sources) < 2 {
			continue
		}
		for _, s := range p.Sources[:2] {
			if c, ok := a.contourOf(s); ok && c.Region == i && holding[c.Cutout] {
				crossing[c.Cutout] = true
			}
		}
	}
	return 2*len(crossing) > len(holding)
}

// setLayerAside takes everything else on a layer out, too.
func (a *analysis) setLayerAside(layer string) {
	var curves []geom.Curve
	var sources []int
	for i := range a.cut {
		if !a.aside[i] && a.layer(i) == layer {
			curves, sources = append(curves, a.cut[i]), append(sources, i)
		}
	}
	if len(curves) > 0 {
		a.setAside(SheetBorder, curves, sources)
	}
}

// setAside takes curves out of the contours, to be built without them.
func (a *analysis) setAside(taken Taken, curves []geom.Curve, sources []int) {
	sources = a.refits.all(sources)
	for _, s := range sources {
		if s >= 0 {
			a.aside[s] = true
		}
	}
	a.res.Lines = append(a.res.Lines, Line{Taken: taken, Curves: curves, sources: sources})
}

// isBorder reports whether a rectangle on a layer is likely the sheet round the
// outlines in it, by layers, shapes and size.
func (a *analysis) isBorder(r *contour.Region, layer string) bool {
	if len(r.Holes) < 2 {
		return false
	}
	alone, circles := true, 0
	for _, h := range r.Holes {
		alone = alone && a.layer(firstSource(h)) != layer
		if len(h.Curves) == 1 {
			circles++
		}
	}
	return alone && circles < len(r.Holes) || len(r.Holes) >= 3 && circles < 2 && isSheetSize(geom.LoopBounds(r.Outline.Curves))
}

// frameMargin is the widest strip between the two rectangles of a drawing frame,
// as a share of the longer side: ISO 5457 has 10 mm, 20 mm where it is filed, on
// sheets from 297 mm on.
const frameMargin = 0.07

// isFrame reports whether a region is the strip between two rectangles with
// outlines in the inner one.
func (a *analysis) isFrame(r *contour.Region, holding map[int]bool) bool {
	if len(r.Holes) != 1 || len(holding) != 1 || !isRectangle(r.Holes[0].Curves) {
		return false
	}
	out, in := geom.LoopBounds(r.Outline.Curves), geom.LoopBounds(r.Holes[0].Curves)
	margin := frameMargin * max(out.X.Length(), out.Y.Length())
	return isPaperSize(out) && !out.ExpandedByMargin(-margin).IsEmpty() && in.Contains(out.ExpandedByMargin(-margin))
}

// Sheets of the trade and of paper, mm: longer side, shorter side. Metal comes
// in 1000, 1250, 1500 and 2000 mm of width, or in feet; paper in the A series of
// ISO 216.
var (
	tradeSheets = [][2]float64{
		{2000, 1000}, {2500, 1250}, {3000, 1500}, {4000, 2000}, {6000, 2000}, {4000, 1500}, {3000, 1000}, {3000, 1250},
		{2438.4, 1219.2}, {3048, 1219.2}, {3048, 1524}, {3657.6, 1219.2}, {3657.6, 1524}, {2438.4, 914.4}, {3048, 914.4},
	}
	paperSheets = [][2]float64{{297, 210}, {420, 297}, {594, 420}, {841, 594}, {1189, 841}}
)

func isSheetSize(box r2.Rect) bool { return hasSize(box, tradeSheets) }
func isPaperSize(box r2.Rect) bool { return hasSize(box, paperSheets) }

func hasSize(box r2.Rect, list [][2]float64) bool {
	long, short := max(box.X.Length(), box.Y.Length()), min(box.X.Length(), box.Y.Length())
	for _, s := range list {
		if math.Abs(long-s[0]) <= 0.5 && math.Abs(short-s[1]) <= 0.5 {
			return true
		}
	}
	return false
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
	if slices.ContainsFunc(loop, geom.Curve.IsArc) {
		return false
	}
	curves, _ := geom.MergeLoop(loop, 1e-9*geom.LoopBounds(loop).Size().Norm())
	if len(curves) != 4 {
		return false
	}
	for i, c := range curves {
		if math.Abs(c.Tangent(0).Dot(curves[(i+1)%4].Tangent(0))) > 1e-6 {
			return false
		}
	}
	return true
}
