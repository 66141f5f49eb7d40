package width

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"burrcast/geom"

	"github.com/golang/geo/r2"
)

// Support is the support function of a set of curves: how far it reaches in
// every direction. Between its break angles it is one sinusoid, that of a point
// or of a circle, so extents and the least width are exact.
//
//  1. The ends of all curves give the convex hull of points; its vertices in
//     order are the support of the points.
//  2. Every arc that bulges outward adds its circle over the angles it covers.
//  3. Two such functions are merged interval by interval: two sinusoids cross at
//     most twice, in closed form. Merging in halves costs n log n.
type Support struct {
	origin r2.Point
	parts  []supportPart // ascending by from; the first begins at 0
}

// supportPart says that from this angle on, until the next part, the farthest
// point lies on the circle; radius 0 is a point.
type supportPart struct {
	from   float64
	center r2.Point
	radius float64
	none   bool // nothing known here; only while merging
}

func (s *supportPart) value(a float64) float64 {
	if s.none {
		return math.Inf(-1)
	}
	sin, cos := math.Sincos(a)
	return s.center.X*cos + s.center.Y*sin + s.radius
}

// NewSupport returns the support function of the curves of an outline.
func NewSupport(curves []geom.Curve) Support {
	s := Support{origin: geom.LoopBounds(curves).Center()}
	pts := make([]r2.Point, 0, len(curves)+1)
	var arcs [][]supportPart
	var room []supportPart // for those of arcs
	for i, c := range curves {
		next := curves[(i+1)%len(curves)].Start
		joined := c.End == next
		c = c.Moved(s.origin.Mul(-1))
		pts = append(pts, c.Start)
		if !joined {
			pts = append(pts, c.End)
		}
		if c.IsArc() {
			if room == nil {
				room = make([]supportPart, 0, 3*(len(curves)-i))
			}
			n := len(room)
			room = arcSupport(room, &c)
			arcs = append(arcs, room[n:])
		}
	}
	s.parts = hullSupport(convexHull(pts))
	if len(arcs) > 0 {
		s.parts = mergeSupport(s.parts, mergeAll(arcs))
	}
	return s
}

// convexHull returns the hull's vertices counter-clockwise without collinear
// ones (Andrew's monotone chain, 1979).
func convexHull(pts []r2.Point) []r2.Point {
	pts = fromLeft(pts)
	pts = slices.Compact(pts)
	if len(pts) < 3 {
		return pts
	}
	hull := make([]r2.Point, 0, len(pts)+1)
	add := func(p r2.Point, least int) {
		for len(hull) >= least+2 {
			a, b := hull[len(hull)-2], hull[len(hull)-1]
			if geom.Cross(b.Sub(a), p.Sub(b)) > 0 {
				break
			}
			hull = hull[:len(hull)-1]
		}
		hull = append(hull, p)
	}
	for _, p := range pts {
		add(p, 0)
	}
	lower := len(hull) - 1
	for i := len(pts) - 2; i >= 0; i-- {
		add(pts[i], lower)
	}
	return hull[:len(hull)-1]
}

// fromLeft returns points in order of X, those with the same X in order of Y.
func fromLeft(pts []r2.Point) []r2.Point {
	marks := make([]mark, len(pts))
	for i, p := range pts {
		marks[i] = mark{p.X, int32(i)}
	}
	new(sorter).sort(marks)
	sorted := make([]r2.Point, len(pts))
	for i, m := range marks {
		sorted[i] = pts[m.id]
	}
	for i := 0; i < len(sorted); {
		k := i + 1
		for k < len(sorted) && sorted[k].X == sorted[i].X {
			k++
		}
		if k > i+1 {
			slices.SortFunc(sorted[i:k], func(a, b r2.Point) int { return cmp.Compare(a.Y, b.Y) })
		}
		i = k
	}
	return sorted
}

// hullSupport turns hull vertices into parts: a vertex is farthest between the
// outer normals of the edges before and after it.
func hullSupport(hull []r2.Point) []supportPart {
	n := len(hull)
	parts := make([]supportPart, 0, n+1)
	if n == 1 {
		return append(parts, supportPart{center: hull[0]})
	}
	// Normals by how far each edge turns from the one before: their angles one by
	// one would come out of order where edges are almost in line.
	edge := hull[0].Sub(hull[n-1])
	first := turn(math.Atan2(-edge.X, edge.Y))
	at, over := first, 0
	for i, p := range hull {
		from := at
		if at < 2*math.Pi {
			over = i + 1
		} else {
			from = math.Min(at-2*math.Pi, first)
		}
		parts = append(parts, supportPart{from: from, center: p})
		next := hull[(i+1)%n].Sub(p)
		by := math.Atan2(math.Abs(geom.Cross(edge, next)), edge.Dot(next)) // a hull turns left
		at += by
		edge = next
	}
	return rotated(append(slices.Clone(parts[over:]), parts[:over]...))
}

// turn brings an angle to [0, 2 pi).
func turn(a float64) float64 {
	// Near by, the remainder is one exact step away.
	switch {
	case a >= 4*math.Pi || a <= -2*math.Pi:
		a = math.Mod(a, 2*math.Pi)
	case a >= 2*math.Pi:
		a -= 2 * math.Pi
	}
	if a < 0 {
		a += 2 * math.Pi
	}
	if a >= 2*math.Pi {
		return 0
	}
	return a
}

// rotated sorts parts by angle and makes the first begin at 0.
func rotated(parts []supportPart) []supportPart {
	sort.SliceStable(parts, func(i, k int) bool { return parts[i].from < parts[k].from })
	if parts[0].from > 0 {
		last := parts[len(parts)-1]
		last.from = 0
		parts = append([]supportPart{last}, parts...)
	}
	return parts
}

// arcSupport appends an arc's own circle over the angles that it covers. The side
// it is travelled on does not matter: the whole arc belongs to the set.
func arcSupport(parts []supportPart, c *geom.Curve) []supportPart {
	on := supportPart{center: c.Center, radius: c.Radius}
	if c.IsCircle() {
		return append(parts, on)
	}
	from, to := float64(c.From), float64(c.From+c.Sweep)
	if to < from {
		from, to = to, from
	}
	from, to = turn(from), turn(to)
	first, second := supportPart{none: true}, on
	if to < from { // through angle 0
		first, second = second, first
		from, to = to, from
	}
	third := first
	second.from, third.from = from, to
	if from > 0 {
		parts = append(parts, first)
	}
	return append(parts, second, third)
}

func mergeAll(fs [][]supportPart) []supportPart {
	if len(fs) == 1 {
		return fs[0]
	}
	return mergeSupport(mergeAll(fs[:len(fs)/2]), mergeAll(fs[len(fs)/2:]))
}

// mergeSupport returns the greater of two functions everywhere.
func mergeSupport(a, b []supportPart) []supportPart {
	out := make([]supportPart, 0, len(a)+len(b))
	put := func(from float64, s supportPart) {
		if k := len(out) - 1; k >= 0 && out[k].center == s.center && out[k].radius == s.radius && out[k].none == s.none {
			return
		}
		s.from = from
		out = append(out, s)
	}
	i, k := 0, 0
	from := 0.0
	for from < 2*math.Pi {
		to := 2 * math.Pi
		if i+1 < len(a) {
			to = math.Min(to, a[i+1].from)
		}
		if k+1 < len(b) {
			to = math.Min(to, b[k+1].from)
		}
		if to > from {
			mergePart(from, to, a[i], b[k], put)
		}
		from = to
		for i+1 < len(a) && a[i+1].from <= from {
			i++
		}
		for k+1 < len(b) && b[k+1].from <= from {
			k++
		}
	}
	return out
}

// mergePart writes the greater of f and g on [from, to): they cross where
// (f.center - g.center).u = g.radius - f.radius.
func mergePart(from, to float64, f, g supportPart, put func(float64, supportPart)) {
	if f.none || g.none {
		if f.none {
			f = g
		}
		put(from, f)
		return
	}
	cuts := [4]float64{from}
	n := 1
	d := f.center.Sub(g.center)
	if l := d.Norm(); l > 0 {
		if q := (g.radius - f.radius) / l; math.Abs(q) <= 1 {
			mid, half := math.Atan2(d.Y, d.X), math.Acos(q)
			x, y := turn(mid-half), turn(mid+half)
			if x > y {
				x, y = y, x
			}
			for _, c := range [...]float64{x, y} {
				if c > from && c < to {
					cuts[n] = c
					n++
				}
			}
		}
	}
	cuts[n] = to
	for m := range n {
		a := (cuts[m] + cuts[m+1]) / 2
		if f.value(a) >= g.value(a) {
			put(cuts[m], f)
		} else {
			put(cuts[m], g)
		}
	}
}

// part returns the index of the part that holds for angle a in [0, 2 pi).
func (s *Support) part(a float64) int {
	from, to := 0, len(s.parts)
	for from < to {
		m := (from + to) / 2
		if s.parts[m].from > a {
			to = m
		} else {
			from = m + 1
		}
	}
	return from - 1
}

// Value returns how far the set extends in direction a (radians): the greatest
// p.u over its points p, u the unit vector of a, in mm.
func (s *Support) Value(a float64) float64 {
	x := turn(a)
	sin, cos := math.Sincos(x)
	return s.parts[s.part(x)].value(x) + s.origin.X*cos + s.origin.Y*sin
}

// Extent returns the distance between the two parallel lines across direction a
// (radians) that hold the set, in mm.
func (s *Support) Extent(a float64) float64 {
	x, y := turn(a), turn(a+math.Pi)
	return s.parts[s.part(x)].value(x) + s.parts[s.part(y)].value(y)
}

// Reach returns Extent along direction a (radians) and across it, and Value along
// it, for the work of one.
func (s *Support) Reach(a float64) (along, across, front float64) {
	x := turn(a)
	sin, cos := math.Sincos(x)
	var h [4]float64 // in direction a and every quarter turn from it
	for k := range h {
		p := &s.parts[s.part(x)]
		h[k] = p.center.X*cos + p.center.Y*sin + p.radius
		if x += math.Pi / 2; x >= 2*math.Pi {
			x = max(0, x-2*math.Pi)
		}
		sin, cos = cos, -sin
	}
	// sin and cos have come round to where they began.
	return h[0] + h[2], h[1] + h[3], h[0] + s.origin.X*cos + s.origin.Y*sin
}

// LeastWidth returns the least Extent over all directions and the direction.
//
// Between break angles of the function and of its opposite the extent is a
// sinusoid (c1-c2).u + R1 + R2, so the least lies at a break (an edge flush with
// one line) or where u points along c2-c1 (two arcs).
func (s *Support) LeastWidth() (width, angle float64) {
	width = math.Inf(1)
	n := len(s.parts)
	i, k := 0, s.part(math.Pi)
	from := 0.0
	try := func(a float64) {
		if w := s.parts[i].value(a) + s.parts[k%n].value(turn(a+math.Pi)); w < width {
			width, angle = w, a
		}
	}
	for from < math.Pi {
		to := math.Pi
		if i+1 < n {
			to = math.Min(to, s.parts[i+1].from)
		}
		next := 2 * math.Pi
		if k+1 < n {
			next = s.parts[k+1].from
		}
		to = math.Min(to, next-math.Pi)
		try(from)
		try(to)
		if d := s.parts[k].center.Sub(s.parts[i].center); d.X != 0 || d.Y != 0 {
			if a := turn(math.Atan2(d.Y, d.X)); a > from && a < to {
				try(a)
			}
		}
		if to <= from {
			to = math.Nextafter(from, 4)
		}
		from = to
		for i+1 < n && s.parts[i+1].from <= from {
			i++
		}
		for k+1 < n && s.parts[k+1].from-math.Pi <= from {
			k++
		}
	}
	return width, angle
}
