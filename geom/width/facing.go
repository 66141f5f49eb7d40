package width

import (
	"math"

	"burrcast/geom"
)

// Facing is how a part's edges lie to the feed, as lengths in mm.
type Facing struct {
	Along, Against, Across float64 // by the direction of the outer normal: within 45 degrees of the feed, against it, else
	Lying                  float64 // own direction within the given angle of the feed
	Total                  float64
}

// Edges holds the directions of a part's edges, ready to be held against any
// feed angle.
//
//  1. Sort straight edges by the direction of their outer normal and add their
//     lengths up in that order: the length between two directions is then the
//     difference of two sums.
//  2. The normals of an arc cover an interval evenly, so the length of arcs up to
//     a direction is a straight line between the ends of these intervals.
//
// A length that Face returns is right to about 1e-15 of the part's for each edge.
type Edges struct {
	lines         []edgeSum // length of the lines before; the last is the sum of all
	arcs          []edgeSum // length of the arcs up to here, and per radian from here on
	lineAt, arcAt sectors
	total         float64
}

// edgeSum is a length summed over normals from direction 0 on.
type edgeSum struct{ at, length, rate float64 }

// NewEdges prepares the contours of a part, material on the left.
func NewEdges(contours [][]geom.Curve) *Edges {
	e := &Edges{}
	n := 0
	for _, loop := range contours {
		n += len(loop)
	}
	e.lines = make([]edgeSum, 0, n+1)
	for _, loop := range contours {
		for _, c := range loop {
			l := c.Length()
			e.total += l
			if !c.IsArc() {
				d := c.End.Sub(c.Start)
				e.lines = append(e.lines, edgeSum{at: turn(math.Atan2(-d.X, d.Y)), length: l})
				continue
			}
			// The outer normal points away from the centre when material is inside,
			// else towards it.
			from, to := float64(c.From), float64(c.From+c.Sweep)
			if c.Sweep < 0 {
				from, to = to+math.Pi, from+math.Pi
			}
			whole := 0.0
			if to-from >= 2*math.Pi {
				whole, to = c.Radius, from
			}
			from, to = turn(from), turn(to)
			if from > to {
				whole += c.Radius // through direction 0
			}
			e.arcs = append(e.arcs, edgeSum{rate: whole}, edgeSum{at: from, rate: c.Radius}, edgeSum{at: to, rate: -c.Radius})
		}
	}
	var sort sorter
	e.lines = inOrder(e.lines, &sort)
	sum := 0.0
	for i := range e.lines {
		l := &e.lines[i]
		sum, l.length = sum+l.length, sum
	}
	e.lines = append(e.lines, edgeSum{at: math.Inf(1), length: sum})
	e.arcs = inOrder(e.arcs, &sort)
	at, sum, rate := 0.0, 0.0, 0.0
	kept := e.arcs[:0]
	for _, a := range e.arcs {
		sum += rate * (a.at - at)
		at, rate = a.at, rate+a.rate
		if n := len(kept); n > 0 && kept[n-1].at == at {
			kept[n-1].rate = rate
		} else {
			kept = append(kept, edgeSum{at, sum, rate})
		}
	}
	e.arcs = kept
	e.lineAt, e.arcAt = newSectors(e.lines[:len(e.lines)-1]), newSectors(e.arcs)
	return e
}

// inOrder returns sums in order of direction.
func inOrder(sums []edgeSum, s *sorter) []edgeSum {
	marks := make([]mark, len(sums), len(sums)+1)
	for i := range sums {
		marks[i] = mark{sums[i].at, int32(i)}
	}
	s.sort(marks)
	sorted := make([]edgeSum, len(sums), len(sums)+1)
	for i, m := range marks {
		sorted[i] = sums[m.id]
	}
	return sorted
}

// Slack by which a straight edge may lie outside of a range and count in it, in
// radians: edges at just 45 degrees face the feed or its back, and those at just
// the lying angle lie along on either side.
const (
	facingSlack = 2e-12
	lyingSlack  = 1e-9
)

// Face sorts the edge length for a feed along angle a (radians). lying is the
// greatest angle to the feed, in radians and less than 45 degrees, of an edge
// that counts as lying along it.
func (e *Edges) Face(a, lying float64) Facing {
	f := Facing{Total: e.total}
	f.Along = e.within(a, math.Pi/4, facingSlack)
	f.Against = e.within(a+math.Pi, math.Pi/4, facingSlack)
	f.Lying = e.within(a+math.Pi/2, lying, lyingSlack) + e.within(a-math.Pi/2, lying, lyingSlack)
	f.Across = max(0, f.Total-f.Along-f.Against)
	return f
}

// within is the length of the edges whose normal lies within half of mid; slack
// is for straight ones.
func (e *Edges) within(mid, half, slack float64) float64 {
	lo, hi := turn(mid-half-slack), turn(mid+half+slack)
	sum := e.linesBefore(hi, true) - e.linesBefore(lo, false)
	if lo > hi {
		sum += e.lines[len(e.lines)-1].length
	}
	if len(e.arcs) > 0 {
		lo, hi := turn(mid-half), turn(mid+half)
		sum += e.arcsBefore(hi) - e.arcsBefore(lo)
		if lo > hi {
			sum += e.arcsBefore(2 * math.Pi)
		}
	}
	return max(0, sum)
}

// linesBefore is the length of the lines with normals from 0 to a in [0, 2 pi),
// those at a too if asked.
func (e *Edges) linesBefore(a float64, too bool) float64 {
	i := e.lineAt.first(a)
	for at := e.lines[i].at; at < a || too && at == a; at = e.lines[i].at {
		i++
	}
	return e.lines[i].length
}

// arcsBefore is the length of the arcs with normals from 0 to a.
func (e *Edges) arcsBefore(a float64) float64 {
	i := e.arcAt.first(a)
	for i < int32(len(e.arcs)) && e.arcs[i].at <= a {
		i++
	}
	c := &e.arcs[i-1]
	return c.length + c.rate*(a-c.at)
}

// sectors says which sum is the first in each of equal sectors of the full turn,
// as many as there are sums, so that few lie between there and any direction.
type sectors struct {
	firsts []int32
	share  float64 // sectors per radian
}

func newSectors(sums []edgeSum) sectors {
	s := sectors{firsts: make([]int32, len(sums)+1), share: float64(len(sums)) / (2 * math.Pi)}
	i := 0
	for k := range s.firsts {
		for i < len(sums) && int(sums[i].at*s.share) < k {
			i++
		}
		s.firsts[k] = int32(i)
	}
	return s
}

// first returns the index of the first sum in the sector of direction a, or of
// the next one that follows it.
func (s *sectors) first(a float64) int32 { return s.firsts[int(a*s.share)] }
