package analyze

import (
	"math"
	"slices"

	"burrcast/analyze/measure"
	"burrcast/geom"
	"burrcast/geom/contour"
	"burrcast/geom/width"

	"github.com/golang/geo/r2"
)

// cutouts measures every cut-out on its void side.
func (w *work) cutouts() error {
	w.part.Cutouts = slices.Grow(w.part.Cutouts, len(w.loops)-1)
	for k := 1; k < len(w.loops); k++ {
		if len(w.merged[k]) == 1 && w.merged[k][0].IsCircle() {
			w.part.Cutouts = append(w.part.Cutouts, w.circle(k))
			continue
		}
		loop := geom.ReverseLoop(w.merged[k])
		f, err := w.room.New([][]geom.Curve{loop}, 0)
		if err != nil {
			return err
		}
		in := geom.Integrate(w.loops[k])
		c := measure.Cutout{
			ID:        w.ids[k],
			Area:      measure.Of(-in.Area, w.err*w.part.Lengths[k].Length.V),
			Perimeter: w.part.Lengths[k].Length,
		}
		c.At, _ = in.Centroid()
		if d, ok := f.Inscribed(); ok {
			c.Inscribed = w.width(d)
			c.MinWidth = c.Inscribed
			c.Level = w.level(f, d, w.ids[k:])
			if !contour.Contains(loop, c.At) {
				c.At = d.Center // a curved slot has its centre of gravity outside
			}
		}
		if d, ok := f.LeastPassage(); ok && d.Diameter() < c.MinWidth.V {
			c.MinWidth = w.width(d)
			c.Level = w.level(f, d, w.ids[k:])
		}
		if l, d, ok := f.Straight(); ok {
			c.Straight = measure.Of(l, w.err).Seen(measure.Witness{A: d.A, B: d.B, Center: d.Center, Radius: d.Radius, Points: true})
		}
		c.Kind = kindOf(loop, c)
		corners := f.Corners(sharp)
		c.Corners = len(corners)
		w.corners(corners, measure.Void, w.ids[k:])
		c.Reach = w.reach(f, k, width.NewCourse(loop))
		w.part.Cutouts = append(w.part.Cutouts, c)
	}
	return nil
}

// circle measures a cut-out that is a full circle.
func (w *work) circle(k int) measure.Cutout {
	q := w.merged[k][0]
	in := geom.Integrate(w.loops[k])
	d := measure.Of(2*q.Radius, 2*w.err).Seen(measure.Witness{
		A: q.Start, B: q.Center.Mul(2).Sub(q.Start), Center: q.Center, Radius: q.Radius, Points: true,
	})
	c := measure.Cutout{
		ID: w.ids[k], Kind: measure.Round, At: q.Center,
		Area: measure.Of(-in.Area, w.err*q.Length()), Perimeter: w.part.Lengths[k].Length,
		Inscribed: d, MinWidth: d,
	}
	c.Reach = slices.Grow(c.Reach, len(w.opt.Tools))
	for _, tool := range w.opt.Tools {
		r := measure.Reach{Tool: tool, Share: measure.Of(1, 0)}
		if tool > 2*q.Radius*(1+1e-9) {
			r.Share = measure.Of(0, 0)
			r.Missing = []measure.Stretch{{Contour: w.ids[k], Length: q.Length(), A: q.Start, B: q.Start}}
		}
		c.Reach = append(c.Reach, r)
	}
	return c
}

// reach measures which share of contour k each tool can touch; f has the void
// on its left and that contour first, which course follows.
func (w *work) reach(f *width.Field, k int, course *width.Course) []measure.Reach {
	out := slices.Grow([]measure.Reach(nil), len(w.opt.Tools))
	from := w.along(k, course.Start())
	for _, tool := range w.opt.Tools {
		touched, gaps := f.Reach(0, tool, touchSlack*tool)
		total := w.part.Lengths[k].Length.V
		if total <= 0 {
			continue
		}
		r := measure.Reach{Tool: tool, Share: measure.Of(math.Min(1, touched/total), w.err/total)}
		r.Missing = slices.Grow(r.Missing, len(gaps))
		for _, g := range gaps {
			r.Missing = append(r.Missing, measure.Stretch{
				Contour: w.ids[k], From: back(from, course.At(g.To), total), Length: g.Length, A: g.To.At, B: g.From.At,
			})
		}
		out = append(out, r)
	}
	return out
}

// touchSlack is the share of a tool's diameter within which an edge counts as
// touched: filaments give way by more.
const touchSlack = 0.01

// back is the place on a closed contour of the given length that lies by so much
// before from: a void's stretches run against the contour, so that their far end
// comes first.
func back(from, by, length float64) float64 {
	at := from - by
	if at < 0 {
		at += length
	}
	if at >= length*(1-1e-12) {
		at = 0
	}
	return math.Max(at, 0)
}

// along returns how far along contour k, from its first curve's start, the
// point p lies.
func (w *work) along(k int, p r2.Point) float64 {
	best, at, sum := math.Inf(1), 0.0, 0.0
	for _, c := range w.loops[k] {
		t, q := c.Closest(p)
		if d := q.Sub(p).Norm(); d < best {
			best, at = d, sum+t*c.Length()
		}
		sum += c.Length()
	}
	return at
}

// kindOf names a cut-out.
//
//   - round: every point of the contour lies within 2 % of the mean distance from
//     the centre of gravity; a polygon drawn for a circle with sixteen sides or
//     more is one.
//   - slot: two walls that keep their distance, straight or curved, with round
//     or square ends, at least a twentieth longer than wide with round ends and
//     half as long again with square ones. A band of width w, length l along its
//     middle and round ends has the perimeter 2l + pi w and the area
//     l w + pi w^2/4, bent or not; with square ends 2l + 2w and l w.
//   - window: anything else.
func kindOf(loop []geom.Curve, c measure.Cutout) string {
	if len(loop) == 1 && loop[0].IsCircle() {
		return measure.Round
	}
	lo, hi := math.Inf(1), 0.0
	for _, q := range loop {
		for k := range 4 {
			d := q.At(float64(k) / 4).Sub(c.At).Norm()
			lo, hi = math.Min(lo, d), math.Max(hi, d)
		}
	}
	if hi > 0 && hi-lo <= 0.02*(hi+lo) && len(loop) >= 2 {
		return measure.Round
	}
	in, ok := c.Inscribed.Get()
	wide, known := c.MinWidth.Get()
	if !ok || !known || wide <= 0 || in > 1.02*wide {
		return measure.Window
	}
	area := c.Area.V
	long := (c.Perimeter.V - math.Pi*wide) / 2
	if long >= wide/20 && math.Abs(area-long*wide-math.Pi/4*wide*wide) <= 0.005*area {
		return measure.Slot
	}
	long = c.Perimeter.V/2 - wide
	if long >= 1.5*wide && math.Abs(area-long*wide) <= 0.005*area {
		return measure.Slot
	}
	return measure.Window
}
