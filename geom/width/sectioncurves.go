package width

import (
	"math"
	"slices"

	"burrcast/geom"

	"github.com/golang/geo/r2"
)

// curveSweep finds the widest section of lines and arcs within some stretches
// along the feed.
//
//  1. Cut every curve near a stretch into pieces that run one way along the feed.
//  2. Between two ends of pieces the section is a line plus square roots: the
//     arcs round material are concave, those round voids convex.
//  3. Without arcs the widest is at an end. With them the section lies below the
//     tangents of the concave arcs plus the chord of the others; divide where that
//     bound is wider than the widest known, at the place where the slope changes
//     from growing to falling if there is one, else in halves.
type curveSweep struct {
	tiny   float64
	spans  []span // in order, apart
	pieces []sectionPiece
	enter  []sectionEnd // pieces by their lower end
	leave  []sectionEnd // pieces by their upper end
	a, b   float64      // sum of the straight pieces under way
	arcs   []int32      // the others
	bulges int          // of these, concave ones
	mid    float64      // of the stretch under way
	steps  int          // taken in that stretch
	slack  float64      // relative width within which it counts as the same there
	best   found
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
	y0, b  float64 // line: y = y0 + b (x-x0)
	cx, cy float64 // arc: y = cy + side*sqrt(r^2 - (x-cx)^2)
	r      float64
	side   float64
}

func (p *sectionPiece) y(x float64) float64 {
	if p.r == 0 {
		return p.y0 + p.b*(x-p.x0)
	}
	d := x - p.cx
	return p.cy + p.side*math.Sqrt(max(0, (p.r-d)*(p.r+d)))
}

// reach reports whether any span has a point in [lo, hi].
func (c *curveSweep) reach(lo, hi float64) bool {
	from, to := 0, len(c.spans)
	for from < to {
		m := (from + to) / 2
		if c.spans[m].hi < lo {
			from = m + 1
		} else {
			to = m
		}
	}
	return from < len(c.spans) && c.spans[from].lo <= hi
}

// put adds the pieces of one curve for the feed along angle a.
func (c *curveSweep) put(k *geom.Curve, a, sin, cos float64) {
	turned := func(p r2.Point) r2.Point { return r2.Point{X: p.X*cos + p.Y*sin, Y: p.Y*cos - p.X*sin} }
	p, q := turned(k.Start), turned(k.End)
	if k.IsArc() {
		c.putArc(k, a, p.X, q.X, turned(k.Center))
		return
	}
	b, keep := edgeSlope(q.X-p.X, q.Y-p.Y, c.tiny)
	if keep {
		c.piece(sectionPiece{x0: p.X, x1: q.X, y0: p.Y, b: b})
	}
}

// putArc adds the parts of an arc between the places where it turns back along
// the feed. Its ends are as the neighbours have them, bit for bit.
func (c *curveSweep) putArc(k *geom.Curve, a, start, end float64, m r2.Point) {
	from, sweep := float64(k.From)-a, float64(k.Sweep)
	// The arc turns back at whole half turns; between n and n+1 of them it is
	// above its centre where n is even.
	const within = 1e-12 * math.Pi
	first := math.Floor((from + within) / math.Pi)
	last := math.Floor((from + sweep - within) / math.Pi)
	step := 1.0
	if sweep < 0 {
		first = math.Floor((from - within) / math.Pi)
		last = math.Floor((from + sweep + within) / math.Pi)
		step = -1
	}
	x := start
	for n := first; ; n += step {
		p := sectionPiece{x0: x, x1: end, cx: m.X, cy: m.Y, r: k.Radius, side: -1}
		if int64(n)&1 == 0 {
			p.side = 1
		}
		done := n*step >= last*step
		if !done {
			// Travelled forward, an upper half ends to the left and a lower one to
			// the right; travelled back the other way about.
			p.x1 = m.X - p.side*step*k.Radius
		}
		x = p.x1
		c.piece(p)
		if done {
			return
		}
	}
}

// piece stores a part travelled from x0 to x1: material is on the left, so above
// when travelling forward.
func (c *curveSweep) piece(p sectionPiece) {
	p.sign = -1
	if p.x1 < p.x0 {
		if p.r == 0 {
			p.y0 += p.b * (p.x1 - p.x0)
		}
		p.x0, p.x1, p.sign = p.x1, p.x0, 1
	}
	if p.x1 > p.x0 && c.reach(p.x0, p.x1) {
		c.pieces = append(c.pieces, p)
	}
}

// sortEnds orders ends along the feed.
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

// run sweeps the pieces and keeps the widest in best.
func (c *curveSweep) run() {
	c.enter, c.leave = c.enter[:0], c.leave[:0]
	for i := range c.pieces {
		c.enter = append(c.enter, sectionEnd{c.pieces[i].x0, int32(i)})
		c.leave = append(c.leave, sectionEnd{c.pieces[i].x1, int32(i)})
	}
	sortEnds(c.enter)
	sortEnds(c.leave)
	c.a, c.b, c.arcs, c.bulges = 0, 0, c.arcs[:0], 0
	before := c.best
	in, span := 0, 0
	x := math.Inf(-1)
	for out := 0; out < len(c.leave); {
		// The next end, and all that enter or leave there.
		next := c.leave[out].x
		if in < len(c.enter) {
			next = min(next, c.enter[in].x)
		}
		if next-x > c.tiny && in > out {
			for span < len(c.spans) && c.spans[span].hi <= x {
				span++
			}
			for k := span; k < len(c.spans) && c.spans[k].lo < next; k++ {
				c.stretch(max(x, c.spans[k].lo), min(next, c.spans[k].hi))
			}
		}
		x = next
		for in < len(c.enter) && c.enter[in].x <= x {
			c.toggle(c.enter[in].piece, 1)
			in++
		}
		for out < len(c.leave) && c.leave[out].x <= x {
			c.toggle(c.leave[out].piece, -1)
			out++
		}
	}
	if c.best != before {
		// Sums of steep lines lose digits; add up once more, piece by piece.
		w := 0.0
		for i := range c.pieces {
			if p := &c.pieces[i]; p.x0 < c.best.mid && c.best.mid < p.x1 {
				w += p.sign * p.y(c.best.at)
			}
		}
		c.best.width = w
		if w < before.width {
			c.best = before
		}
	}
}

// toggle adds a piece to those under way, or takes it away.
func (c *curveSweep) toggle(i int32, way float64) {
	p := &c.pieces[i]
	if p.r == 0 {
		c.a += way * p.sign * (p.y0 - p.b*p.x0)
		c.b += way * p.sign * p.b
		return
	}
	if p.sign == p.side {
		c.bulges += int(way)
	}
	if way > 0 {
		c.arcs = append(c.arcs, i)
		return
	}
	k := slices.Index(c.arcs, i)
	c.arcs[k] = c.arcs[len(c.arcs)-1]
	c.arcs = c.arcs[:len(c.arcs)-1]
}

// shape is the section near one place: concave arcs, and all else.
type shape struct {
	x                   float64
	concave, concaveRun float64 // value and slope
	rest, restRun       float64
	bend                float64 // second derivative of the whole
}

func (s *shape) value() float64 { return s.concave + s.rest }
func (s *shape) slope() float64 { return s.concaveRun + s.restRun }

// at returns the section near x.
func (c *curveSweep) at(x float64) shape {
	s := shape{x: x, rest: c.a + c.b*x, restRun: c.b}
	for _, i := range c.arcs {
		p := &c.pieces[i]
		d := x - p.cx
		k := p.sign * p.side
		w := math.Sqrt(max(0, (p.r-d)*(p.r+d)))
		safe := max(w, 1e-9*p.r) // slopes grow without bound at the arc's extreme
		s.rest += p.sign * p.cy
		s.bend -= k * p.r * p.r / (safe * safe * safe)
		if k > 0 {
			s.concave += w
			s.concaveRun -= d / safe
		} else {
			s.rest -= w
			s.restRun += d / safe
		}
	}
	return s
}

// among returns the section at x where all arcs are round voids.
func (c *curveSweep) among(x float64) float64 {
	w := c.a + c.b*x
	for _, i := range c.arcs {
		p := &c.pieces[i]
		d := x - p.cx
		w += p.sign*p.cy - math.Sqrt(max(0, (p.r-d)*(p.r+d)))
	}
	return w
}

// settled is how many steps a stretch gets to come within 1e-12 of its widest;
// each as many again cost a digit, so that the search ends. Only sections that are
// almost the same all along need more.
const settled = 200

// stretch looks between two ends of pieces.
func (c *curveSweep) stretch(lo, hi float64) {
	if !(hi > lo) {
		return
	}
	c.mid = lo + (hi-lo)/2
	if len(c.arcs) == 0 {
		c.best.try(c.a+c.b*lo, lo, c.mid)
		c.best.try(c.a+c.b*hi, hi, c.mid)
		return
	}
	if c.bulges == 0 {
		// Round voids alone: the section is convex.
		c.best.try(c.among(lo), lo, c.mid)
		c.best.try(c.among(hi), hi, c.mid)
		return
	}
	left, right := c.at(lo), c.at(hi)
	c.best.try(left.value(), lo, c.mid)
	c.best.try(right.value(), hi, c.mid)
	c.steps, c.slack = 0, same
	c.climb(&left, &right)
}

// climb looks between two places whose values are known.
func (c *curveSweep) climb(l, r *shape) {
	if bound(l, r) <= c.best.width*(1+c.slack) || r.x-l.x <= 1e-3*c.tiny {
		return
	}
	if c.steps++; c.steps%settled == 0 {
		c.slack *= 10
	}
	t := c.top(l, r)
	c.best.try(t.value(), t.x, c.mid)
	c.climb(l, &t)
	c.climb(&t, r)
}

// bound is a width that the section does not exceed between two places, if it
// does not exceed it there: concave arcs lie below both tangents, the rest below
// its chord.
func bound(l, r *shape) float64 {
	w := r.x - l.x
	d := w / 2 // from l to where the tangents meet
	if turn := l.concaveRun - r.concaveRun; turn > 0 {
		d = min(max(0, (r.concave-l.concave-r.concaveRun*w)/turn), w)
	}
	return min(l.concave+l.concaveRun*d, r.concave-r.concaveRun*(w-d)) + l.rest + (r.rest-l.rest)*(d/w)
}

// top returns the place between l and r where the section changes from growing
// to falling, or the middle if it does not.
func (c *curveSweep) top(l, r *shape) shape {
	lo, hi := l.x, r.x
	t := c.at(lo + (hi-lo)/2)
	if l.slope() <= 0 || r.slope() >= 0 {
		return t
	}
	// Newton's step where it stays between; else halve.
	for range 60 {
		d := t.slope()
		if math.Abs(d)*(hi-lo) <= 1e-13*c.best.width {
			break
		}
		if d > 0 {
			lo = t.x
		} else {
			hi = t.x
		}
		x := t.x - d/t.bend
		if !(x > lo && x < hi) {
			x = lo + (hi-lo)/2
		}
		if x == lo || x == hi {
			break
		}
		t = c.at(x)
	}
	return t
}
