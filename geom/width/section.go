package width

import (
	"math"
	"slices"

	"burrcast/geom"

	"github.com/golang/geo/r2"
)

// Sections finds, direction by direction, the widest sum of material under a
// line across the feed. It is not safe for use by several goroutines.
type Sections struct {
	curves []geom.Curve // all contours, material on the left, about a local origin; the outline first
	inner  int          // index of the first curve that is not of the outline
	holes  []Support    // of each cut-out
	tiny   float64      // lengths along the feed that count as nothing, mm
	pieces []sectionPiece
	enter  []sectionEnd // pieces by their lower end
	leave  []sectionEnd // pieces by their upper end
}

// sectionEnd is where a piece begins or ends along the feed.
type sectionEnd struct {
	x     float64
	piece int32
}

// sectionPiece is a part of a curve that runs one way along the feed: y is its
// place across the feed as a function of x along it.
type sectionPiece struct {
	x0, x1 float64
	sign   float64 // +1 where material lies below, -1 where above
	a, b   float64 // line: y = a + b x
	cx, cy float64 // arc: y = cy + side*sqrt(r^2 - (x-cx)^2)
	r      float64
	side   float64
	inner  bool
}

// NewSections prepares the contours of a part, the outline first, material on
// the left.
func NewSections(contours [][]geom.Curve) *Sections {
	box := r2.EmptyRect()
	for _, c := range contours {
		box = box.Union(geom.LoopBounds(c))
	}
	// An edge square to the feed has no length along it but for rounding, and a
	// slope without bound; leaving out what is shorter than 1e-7 of the part keeps
	// the sums right to about as much.
	s := &Sections{tiny: 1e-7 * box.Size().Norm()}
	for k, loop := range contours {
		for _, c := range loop {
			s.curves = append(s.curves, c.Moved(box.Center().Mul(-1)))
		}
		if k == 0 {
			s.inner = len(s.curves)
		} else {
			s.holes = append(s.holes, NewSupport(s.curves[len(s.curves)-len(loop):]))
		}
	}
	return s
}

// sum is a set of pieces that span one place: lines added up, arcs by index.
type sum struct {
	a, b float64
	arcs []int32
}

func (u *sum) add(p *sectionPiece, i int32) {
	if p.r == 0 {
		u.a += p.sign * p.a
		u.b += p.sign * p.b
		return
	}
	u.arcs = append(u.arcs, i)
}

func (u *sum) remove(p *sectionPiece, i int32) {
	if p.r == 0 {
		u.a -= p.sign * p.a
		u.b -= p.sign * p.b
		return
	}
	k := slices.Index(u.arcs, i)
	u.arcs[k] = u.arcs[len(u.arcs)-1]
	u.arcs = u.arcs[:len(u.arcs)-1]
}

func (s *Sections) value(u *sum, x float64) float64 {
	y := u.a + u.b*x
	for _, i := range u.arcs {
		y += s.pieces[i].sign * s.pieces[i].y(x)
	}
	return y
}

func (s *Sections) slope(u *sum, x float64) float64 {
	d := u.b
	for _, i := range u.arcs {
		d += s.pieces[i].sign * s.pieces[i].slope(x)
	}
	return d
}

// Widest returns the widest section when the feed points along angle a
// (radians), in mm.
//
//  1. Cut every curve of the outline into parts that run one way along the feed.
//  2. The section at x is the sum of signed y over the parts that span x:
//     between the ends of parts it is a line plus square roots.
//  3. Sweep over the ends in order. Without arcs the widest is at an end; with
//     arcs also where the slope changes sign between two ends.
//  4. Cut-outs only take away: where none reaches the outline's widest place that
//     is the answer. Else sweep again with them, summing them only where the
//     outline alone is wider than the best so far.
func (s *Sections) Widest(a float64) float64 {
	s.cut(a, s.inner)
	widest, lo, hi := s.sweep()
	if len(s.holes) == 0 || s.clear(a, lo, hi) {
		return widest
	}
	s.cut(a, len(s.curves))
	widest, _, _ = s.sweep()
	return widest
}

// clear reports whether some place between lo and hi along the feed is reached
// by no cut-out.
func (s *Sections) clear(a, lo, hi float64) bool {
	s.enter = s.enter[:0]
	for i := range s.holes {
		h := &s.holes[i]
		x0, x1 := -h.Value(a+math.Pi), h.Value(a)
		if x1 >= lo-s.tiny && x0 <= hi+s.tiny {
			s.enter = append(s.enter, sectionEnd{x0, int32(len(s.enter))})
			s.leave = append(s.leave[:len(s.enter)-1], sectionEnd{x1, 0})
		}
	}
	if len(s.enter) == 0 {
		return true
	}
	sortEnds(s.enter)
	reached := lo
	for _, e := range s.enter {
		if e.x > reached+s.tiny {
			return true
		}
		reached = max(reached, s.leave[e.piece].x)
	}
	return reached < hi-s.tiny
}

// sweep returns the widest section of the parts cut and the stretch along the
// feed where the outline has it.
func (s *Sections) sweep() (widest, lo, hi float64) {
	var outer, holes sum
	in, out := 0, 0
	x := math.Inf(-1)
	for out < len(s.leave) {
		// The next end, and all that enter or leave there.
		next := s.leave[out].x
		if in < len(s.enter) {
			next = min(next, s.enter[in].x)
		}
		if next-x > s.tiny && in > out {
			y, x0, x1 := s.stretch(x, next, &outer, &holes, widest)
			switch {
			case y > widest*(1+1e-12):
				widest, lo, hi = y, x0, x1
			case y >= widest*(1-1e-12) && x0 <= hi+s.tiny:
				hi = max(hi, x1) // the same width goes on
			}
		}
		x = next
		for in < len(s.enter) && s.enter[in].x <= x {
			i := s.enter[in].piece
			in++
			if p := &s.pieces[i]; p.inner {
				holes.add(p, i)
			} else {
				outer.add(p, i)
			}
		}
		for out < len(s.leave) && s.leave[out].x <= x {
			i := s.leave[out].piece
			out++
			if p := &s.pieces[i]; p.inner {
				holes.remove(p, i)
			} else {
				outer.remove(p, i)
			}
		}
	}
	return widest, lo, hi
}

// stretch returns the widest section between two neighbouring ends and where it
// is, or 0 where it is less than best.
func (s *Sections) stretch(lo, hi float64, outer, holes *sum, best float64) (y, x0, x1 float64) {
	o0, o1 := s.value(outer, lo), s.value(outer, hi)
	y, x0, x1 = widerEnd(o0, o1, lo, hi)
	if len(outer.arcs) > 0 {
		if p, x := s.peak(lo, hi, outer, nil); p > y {
			y, x0, x1 = p, x, x
		}
	}
	if y < best*(1-1e-12) {
		return 0, 0, 0
	}
	if len(holes.arcs) == 0 && holes.a == 0 && holes.b == 0 {
		return y, x0, x1
	}
	y, x0, x1 = widerEnd(o0+s.value(holes, lo), o1+s.value(holes, hi), lo, hi)
	if len(outer.arcs)+len(holes.arcs) > 0 {
		if p, x := s.peak(lo, hi, outer, holes); p > y {
			y, x0, x1 = p, x, x
		}
	}
	return y, x0, x1
}

// widerEnd returns the greater of two values and where it stands: all along from
// lo to hi if they are equal to rounding.
func widerEnd(a, b, lo, hi float64) (y, x0, x1 float64) {
	switch {
	case math.Abs(a-b) <= 1e-12*max(a, b):
		return max(a, b), lo, hi
	case a > b:
		return a, lo, lo
	}
	return b, hi, hi
}

// peak returns the section where its slope changes from growing to falling
// inside (lo, hi), and the place, or 0 where it does not.
func (s *Sections) peak(lo, hi float64, outer, holes *sum) (y, x float64) {
	slope := func(x float64) float64 {
		d := s.slope(outer, x)
		if holes != nil {
			d += s.slope(holes, x)
		}
		return d
	}
	w := hi - lo
	if slope(lo+1e-9*w) <= 0 || slope(hi-1e-9*w) >= 0 {
		return 0, 0
	}
	for range 60 {
		x := lo + (hi-lo)/2
		if x == lo || x == hi {
			break
		}
		if slope(x) > 0 {
			lo = x
		} else {
			hi = x
		}
	}
	y = s.value(outer, lo)
	if holes != nil {
		y += s.value(holes, lo)
	}
	return y, lo
}

func (p *sectionPiece) y(x float64) float64 {
	if p.r == 0 {
		return p.a + p.b*x
	}
	d := x - p.cx
	return p.cy + p.side*math.Sqrt(max(0, p.r*p.r-d*d))
}

func (p *sectionPiece) slope(x float64) float64 {
	d := x - p.cx
	return -p.side * d / math.Sqrt(max(p.r*p.r*1e-18, p.r*p.r-d*d))
}

// cut fills pieces with the first n curves for the feed along angle a and sorts
// them by their ends.
func (s *Sections) cut(a float64, n int) {
	s.pieces, s.enter, s.leave = s.pieces[:0], s.enter[:0], s.leave[:0]
	sin, cos := math.Sincos(a)
	turned := func(p r2.Point) r2.Point { return r2.Point{X: p.X*cos + p.Y*sin, Y: p.Y*cos - p.X*sin} }
	for i := range n {
		c := &s.curves[i]
		inner := i >= s.inner
		p, q := turned(c.Start), turned(c.End)
		if !c.IsArc() {
			if math.Abs(p.X-q.X) > s.tiny {
				b := (q.Y - p.Y) / (q.X - p.X)
				s.put(sectionPiece{x0: p.X, x1: q.X, a: p.Y - b*p.X, b: b, inner: inner})
			}
		} else {
			s.cutArc(c, a, p.X, q.X, turned(c.Center), inner)
		}
	}
	sortEnds(s.enter)
	sortEnds(s.leave)
}

// sortEnds orders ends along the feed. The numbers are finite, which spares the
// comparison the care for those that are not.
func sortEnds(ends []sectionEnd) {
	slices.SortFunc(ends, func(a, b sectionEnd) int {
		switch {
		case a.x < b.x:
			return -1
		case a.x > b.x:
			return 1
		}
		return 0
	})
}

// cutArc puts the parts of an arc between the places where it turns back along
// the feed. Its ends are as the neighbours have them, bit for bit.
func (s *Sections) cutArc(c *geom.Curve, a, start, end float64, m r2.Point, inner bool) {
	from, sweep := float64(c.From)-a, float64(c.Sweep)
	to, x := from, start
	for range 3 {
		begin := to
		if sweep > 0 {
			to = min(from+sweep, (math.Floor(begin/math.Pi+1e-12)+1)*math.Pi)
		} else {
			to = max(from+sweep, (math.Ceil(begin/math.Pi-1e-12)-1)*math.Pi)
		}
		side := 1.0
		if math.Sin((begin+to)/2) < 0 {
			side = -1
		}
		last := math.Abs(to-from-sweep) < 1e-12
		next := end
		if !last {
			next = m.X + c.Radius*math.Cos(to)
		}
		s.put(sectionPiece{x0: x, x1: next, cx: m.X, cy: m.Y, r: c.Radius, side: side, inner: inner})
		if last {
			return
		}
		x = next
	}
}

// put stores a part travelled from x0 to x1: material is on the left, so above
// when travelling forward.
func (s *Sections) put(p sectionPiece) {
	p.sign = -1
	if p.x1 < p.x0 {
		p.x0, p.x1, p.sign = p.x1, p.x0, 1
	}
	if p.x1 > p.x0 {
		i := int32(len(s.pieces))
		s.pieces = append(s.pieces, p)
		s.enter = append(s.enter, sectionEnd{p.x0, i})
		s.leave = append(s.leave, sectionEnd{p.x1, i})
	}
}
