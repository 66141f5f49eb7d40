package analyze

import (
	"math"
	"slices"

	"burrcast/analyze/measure"
	"burrcast/geom"
	"burrcast/geom/width"
)

// features finds notches, webs, necks, tabs and corners.
func (w *work) features() error {
	void := geom.ReverseLoop(w.merged[0])
	f, err := w.room.New([][]geom.Curve{void}, 0)
	if err != nil {
		return err
	}
	course := width.NewCourse(void)
	w.notches(f, course)
	w.corners(f.Corners(sharp), measure.Void, w.ids)
	w.part.Reach = w.reach(f, 0, course)

	f, err = w.room.New(w.merged, 0)
	if err != nil {
		return err
	}
	if d, ok := f.Inscribed(); ok {
		w.part.Inscribed = w.width(d)
	}
	w.webs(f)
	w.corners(f.Corners(sharp), measure.Material, w.ids)
	for k := range w.part.Cutouts {
		if d, ok := f.Clearance(k + 1); ok {
			w.part.Cutouts[k].EdgeGap = w.width(d)
		}
	}
	return nil
}

// notches lists the void passages that enter from the outline: they open at one
// end, or lead into a wider pocket, and are at least half as deep as wide.
func (w *work) notches(f *width.Field, course *width.Course) {
	passages := f.Passages()
	w.part.Notches = slices.Grow(w.part.Notches, count(passages, func(p *width.Passage) bool { return p.Open > 0 }))
	for k := range passages {
		p := &passages[k]
		if p.Open == 0 || p.Least.Radius <= 1e-9*f.Far() {
			continue
		}
		e, ok := course.Enclose(*p)
		if !ok {
			continue
		}
		depth := e.Depth()
		if depth < p.Least.Radius {
			continue
		}
		w.part.Notches = append(w.part.Notches, measure.Notch{
			At: p.Least.Center, Width: w.width(p.Least),
			Depth: measure.Of(depth, 2*w.err).Seen(measure.Witness{A: e.From.At, B: e.To.At, Points: true}),
			Level: w.level(f, p.Least, w.ids),
		})
	}
}

// webs lists the narrow places of the material: a saddle between two contours
// is a web, between two stretches of one contour a neck; a passage without a
// saddle that opens at one end only is a tab.
func (w *work) webs(f *width.Field) {
	passages, saddles := f.Features(grow)
	taken := make([]bool, len(passages))
	tabs := count(passages, func(p *width.Passage) bool { return p.Open == 2 }) // at most
	w.part.Webs = slices.Grow(w.part.Webs, len(saddles)+tabs)
	courses := make([]*width.Course, len(w.merged))
	course := func(k int) *width.Course {
		if courses[k] == nil {
			courses[k] = width.NewCourse(w.merged[k])
		}
		return courses[k]
	}
	for k := range saddles {
		s := &saddles[k]
		p := &passages[s.Passage]
		taken[s.Passage] = true
		d := s.Disc
		if d.Contours[0] > d.Contours[1] { // which wall the search came from is chance
			d.Contours[0], d.Contours[1], d.A, d.B = d.Contours[1], d.Contours[0], d.B, d.A
		}
		v := measure.Passage{
			Kind: measure.Web, At: d.Center, Width: w.width(d), Length: measure.Of(p.Length, 2*w.err),
			Between: [2]string{w.ids[d.Contours[0]], w.ids[d.Contours[1]]}, Level: w.level(f, d, w.ids),
		}
		if d.Contours[0] == d.Contours[1] {
			v.Kind = measure.Neck
			if e, ok := course(d.Contours[0]).Enclose(*p); ok {
				v.Hangs = measure.Of(e.Area, w.err*p.Length)
			}
		}
		w.part.Webs = append(w.part.Webs, v)
	}
	for k := range passages {
		p := &passages[k]
		if taken[k] || p.Open != 2 || p.Least.Radius <= 1e-9*f.Far() {
			continue
		}
		c := p.Least.Contours[0]
		e, ok := course(c).Enclose(*p)
		if !ok {
			continue
		}
		depth := e.Depth()
		if depth < p.Least.Radius {
			continue
		}
		w.part.Webs = append(w.part.Webs, measure.Passage{
			Kind: measure.Tab, At: p.Least.Center, Width: w.width(p.Least),
			Length:  measure.Of(depth, 2*w.err).Seen(measure.Witness{A: e.From.At, B: e.To.At, Points: true}),
			Between: [2]string{w.ids[c], w.ids[c]}, Hangs: measure.Of(e.Area, w.err*p.Length),
			Level: w.level(f, p.Least, w.ids),
		})
	}
}

// count returns how many items of a list are so.
func count[T any](list []T, so func(*T) bool) int {
	n := 0
	for i := range list {
		if so(&list[i]) {
			n++
		}
	}
	return n
}

// corners adds sharp corners; ids are those of the field's contours.
func (w *work) corners(list []width.Corner, side string, ids []string) {
	w.part.Corners = slices.Grow(w.part.Corners, len(list))
	for i := range list {
		c := &list[i]
		w.part.Corners = append(w.part.Corners, measure.Corner{
			Contour: ids[c.At.Contour], At: c.At.At, Angle: c.Angle * 180 / math.Pi, Side: side,
		})
	}
}
