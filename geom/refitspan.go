package geom

import (
	"math"

	"github.com/golang/geo/r2"
)

// chords is a run of vertices on a curve; in a ring the last vertex is the first.
type chords struct {
	p    []r2.Point
	sum  []float64 // turns up to and with each vertex
	ring bool
	tol  float64
	tan  []r2.Point // directions at vertices, zero until asked for
}

func newChords(p []r2.Point, turns []float64, ring bool, tol float64) *chords {
	c := &chords{p: p, ring: ring, tol: tol, tan: make([]r2.Point, len(p)), sum: make([]float64, len(p))}
	s := 0.0
	for i := range p {
		if i > 0 && i < len(turns) {
			s += turns[i]
		}
		c.sum[i] = s
	}
	return c
}

// stretch is a part of a run with the arcs that replace it.
type stretch struct {
	from, to  int // vertices
	curves    []Curve
	covers    []int // of each curve, its first chord
	deviation float64
	rise      float64
}

// stretches fits the run; see the plan at RefitChords.
func (c *chords) stretches(least int) []stretch {
	last := len(c.p) - 1
	var out []stretch
	cur := stretch{}
	flush := func() {
		n := cur.to - cur.from
		if n >= least && n >= chordsOnAll*len(cur.curves) && c.bends(cur.from, cur.to) {
			out = append(out, cur)
		}
		cur = stretch{}
	}
	var tan r2.Point
	for i := 0; i < last; {
		free := len(cur.curves) == 0
		if free {
			cur = stretch{from: i, to: i}
			tan = c.direction(i)
		}
		s, ok := c.longest(i, tan, free && !(c.ring && i == 0))
		if !ok || s.to-i < chordsPerArc*len(s.curves) && (free || s.to < last) {
			flush()
			i++
			continue
		}
		cur.covers = append(cur.covers, s.covers...)
		cur.curves = append(cur.curves, s.curves...)
		cur.to = s.to
		cur.deviation, cur.rise = max(cur.deviation, s.deviation), max(cur.rise, s.rise)
		tan = s.curves[len(s.curves)-1].Tangent(1)
		i = s.to
	}
	flush()
	return out
}

// bends reports whether the vertices leave their common chord by so much that
// no straight line was meant.
func (c *chords) bends(from, to int) bool {
	line := Line(c.p[from], c.p[to])
	for _, p := range c.p[from+1 : to] {
		if _, q := line.Closest(p); q.Sub(p).Norm() > 4*c.tol {
			return true
		}
	}
	return false
}

// longest returns the longest stretch from vertex i that keeps the tolerance:
// by doubling, then by halving what lies between.
func (c *chords) longest(i int, tan r2.Point, free bool) (stretch, bool) {
	last := len(c.p) - 1
	var best stretch
	found := false
	var high int
	for step := chordsPerArc; ; step *= 2 {
		j := min(i+step, last)
		s, ok := c.try(i, j, tan, free)
		if !ok {
			high = j
			break
		}
		best, found = s, true
		if j == last {
			return best, true
		}
	}
	low := i
	if found {
		low = best.to
	}
	for high-low > 1 {
		j := (low + high) / 2
		if s, ok := c.try(i, j, tan, free); ok {
			best, found, low = s, true, j
		} else {
			high = j
		}
	}
	return best, found
}

// try fits the vertices from i to j: with one arc, whose directions are free at
// both ends if free, else given at i; or with two tangent arcs.
func (c *chords) try(i, j int, tan r2.Point, free bool) (stretch, bool) {
	last := len(c.p) - 1
	ends := c.ring && j == last // meets its own beginning
	if free && !ends {
		if half, ok := c.oneArc(i, j, c.tol); ok {
			if a := Bulge(c.p[i], c.p[j], math.Tan(half/2)); a.IsArc() {
				return c.checked(i, j, []Curve{a}, []int{i})
			}
		}
	}
	to := c.direction(j)
	if a, ok := ThroughTangent(c.p[i], tan, c.p[j]); ok && !free && !ends {
		// The end must not lead away from the vertices that follow.
		if math.Abs(Cross(a.Tangent(1), to)) <= 2*c.tol/c.p[j].Sub(c.p[j-1]).Norm() {
			if s, ok := c.checked(i, j, []Curve{a}, []int{i}); ok {
				return s, true
			}
		}
	}
	if math.Abs(c.turned(i, j)) > 2.8 {
		return stretch{}, false
	}
	start, end := node{p: c.p[i], tan: tan}, node{p: c.p[j], tan: to}
	at, m, ok := c.joint(i, j, start, end)
	if !ok {
		return stretch{}, false
	}
	a, ok1 := ThroughTangent(start.p, start.tan, at)
	b, ok2 := ThroughTangent(end.p, end.tan.Mul(-1), at)
	if !ok1 || !ok2 {
		return stretch{}, false
	}
	return c.checked(i, j, []Curve{a, b.Reversed()}, []int{i, m})
}

// turned is the turn of the run from the middle of the chord behind i to the
// middle of the one before j, which an arc over the same chords exceeds by one
// more.
func (c *chords) turned(i, j int) float64 { return c.sum[j-1] - c.sum[i] }

// checked measures the curves, which cover the vertices from i to j, and
// refuses them when a vertex is off or when they go round another way.
func (c *chords) checked(i, j int, curves []Curve, covers []int) (stretch, bool) {
	s := stretch{from: i, to: j, curves: curves, covers: covers}
	sweep := 0.0
	for _, a := range curves {
		if math.Abs(float64(a.Sweep)) > math.Abs(c.turned(i, j))+1.2 {
			return s, false
		}
		sweep += float64(a.Sweep)
	}
	if math.Abs(sweep-c.turned(i, j)) > 1.2 {
		return s, false
	}
	split := j
	if len(covers) > 1 {
		split = covers[1] // the vertices behind it belong to the second arc
	}
	for k := i; k < j; k++ {
		at := 0
		if k > split {
			at = 1
		}
		d := aside(curves[at], c.p[k])
		if d > c.tol {
			return s, false
		}
		s.deviation = max(s.deviation, d)
		s.rise = max(s.rise, rise(curves[at], c.p[k], c.p[k+1]))
		if k == split {
			s.rise = max(s.rise, rise(curves[1], c.p[k], c.p[k+1]))
		}
	}
	s.rise += s.deviation
	return s, true
}

// rise bounds the distance between the chord from p to q and the arc that it
// stands for.
func rise(c Curve, p, q r2.Point) float64 {
	if !c.IsArc() {
		return 0
	}
	// r - sqrt(r*r - h*h) without cancellation, h half the chord.
	h, r := q.Sub(p).Norm()/2, c.Radius
	return h * h / (r + math.Sqrt(max(0, (r-h)*(r+h))))
}

// aside is the distance of p from the circle or line that c lies on, by
// its start so that a large radius costs no digits.
func aside(c Curve, p r2.Point) float64 {
	k := 0.0
	if c.IsArc() {
		k = math.Copysign(1/c.Radius, float64(c.Sweep))
	}
	return math.Abs(offset(c.Tangent(0), k, p.Sub(c.Start)))
}

// oneArc returns half the sweep of an arc from vertex i to vertex j that passes
// every vertex between within tol. An arc through v turns by twice the angle
// between the chords that meet at v, and moving v by e changes that angle by
// e*|ij|/(|iv||vj|): each vertex leaves an interval, and all of these must meet.
func (c *chords) oneArc(i, j int, tol float64) (float64, bool) {
	p, q := c.p[i], c.p[j]
	chord := q.Sub(p).Norm()
	low, high := math.Inf(-1), math.Inf(1)
	for _, v := range c.p[i+1 : j] {
		a, b := v.Sub(p), q.Sub(v)
		na, nb := a.Norm(), b.Norm()
		if na == 0 || nb == 0 {
			return 0, false
		}
		half := math.Atan2(Cross(a, b), a.Dot(b))
		slack := tol * chord / (na * nb)
		low, high = max(low, half-slack), min(high, half+slack)
		if low > high {
			return 0, false
		}
	}
	if math.IsInf(low, 0) {
		return 0, false
	}
	return (low + high) / 2, true
}

// widths are the numbers of chords to a side that are asked for a direction.
var widths = [...]int{1, 2, 3, 4, 6, 8, 12, 16, 24, 32}

// direction estimates the curve's at vertex i: from the widest arc that has the
// vertex in its middle, or where that is short, as beside a change of radius,
// from the widest arcs on either side. Seven eighths of the tolerance are left for the fit.
func (c *chords) direction(i int) r2.Point {
	last := len(c.p) - 1
	if c.ring && i == last {
		i = 0
	}
	if c.tan[i] != (r2.Point{}) {
		return c.tan[i]
	}
	var t r2.Point
	most := widths[len(widths)-1]
	if !c.ring {
		most = min(most, i, last-i)
	}
	most = min(most, last/3)
	width := 0
	var p []r2.Point
	for _, k := range widths {
		if k > most {
			break
		}
		w := c.window(i-k, i+k)
		half, ok := w.oneArc(0, 2*k, c.tol/8)
		if !ok {
			break
		}
		width, p = k, w.p
		// The chord from the vertex to the far end turns on by half the arc's
		// angle over it.
		t = tangentAt(p[0], p[k], p[2*k], half)
	}
	if width < 3 {
		left, nl := c.oneSided(i, -1)
		right, nr := c.oneSided(i, +1)
		switch {
		case nl >= 3 && nr >= 3 || width == 0 && nl > 0 && nr > 0:
			t = Unit(left.Add(right))
		case width == 0 && nl > 0:
			t = left
		case width == 0:
			t = right
		}
	}
	c.tan[i] = t
	return t
}

// window returns the vertices from i to j, round the ring if there is one.
func (c *chords) window(i, j int) *chords {
	last := len(c.p) - 1
	if i >= 0 && j <= last {
		return &chords{p: c.p[i : j+1]}
	}
	w := &chords{p: make([]r2.Point, 0, j-i+1)}
	for k := i; k <= j; k++ {
		w.p = append(w.p, c.p[((k%last)+last)%last])
	}
	return w
}

// tangentAt returns the direction at m of an arc from p to q with half the
// sweep given, that passes m closely.
func tangentAt(p, m, q r2.Point, half float64) r2.Point {
	// On the arc, the chord p-m turns half of its own angle behind the tangent
	// at m, and the chord m-q half of its own before it; both halves make up half.
	a, b := m.Sub(p), q.Sub(m)
	na, nb := a.Norm(), b.Norm()
	u, v := turnedBy(Unit(a), half*na/(na+nb)), turnedBy(Unit(b), -half*nb/(na+nb))
	// The farther chord's direction suffers less from the vertex's own error.
	return Unit(u.Mul(na).Add(v.Mul(nb)))
}

// oneSided returns the direction at vertex i of the widest arc to one side of
// it, and how many chords that covers.
func (c *chords) oneSided(i, side int) (r2.Point, int) {
	last := len(c.p) - 1
	var t r2.Point
	n := 0
	for _, k := range widths[1:] {
		j := i + side*k
		if !c.ring && (j < 0 || j > last) || k > last/2 {
			break
		}
		w := c.window(min(i, j), max(i, j))
		half, ok := w.oneArc(0, k, c.tol/8)
		if !ok {
			break
		}
		n = k
		p, q := w.p[0], w.p[k]
		t = turnedBy(Unit(q.Sub(p)), -float64(side)*half)
	}
	return t, n
}

func turnedBy(u r2.Point, a float64) r2.Point {
	sin, cos := math.Sincos(a)
	return r2.Point{X: u.X*cos - u.Y*sin, Y: u.X*sin + u.Y*cos}
}

// mismatch is the sine of the turn at p from the arc that leaves p for end to
// the arc that arrives at p from start.
func mismatch(start, end node, p r2.Point) float64 {
	u, w := Unit(p.Sub(start.p)), Unit(end.p.Sub(p))
	// A chord halves the turn of its arc: as complex numbers the first arc
	// arrives in direction u*u/tan0, the second one leaves in w*w/tan1.
	a, b := turnBy(u, start.tan), turnBy(w, end.tan)
	return Cross(b, a)
}

// joint finds where two arcs from start to end meet tangentially, on the curve
// between two vertices, and the vertex before that place: of all sign changes
// of mismatch the one nearest to the middle.
func (c *chords) joint(i, j int, start, end node) (r2.Point, int, bool) {
	best, dist := -1, 0
	prev := 0.0
	for k := i + 1; k < j; k++ {
		m := mismatch(start, end, c.p[k])
		if math.Abs(m) <= 1e-13 {
			return c.p[k], k, true
		}
		if k > i+1 && (m < 0) != (prev < 0) {
			if d := abs(2*k - 1 - i - j); best < 0 || d < dist {
				best, dist = k-1, d
			}
		}
		prev = m
	}
	if best >= 0 {
		turn := (c.sum[best+1] - c.sum[best-1]) / 2
		at, ok := jointOn(Bulge(c.p[best], c.p[best+1], math.Tan(turn/4)), 0, 1, start, end)
		return at, best, ok
	}
	// A short rest: on the arc that halves the difference of both directions.
	d := end.p.Sub(start.p)
	half := (math.Atan2(Cross(start.tan, d), start.tan.Dot(d)) + math.Atan2(Cross(d, end.tan), d.Dot(end.tan))) / 2
	at, ok := jointOn(Bulge(start.p, end.p, math.Tan(half/2)), 0.05, 0.95, start, end)
	return at, (i + j - 1) / 2, ok
}

// jointOn halves the piece of arc between two fractions, over which mismatch
// changes its sign.
func jointOn(arc Curve, low, high float64, start, end node) (r2.Point, bool) {
	ml, mh := mismatch(start, end, arc.At(low)), mismatch(start, end, arc.At(high))
	if (ml < 0) == (mh < 0) {
		mid := arc.At((low + high) / 2)
		return mid, math.Abs(mismatch(start, end, mid)) <= 1e-12
	}
	for range 60 {
		mid := (low + high) / 2
		m := mismatch(start, end, arc.At(mid))
		if m == 0 || high-low < 1e-15 {
			break
		}
		if (m < 0) == (ml < 0) {
			low = mid
		} else {
			high = mid
		}
	}
	return arc.At((low + high) / 2), true
}
