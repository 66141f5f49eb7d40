package analyze

import (
	"fmt"
	"math"
	"sync"

	"burrcast/analyze/measure"
	"burrcast/geom"
	"burrcast/geom/contour"
	"burrcast/geom/width"

	"github.com/golang/geo/r2"
)

// outlineID names the outline where a contour is named.
const outlineID = "O"

// sharp is the least turn of a corner that is listed, radians: an inside angle
// of 150 degrees, beyond which walls count as parallel.
const sharp = math.Pi / 6

// mergeShare is the share of a contour's size within which pieces count as one
// line or one circle.
const mergeShare = 1e-9

// grow is the share by which both sides of a narrow place must open for it to
// be one, so that noise of the drawing makes none.
const grow = 0.01

// work is one region on its way to a measure.Part.
type work struct {
	opt      Options
	err      float64           // bound on the curves' distance from the drawn ones, mm
	loops    [][]geom.Curve    // as built, outline first, material on the left
	merged   [][]geom.Curve    // the same with pieces of one line or circle joined
	contours []contour.Contour // as built
	ids      []string          // of each contour
	part     *measure.Part
	room     *room // while it is measured
}

// room is what parts are measured in.
type room struct {
	width.Scratch
	sections width.Sections
}

// rooms are handed from part to part and from drawing to drawing.
var rooms = sync.Pool{New: func() any { return new(room) }}

// begin measures what is needed to tell equal parts: areas, lengths and moments
// of region i in closed form from the curves as drawn.
func (a *analysis) begin(i int) Part {
	reg := &a.built.Regions[i]
	p := Part{region: i, mirrorOf: -1}
	w := &work{opt: a.opt, err: a.errorOf(i), part: &p.Measure}
	p.fitted = a.fittedWithin(i)
	p.Measure.Quantity = 1
	w.loops = append(w.loops, reg.Outline.Curves)
	holes := append([]contour.Contour(nil), reg.Holes...)
	byPlace(holes, geom.LoopBounds(reg.Outline.Curves).Size().Norm(), func(c *contour.Contour) r2.Point { return geom.LoopBounds(c.Curves).Center() })
	for _, h := range holes {
		w.loops = append(w.loops, h.Curves)
	}
	for k, loop := range w.loops {
		m, _ := geom.MergeLoop(loop, mergeShare*geom.LoopBounds(loop).Size().Norm())
		w.merged = append(w.merged, m)
		id := outlineID
		if k > 0 {
			id = fmt.Sprintf("C%d", k)
		}
		w.ids = append(w.ids, id)
	}
	w.contours = append([]contour.Contour{reg.Outline}, holes...)
	w.totals()
	p.Contours, p.merged, p.ids, p.err = w.loops, w.merged, w.ids, w.err
	p.Measure.Incomplete = a.doubt[i]
	p.Measure.At = []r2.Point{p.Measure.BBox.Lo()}
	for k, c := range w.contours {
		for _, j := range c.Joints {
			w.joint(k, j)
		}
	}
	a.addMarks(&p, i)
	return p
}

// finish measures the rest of a part, once for all its equal pieces.
//
//  1. Cut-outs, each on its void side (cutout.go).
//  2. Notches and inside corners from the outline's void side; webs, necks,
//     tabs and outside corners from the material side (feature.go).
//  3. Extents and edge directions for every feed angle (feed.go).
func (a *analysis) finish(p *Part) error {
	w := &work{opt: a.opt, err: p.err, part: &p.Measure, loops: p.Contours, merged: p.merged, ids: p.ids}
	return w.measure()
}

// measure is finish for a part whose totals are known.
func (w *work) measure() error {
	w.room = rooms.Get().(*room)
	defer rooms.Put(w.room)
	if err := w.cutouts(); err != nil {
		return err
	}
	if err := w.features(); err != nil {
		return err
	}
	w.feeds()
	w.number()
	return nil
}

func (w *work) totals() {
	p := w.part
	var in geom.Integrals
	cut := 0.0
	for k, loop := range w.loops {
		part := geom.Integrate(loop)
		if k == 0 {
			in = part
		} else {
			in = in.Plus(part)
		}
		l := geom.LoopLength(loop)
		cut += l
		p.Lengths = append(p.Lengths, measure.EdgeLength{Contour: w.ids[k], Length: w.length(l, len(loop))})
	}
	p.Area = measure.Of(in.Area, w.err*cut)
	p.OutlineLength = p.Lengths[0].Length
	p.CutLength = w.length(cut, len(w.loops[0]))
	p.BBox = geom.LoopBounds(w.loops[0])
	if c, ok := in.Centroid(); ok {
		p.Centroid = c
	}
	p.Moments[0], p.Moments[1], p.Moments[2] = in.Central()
}

// length bounds the error of a length over n curves: the curves' own deviation
// shows at their ends only, tangent arcs keep the length to second order.
func (w *work) length(l float64, n int) measure.Value {
	return measure.Of(l, 2*w.err*float64(n))
}

// width states a width: both walls may lie off by the curves' error.
func (w *work) width(d width.Disc) measure.Value {
	return measure.Of(d.Diameter(), 2*w.err).Seen(measure.Witness{
		A: d.A, B: d.B, Center: d.Center, Radius: d.Radius, Points: true,
	})
}

// level states the stretch along which the disc keeps its width. ids are those of
// the field's contours.
func (w *work) level(f *width.Field, d width.Disc, ids []string) measure.Level {
	l := f.Level(d)
	if l.Length == 0 {
		return measure.Level{}
	}
	out := measure.Level{Length: measure.Of(l.Length, 2*w.err), Ends: l.Ends}
	for k, wall := range l.Walls {
		out.Walls[k] = measure.Wall{Contour: ids[wall[0].Contour], A: wall[0].At, B: wall[1].At}
	}
	return out
}

func (w *work) joint(k int, j contour.Joint) {
	w.part.Joints = append(w.part.Joints, measure.Joint{
		Contour: w.ids[k], At: j.A.Add(j.B).Mul(0.5),
		Gap: measure.Of(j.Width, w.err).Seen(measure.Witness{A: j.A, B: j.B, Points: true}),
	})
}

// number orders the features by place and gives them their ids.
func (w *work) number() {
	p := w.part
	size := p.BBox.Size().Norm()
	byPlace(p.Notches, size, func(n *measure.Notch) r2.Point { return n.At })
	label(p.Notches, 'N', func(n *measure.Notch) *string { return &n.ID })
	byPlace(p.Corners, size, func(c *measure.Corner) r2.Point { return c.At })
	label(p.Corners, 'K', func(c *measure.Corner) *string { return &c.ID })
	byPlace(p.Webs, size, func(v *measure.Passage) r2.Point { return v.At })
	label(p.Webs, 'W', func(v *measure.Passage) *string { return &v.ID })
	byPlace(p.Joints, size, func(j *measure.Joint) r2.Point { return j.At })
	label(p.Joints, 'J', func(j *measure.Joint) *string { return &j.ID })
}

// addMarks gives the part the bends, etch marks and forms that lie in it.
func (a *analysis) addMarks(p *Part, i int) {
	if m := a.marks[i]; m != nil {
		p.Bends, p.Etch = m.bends, m.etch
	}
	for k, c := range p.Bends {
		p.Measure.Bends = append(p.Measure.Bends, measure.Bend{
			ID: fmt.Sprintf("B%d", k+1), A: c.Start, B: c.End,
			Length: measure.Of(c.Length(), 0).Seen(measure.Witness{A: c.Start, B: c.End, Points: true}),
		})
	}
	for _, f := range a.forms {
		if a.regionAt(f.box.Center()) == i {
			p.Measure.Forms = append(p.Measure.Forms, measure.Form{
				ID: fmt.Sprintf("F%d", len(p.Measure.Forms)+1), At: f.box.Center(), Box: f.box, Name: f.name,
			})
		}
	}
}
