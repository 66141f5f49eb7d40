package width

import (
	"errors"
	"math"

	"burrcast/geom"

	"github.com/golang/geo/r2"
)

// smoothTurn is the tangent turn, in radians, below which a joint counts as
// smooth. Drawings carry rounded coordinates, so tangent joints turn by some
// 1e-6; a corner that matters turns by far more.
const smoothTurn = 1e-4

// negligible is the length, as a share of the region's size, below which a curve
// is left out: the direction of so short a piece is the rounding of the drawing.
const negligible = 1e-7

// Field is a region's boundary, ready to be measured. It is immutable and safe
// for use by several goroutines.
type Field struct {
	elems   []element
	rings   [][]int32 // element indexes of each contour, in order of travel
	ringOf  []int32   // all of them
	tree    tree      // made when strips do not close
	hull    hull      // while strips are closed
	walls   []wall    // by element, while strips are closed
	closed  bool      // all strips closed
	far     float64   // radius at which a disc counts as unbounded
	origin  r2.Point  // local coordinates are drawing coordinates less origin
	walk    walk      // while tracing
	doubted []int32   // elements to trace again
	runs    [][]run   // by element
	allRuns []run
	pieces  []piece
	ring    [][]int32 // piece indexes of each contour, in order of travel
	order   []int32   // all of them

	piecesOf [][2]int32 // by element, its first piece and the one past its last
}

type kind uint8

const (
	lineElem kind = iota
	concave       // arc with the region on its centre's side
	convex        // arc with the region outside
	vertex        // reflex vertex
)

// element is one thing a disc can touch. What is asked of it most stands first.
type element struct {
	kind kind
	wide bool  // of an arc: it covers more than half a turn
	prev int32 // curve element before, by travel
	next int32 // curve element after
	// How the curve meets its neighbours: the tangent turn at start and end,
	// positive to the left (a convex corner of the region).
	turnPrev, turnNext float64
	p                  r2.Point // of a line or arc its start, of a vertex its place
	nrm, dir           r2.Point // of a line: inner normal and direction
	length             float64
	// Of an arc: the directions of its ends from the centre, counter-clockwise
	// from first to last, and how far beyond each of them it takes a foot, in
	// radians. Of a vertex: the inner normals of its fan, by travel.
	first, last    r2.Point
	slack0, slack1 float64
	c              geom.Curve
	from, sweep    float64 // of a vertex: its fan of inner normals
	contour        int32
	curve          int32 // index in its contour; of a vertex, the curve that ends there
}

// errNoContour is returned for a region without boundary.
var errNoContour = errors.New("no contour to measure")

// New prepares the region to the left of the contours, each a closed loop whose
// curves share end points. Lines that continue each other and arcs of one
// circle should have been merged (geom.MergeLoop). far is the radius beyond
// which a disc counts as unbounded; 0 takes the diagonal of the box round all
// contours.
func New(contours [][]geom.Curve, far float64) (*Field, error) {
	return new(Scratch).New(contours, far)
}

// Far is the radius beyond which a disc counts as unbounded, mm.
func (f *Field) Far() float64 { return f.far }

// addContour appends the curves longer than least and the reflex vertices
// between them.
func (s *Scratch) addContour(k int32, loop []geom.Curve, least float64) {
	f := &s.field
	s.keep(loop, least)
	curves, n := s.loop, len(s.loop)
	from := len(f.ringOf)
	for m := range curves {
		q := &curves[m]
		q.elem = int32(len(f.elems))
		f.ringOf = append(f.ringOf, q.elem)
		f.elems = append(f.elems, element{contour: k, curve: q.i, c: q.c, p: q.c.Start, length: q.length})
		e := &f.elems[q.elem]
		switch {
		case !q.c.IsArc():
			e.kind = lineElem
			e.dir = q.leave
			e.nrm = geom.Left(e.dir)
		case q.c.Sweep > 0:
			e.kind = concave
		default:
			e.kind = convex
		}
		next := &curves[(m+1)%n]
		turn := math.Atan2(geom.Cross(q.arrive, next.leave), q.arrive.Dot(next.leave))
		switch {
		case q.c.IsCircle():
			turn = 0
		case math.Abs(turn) > math.Pi-1e-6:
			turn = cuspTurn(&q.c, &next.c)
		}
		e.turnNext = turn
		if turn < -1e-9 {
			nrm, last := geom.Left(q.arrive), geom.Left(next.leave)
			if turn == -math.Pi {
				last = nrm.Mul(-1)
			}
			f.ringOf = append(f.ringOf, int32(len(f.elems)))
			f.elems = append(f.elems, element{
				kind: vertex, contour: k, curve: q.i, p: q.c.End,
				from: math.Atan2(nrm.Y, nrm.X), sweep: turn, first: nrm, last: last,
				turnPrev: turn, turnNext: turn,
			})
		}
	}
	for m := range curves {
		e := &f.elems[curves[m].elem]
		before := curves[(m+n-1)%n].elem
		e.prev, e.next = before, curves[(m+1)%n].elem
		e.turnPrev = f.elems[before].turnNext
		if e.kind != lineElem {
			e.prepareArc(&curves[m])
		}
	}
	ring := f.ringOf[from:len(f.ringOf):len(f.ringOf)]
	for _, id := range ring {
		if e := &f.elems[id]; e.kind == vertex {
			// The curve element that ends here stands just before it.
			e.prev = id - 1
			e.next = f.elems[id-1].next
		}
	}
	if len(ring) > 0 {
		f.rings = append(f.rings, ring)
	}
}

// loopCurve is a curve of a loop about the origin of its field.
type loopCurve struct {
	c             geom.Curve
	length        float64
	leave, arrive r2.Point // directions of travel at its start and end
	i             int32    // index in its contour
	elem          int32
}

// keep fills s.loop with the curves longer than least.
func (s *Scratch) keep(loop []geom.Curve, least float64) {
	s.loop = s.loop[:0]
	for i := range loop {
		q := loopCurve{c: loop[i].Moved(s.field.origin.Mul(-1)), i: int32(i)}
		// Of the moved curve: with the length before, places on it are a rounding off.
		q.length = q.c.Length()
		if q.length <= least {
			continue
		}
		if q.c.IsArc() {
			q.leave, q.arrive = q.c.Tangent(0), q.c.Tangent(1)
		} else {
			q.leave = geom.Unit(q.c.End.Sub(q.c.Start))
			q.arrive = q.leave
		}
		s.loop = append(s.loop, q)
	}
}

// prepareArc fills in what within needs, from the arc's curve.
func (e *element) prepareArc(q *loopCurve) {
	slack := func(turn float64) float64 {
		if math.Abs(turn) < smoothTurn {
			return smoothSlack * math.Abs(float64(e.c.Sweep))
		}
		return footSlack
	}
	e.first, e.last = geom.Left(q.leave).Mul(-1), geom.Left(q.arrive).Mul(-1)
	e.slack0, e.slack1 = slack(e.turnPrev), slack(e.turnNext)
	if e.c.Sweep < 0 {
		e.first, e.last = geom.Left(q.arrive), geom.Left(q.leave)
		e.slack0, e.slack1 = e.slack1, e.slack0
	}
	e.wide = math.Abs(float64(e.c.Sweep)) > math.Pi
}

// cuspTurn is the turn where b goes straight back along a: to the left, with the
// region between the two, when b runs on a's left.
func cuspTurn(a, b *geom.Curve) float64 {
	l := 1e-3 * math.Min(a.Length(), b.Length())
	p, q := a.At(1-l/a.Length()), b.At(l/b.Length())
	if geom.Cross(a.Tangent(1), q.Sub(p)) > 0 {
		return math.Pi
	}
	return -math.Pi
}

// at returns the place and the inner unit normal at the fraction u of e.
func (e *element) at(u float64) (p, n r2.Point) {
	switch e.kind {
	case lineElem:
		return r2.Point{X: e.p.X + u*(e.c.End.X-e.p.X), Y: e.p.Y + u*(e.c.End.Y-e.p.Y)}, e.nrm
	case vertex:
		return e.p, e.toward(u)
	}
	d := e.toward(u)
	p = r2.Point{X: e.c.Center.X + e.c.Radius*d.X, Y: e.c.Center.Y + e.c.Radius*d.Y}
	if e.kind == concave {
		return p, r2.Point{X: -d.X, Y: -d.Y}
	}
	return p, d
}

// toward returns the direction of an arc or a vertex's fan at the fraction u, from
// its centre.
func (e *element) toward(u float64) r2.Point {
	from, sweep := e.from, e.sweep
	start, end := e.first, e.last
	if e.kind != vertex {
		from, sweep = float64(e.c.From), float64(e.c.Sweep)
		if sweep < 0 {
			start, end = end, start
		}
	}
	switch u {
	case 0:
		return start
	case 1:
		return end
	}
	sin, cos := math.Sincos(from + u*sweep)
	return r2.Point{X: cos, Y: sin}
}

// bounds is the box round the element.
func (e *element) bounds() r2.Rect {
	if e.kind == vertex {
		return r2.RectFromPoints(e.p)
	}
	return e.c.Bounds()
}

// paramOf returns the fraction of e at which it is touched by a disc with the
// given centre at the place q.
func (e *element) paramOf(q, center r2.Point) float64 {
	var u float64
	switch e.kind {
	case lineElem:
		u = e.dir.Dot(q.Sub(e.p)) / e.length
	case vertex:
		d := center.Sub(e.p)
		a := math.Atan2(d.Y, d.X) - e.from
		a = math.Remainder(a-e.sweep/2, 2*math.Pi) + e.sweep/2
		u = a / e.sweep
	default:
		d := q.Sub(e.c.Center)
		u = fraction(&e.c, d)
	}
	return math.Min(1, math.Max(0, u))
}

// fraction returns where an arc points along d from its centre, in fractions of
// its length, between the middle of the uncovered part on either side.
func fraction(c *geom.Curve, d r2.Point) float64 {
	half := float64(c.Sweep) / 2
	a := nearTurn(math.Atan2(d.Y, d.X) - float64(c.From) - half)
	return (a + half) / (2 * half)
}
