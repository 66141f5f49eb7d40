package width

import (
	"math"

	"burrcast/geom"

	"github.com/golang/geo/r2"
)

// joined says how an element is met by the one a disc stands on.
type joined uint8

const (
	apart       joined = iota // not neighbours, or round a convex corner
	smoothly                  // the one goes on into the other
	roundReflex               // round a corner that points into the region: not touched at the corner itself
)

const (
	noFoot = int32(-1) // the disc grows without touching anything
	// footSlack is how far beyond its end, as a fraction of its length, an
	// element still takes a foot, so that none falls between two neighbours.
	footSlack = 1e-10
	// smoothSlack is the same for the end of an arc that goes on smoothly, radians
	// or fractions alike. A
	// disc nearly concentric with the arc places its foot badly, and a tangent
	// continuation as long as this differs by nothing.
	smoothSlack = 3e-5
	// atCorner is the distance from a neighbour's line or circle, as a share of
	// the size, within which a place counts as the corner itself. Arcs drawn by
	// their ends miss them by some 1e-12.
	atCorner = 1e-9
)

// radius returns the radius of the disc that touches element i at p, has its
// centre in the direction n, and touches element j; +Inf if there is none.
//
// With q the foot and the centre c = p + r*n, |c-q| = r is linear in r:
//
//	point q                   r = |q-p|^2 / (2 n.(q-p))
//	line, normal m, height h  r = h / (1 - n.m)
//	circle, from outside      r = (|d|^2 - R^2) / (2 (R - n.d)), d = p - centre
//	circle, from inside       r = (R^2 - |d|^2) / (2 (R + n.d))
func (f *Field) radius(i int32, p, n r2.Point, j int32) float64 {
	inf := math.Inf(1)
	if j == noFoot {
		return f.far
	}
	e := &f.elems[j]
	if i == j {
		if e.kind == concave {
			return e.c.Radius
		}
		return inf
	}
	self := &f.elems[i]
	how := apart
	if self.prev == j || self.next == j {
		turn := self.turnNext
		if self.next != j {
			turn = self.turnPrev
		}
		switch {
		case math.Abs(turn) < smoothTurn:
			how = smoothly
		case self.kind == vertex:
			return inf // a disc in the fan meets its own walls only at the vertex
		case turn < 0 && self.next != self.prev:
			how = roundReflex
		}
	}
	if e.kind == vertex && (e.prev == i || e.next == i) {
		// A wall does not see its own end: a line has it edge on, an arc has it on
		// its own circle or behind.
		return inf
	}
	return f.formula(self, j, p, n, how)
}

// formula is the closed formula against element j alone for a place on element
// self that is joined to j as how says.
func (f *Field) formula(self *element, j int32, p, n r2.Point, how joined) float64 {
	inf := math.Inf(1)
	e := &f.elems[j]
	switch e.kind {
	case vertex:
		w := e.p.Sub(p)
		k := n.Dot(w)
		w2 := w.Dot(w)
		if k <= 0 || k*k <= w2*1e-24 {
			return inf
		}
		return w2 / (2 * k)
	case lineElem:
		h := e.nrm.Dot(p.Sub(e.p))
		k := 1 - n.Dot(e.nrm)
		if h < 0 || k < 1e-14 || how == smoothly && k < 1 || how == roundReflex && h < atCorner*f.far {
			return inf
		}
		r := h / k
		t := e.dir.Dot(p.Sub(e.p)) + r*e.dir.Dot(n)
		if t < -footSlack*e.length || t > e.length*(1+footSlack) {
			return inf
		}
		return r
	case concave:
		return radiusConcave(self, e, p, n, how)
	}
	d := p.Sub(e.c.Center)
	num := d.Dot(d) - e.c.Radius*e.c.Radius
	den := 2 * (e.c.Radius - n.Dot(d))
	if num < 0 || den <= 0 || how == roundReflex && num < atCorner*e.c.Radius*e.c.Radius {
		return inf
	}
	r := num / den
	toFoot := d.Add(n.Mul(r))
	if !within(e, toFoot) {
		return inf
	}
	if how == smoothly && n.Dot(toFoot) > 0 {
		return inf // tangent continuation that curves away
	}
	return r
}

// radiusConcave is the formula from inside an arc. On a tangent continuation,
// numerator and denominator vanish together at the joint. Seen from a wall of
// less curvature the disc is never smaller than the arc's own circle, and equal
// to it at the joint; a straight or convex wall does not see the arc at all
// until it curls back.
func radiusConcave(self, e *element, p, n r2.Point, how joined) float64 {
	inf := math.Inf(1)
	d := p.Sub(e.c.Center)
	R := e.c.Radius
	num := R*R - d.Dot(d)
	den := 2 * (R + n.Dot(d))
	if how == roundReflex && num <= atCorner*R*R {
		return inf
	}
	if how == smoothly && math.Abs(num) <= 1e-12*R*R {
		if self.kind == concave && self.c.Radius > R {
			return R
		}
		return inf
	}
	if num < 0 || den <= 0 {
		return inf
	}
	r := num / den
	toFoot := d.Add(n.Mul(r))
	if !within(e, toFoot) {
		return inf
	}
	if how == smoothly && n.Dot(toFoot) < 0 {
		if self.kind != concave {
			return inf
		}
		return math.Max(r, R)
	}
	if r > R*(1+1e-12) {
		return inf
	}
	return r
}

// within reports whether the direction d from the arc's centre meets the arc, or
// passes one of its ends by no more than the slack there. No angle is formed: a
// wedge is two half planes, and what a wedge of more than half a turn leaves out
// is one again.
func within(e *element, d r2.Point) bool {
	if e.c.IsCircle() {
		return true
	}
	l := math.Abs(d.X) + math.Abs(d.Y)
	first, last := geom.Cross(e.first, d), geom.Cross(d, e.last)
	if e.wide {
		return first >= -e.slack0*l || last >= -e.slack1*l
	}
	return first >= -e.slack0*l && last >= -e.slack1*l
}

// foot returns where the disc of radius r at p, n touches element j.
func (f *Field) foot(p, n r2.Point, r float64, j int32) r2.Point {
	c := p.Add(n.Mul(r))
	e := &f.elems[j]
	switch e.kind {
	case lineElem:
		return c.Sub(e.nrm.Mul(e.nrm.Dot(c.Sub(e.p))))
	case vertex:
		return e.p
	}
	d := c.Sub(e.c.Center)
	l := d.Norm()
	if l < 1e-12*e.c.Radius {
		// Concentric: every point of the arc is a foot; take the middle.
		m, _ := e.at(0.5)
		return m
	}
	// Nearly concentric, the direction is poor: the foot stays on the arc.
	if u := fraction(&e.c, d); u < 0 || u > 1 {
		q, _ := e.at(math.Min(1, math.Max(0, u)))
		return q
	}
	return e.c.Center.Add(d.Mul(e.c.Radius / l))
}

// cosine returns the cosine of the object angle of the disc that touches element
// i at p, n with radius r and element j.
func (f *Field) cosine(i int32, p, n r2.Point, r float64, j int32) float64 {
	if j == noFoot {
		return 1
	}
	e := &f.elems[j]
	if i == j {
		return math.Cos(min(math.Abs(float64(e.c.Sweep)), math.Pi))
	}
	switch e.kind {
	case lineElem:
		return n.Dot(e.nrm)
	case vertex:
		w := e.p.Sub(p)
		k := n.Dot(w)
		return 1 - 2*k*k/w.Dot(w)
	}
	d := p.Add(n.Mul(r)).Sub(e.c.Center)
	l := math.Sqrt(d.Dot(d))
	if l < 1e-2*e.c.Radius {
		// Nearly concentric, the direction is poor: that of the foot stays on the arc.
		c := p.Add(n.Mul(r))
		return -n.Dot(geom.Unit(f.foot(p, n, r, j).Sub(c)))
	}
	if e.kind == concave {
		return -n.Dot(d) / l
	}
	return n.Dot(d) / l
}

// nearest shrinks the disc at p, n of element i until nothing lies inside it,
// starting from radius r with foot j, and returns the radius and foot it ends
// with.
//
//  1. Walk the box tree, nearer child first.
//  2. Leave out nodes that the open disc does not meet: discs tangent at p are
//     nested, so what a larger one misses every smaller one misses.
//  3. Shrink at each element met.
func (f *Field) nearest(i int32, p, n r2.Point, r float64, j int32) (float64, int32) {
	var stack [128]int32
	stack[0] = 0
	top := 1
	c := p.Add(n.Mul(r))
	for top > 0 {
		top--
		k := stack[top]
		nd := &f.tree.nodes[k]
		if nd.misses(c, r) {
			continue
		}
		if nd.count == 0 {
			l, m := k+1, nd.right
			if 4*r > f.far && f.tree.nodes[l].dist2(p) < f.tree.nodes[m].dist2(p) {
				l, m = m, l // a good first guess needs no order
			}
			stack[top], stack[top+1] = l, m
			top += 2
			continue
		}
		for _, id := range f.tree.order[nd.first : nd.first+nd.count] {
			if id == j {
				continue
			}
			if got := f.radius(i, p, n, id); got < r {
				r, j = got, id
				c = p.Add(n.Mul(r))
			}
		}
	}
	return r, j
}
