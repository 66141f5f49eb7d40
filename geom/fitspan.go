package geom

import "math"

// smooth fits breaks[first:last+1], between which there is no corner or kink.
func (ft *fitter) smooth(first, last int, start, end node) error {
	ft.domain = end.t - start.t
	step := ft.firstStep(first)
	piece := first // breaks[piece] <= start.t
	square := true // start has the curve's own tangent
	for start.t < end.t {
		for ft.breaks[piece+1] <= start.t {
			piece++
		}
		span, err := ft.longest(piece, start, end, step)
		if err != nil {
			return err
		}
		step = span.end.t - start.t
		if rest := (end.t - start.t) / step; rest > 1 && rest < 1.5 && !span.line {
			one, two, ok, err := ft.three(piece, start, end, square)
			if err != nil {
				return err
			}
			if ok {
				if err := ft.add(start, one); err != nil {
					return err
				}
				start, span = one.end, two
			}
		}
		if err := ft.add(start, span); err != nil {
			return err
		}
		start, square = span.end, false
	}
	return nil
}

// firstStep returns how far the first biarc of a run is likely to reach: one arc
// inside a run and two thirds.
func (ft *fitter) firstStep(first int) float64 {
	_, c, speed, _ := ft.bends(first, +1)
	if h := ft.farthest(c) / speed * 5 / 3; h > 0 {
		return min(h, ft.domain)
	}
	return ft.breaks[first+1] - ft.breaks[first]
}

const (
	// aim is the share of the longest span predicted that is tried.
	aim = 0.985
	// A span is long enough when what is predicted, or what failed, is longer by
	// less than this.
	enough = 1.02
)

// longest returns the longest span from start that keeps within the tolerance,
// to some percent. The first trial is h long.
func (ft *fitter) longest(piece int, start, end node, h float64) (biarc, error) {
	var best biarc
	found := false
	low, high := 0.0, math.Inf(1)
	loss := 0.02 // at least, doubled until a span is found
	for range 60 {
		t := start.t + h
		if t >= end.t || end.t-t < 1e-9*ft.domain {
			t = end.t
		}
		b, ok, err := ft.try(piece, start, t, end)
		if err != nil {
			return b, err
		}
		h = t - start.t
		share, gain := ft.excess(&b, start)
		gain = max(0.1, min(aim*gain, 4))
		switch {
		case ok && share <= 1:
			best, found, low = b, true, h
			if t == end.t || b.line || gain < enough {
				high = h
			}
		case h <= 1e-12*ft.domain || t <= math.Nextafter(start.t, math.Inf(1)):
			// No span is short enough: a line, with the error that it has.
			best, found, high = ft.straight(start, b.end), true, low
		default:
			high = min(high, h)
			gain = min(gain, 1-loss)
			if !ok {
				gain = min(gain, 0.3)
			}
			loss = min(2*loss, 0.7)
		}
		h *= gain
		if !found {
			continue
		}
		if high <= enough*low {
			break
		}
		if w := (high - low) / 4; !math.IsInf(w, 1) {
			h = max(low+w, min(h, high-w))
		}
	}
	if !found {
		return best, ErrFit
	}
	if best.end.p.Sub(start.p).Norm() <= ft.tol && best.end.t < end.t {
		best = ft.stepOver(piece, start, end, best)
	}
	return best, nil
}

// three tries to reach the end with one arc and a biarc, shared out so that all
// three come equally near to the curve if its curvature changes evenly: with the
// curve's own tangent at both ends as 1, sqrt 2, 1, behind a slanted start as
// sqrt 2, sqrt 2, 1.
func (ft *fitter) three(piece int, start, end node, square bool) (one, two biarc, ok bool, err error) {
	share := math.Sqrt2 / (2*math.Sqrt2 + 1)
	if square {
		share = 1 / (math.Sqrt2 + 2)
	}
	for range 3 {
		one, ok, err = ft.single(piece, start, start.t+share*(end.t-start.t))
		if !ok || err != nil {
			return one, two, false, err
		}
		next := piece
		for ft.breaks[next+1] <= one.end.t {
			next++
		}
		two, ok, err = ft.try(next, one.end, end.t, end)
		if !ok || err != nil {
			return one, two, false, err
		}
		e1, _ := ft.excess(&one, start)
		e2, _ := ft.excess(&two, one.end)
		if e1 <= 1 && e2 <= 1 {
			return one, two, true, nil
		}
		// What one gains the other loses.
		if e1*e2 > 1.2 {
			break
		}
		share *= max(0.8, min(math.Pow(e2/e1, 1.0/8), 1.25))
	}
	return one, two, false, nil
}

// stepOver passes a place where the curve turns within the tolerance by a line
// as long as a few tolerances: arcs shorter than the tolerance follow nothing
// that was drawn.
func (ft *fitter) stepOver(piece int, start, end node, best biarc) biarc {
	for h := 2 * (best.end.t - start.t); ; h *= 2 {
		at := end
		if t := start.t + h; t < end.t {
			at = ft.between(t)
		}
		if _, err := ft.sample(piece, start, at); err != nil {
			return best
		}
		b := ft.straight(start, at)
		if b.error > ft.tol || at.p.Sub(start.p).Norm() > 4*ft.tol {
			return best
		}
		best = b
		if at.t >= end.t {
			return best
		}
	}
}

// between returns the node at t inside a run, with the curve's tangent.
func (ft *fitter) between(t float64) node {
	p, d := ft.f(t)
	if d.X == 0 && d.Y == 0 {
		return ft.node(t, -1)
	}
	return node{t: t, p: p, tan: Unit(d)}
}

// sample fills at with places between start and end: some in every piece
// of the curve, so that no piece is stepped over unseen. It reports whether the
// curve advances along the chord throughout.
func (ft *fitter) sample(piece int, start, end node) (bool, error) {
	ft.at = ft.at[:0]
	chord := end.p.Sub(start.p)
	ahead := chord.Dot(start.tan) > 0 && chord.Dot(end.tan) > 0
	for k := piece; k < len(ft.breaks)-1 && ft.breaks[k] < end.t; k++ {
		a, b := max(ft.breaks[k], start.t), min(ft.breaks[k+1], end.t)
		// Of the distances' four peaks none may fall between two places.
		n := 3 + int(math.Ceil(11*(b-a)/(end.t-start.t)))
		if k > piece {
			p, d := ft.f(a)
			ft.at = append(ft.at, sample{t: a, p: p, d: d})
		}
		step := (b - a) / float64(n)
		for i := 1; i < n; i++ {
			t := a + step*float64(i)
			p, d := ft.f(t)
			s := p.X + p.Y + d.X + d.Y
			if s-s != 0 {
				return false, ErrNotFinite
			}
			ahead = ahead && d.Dot(chord) > 0
			ft.at = append(ft.at, sample{t: t, p: p, d: d})
		}
	}
	if ft.left -= len(ft.at); ft.left < 0 {
		return false, ErrFit
	}
	return ahead, nil
}
