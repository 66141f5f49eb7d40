package geom

import "math"

// MergeLoop joins neighbouring curves of a loop that are pieces of one line or
// one circle, so that the same shape drawn in other pieces gives the same
// curves. tol is the largest distance, in mm, between a piece and the curve
// that replaces it. A loop on one circle becomes a full circle.
//
// index[k] is the place in the input of the first curve that result k covers.
func MergeLoop(loop []Curve, tol float64) (merged []Curve, index []int) {
	n := len(loop)
	if n < 2 {
		out := make([]Curve, n)
		copy(out, loop)
		return out, make([]int, n)
	}
	if c, ok := wholeCircle(loop, tol); ok {
		return []Curve{c}, []int{0}
	}
	// Begin at a joint that stays, so that no merged curve wraps round.
	start := 0
	for i := range loop {
		if _, ok := merge(loop[(i+n-1)%n], loop[i], tol); !ok {
			start = i
			break
		}
	}
	merged, index = make([]Curve, 0, n), make([]int, 0, n)
	for k := range n {
		i := (start + k) % n
		if m := len(merged); m > 0 {
			if c, ok := merge(merged[m-1], loop[i], tol); ok {
				merged[m-1] = c
				continue
			}
		}
		merged = append(merged, loop[i])
		index = append(index, i)
	}
	return merged, index
}

// merge returns the one curve that covers a and then b.
func merge(a, b Curve, tol float64) (Curve, bool) {
	if a.IsArc() != b.IsArc() || a.IsCircle() || b.IsCircle() {
		return Curve{}, false
	}
	if !a.IsArc() {
		c := Line(a.Start, b.End)
		d := Unit(c.End.Sub(c.Start))
		ok := math.Abs(Cross(d, a.End.Sub(a.Start))) <= tol &&
			a.End.Sub(a.Start).Dot(d) > 0 && b.End.Sub(b.Start).Dot(d) > 0
		return c, ok
	}
	sweep := a.Sweep + b.Sweep
	if (a.Sweep > 0) != (b.Sweep > 0) || math.Abs(float64(sweep)) >= 2*math.Pi {
		return Curve{}, false
	}
	if math.Abs(a.Radius-b.Radius) > tol || a.Center.Sub(b.Center).Norm() > tol {
		return Curve{}, false
	}
	// The chord and the summed sweep give one arc through both outer ends.
	c := Bulge(a.Start, b.End, math.Tan(float64(sweep)/4))
	if math.Abs(float64(sweep)) > 6 { // nearly closed: the chord says little
		c = a
		c.End, c.Sweep = b.End, sweep
	}
	return c, math.Abs(c.Radius-a.Radius) <= tol && c.Center.Sub(a.Center).Norm() <= tol
}

// wholeCircle recognises a loop of arcs on one circle.
func wholeCircle(loop []Curve, tol float64) (Curve, bool) {
	first := loop[0]
	if !first.IsArc() {
		return Curve{}, false
	}
	sweep := 0.0
	for _, c := range loop {
		if !c.IsArc() || math.Abs(c.Radius-first.Radius) > tol || c.Center.Sub(first.Center).Norm() > tol {
			return Curve{}, false
		}
		sweep += float64(c.Sweep)
	}
	if math.Abs(math.Abs(sweep)-2*math.Pi) > 1e-6 {
		return Curve{}, false
	}
	full := Arc(first.Center, first.Radius, first.From, 2*math.Pi)
	if sweep < 0 {
		full = Arc(first.Center, first.Radius, first.From, -2*math.Pi)
	}
	full.Start, full.End = first.Start, first.Start
	return full, true
}
