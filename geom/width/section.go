package width

import (
	"math"
	"sort"

	"burrcast/geom"

	"github.com/golang/geo/r2"
)

// Sections finds, direction by direction, the widest sum of material under a
// line across the feed.
type Sections struct {
	curves []geom.Curve // all contours, material on the left, about a local origin
	tiny   float64      // lengths along the feed that count as nothing, mm
	pieces []sectionPiece
	order  []int32 // pieces by their lower end; nearly sorted from the last direction
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
}

// NewSections prepares the contours of a part, material on the left.
func NewSections(contours [][]geom.Curve) *Sections {
	box := r2.EmptyRect()
	for _, c := range contours {
		box = box.Union(geom.LoopBounds(c))
	}
	// An edge square to the feed has no length along it but for rounding, and a
	// slope without bound; leaving out what is shorter than 1e-7 of the part keeps
	// the sums right to about as much.
	s := &Sections{tiny: 1e-7 * box.Size().Norm()}
	for _, loop := range contours {
		for _, c := range loop {
			s.curves = append(s.curves, c.Moved(box.Center().Mul(-1)))
		}
	}
	return s
}

// Widest returns the widest section when the feed points along angle a
// (radians), in mm.
//
//  1. Cut every curve into parts that run one way along the feed.
//  2. The section at x is the sum of signed y over the parts that span x:
//     between the ends of parts it is a line plus square roots.
//  3. Sweep over the ends in order. Without arcs the widest is at an end; with
//     arcs also where the slope changes sign between two ends.
func (s *Sections) Widest(a float64) float64 {
	s.cut(a)
	ends := make([]float64, 0, 2*len(s.pieces))
	for i := range s.pieces {
		ends = append(ends, s.pieces[i].x0, s.pieces[i].x1)
	}
	sort.Float64s(ends)
	var lineA, lineB float64
	var arcs []int32
	leaving := append([]int32(nil), s.order...)
	sort.Slice(leaving, func(i, k int) bool { return s.pieces[leaving[i]].x1 < s.pieces[leaving[k]].x1 })
	in, out := 0, 0
	widest := 0.0
	value := func(x float64) float64 {
		y := lineA + lineB*x
		for _, i := range arcs {
			y += s.pieces[i].sign * s.pieces[i].y(x)
		}
		return y
	}
	for k := 0; k+1 < len(ends); k++ {
		x := ends[k]
		for in < len(s.order) && s.pieces[s.order[in]].x0 <= x {
			i := s.order[in]
			in++
			if p := &s.pieces[i]; p.r == 0 {
				lineA += p.sign * p.a
				lineB += p.sign * p.b
			} else {
				arcs = append(arcs, i)
			}
		}
		for out < len(leaving) && s.pieces[leaving[out]].x1 <= x {
			i := leaving[out]
			out++
			p := &s.pieces[i]
			if p.r == 0 {
				lineA -= p.sign * p.a
				lineB -= p.sign * p.b
				continue
			}
			for m, j := range arcs {
				if i == j {
					arcs[m] = arcs[len(arcs)-1]
					arcs = arcs[:len(arcs)-1]
					break
				}
			}
		}
		next := ends[k+1]
		if next-x <= s.tiny {
			continue
		}
		widest = math.Max(widest, math.Max(value(x), value(next)))
		if len(arcs) > 0 {
			widest = math.Max(widest, s.between(x, next, lineB, arcs, value))
		}
	}
	return widest
}

// between returns the section where its slope changes from growing to falling
// inside (lo, hi), or 0 where it does not.
func (s *Sections) between(lo, hi, lineB float64, arcs []int32, value func(float64) float64) float64 {
	slope := func(x float64) float64 {
		d := lineB
		for _, i := range arcs {
			d += s.pieces[i].sign * s.pieces[i].slope(x)
		}
		return d
	}
	w := hi - lo
	if slope(lo+1e-9*w) <= 0 || slope(hi-1e-9*w) >= 0 {
		return 0
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
	return value(lo)
}

func (p *sectionPiece) y(x float64) float64 {
	if p.r == 0 {
		return p.a + p.b*x
	}
	d := x - p.cx
	return p.cy + p.side*math.Sqrt(math.Max(0, p.r*p.r-d*d))
}

func (p *sectionPiece) slope(x float64) float64 {
	d := x - p.cx
	return -p.side * d / math.Sqrt(math.Max(p.r*p.r*1e-18, p.r*p.r-d*d))
}

// cut fills pieces for the feed along angle a and sorts order by their lower end.
func (s *Sections) cut(a float64) {
	s.pieces = s.pieces[:0]
	sin, cos := math.Sincos(a)
	turned := func(p r2.Point) r2.Point { return r2.Point{X: p.X*cos + p.Y*sin, Y: p.Y*cos - p.X*sin} }
	for i := range s.curves {
		c := &s.curves[i]
		if !c.IsArc() {
			p, q := turned(c.Start), turned(c.End)
			if math.Abs(p.X-q.X) > s.tiny {
				b := (q.Y - p.Y) / (q.X - p.X)
				s.add(sectionPiece{x0: p.X, x1: q.X, a: p.Y - b*p.X, b: b})
			}
			continue
		}
		// Parts between the places where the arc turns back along the feed.
		m := turned(c.Center)
		from, sweep := float64(c.From)-a, float64(c.Sweep)
		at := from
		x := turned(c.Start).X // ends as the neighbours have them, bit for bit
		for range 4 {
			var to float64
			if sweep > 0 {
				to = math.Min(from+sweep, (math.Floor(at/math.Pi+1e-12)+1)*math.Pi)
			} else {
				to = math.Max(from+sweep, (math.Ceil(at/math.Pi-1e-12)-1)*math.Pi)
			}
			side := 1.0
			if math.Sin((at+to)/2) < 0 {
				side = -1
			}
			last := math.Abs(to-from-sweep) < 1e-12
			next := m.X + c.Radius*math.Cos(to)
			if last {
				next = turned(c.End).X
			}
			s.add(sectionPiece{x0: x, x1: next, cx: m.X, cy: m.Y, r: c.Radius, side: side})
			if last {
				break
			}
			at, x = to, next
		}
	}
	if len(s.order) != len(s.pieces) {
		s.order = s.order[:0]
		for i := range s.pieces {
			s.order = append(s.order, int32(i))
		}
	}
	sort.Slice(s.order, func(i, k int) bool { return s.pieces[s.order[i]].x0 < s.pieces[s.order[k]].x0 })
}

// add appends a part travelled from x0 to x1: material is on the left, so above
// when travelling forward.
func (s *Sections) add(p sectionPiece) {
	p.sign = -1
	if p.x1 < p.x0 {
		p.x0, p.x1, p.sign = p.x1, p.x0, 1
	}
	if p.x1 > p.x0 {
		s.pieces = append(s.pieces, p)
	}
}
