package width

import (
	"math"

	"burrcast/geom"

	"github.com/golang/geo/r2"
)

// Sections finds, direction by direction, the widest sum of material under a
// line across the feed. It is not safe for use by several goroutines.
//
//  1. Once: draw a cover, a polygon that holds the material (sectioncover.go).
//     Straight edges stay as they are unless many short ones together are as good
//     as flat; arcs get tangents or chords on the void side.
//  2. Direction by direction: turn the cover's vertices, throw them into bins
//     along the feed, sort each bin, and sweep (sectionsweep.go). The section of
//     a polygon is straight between vertices, so its widest is at one of them.
//     Where the cover is the part itself that is the answer.
//  3. Else the cover's section is a bound from above. Sweep the curves themselves
//     where the cover is widest (sectioncurves.go), then wherever the cover is
//     wider than what was found there: branch and bound on the line (after Land
//     and Doig, 1960). With bins it costs time in proportion to the vertices.
//
// Stretches along the feed shorter than 1e-7 of the part's size do not count: an
// edge square to the feed has no length along it but for rounding, and two steps
// drawn in line would else be added up. Elsewhere no section is wider by more than
// 1e-12 of it; where arcs keep it almost the same all along, that tolerance grows
// tenfold with every 200 steps, so that the search ends. The width at the
// line named is summed from the edges it crosses, each right to about 1e-15 of the
// part's size, or to 1e-8 of its radius where an arc runs just across the feed.
type Sections struct {
	origin r2.Point
	curves []geom.Curve // all contours, material on the left, about origin
	tiny   float64      // lengths along the feed that count as nothing, mm
	cover  cover
	alone  *turned // the outline's cover, nil where there are no cut-outs
	failed int     // times in a row that it did not do
	wait   int     // directions for which it is not tried
	all    *turned
	sweep  curveSweep
}

// NewSections prepares the contours of a part, the outline first, material on
// the left.
func NewSections(contours [][]geom.Curve) *Sections {
	box := r2.EmptyRect()
	n := 0
	for _, c := range contours {
		box = box.Union(geom.LoopBounds(c))
		n += len(c)
	}
	size := box.Size().Norm()
	s := &Sections{sweep: curveSweep{tiny: 1e-7 * size}, origin: box.Center(), tiny: 1e-7 * size, curves: make([]geom.Curve, 0, n)}
	area := 0.0
	for _, loop := range contours {
		area += geom.Integrate(loop).Area
	}
	off := coarse * math.Abs(area) / size
	for _, loop := range contours {
		from := len(s.curves)
		for _, c := range loop {
			s.curves = append(s.curves, c.Moved(s.origin.Mul(-1)))
		}
		s.cover.add(s.curves[from:], int32(from), off)
	}
	if len(contours) > 1 {
		s.alone = newTurned(&s.cover, 1, false, s.tiny)
	}
	s.all = newTurned(&s.cover, len(s.cover.around), true, s.tiny)
	return s
}

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
	// Cut-outs only take away: often the outline alone is widest beside them. If
	// it was not, it most often is not at the next angle either.
	if s.alone != nil {
		if s.wait--; s.wait < 0 {
			s.alone.turn(sin, cos)
			if place, ok := s.alone.place(s.cover.alone); ok {
				s.failed, s.wait = 0, 0
				return found{s.alone.section(place.at, place.mid), place.at, place.mid}
			}
			s.failed = min(2*s.failed+1, patience)
			s.wait = s.failed
		}
	}
	s.all.turn(sin, cos)
	if place, ok := s.all.place(s.cover.rough); ok {
		return found{s.all.section(place.at, place.mid), place.at, place.mid}
	}
	return s.refine(a, sin, cos)
}

// patience is the greatest number of directions for which a way that failed is
// not tried again.
const patience = 15

// refine finds the widest section of the curves from the turned cover.
func (s *Sections) refine(a, sin, cos float64) found {
	c := &s.sweep
	c.best = found{}
	// Where the cover is widest the curves most often are, too.
	beside := s.all.beside()
	c.spans = append(c.spans[:0], beside)
	s.gather(a, sin, cos)
	c.run()
	c.spans = s.all.wider(c.best.width*(1+same), beside, c.spans[:0])
	if len(c.spans) > 0 {
		s.gather(a, sin, cos)
		c.run()
	}
	return c.best
}

// gather puts the parts of all curves near the spans into the sweep.
func (s *Sections) gather(a, sin, cos float64) {
	c := &s.sweep
	for i := range s.cover.hats {
		o := &s.cover.hats[i]
		if x := o.x*cos + o.y*sin; c.reach(x-o.r-s.tiny, x+o.r+s.tiny) {
			c.put(&s.curves[s.cover.round[i]], a, sin, cos)
		}
	}
	next := int32(0)
	for k := range s.cover.around {
		o := &s.cover.around[k]
		if x := o.x*cos + o.y*sin; !c.reach(x-o.r-s.tiny, x+o.r+s.tiny) {
			continue
		}
		for i := s.cover.firsts[k]; i < s.cover.firsts[k+1]; i++ {
			g := &s.cover.groups[i]
			lo, hi := s.all.x[g.first], s.all.x[g.last]
			if lo > hi {
				lo, hi = hi, lo
			}
			if !c.reach(lo-g.pad-s.tiny, hi+g.pad+s.tiny) {
				continue
			}
			for k := max(next, g.from); k < g.to; k++ {
				c.put(&s.curves[k], a, sin, cos)
			}
			next = max(next, g.to)
		}
	}
}
