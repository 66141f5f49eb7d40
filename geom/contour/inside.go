package contour

import (
	"math"

	"burrcast/geom"

	"github.com/golang/geo/r2"
)

// A point lies inside a closed contour when a ray from it to the right crosses
// the contour an odd number of times.
//
//  1. Cut every arc where it turns back in y; every piece then runs up or down.
//  2. A piece counts when its ends lie on different sides of the ray's height,
//     a height equal to the ray's counting as below. Neighbours share their end
//     bit for bit, so each passage through a vertex counts once.
//  3. It is crossed if the point of the piece at that height lies to the right.
//
// The answer is exact on lines up to the rounding of one cross product, on arcs
// up to one square root; a point nearer to the contour than that may get either
// answer.

// crossings counts the passages of c over the ray from p to the right.
func crossings(c geom.Curve, p r2.Point) int {
	if !c.IsArc() {
		return lineCrossing(c.Start, c.End, p)
	}
	if p.Y > c.Center.Y+c.Radius && p.Y > c.Start.Y && p.Y > c.End.Y ||
		p.Y < c.Center.Y-c.Radius && p.Y < c.Start.Y && p.Y < c.End.Y {
		return 0
	}
	// Directions in units of a quarter turn; arcs turn back in y at odd ones.
	const quarter = math.Pi / 2
	from, to := float64(c.From)/quarter, float64(c.From+c.Sweep)/quarter
	up := to > from
	n, y, at := 0, c.Start.Y, from
	for range 4 {
		var next float64
		if up {
			next = 2*math.Floor((at+1)/2) + 1
			if next >= to {
				break
			}
		} else {
			next = 2*math.Ceil((at-1)/2) - 1
			if next <= to {
				break
			}
		}
		turnY := c.Center.Y + c.Radius
		if k := int64(next); (k%4+4)%4 == 3 {
			turnY = c.Center.Y - c.Radius
		}
		n += arcCrossing(c, y, turnY, (at+next)/2, p)
		y, at = turnY, next
	}
	return n + arcCrossing(c, y, c.End.Y, (at+to)/2, p)
}

// arcCrossing counts the passage of the piece of c that runs from height y0 to
// y1 on the side of the centre that the direction mid (in quarter turns) names.
func arcCrossing(c geom.Curve, y0, y1, mid float64, p r2.Point) int {
	if (y0 > p.Y) == (y1 > p.Y) {
		return 0
	}
	dy := p.Y - c.Center.Y
	half := math.Sqrt(math.Max(0, (c.Radius-dy)*(c.Radius+dy)))
	if math.Cos(mid*math.Pi/2) < 0 {
		half = -half
	}
	if p.X-c.Center.X < half {
		return 1
	}
	return 0
}

func lineCrossing(a, b, p r2.Point) int {
	if (a.Y > p.Y) == (b.Y > p.Y) {
		return 0
	}
	side := geom.Cross(b.Sub(a), p.Sub(a))
	if (b.Y > a.Y) == (side > 0) && side != 0 {
		return 1
	}
	return 0
}

// loop is a closed contour prepared for many questions.
type loop struct {
	curves []geom.Curve
	box    box
	area   float64  // signed, mm2
	asked  int      // how often contains looked at all curves
	tree   *boxTree // of the curves, once it pays
}

func newLoop(curves []geom.Curve) *loop {
	return &loop{
		curves: curves,
		box:    boxOf(geom.LoopBounds(curves)),
		area:   geom.LoopArea(curves),
	}
}

// newUnordered prepares curves of a contour that come in any order and
// direction; its area is not known.
func newUnordered(curves []geom.Curve) *loop {
	return &loop{curves: curves, box: boxOf(geom.LoopBounds(curves))}
}

// contains reports whether p lies inside l. Points on l get either answer.
func (l *loop) contains(p r2.Point) bool {
	if p.X < l.box.x0 || p.X > l.box.x1 || p.Y < l.box.y0 || p.Y > l.box.y1 {
		return false
	}
	n := 0
	if len(l.curves) <= 32 || l.asked < 8 && l.tree == nil {
		l.asked++
		for i := range l.curves {
			c := &l.curves[i]
			if !c.IsArc() {
				n += lineCrossing(c.Start, c.End, p)
			} else {
				n += crossings(*c, p)
			}
		}
		return n%2 == 1
	}
	l.plant()
	l.tree.query(box{p.X, p.Y, l.box.x1, p.Y}, func(i int) bool {
		n += crossings(l.curves[i], p)
		return true
	})
	return n%2 == 1
}

// plant makes the tree.
func (l *loop) plant() {
	if l.tree != nil {
		return
	}
	boxes := make([]box, len(l.curves))
	for i, c := range l.curves {
		boxes[i] = boxOf(c.Bounds())
	}
	l.tree = newBoxTree(boxes)
}

// passesNear reports whether l comes within d of p.
func (l *loop) passesNear(p r2.Point, d float64) bool {
	l.plant()
	found := false
	l.tree.query(box{p.X, p.Y, p.X, p.Y}.grown(d), func(i int) bool {
		_, q := l.curves[i].Closest(p)
		found = near(p, q, d)
		return !found
	})
	return found
}
