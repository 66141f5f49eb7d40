package width

import (
	"math"

	"burrcast/geom"

	"github.com/golang/geo/r2"
)

// curveSweep finds the widest section of lines and arcs within some stretches
// along the feed.
//
//  1. Cut every curve near a stretch into pieces that run one way along the feed;
//     a circle is one piece.
//  2. Between two ends of pieces the section is a line plus square roots: the
//     arcs round material are concave, those round voids convex.
//  3. Without arcs the widest is at an end. With them the section lies below the
//     tangents of the concave arcs plus the chord of the others; divide where that
//     bound is wider than the widest known, at the place where the slope changes
//     from growing to falling if there is one, else in halves.
type curveSweep struct {
	tiny   float64
	spans  []span // in order, apart
	whole  span   // from the first to the last
	pieces []sectionPiece
	ends   []mark // 2 i is the lower end of piece i, 2 i + 1 its upper one
	sorter sorter
	a, b   float64    // sum of the straight pieces under way
	arcs   []arcPiece // the arcs under way
	bulges int        // of these, concave ones
	from   float64    // the last place added up
	ahead  float64    // what the section is just past it
	mid    float64    // of the stretch under way
	steps  int        // taken in that stretch
	slack  float64    // relative width within which it counts as the same there
	best   found
}

// sectionPiece is a part of a curve that runs one way along the feed and what it
// adds to the section from x0 to x1.
type sectionPiece struct {
	x0, x1 float64
	a, b   float64 // a + b (x-x0), and
	arc    arcPiece
}

// arcPiece adds k*sqrt(r^2 - (x-cx)^2): k is positive round material, negative
// round a void, 0 for a line, and 2 in size for a circle.
type arcPiece struct {
	cx, r, k float64
	piece    int32
}

func (p *arcPiece) height(x float64) float64 {
	d := x - p.cx
	return math.Sqrt(max(0, (p.r-d)*(p.r+d)))
}

func (p *sectionPiece) value(x float64) float64 {
	w := p.a + p.b*(x-p.x0)
	if p.arc.k != 0 {
		w += p.arc.k * p.arc.height(x)
	}
	return w
}

// reach reports whether any span has a point in [lo, hi].
func (c *curveSweep) reach(lo, hi float64) bool {
	return lo <= c.whole.hi && hi >= c.whole.lo && (len(c.spans) == 1 || c.reachOne(lo, hi))
}

func (c *curveSweep) reachOne(lo, hi float64) bool {
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
	if k.Radius > 0 {
		m := r2.Point{X: k.Center.X*cos + k.Center.Y*sin, Y: k.Center.Y*cos - k.Center.X*sin}
		if !c.reach(m.X-k.Radius-c.tiny, m.X+k.Radius+c.tiny) {
			return
		}
		if k.IsCircle() {
			c.piece(sectionPiece{x0: m.X - k.Radius, x1: m.X + k.Radius, arc: arcPiece{cx: m.X, r: k.Radius, k: math.Copysign(2, float64(k.Sweep))}})
			return
		}
		c.putArc(k, a, k.Start.X*cos+k.Start.Y*sin, k.End.X*cos+k.End.Y*sin, m)
		return
	}
	// Material is on the left: above the line where it is travelled forward.
	x0, x1 := k.Start.X*cos+k.Start.Y*sin, k.End.X*cos+k.End.Y*sin
	if w := x1 - x0; w > c.tiny {
		y0, y1 := k.Start.Y*cos-k.Start.X*sin, k.End.Y*cos-k.End.X*sin
		c.piece(sectionPiece{x0: x0, x1: x1, a: -y0, b: -(y1 - y0) / w})
	} else if w < -c.tiny {
		y0, y1 := k.Start.Y*cos-k.Start.X*sin, k.End.Y*cos-k.End.X*sin
		c.piece(sectionPiece{x0: x1, x1: x0, a: y1, b: (y1 - y0) / w})
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
		side := -1.0
		if int64(n)&1 == 0 {
			side = 1
		}
		to, done := end, n*step >= last*step
		if !done {
			// Travelled forward, an upper half ends to the left and a lower one to
			// the right; travelled back the other way about.
			to = m.X - side*step*k.Radius
		}
		// As with lines, material is above where the arc is travelled forward.
		p := sectionPiece{x0: x, x1: to, a: -m.Y, arc: arcPiece{cx: m.X, r: k.Radius, k: -side}}
		if to < x {
			p.x0, p.x1, p.a, p.arc.k = to, x, m.Y, side
		}
		if x = to; p.x1 > p.x0 {
			c.piece(p)
		}
		if done {
			return
		}
	}
}

// piece stores a piece that reaches a span.
func (c *curveSweep) piece(p sectionPiece) {
	if !c.reach(p.x0, p.x1) {
		return
	}
	i := int32(len(c.pieces))
	p.arc.piece = i
	c.pieces = append(c.pieces, p)
	c.ends = append(c.ends, mark{p.x0, 2 * i}, mark{p.x1, 2*i + 1})
}

// run sweeps the pieces and keeps the widest in best.
func (c *curveSweep) run() {
	c.sorter.sort(c.ends)
	c.a, c.b, c.arcs, c.bulges = 0, 0, c.arcs[:0], 0
	before := c.best
	span := 0
	x := math.Inf(-1)
	c.from = x
	for i := 0; i < len(c.ends); {
		next := c.ends[i].x
		if next-x > c.tiny {
			for span < len(c.spans) && c.spans[span].hi <= x {
				span++
			}
			for k := span; k < len(c.spans) && c.spans[k].lo < next; k++ {
				c.stretch(max(x, c.spans[k].lo), min(next, c.spans[k].hi))
			}
		}
		// All that enter or leave here.
		for x = next; i < len(c.ends) && c.ends[i].x <= x; i++ {
			c.toggle(c.ends[i].id, x)
		}
	}
	if c.best != before {
		// Sums of steep lines lose digits; add up once more, piece by piece.
		w := 0.0
		for i := range c.pieces {
			if p := &c.pieces[i]; p.x0 < c.best.mid && c.best.mid < p.x1 {
				w += p.value(c.best.at)
			}
		}
		c.best.width = w
		if w < before.width {
			c.best = before
		}
	}
	c.clear()
}

// clear takes all pieces out.
func (c *curveSweep) clear() { c.pieces, c.ends = c.pieces[:0], c.ends[:0] }

// toggle adds a piece to those under way at its lower end, and takes it away at
// its upper one, which lie at x.
func (c *curveSweep) toggle(end int32, x float64) {
	p := &c.pieces[end/2]
	enters := end%2 == 0
	way := -1.0
	if enters {
		way = 1
	}
	c.a += way * (p.a - p.b*p.x0)
	c.b += way * p.b
	if x == c.from {
		c.ahead += way * p.value(x)
	}
	if p.arc.k == 0 {
		return
	}
	if p.arc.k > 0 {
		c.bulges += int(way)
	}
	if enters {
		c.arcs = append(c.arcs, p.arc)
		return
	}
	last := len(c.arcs) - 1
	for k := range c.arcs {
		if c.arcs[k].piece == end/2 {
			c.arcs[k] = c.arcs[last]
			break
		}
	}
	c.arcs = c.arcs[:last]
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
	for i := range c.arcs {
		p := &c.arcs[i]
		w := p.height(x)
		safe := max(w, 1e-9*p.r) // slopes grow without bound at the arc's extreme
		run := p.k * (x - p.cx) / safe
		s.bend -= p.k * p.r * p.r / (safe * safe * safe)
		if p.k > 0 {
			s.concave += p.k * w
			s.concaveRun -= run
		} else {
			s.rest += p.k * w
			s.restRun -= run
		}
	}
	return s
}

// among returns the section at x.
func (c *curveSweep) among(x float64) float64 {
	w := c.a + c.b*x
	for i := range c.arcs {
		p := &c.arcs[i]
		w += p.k * p.height(x)
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
		// Round voids alone: the section is convex. Its value where the last
		// stretch ended is known but for what entered or left there.
		l, r := c.ahead, c.among(hi)
		if lo != c.from {
			l = c.among(lo)
		}
		c.best.try(l, lo, c.mid)
		c.best.try(r, hi, c.mid)
		c.from, c.ahead = hi, r
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
