package geom

import (
	"math"
	"slices"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"
)

// RefitOptions says which runs of lines stand for a curve and how near the
// curve must come to their vertices.
type RefitOptions struct {
	// A vertex may lie Tolerance (mm) from its arc, or Share of the typical
	// rise of the run's chords if that is more: arcs that pass the vertices by
	// an eighth of the rise are much nearer to what was meant than the chords.
	Tolerance, Share float64
	// Rise is the largest distance (mm) between a chord and the arc that
	// replaces it. Coarser facets are taken for what was meant.
	Rise float64
	// Turn is the largest turn from one chord to the next.
	Turn s1.Angle
	// Chords is the least number of chords in a run.
	Chords int
}

// DefaultRefit returns the options for drawings in mm. The turn asks for at
// least 20 chords to a full circle, so that polygons meant as such (up to 19
// equal sides), bevels and short edges stay; its half degree pays for uneven
// steps and rounded numbers.
func DefaultRefit() RefitOptions {
	return RefitOptions{Tolerance: 1e-3, Share: 0.125, Rise: 0.25, Turn: 18.5 * s1.Degree, Chords: 6}
}

// Refitted says what RefitChords did.
type Refitted struct {
	Runs, Chords, Arcs int     // runs replaced, chords in them, curves that replace these
	Deviation          float64 // largest distance of a vertex from its arc, mm
	Rise               float64 // largest distance of a chord from its arc, mm
}

const (
	unlikeLengths = 3 // ratio of neighbouring chords that breaks a run
	unlikeBends   = 3 // ratio of curvature at a vertex to both its neighbours that makes it a corner
	chordsPerArc  = 3 // fewer chords to an arc prove nothing there
	chordsOnAll   = 4 // and fewer on average, no curve
)

// RefitChords replaces runs of chords that stand for a curve, a circle or
// spline that was written out as a polyline, by tangent arcs. Curves is a
// chain, or a loop if closed. What is no such run stays as it is, bit for bit;
// index[k] is the place in the input of the first curve that result k covers;
// it is nil where nothing was replaced.
// A loop may begin at another curve than the input.
//
// Plan:
//  1. Runs: lines in a row whose lengths differ by a factor of 3 at most, whose
//     turns are within Turn, whose rise is within Rise, and no vertex of which
//     turns three times as sharply as the run does on both sides of it.
//  2. A loop that is one run with its vertices on one circle becomes a circle.
//  3. Else from the first vertex take the longest stretch that one arc, or two
//     tangent ones, follow with every vertex within the tolerance
//     (refitspan.go), and go on from its end in its end's direction. Arcs so
//     found are tangent to rounding inside a run; their ends are vertices.
//  4. A vertex from where no arc covers three chords ends the run; its chord
//     stays. Runs that come to fewer than Chords chords, less than four chords
//     an arc on average, that bend less than four tolerances, or whose chords
//     rise by more than Rise stay, too: an arc through points that are not on a
//     curve covers two chords by chance, not four again and again.
//
// The time is n log n.
func RefitChords(curves []Curve, closed bool, opt RefitOptions) ([]Curve, []int, Refitted) {
	var did Refitted
	n := len(curves)
	if n < opt.Chords || !(opt.Tolerance > 0) || !promising(curves, closed, opt) {
		return curves, nil, did
	}
	r := refitter{opt: opt, closed: closed, in: curves}
	r.look()
	first, whole := r.firstBreak()
	if whole {
		if c, ok := r.circle(&did); ok {
			return []Curve{c}, []int{0}, did
		}
	}
	var out []Curve
	var at []int
	for i := 0; i < n; {
		// A run of smooth vertices from curve i on.
		k := i + 1
		for k < n && r.smooth[(first+k)%n] {
			k++
		}
		if whole {
			k = n
		}
		r.emit(&out, &at, first+i, k-i, whole, &did)
		i = k
	}
	if did.Runs == 0 {
		return curves, nil, did
	}
	return out, at, did
}

// promising reports whether enough vertices in a row could be inside a run: a
// look without any memory, which is all that most polylines need.
func promising(curves []Curve, closed bool, opt RefitOptions) bool {
	n, row := len(curves), 0
	sin, cos := math.Sincos(float64(opt.Turn))
	steps := n
	if closed {
		steps += opt.Chords // a run may pass the beginning
	}
	u := curves[0].End.Sub(curves[0].Start)
	for i := 1; i < steps; i++ {
		b := &curves[i%n]
		v := b.End.Sub(b.Start)
		dot, cross := u.Dot(v), math.Abs(Cross(u, v))
		uu, vv := u.Dot(u), v.Dot(v)
		const unlike = unlikeLengths * unlikeLengths * (1 + 1e-9)
		if b.Radius > 0 || curves[(i-1)%n].Radius > 0 ||
			cross*cos > dot*sin*(1+1e-9) || uu > unlike*vv || vv > unlike*uu {
			row = 0
		} else if row++; row >= opt.Chords-1 {
			return true
		}
		u = v
	}
	return false
}

// refitter holds what is known of each vertex; vertex i starts curve i.
type refitter struct {
	opt    RefitOptions
	closed bool
	in     []Curve
	turn   []float64
	rise   []float64
	smooth []bool
}

func (r *refitter) curve(i int) *Curve { return &r.in[i%len(r.in)] }

// look marks the vertices inside runs.
func (r *refitter) look() {
	n := len(r.in)
	room := make([]float64, 4*n)
	r.turn, r.rise = room[:n], room[n:2*n]
	r.smooth = make([]bool, n)
	bend := room[2*n : 3*n] // turn for the length it belongs to, 1/mm
	noise := room[3*n:]     // of the turn, by the tolerance
	for i := range n {
		if i == 0 && !r.closed {
			continue
		}
		a, b := r.curve(i+n-1), r.curve(i)
		if a.IsArc() || b.IsArc() {
			continue
		}
		u, v := a.End.Sub(a.Start), b.End.Sub(b.Start)
		la, lb := math.Sqrt(u.Dot(u)), math.Sqrt(v.Dot(v))
		if !(la > 0 && lb > 0) || la > unlikeLengths*lb || lb > unlikeLengths*la {
			continue
		}
		r.turn[i] = math.Atan2(Cross(u, v), u.Dot(v))
		size := math.Abs(r.turn[i])
		r.rise[i] = size * (la + lb) / 16
		bend[i] = size * 2 / (la + lb)
		noise[i] = 4 * r.opt.Tolerance / min(la, lb) * 2 / (la + lb)
		r.smooth[i] = size <= float64(r.opt.Turn) && r.rise[i] <= r.opt.Rise
	}
	corner := make([]bool, n)
	for i := range n {
		if !r.smooth[i] {
			continue
		}
		side := 0.0
		for _, k := range [2]int{i + n - 1, i + 1} {
			if k %= n; r.smooth[k] {
				side = max(side, bend[k])
			}
		}
		corner[i] = bend[i] > unlikeBends*side+noise[i]
	}
	for i, c := range corner {
		r.smooth[i] = r.smooth[i] && !c
	}
}

// firstBreak returns a curve that starts at no smooth vertex, and whether there
// is none: the loop is one run.
func (r *refitter) firstBreak() (int, bool) {
	if i := slices.Index(r.smooth, false); i >= 0 {
		return i, false
	}
	return 0, true
}

// tolerance returns how far the vertices of count chords from first on may lie
// from their arcs: by the median rise.
func (r *refitter) tolerance(first, count int) float64 {
	rise := make([]float64, 0, count)
	for i := 1; i < count; i++ {
		rise = append(rise, r.rise[(first+i)%len(r.in)])
	}
	if len(rise) == 0 {
		return r.opt.Tolerance
	}
	slices.Sort(rise)
	return max(r.opt.Tolerance, r.opt.Share*rise[len(rise)/2])
}

// circle replaces a loop that is one run by a circle if all vertices lie on one:
// the circle with the least sum of squared powers (I. Kasa, IEEE Trans.
// Instrum. Meas. 25, 1976), which for whole circles is as good as any.
func (r *refitter) circle(did *Refitted) (Curve, bool) {
	n := float64(len(r.in))
	sum := 0.0
	var mid r2.Point
	for i, c := range r.in {
		sum += r.turn[i]
		mid = mid.Add(c.Start.Mul(1 / n))
	}
	if math.Abs(math.Abs(sum)-2*math.Pi) > 1e-6 {
		return Curve{}, false
	}
	var xx, xy, yy, xz, yz, zz float64
	for _, c := range r.in {
		p := c.Start.Sub(mid)
		z := p.Dot(p)
		xx, xy, yy = xx+p.X*p.X, xy+p.X*p.Y, yy+p.Y*p.Y
		xz, yz, zz = xz+p.X*z, yz+p.Y*z, zz+z
	}
	det := float64(xx*yy) - float64(xy*xy)
	if !(det > 0) {
		return Curve{}, false
	}
	o := r2.Point{X: (xz*yy - yz*xy) / det / 2, Y: (yz*xx - xz*xy) / det / 2}
	radius := math.Sqrt(zz/n + o.Dot(o))
	o = o.Add(mid)
	off, long := 0.0, 0.0
	for _, c := range r.in {
		off = max(off, math.Abs(c.Start.Sub(o).Norm()-radius))
		long = max(long, c.Length())
	}
	if !(off <= r.tolerance(0, len(r.in))) || long > radius {
		return Curve{}, false
	}
	rise := radius - math.Sqrt(radius*radius-long*long/4) + off
	did.add(len(r.in), 1, off, rise)
	v := r.in[0].Start.Sub(o)
	return Arc(o, radius, s1.Angle(math.Atan2(v.Y, v.X)), s1.Angle(math.Copysign(2*math.Pi, sum))), true
}

func (d *Refitted) add(chords, arcs int, deviation, rise float64) {
	d.Runs++
	d.Chords += chords
	d.Arcs += arcs
	d.Deviation = max(d.Deviation, deviation)
	d.Rise = max(d.Rise, rise)
}

// Plus returns both together.
func (d Refitted) Plus(e Refitted) Refitted {
	return Refitted{
		Runs: d.Runs + e.Runs, Chords: d.Chords + e.Chords, Arcs: d.Arcs + e.Arcs,
		Deviation: max(d.Deviation, e.Deviation), Rise: max(d.Rise, e.Rise),
	}
}

// emit appends count curves from first on, refitted where they are a run.
func (r *refitter) emit(out *[]Curve, at *[]int, first, count int, ring bool, did *Refitted) {
	n := len(r.in)
	keep := func(from, to int) {
		for i := from; i < to; i++ {
			*out, *at = append(*out, *r.curve(first + i)), append(*at, (first+i)%n)
		}
	}
	if count < r.opt.Chords {
		keep(0, count)
		return
	}
	pts := make([]r2.Point, 0, count+1)
	turns := make([]float64, 0, count)
	for i := range count {
		pts = append(pts, r.curve(first+i).Start)
		turns = append(turns, r.turn[(first+i)%n])
	}
	pts = append(pts, r.curve(first+count-1).End)
	ch := newChords(pts, turns, ring, r.tolerance(first, count))
	done := 0
	for _, s := range ch.stretches(r.opt.Chords) {
		if s.rise > r.opt.Rise {
			continue
		}
		keep(done, s.from)
		for k, c := range s.curves {
			*out, *at = append(*out, c), append(*at, (first+s.covers[k])%n)
		}
		did.add(s.to-s.from, len(s.curves), s.deviation, s.rise)
		done = s.to
	}
	keep(done, count)
}
