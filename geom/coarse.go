package geom

import "math"

// CoarseChords counts the chords in rows that turn as evenly as those that
// RefitChords replaces, but rise by more than opt.Rise, and returns the largest
// rise (mm) among them. They may stand for a curve, or be the facets that were
// meant: nothing in them tells which, so they are left alone, and counted.
//
// A row is at least opt.Chords lines whose turns go one way by at most opt.Turn,
// whose lengths and bends differ by a factor of 3 at most from one to the next.
// The rise is that of the arc through three vertices, turn by length over 8.
func CoarseChords(curves []Curve, closed bool, opt RefitOptions) (chords int, rise float64) {
	n := len(curves)
	if n < opt.Chords {
		return 0, 0
	}
	// What vertex i, where curve i starts, says alone.
	vertex := func(i int) (bend, up float64) {
		if i%n == 0 && !closed {
			return 0, 0
		}
		turn, bend, up := coarseVertex(&curves[(i+n-1)%n], &curves[i%n])
		if math.Abs(turn) > float64(opt.Turn) || up <= opt.Rise {
			return 0, 0
		}
		return bend, up
	}
	alike := func(a, b float64) bool {
		return a*b > 0 && a/b <= unlikeBends && b/a <= unlikeBends
	}
	first := 0 // a vertex that no row passes
	for prev, _ := vertex(n - 1); first < n; first++ {
		bend, _ := vertex(first)
		if !alike(prev, bend) {
			break
		}
		prev = bend
	}
	whole := first == n
	row, high, prev := 0, 0.0, 0.0
	flush := func() {
		if row+1 >= opt.Chords {
			chords, rise = chords+row+1, max(rise, high)
		}
		row, high = 0, 0
	}
	for i := first; i < first+n; i++ {
		bend, up := vertex(i)
		if row > 0 && !alike(prev, bend) {
			flush()
		}
		if bend != 0 {
			row, high = row+1, max(high, up)
		}
		prev = bend
	}
	if flush(); whole {
		chords = n
	}
	return chords, rise
}

// coarseVertex returns the turn between two lines, the turn for the length that
// belongs to it (1/mm) and the rise (mm); the latter are zero where one is an arc
// or where the lengths are too unlike.
func coarseVertex(a, b *Curve) (turn, bend, rise float64) {
	if a.IsArc() || b.IsArc() {
		return 0, 0, 0
	}
	u, v := a.End.Sub(a.Start), b.End.Sub(b.Start)
	la, lb := u.Norm(), v.Norm()
	if !(la > 0 && lb > 0) || la > unlikeLengths*lb || lb > unlikeLengths*la {
		return 0, 0, 0
	}
	turn = math.Atan2(Cross(u, v), u.Dot(v))
	return turn, turn * 2 / (la + lb), math.Abs(turn) * (la + lb) / 16
}
