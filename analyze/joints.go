package analyze

import (
	"fmt"
	"math"

	"burrcast/analyze/measure"

	"github.com/golang/geo/r2"
)

// A bridge is a joint that was not drawn as a gap but as material: a web between
// two cut-outs, or a neck of one, no wider than a joint may be, not much longer
// than wide, with a piece behind it that would drop out but for its bridges.
const (
	bridgeLength = 5  // of a bridge, as a multiple of its width, at most
	bridgePiece  = 25 // side of what hangs on it, as a multiple of its width, at least
)

// findJoints finds joints drawn as bridges and tells parts that hang only by
// joints.
func (a *analysis) findJoints() {
	for i := range a.res.Parts {
		p := &a.res.Parts[i].Measure
		a.findBridges(p)
		least, most := math.Inf(1), 0.0
		bridges := 0
		for _, j := range p.Joints {
			switch {
			case j.Bridge:
				bridges++
			case j.Contour == outlineID:
				p.HeldBy++
				least, most = math.Min(least, j.Gap.V), math.Max(most, j.Gap.V)
			}
		}
		if p.HeldBy > 0 {
			a.say("held-by-joints", 0, "part %s hangs in the sheet only by %s of %s mm, which leave nibs", p.ID, plural(p.HeldBy, "joint"), span(least, most))
		}
		if n := len(p.Joints) - p.HeldBy - bridges; n > 0 {
			a.say("cutout-joints", 0, "part %s: %s in its cut-outs hold what should drop out", p.ID, plural(n, "joint"))
		}
		if bridges > 0 {
			a.say("bridges", 0, "part %s: narrow bridges between cut-outs (%d) hold a piece like joints", p.ID, bridges)
		}
	}
}

func span(least, most float64) string {
	if most-least < 0.01 {
		return fmt.Sprintf("%.2f", most)
	}
	return fmt.Sprintf("%.2f to %.2f", least, most)
}

// findBridges looks for pieces that narrow webs hold in the part.
//
//  1. A narrow neck of a cut-out with enough behind it is a bridge by itself: the
//     cut-out runs round a piece but for that neck.
//  2. Narrow webs between cut-outs are edges of a graph with the cut-outs as its
//     nodes. Edges that close a ring enclose a piece: all edges of that ring's
//     component are bridges, if the piece is large for their width.
func (a *analysis) findBridges(p *measure.Part) {
	limit := a.opt.Contour.JointLimit
	var found []*measure.Passage
	number := map[string]int{}
	for _, c := range p.Cutouts {
		number[c.ID] = len(number)
	}
	root := make([]int, len(number))
	for i := range root {
		root[i] = i
	}
	find := func(i int) int {
		for root[i] != i {
			root[i] = root[root[i]]
			i = root[i]
		}
		return i
	}
	edges := make(map[int][]*measure.Passage)
	var webs []*measure.Passage
	for k := range p.Webs {
		w := &p.Webs[k]
		width, ok := w.Width.Get()
		if !ok || width <= 0 || width > limit || w.Length.V > bridgeLength*width {
			continue
		}
		c, in := number[w.Between[0]]
		d, too := number[w.Between[1]]
		switch {
		case !in || !too:
		case w.Kind == measure.Neck:
			if h, ok := w.Hangs.Get(); ok && h >= bridgePiece*bridgePiece*width*width && h < p.Area.V/2 {
				found = append(found, w)
			}
		case w.Kind == measure.Web:
			root[find(c)] = find(d)
			webs = append(webs, w)
		}
	}
	nodes := make(map[int]map[string]bool)
	for _, w := range webs {
		r := find(number[w.Between[0]])
		edges[r] = append(edges[r], w)
		if nodes[r] == nil {
			nodes[r] = make(map[string]bool)
		}
		nodes[r][w.Between[0]], nodes[r][w.Between[1]] = true, true
	}
	for _, w := range webs {
		r := find(number[w.Between[0]])
		if len(edges[r]) == len(nodes[r]) && a.roomWithin(edges[r]) {
			found = append(found, w)
		}
	}
	for _, w := range found {
		p.Joints = append(p.Joints, measure.Joint{Contour: w.Between[0], At: w.At, Gap: w.Width, Bridge: true})
	}
	if len(found) > 0 {
		byPlace(p.Joints, func(j *measure.Joint) r2.Point { return j.At })
		for k := range p.Joints {
			p.Joints[k].ID = fmt.Sprintf("J%d", k+1)
		}
	}
}

// roomWithin reports whether the bridges of a ring stand so far apart, for their
// width, that they hold a piece: in a screen of small holes they do not.
func (a *analysis) roomWithin(ring []*measure.Passage) bool {
	widest := 0.0
	box := r2.EmptyRect()
	for _, w := range ring {
		widest = math.Max(widest, w.Width.V)
		box = box.AddPoint(w.At)
	}
	return math.Max(box.X.Length(), box.Y.Length()) >= bridgePiece*widest
}
