package width

import (
	"math"

	"burrcast/geom"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"
)

// Facing is how a part's edges lie to the feed, as lengths in mm.
type Facing struct {
	Along, Against, Across float64 // by the direction of the outer normal: within 45 degrees of the feed, against it, else
	Lying                  float64 // own direction within the given angle of the feed
	Total                  float64
}

// Edges holds the directions of a part's edges, ready to be held against any
// feed angle.
type Edges struct {
	lines []edgeLine
	arcs  []edgeArc
	total float64
}

type edgeLine struct {
	normal r2.Point // outer, unit
	length float64
}

// edgeArc covers the outer normals from one angle to another.
type edgeArc struct{ from, to, radius float64 }

// NewEdges prepares the contours of a part, material on the left.
func NewEdges(contours [][]geom.Curve) *Edges {
	e := &Edges{}
	for _, loop := range contours {
		for _, c := range loop {
			l := c.Length()
			e.total += l
			if !c.IsArc() {
				t := c.Tangent(0)
				e.lines = append(e.lines, edgeLine{r2.Point{X: t.Y, Y: -t.X}, l})
				continue
			}
			// The outer normal points away from the centre when material is inside,
			// else towards it.
			a := edgeArc{float64(c.From), float64(c.From + c.Sweep), c.Radius}
			if c.Sweep < 0 {
				a.from, a.to = a.to+math.Pi, a.from+math.Pi
			}
			e.arcs = append(e.arcs, a)
		}
	}
	return e
}

// Face sorts the edge length for a feed along angle a (radians). lying is the
// greatest angle to the feed, in radians and less than 45 degrees, of an edge
// that counts as lying along it.
func (e *Edges) Face(a, lying float64) Facing {
	f := Facing{Total: e.total}
	u := geom.Direction(s1.Angle(a))
	least := math.Sin(lying)
	for _, l := range e.lines {
		switch c := l.normal.Dot(u); {
		case c >= math.Sqrt2/2-1e-12:
			f.Along += l.length
		case c <= -math.Sqrt2/2+1e-12:
			f.Against += l.length
		default:
			if math.Abs(c) <= least+1e-9 { // an edge at just that angle lies along on either side
				f.Lying += l.length
			}
		}
	}
	for _, c := range e.arcs {
		from, to := c.from-a, c.to-a
		f.Along += c.radius * overlap(from, to, 0, math.Pi/4, 2*math.Pi)
		f.Against += c.radius * overlap(from, to, math.Pi, math.Pi/4, 2*math.Pi)
		f.Lying += c.radius * overlap(from, to, math.Pi/2, lying, math.Pi)
	}
	f.Across = max(0, f.Total-f.Along-f.Against)
	return f
}

// overlap is the length of [from, to] within half of mid, repeated every period.
func overlap(from, to, mid, half, period float64) float64 {
	sum := 0.0
	for k := math.Floor((from - mid - half) / period); mid+k*period-half <= to; k++ {
		m := mid + k*period
		sum += max(0, min(to, m+half)-max(from, m-half))
	}
	return sum
}
