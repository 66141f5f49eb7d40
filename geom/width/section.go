package width

import (
	"math"
	"slices"

	"burrcast/geom"

	"github.com/golang/geo/r2"
)

// Sections finds, direction by direction, the widest sum of material under a
// line across the feed. It is not safe for use by several goroutines.
//
//  1. Once: draw a cover, a polygon that holds the material (sectioncover.go).
//     Straight edges stay as they are unless many short ones together are as good
//     as flat; arcs get tangents or chords on the void side. Draw a rougher one,
//     too, if it has much fewer vertices.
//  2. Direction by direction: turn the cover's vertices, put them in order along
//     the feed, which is nearly that of the direction before, and sweep
//     (sectionsweep.go). The section of a polygon is straight between vertices, so
//     its widest is at one of them. Where the cover is the part itself that is the
//     answer.
//  3. Else the cover's section is a bound from above. Sweep the curves themselves
//     where the cover is widest (sectioncurves.go), then wherever the cover is
//     wider than what was found there: branch and bound on the line (after Land
//     and Doig, 1960).
//  4. First try what may do with less: the outline's cover without cut-outs, and
//     the rough cover, as long as few curves are left to look at. What did not do
//     is left out for some directions; that saves time and changes no answer.
//
// Stretches along the feed shorter than 1e-7 of the part's size do not count: an
// edge square to the feed has no length along it but for rounding, and two steps
// drawn in line would else be added up. Elsewhere no section is wider by more than
// 1e-12 of it; where arcs keep it almost the same all along, that tolerance grows
// tenfold with every 200 steps, so that the search ends. The width at the
// line named is summed from the edges it crosses, each right to about 1e-15 of the
// part's size, or to 1e-8 of its radius where an arc runs just across the feed.
//
// The zero Sections is that of no part.
type Sections struct {
	origin  r2.Point
	curves  []geom.Curve // all contours, material on the left, about origin
	tiny    float64      // lengths along the feed that count as nothing, mm; 0 where there is no part
	all     *turned
	rough   *turned // a cover of much fewer vertices, or nil
	hull    trial   // of rough
	alone   *turned // the outline's cover, or nil where there are no cut-outs
	outline trial   // of alone
	sweep   curveSweep

	// Room for one part after another: the fine cover and the rough one; these and
	// the outline turned.
	covers [2]cover
	turns  [3]turned
	edges  []coverEdge
}

// NewSections prepares the contours of a part, the outline first, material on
// the left.
func NewSections(contours [][]geom.Curve) *Sections {
	s := &Sections{}
	s.Reset(contours)
	return s
}

// Reset is NewSections in the room of s.
func (s *Sections) Reset(contours [][]geom.Curve) {
	s.tiny, s.rough, s.alone, s.hull, s.outline = 0, nil, nil, trial{}, trial{}
	if len(contours) == 0 {
		return
	}
	box := geom.LoopBounds(contours[0])
	n := 0
	for _, c := range contours {
		n += len(c)
	}
	if room := cap(s.curves); room > roomy && n < room/8 {
		*s = Sections{}
	}
	size := box.Size().Norm()
	s.origin, s.tiny = box.Center(), 1e-7*size
	s.sweep.tiny = s.tiny
	s.curves = slices.Grow(s.curves[:0], n)
	area := 0.0
	by := s.origin.Mul(-1)
	for _, loop := range contours {
		for i := range loop {
			s.curves = append(s.curves, loop[i].Moved(by))
		}
		area += geom.LoopArea(loop)
	}
	off := math.Abs(area) / size
	c := s.cover(0, contours, fine*off)
	s.all = s.turned(0, c, len(c.around), true)
	if len(contours) > 1 {
		s.alone = s.turned(1, c, 1, false)
	}
	// Where the fine cover has few vertices for its curves a rough one leaves more
	// of these than it saves.
	if n := len(s.all.marks); n > 100 && n > len(s.curves)/4 {
		c := s.cover(1, contours, rough*off)
		if t := s.turned(2, c, len(c.around), true); len(t.marks) < len(s.all.marks)/dear {
			s.rough = t
		}
	}
}

// cover covers the curves of the contours in the room k, standing off as far as
// off, mm.
func (s *Sections) cover(k int, contours [][]geom.Curve, off float64) *cover {
	c := &s.covers[k]
	c.reset()
	from := 0
	for _, loop := range contours {
		to := from + len(loop)
		c.add(s.curves[from:to], int32(from), off, &s.edges)
		from = to
	}
	return c
}

// turned makes the room k ready for the first loops of a cover, with its hats if
// asked.
func (s *Sections) turned(k int, c *cover, loops int, hats bool) *turned {
	t := &s.turns[k]
	t.reset(c, loops, hats, s.tiny)
	return t
}

// dear is how many vertices of a cover cost as much as a curve that is looked at.
const dear = 2

// found is the widest section known so far.
type found struct {
	width float64
	at    float64 // along the feed, about the origin
	mid   float64 // a place in the stretch that has at as one end, no curve ending between
}

func (f *found) try(width, at, mid float64) {
	if width > f.width {
		*f = found{width, at, mid}
	}
}

// Widest returns the widest section when the feed points along angle a
// (radians), in mm, and its witness: the line of points p with p.u = at, u the
// unit vector of a. Where the section steps at that line the wider side counts.
func (s *Sections) Widest(a float64) (width, at float64) {
	if s.tiny == 0 {
		return 0, 0
	}
	sin, cos := math.Sincos(a)
	best := s.widest(a, sin, cos)
	return best.width, best.at + s.origin.X*cos + s.origin.Y*sin
}

func (s *Sections) widest(a, sin, cos float64) found {
	c := &s.sweep
	c.best = found{}
	// Cut-outs only take away: often the outline alone is widest beside them.
	if s.alone != nil && s.outline.due() {
		s.alone.turn(sin, cos)
		place, ok := s.alone.place(s.alone.cover.alone)
		if s.outline.tell(ok); ok {
			return s.alone.section(place)
		}
	}
	if s.rough != nil && s.hull.due() {
		s.rough.turn(sin, cos)
		ok := s.refine(s.rough, a, sin, cos, len(s.all.marks)/dear)
		if s.hull.tell(ok); ok {
			return c.best
		}
	}
	s.all.turn(sin, cos)
	if place, ok := s.all.place(s.all.cover.rough); ok {
		return s.all.section(place)
	}
	s.refine(s.all, a, sin, cos, len(s.curves))
	return c.best
}

// trial decides in which directions something is tried that mostly does or
// mostly does not.
type trial struct{ failed, wait int }

// due reports whether to try in this direction.
func (t *trial) due() bool {
	t.wait--
	return t.wait < 0
}

// tell says what came of it: each failure in a row spares more directions.
func (t *trial) tell(ok bool) {
	t.failed = min(2*t.failed+1, 15)
	if ok {
		t.failed = 0
	}
	t.wait = t.failed
}

// refine finds the widest section of the curves from a turned cover. It gives up
// and reports false if it would have to look at more curves at once than most.
func (s *Sections) refine(t *turned, a, sin, cos float64, most int) bool {
	c := &s.sweep
	// Where the cover is widest the curves most often are, too.
	beside := t.beside(1.0 / 20)
	c.spans = append(c.spans[:0], beside)
	if !s.gather(t, a, sin, cos, most) {
		return false
	}
	c.run()
	c.spans = t.wider(c.best.width*(1+same), beside, c.spans[:0])
	if len(c.spans) > 0 {
		if !s.gather(t, a, sin, cos, most) {
			return false
		}
		c.run()
	}
	return true
}

// gather puts the parts of all curves near the spans into the sweep, unless these
// are more than most.
func (s *Sections) gather(t *turned, a, sin, cos float64, most int) bool {
	c, v := &s.sweep, t.cover
	c.whole = span{c.spans[0].lo, c.spans[len(c.spans)-1].hi}
	for i := range v.hats {
		o := &v.hats[i]
		if x := o.x*cos + o.y*sin; c.reach(x-o.r-s.tiny, x+o.r+s.tiny) {
			if most--; most < 0 {
				c.clear()
				return false
			}
			c.put(&s.curves[v.round[i]], a, sin, cos)
		}
	}
	next := int32(0)
	for k := range v.around {
		o := &v.around[k]
		if x := o.x*cos + o.y*sin; !c.reach(x-o.r-s.tiny, x+o.r+s.tiny) {
			continue
		}
		for i := v.firsts[k]; i < v.firsts[k+1]; i++ {
			g := &v.groups[i]
			lo, hi := t.x[g.first], t.x[g.last]
			if lo > hi {
				lo, hi = hi, lo
			}
			if !c.reach(lo-g.pad-s.tiny, hi+g.pad+s.tiny) {
				continue
			}
			first := max(next, g.from)
			next = max(next, g.to)
			if most -= int(next - first); most < 0 {
				c.clear()
				return false
			}
			for k := first; k < next; k++ {
				c.put(&s.curves[k], a, sin, cos)
			}
		}
	}
	return true
}
