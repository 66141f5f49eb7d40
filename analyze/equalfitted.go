package analyze

import (
	"math"

	"burrcast/geom"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"
)

// congruentFitted is congruent for parts with fitted curves: two copies of one
// spline need not become the same arcs, so curves cannot be paired.
//
//  1. Lay centre of gravity on centre of gravity and principal axis on principal
//     axis, either way round; where the moments show no axis, in quarter turns.
//  2. Improve the motion on a few points and the tangents nearest to them
//     (iterated closest points, after Chen and Medioni, 1992).
//  3. Accept if every vertex and middle of a curve of each part lies on the other.
func congruentFitted(q, p *Part, mirrored bool) bool {
	tol := q.fitted + p.fitted + sameWithin*q.shape.size
	if math.Abs(q.shape.area-p.shape.area) > tol*q.shape.length {
		return false
	}
	loops, center, axis := p.merged, p.Measure.Centroid, p.axis()
	if mirrored {
		loops = make([][]geom.Curve, len(p.merged))
		for k, loop := range p.merged {
			loops[k] = mirrorLoop(loop)
		}
		center.X, axis = -center.X, -axis
	}
	turns := []float64{0, math.Pi / 2, math.Pi, 3 * math.Pi / 2}
	if q.shape.major-q.shape.minor > 1e-3*q.shape.major {
		turns = []float64{q.axis() - axis, q.axis() - axis + math.Pi}
	}
	onto := newCurveCloud(q.merged)
	from := newCurveCloud(loops)
	for _, turn := range turns {
		m := geom.Translation(center.Mul(-1)).Then(geom.Rotation(s1.Angle(turn))).Then(geom.Translation(q.Measure.Centroid))
		m, ok := onto.settle(from.points, m, q.shape.size/100)
		if !ok || !onto.holds(from.points, m, tol) {
			continue
		}
		moved := make([][]geom.Curve, len(loops))
		for k, loop := range loops {
			for _, c := range loop {
				moved[k] = append(moved[k], c.Transformed(m))
			}
		}
		if newCurveCloud(moved).holds(onto.points, geom.Identity(), tol) {
			return true
		}
	}
	return false
}

// axis is the direction of the principal axis of the greatest second moment,
// radians.
func (p *Part) axis() float64 {
	m := p.Measure.Moments
	return math.Atan2(2*m[2], m[0]-m[1]) / 2
}

// curveCloud is a part's curves, to be asked for the nearest.
type curveCloud struct {
	curves []geom.Curve
	boxes  []r2.Rect
	points []r2.Point // starts and middles of the curves
	middle r2.Point   // of the points
}

func newCurveCloud(loops [][]geom.Curve) *curveCloud {
	n := 0
	for _, loop := range loops {
		n += len(loop)
	}
	c := &curveCloud{curves: make([]geom.Curve, 0, n), boxes: make([]r2.Rect, 0, n), points: make([]r2.Point, 0, 2*n)}
	for _, loop := range loops {
		for _, k := range loop {
			c.curves = append(c.curves, k)
			c.boxes = append(c.boxes, k.Bounds())
			c.points = append(c.points, k.Start, k.At(0.5))
		}
	}
	for _, p := range c.points {
		c.middle = c.middle.Add(p.Mul(1 / float64(len(c.points))))
	}
	return c
}

// off2 is the square of the distance of p from a box.
func off2(b *r2.Rect, p r2.Point) float64 {
	x, y := max(b.X.Lo-p.X, 0, p.X-b.X.Hi), max(b.Y.Lo-p.Y, 0, p.Y-b.Y.Hi)
	return x*x + y*y
}

// nearest returns how far the curves are from p, the nearest point, and the normal
// there. at is the index of the curve that it was on last time, on of the one it is
// on.
func (c *curveCloud) nearest(p r2.Point, at int) (d float64, q, normal r2.Point, on int) {
	t, q := c.curves[at].Closest(p)
	d, on = q.Sub(p).Norm(), at
	for k := range c.boxes {
		if off2(&c.boxes[k], p) >= d*d {
			continue
		}
		u, near := c.curves[k].Closest(p)
		if l := near.Sub(p).Norm(); l < d {
			d, q, t, on = l, near, u, k
		}
	}
	return d, q, geom.Left(c.curves[on].Tangent(t)), on
}

// within returns a curve no farther than tol from p. It looks first at the one
// that it was last time, and at the next.
func (c *curveCloud) within(p r2.Point, tol float64, at int) (on int, ok bool) {
	for k := range len(c.curves) {
		on = at + k
		if on >= len(c.curves) {
			on -= len(c.curves)
		}
		if off2(&c.boxes[on], p) > tol*tol {
			continue
		}
		if _, q := c.curves[on].Closest(p); q.Sub(p).Norm() <= tol {
			return on, true
		}
	}
	return at, false
}

// settle improves a motion of points onto the curves, unless one of them lies
// farther off than reach. Each round solves the least squares of the distances
// across the curves for a small motion (x, y, turn), so points may slide along.
func (c *curveCloud) settle(points []r2.Point, m geom.Affine, reach float64) (geom.Affine, bool) {
	const (
		few    = 48 // points that are looked at
		rounds = 4
	)
	step := max(1, len(points)/few)
	mid := c.middle
	for range rounds {
		var sum [3][4]float64 // normal equations
		spread := 0.0
		at := 0
		for k := 0; k < len(points); k += step {
			a := m.Point(points[k])
			var d float64
			var b, n r2.Point
			if d, b, n, at = c.nearest(a, at); !(d <= reach) {
				return m, false
			}
			arm := a.Sub(mid)
			spread += arm.Dot(arm)
			row := [4]float64{n.X, n.Y, geom.Cross(arm, n), b.Sub(a).Dot(n)}
			for i := range sum {
				for j := range row {
					sum[i][j] += row[i] * row[j]
				}
			}
		}
		// A disc turns freely: a little weight holds it as it lies.
		sum[2][2] += 1e-6 * spread
		x := solve3(sum)
		m = m.Then(geom.Translation(mid.Mul(-1))).Then(geom.Rotation(s1.Angle(x[2]))).Then(geom.Translation(mid.Add(r2.Point{X: x[0], Y: x[1]})))
	}
	return m, true
}

// solve3 solves three equations that are symmetric and positive, by elimination.
func solve3(a [3][4]float64) [3]float64 {
	for i := range a {
		for k := i + 1; k < 3; k++ {
			f := a[k][i] / a[i][i]
			for j := i; j < 4; j++ {
				a[k][j] -= f * a[i][j]
			}
		}
	}
	var x [3]float64
	for i := 2; i >= 0; i-- {
		x[i] = a[i][3]
		for j := i + 1; j < 3; j++ {
			x[i] -= a[i][j] * x[j]
		}
		x[i] /= a[i][i]
	}
	return x
}

// holds reports whether all points, moved, lie on the curves within tol.
func (c *curveCloud) holds(points []r2.Point, m geom.Affine, tol float64) bool {
	at, ok := 0, true
	for _, p := range points {
		if at, ok = c.within(m.Point(p), tol, at); !ok {
			return false
		}
	}
	return true
}
