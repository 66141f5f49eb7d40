package width

import (
	"math"

	"burrcast/geom"

	"github.com/golang/geo/r2"
)

// How far a cover may stand off the material, as a share of how wide the part
// would be were it a strip as long as its box's diagonal: wider leaves more to the
// sweep of curves, narrower makes more vertices to turn. Answers do not depend on it.
const (
	fine  = 1.0 / 100
	rough = 16.0 / 100
)

// cover is a polygon that holds the material of a part: whatever the direction,
// its section is at least that of the part.
//
//  1. A straight edge is its own cover. An arc round material gets tangents, an
//     arc round a void chords, as many as keep it within the distance allowed.
//
//  2. A chain of edges that is a graph over its chord and lies in a strip along
//     it as wide as that distance is covered by one chord or a roof over it: the
//     lines from its ends that no vertex lies beyond, the highest parallel of the
//     chord, and a few between. Between graph and cover there is only void.
//
//  3. A round cut-out gets a hat instead: an octagon with a corner on either end
//     along the feed, whatever the direction.
//
// Each is a closed loop of added area, so sections only grow.
type cover struct {
	x, y   []float64 // vertices, loop after loop, the first of each repeated at its end
	loops  []int32   // index of each loop's first vertex, and one past the last
	groups []coverGroup
	firsts []int32    // index of each loop's first group, and one past the last
	around []obstacle // whole loops
	hats   []obstacle // round cut-outs
	round  []int32    // their curves
	// Where the cover may stand off the part: groups that are not straight edges,
	// and hats.
	rough []obstacle
	// The same for the outline's cover alone: its own groups and whole cut-outs.
	alone []obstacle
}

// hat is the half of a round void's octagon that lies across the feed, twice: by
// its knots along the feed, in radii, and how much each bends the section.
var hat = [knots]struct{ at, bend float64 }{
	{-1, -2 * (1 + math.Sqrt2)},
	{-math.Sqrt2 / 2, 4},
	{0, 4 * (math.Sqrt2 - 1)},
	{math.Sqrt2 / 2, 4},
	{1, -2 * (1 + math.Sqrt2)},
}

const knots = 5

// obstacle is a disc that holds curves.
type obstacle struct{ x, y, r float64 }

// coverGroup is a stretch of the cover and the curves that it covers.
type coverGroup struct {
	first, last int32   // vertices
	from, to    int32   // curves
	pad         float64 // how far the curves reach beyond the vertices at most, mm
}

// coverEdge is an edge of step 1: from p to the next one's p.
type coverEdge struct {
	p     r2.Point
	curve int32
	pad   float64
}

// reset makes it a cover of nothing.
func (c *cover) reset() {
	*c = cover{
		x: c.x[:0], y: c.y[:0], loops: c.loops[:0], groups: c.groups[:0], firsts: c.firsts[:0], around: c.around[:0],
		hats: c.hats[:0], round: c.round[:0], rough: c.rough[:0], alone: c.alone[:0],
	}
}

// add appends the cover of one loop whose first curve has index first, the
// outline before all others.
func (c *cover) add(loop []geom.Curve, first int32, off float64, room *[]coverEdge) {
	outline := len(c.loops) == 0
	whole := around(loop)
	if outline {
		c.loops, c.firsts = append(c.loops, 0), append(c.firsts, 0)
		defer func() { c.alone = append(c.alone, c.rough...) }()
	} else {
		c.alone = append(c.alone, whole)
		if len(loop) == 1 && loop[0].IsCircle() {
			c.hats, c.round, c.rough = append(c.hats, whole), append(c.round, first), append(c.rough, whole)
			return
		}
	}
	c.around = append(c.around, whole)
	edges := (*room)[:0]
	for i := range loop {
		edges = coverCurve(edges, &loop[i], first+int32(i), off)
	}
	n := len(edges)
	edges = append(edges, coverEdge{p: edges[0].p})
	*room = edges
	for i := 0; i < n; {
		k, strip := 1, 0.0
		for m := 4; i+m <= n && m <= 512; m *= 2 {
			w, ok := flat(edges[i:i+m+1], off)
			if !ok {
				break
			}
			k, strip = m, w
		}
		c.put(edges, i, k, strip)
		i += k
	}
	c.x, c.y = append(c.x, edges[n].p.X), append(c.y, edges[n].p.Y)
	c.loops, c.firsts = append(c.loops, int32(len(c.x))), append(c.firsts, int32(len(c.groups)))
}

// put appends the group of k edges from edge i on.
func (c *cover) put(edges []coverEdge, i, k int, strip float64) {
	g := coverGroup{first: int32(len(c.x)), from: edges[i].curve, to: edges[i+k-1].curve + 1, pad: strip}
	pad := 0.0
	for _, e := range edges[i : i+k] {
		pad = max(pad, e.pad)
	}
	g.pad += pad
	c.x, c.y = append(c.x, edges[i].p.X), append(c.y, edges[i].p.Y)
	if k > 1 {
		c.roof(edges[i : i+k+1])
	}
	g.last = int32(len(c.x)) // the next group's first vertex, or the loop's first again
	c.groups = append(c.groups, g)
	if k > 1 || pad > 0 {
		// Roofs and tangents stand off the chain by its strip or sagitta at most.
		p := edges[i].p.Add(edges[i+k].p).Mul(0.5)
		r := 0.0
		for _, e := range edges[i : i+k+1] {
			d := e.p.Sub(p)
			r = max(r, d.Dot(d))
		}
		c.rough = append(c.rough, obstacle{p.X, p.Y, math.Sqrt(r)*(1+same) + 3*g.pad})
	}
}

// around returns a disc that holds a loop: its own if it is a circle.
func around(loop []geom.Curve) obstacle {
	if c := &loop[0]; len(loop) == 1 && c.IsArc() {
		return obstacle{c.Center.X, c.Center.Y, c.Radius}
	}
	lo, hi := loop[0].Start, loop[0].Start
	for i := range loop {
		p := loop[i].Start
		lo.X, lo.Y = min(lo.X, p.X), min(lo.Y, p.Y)
		hi.X, hi.Y = max(hi.X, p.X), max(hi.Y, p.Y)
	}
	p := lo.Add(hi).Mul(0.5)
	r, far := 0.0, 0.0 // squared distance of ends; of arcs
	for i := range loop {
		c := &loop[i]
		d := c.Start.Sub(p)
		r = max(r, d.Dot(d))
		if c.Radius > 0 {
			far = max(far, c.Center.Sub(p).Norm()+c.Radius)
		}
	}
	return obstacle{p.X, p.Y, max(math.Sqrt(r)*(1+same), far)}
}

// coverCurve appends the edges of step 1 for one curve.
func coverCurve(edges []coverEdge, c *geom.Curve, i int32, off float64) []coverEdge {
	if !c.IsArc() {
		return append(edges, coverEdge{p: c.Start, curve: i})
	}
	// The sagitta of a step of angle q is r (1 - cos q/2); between tangents it is
	// r (1/cos q/2 - 1).
	share := off / c.Radius
	half := 2 * math.Asin(math.Sqrt(min(1, share/2)))
	if c.Sweep > 0 {
		half = math.Atan(math.Sqrt(share * (2 + share)))
	}
	n := 1.0
	if sweep := math.Abs(float64(c.Sweep)) / 2; sweep > min(half, math.Pi/4) {
		n = math.Ceil(sweep / max(min(half, math.Pi/4), math.Pi/64))
	}
	step := float64(c.Sweep) / n
	q := math.Sin(step / 4)
	pad := 2 * c.Radius * q * q
	r, at, count := c.Radius, float64(c.From)+step, int(n)-1
	if c.Sweep > 0 {
		r, at, count = c.Radius/math.Cos(step/2), float64(c.From)+step/2, int(n)
	}
	edges = append(edges, coverEdge{c.Start, i, pad})
	for k := range count {
		sin, cos := math.Sincos(at + float64(k)*step)
		edges = append(edges, coverEdge{r2.Point{X: c.Center.X + r*cos, Y: c.Center.Y + r*sin}, i, pad})
	}
	return edges
}

// flat reports whether a chain is a graph over its chord within a strip along it
// not wider than off, and how wide the strip is.
func flat(chain []coverEdge, off float64) (strip float64, ok bool) {
	p := chain[0].p
	chord := chain[len(chain)-1].p.Sub(p)
	l := chord.Norm()
	if l == 0 {
		return 0, false
	}
	u := chord.Mul(1 / l)
	lo, hi, s := 0.0, 0.0, 0.0
	for _, e := range chain[1:] {
		d := e.p.Sub(p)
		h := geom.Cross(u, d)
		lo, hi = min(lo, h), max(hi, h)
		along := d.Dot(u)
		if along <= s || hi-lo > off {
			return 0, false
		}
		s = along
	}
	return hi - lo, true
}

// roof appends the vertices between the ends of a flat chain's cover. The void
// lies on the right of travel.
func (c *cover) roof(chain []coverEdge) {
	n := len(chain) - 1
	p, q := chain[0].p, chain[n].p
	chord := q.Sub(p)
	l := chord.Norm()
	u := chord.Mul(1 / l)
	out := r2.Point{X: u.Y, Y: -u.X}
	var high, up, down float64 // highest vertex; steepest lines from both ends
	for _, e := range chain[1:n] {
		d := e.p.Sub(p)
		if h := d.Dot(out); h > 0 {
			s := d.Dot(u)
			high, up, down = max(high, h), max(up, h/s), max(down, h/(l-s))
		}
	}
	if high == 0 {
		return
	}
	put := func(s, h float64) {
		v := p.Add(u.Mul(s)).Add(out.Mul(h))
		c.x, c.y = append(c.x, v.X), append(c.y, v.Y)
	}
	s := l * down / (up + down)
	if top := up * s; n < many && top <= 2.2*high {
		put(s, top)
		return
	}
	// Lines h = t s + b that no vertex lies beyond, less steep one by one, parallel
	// to the chord in the middle.
	steps := 1
	if n >= 4*many {
		steps = 2
	}
	t, b := up, 0.0
	for k := 1; k <= 2*steps; k++ {
		t1, b1 := up*(1-float64(k)/float64(steps)), 0.0
		if k > steps {
			t1 = -down * (float64(k)/float64(steps) - 1)
		}
		for _, e := range chain[1:] {
			d := e.p.Sub(p)
			b1 = max(b1, d.Dot(out)-t1*d.Dot(u))
		}
		s := (b1 - b) / (t - t1)
		put(s, t*s+b)
		t, b = t1, b1
	}
}

// many is how many edges are worth a roof of more than three sides.
const many = 32
