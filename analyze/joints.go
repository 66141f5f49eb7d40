package analyze

import (
	"fmt"
	"math"

	"burrcast/analyze/measure"
	"burrcast/geom"

	"github.com/golang/geo/r2"
)

// A bridge is a joint that was not drawn as a gap but as material, where narrow
// cut-outs run round a piece that would drop out but for its bridges. It is no
// wider than a joint may be and not much longer than wide.
const (
	bridgeLength = 5 // of a bridge, as a multiple of its width, at most
	bridgePiece  = 5 // side of the piece, as a multiple of the widest cut-out round it and of the bridge's width, at least
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
			note := ""
			for _, j := range p.Joints {
				if w := j.Gap.Witness; j.Contour == outlineID && a.isCornerGap(&a.res.Parts[i], w) {
					note = fmt.Sprintf("; at a corner no joint is wanted: draw a line from %s to %s", at(w.A), at(w.B))
				}
			}
			a.say("held-by-joints", 0, "part %s hangs in the sheet only by %s of %s mm, which leave nibs%s", p.ID, plural(p.HeldBy, "joint"), span(least, most), note)
		}
		if n := len(p.Joints) - p.HeldBy - bridges; n > 0 {
			a.say("cutout-joints", 0, "part %s: %s in its cut-outs hold what should drop out", p.ID, plural(n, "joint"))
		}
		if bridges > 0 {
			a.say("bridges", 0, "part %s: narrow bridges between cut-outs (%d) hold a piece like joints", p.ID, bridges)
		}
	}
}

// isCornerGap reports whether the outline turns by more than 10 degrees at a gap:
// joints are put on edges, and a gap at a corner is a slip of the pen.
func (a *analysis) isCornerGap(p *Part, w measure.Witness) bool {
	loop := p.Contours[0]
	const turn = 10 * math.Pi / 180
	for i, c := range loop {
		if (c.Start == w.A && c.End == w.B) || (c.Start == w.B && c.End == w.A) {
			before, after := loop[(i+len(loop)-1)%len(loop)], loop[(i+1)%len(loop)]
			return before.Tangent(1).Dot(c.Tangent(0)) < math.Cos(turn) || c.Tangent(1).Dot(after.Tangent(0)) < math.Cos(turn)
		}
	}
	return false
}

func span(least, most float64) string {
	if most-least < 0.01 {
		return fmt.Sprintf("%.2f", most)
	}
	return fmt.Sprintf("%.2f to %.2f", least, most)
}

// findBridges looks for pieces that narrow webs hold in the part.
//
//  1. A narrow neck of one cut-out with a piece behind it: the cut-out runs round
//     the piece but for that neck.
//  2. Narrow webs that join cut-outs in a ring, each to two others: the piece lies
//     within the ring, and its size is that of the polygon through the webs.
func (a *analysis) findBridges(p *measure.Part) {
	cutouts := make(map[string]*measure.Cutout)
	for k := range p.Cutouts {
		cutouts[p.Cutouts[k].ID] = &p.Cutouts[k]
	}
	at := make(map[string][]*measure.Passage) // by cut-out, the narrow webs to others
	var found []*measure.Passage
	for k := range p.Webs {
		w := &p.Webs[k]
		width, ok := w.Width.Get()
		c, d := cutouts[w.Between[0]], cutouts[w.Between[1]]
		if !ok || c == nil || d == nil || width <= 0 || width > a.opt.Contour.JointLimit || w.Length.V > bridgeLength*width {
			continue
		}
		switch h, ok := w.Hangs.Get(); {
		case c != d && w.Kind == measure.Web:
			at[c.ID], at[d.ID] = append(at[c.ID], w), append(at[d.ID], w)
		case c == d && ok && h < p.Area.V/2 && isPiece(h, width, c):
			found = append(found, w)
		}
	}
	done := make(map[*measure.Passage]bool)
	for k := range p.Webs {
		if w := &p.Webs[k]; !done[w] {
			found = append(found, ringOf(w, at, cutouts, done)...)
		}
	}
	for _, w := range found {
		p.Joints = append(p.Joints, measure.Joint{Contour: w.Between[0], At: w.At, Gap: w.Width, Bridge: true})
	}
	if len(found) > 0 {
		byPlace(p.Joints, p.BBox.Size().Norm(), func(j *measure.Joint) r2.Point { return j.At })
		label(p.Joints, 'J', func(j *measure.Joint) *string { return &j.ID })
	}
}

// isPiece reports whether an area is large enough for a piece that a bridge of
// a width holds within a cut-out.
func isPiece(area, width float64, c *measure.Cutout) bool {
	wide, ok := c.Inscribed.Get()
	return ok && math.Sqrt(area) >= bridgePiece*math.Max(wide, width)
}

// ringOf returns the webs of the ring that w belongs to, if they hold a piece.
func ringOf(w *measure.Passage, at map[string][]*measure.Passage, cutouts map[string]*measure.Cutout, done map[*measure.Passage]bool) []*measure.Passage {
	var ring []*measure.Passage
	start := w.Between[0]
	for id := start; ; {
		done[w] = true
		if len(at[id]) != 2 {
			return nil
		}
		ring = append(ring, w)
		if id = other(w, id); id == start {
			break
		}
		next := at[id]
		if len(next) != 2 {
			return nil
		}
		if next[0] == w {
			w = next[1]
		} else {
			w = next[0]
		}
		if done[w] {
			return nil
		}
	}
	// Area of the polygon through the webs; of two bridges the disc between them.
	area, first := 0.0, ring[0].At
	for i := range ring {
		area += geom.Cross(ring[i].At.Sub(first), ring[(i+1)%len(ring)].At.Sub(first)) / 2
	}
	if area = math.Abs(area); len(ring) == 2 {
		d := ring[1].At.Sub(first).Norm()
		area = math.Pi / 4 * d * d
	}
	for _, w := range ring {
		for _, id := range w.Between {
			if !isPiece(area, w.Width.V, cutouts[id]) {
				return nil
			}
		}
	}
	return ring
}

func other(w *measure.Passage, id string) string {
	if w.Between[0] == id {
		return w.Between[1]
	}
	return w.Between[0]
}
