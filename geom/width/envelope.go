package width

import (
	"math"
	"sort"

	"github.com/golang/geo/r2"
)

// run is a stretch of one element along which the foot stays on element j.
type run struct {
	u0, u1 float64 // fractions of the element's length (of a vertex, of its fan)
	r0, r1 float64
	j      int32
}

// sample is one place on an element with its disc.
type sample struct {
	u, r float64
	j    int32
}

// maxDepth bounds the splitting of one stretch; each level at least halves the
// formulas in play, so a real boundary ends far sooner.
const maxDepth = 48

// leastStep is the share of an element below which two samples with different
// feet are left as they are: closer together only rounding tells them apart.
const leastStep = 1e-9

// maxLooks bounds how often a stretch that sees one wall is halved to look for
// something in between. What stands there sees the stretch from its own side as
// well, so few looks are enough.
const (
	maxLooks      = 3
	maxSteepLooks = 8 // where the radius changes much
)

// look returns the place between two samples at which to look: the middle, or,
// where the radius changes much, the place where it has changed by half of that
// in proportion. Its formula falls steeply where the disc turns into a gap, and
// what stands beside the gap is met there.
func (f *Field) look(i int32, a, b sample) float64 {
	u := a.u + (b.u-a.u)/2
	if !steep(a, b) {
		return u
	}
	aim := math.Sqrt(a.r * b.r)
	lo, hi := a.u, b.u
	for range 24 {
		u = lo + (hi-lo)/2
		p, n := f.elems[i].at(u)
		if r := f.radius(i, p, n, a.j); math.IsInf(r, 1) {
			return a.u + (b.u-a.u)/2
		} else if (r > aim) == (a.r > aim) {
			lo = u
		} else {
			hi = u
		}
	}
	return u
}

// steep reports whether the radius changes by more than a factor of two.
func steep(a, b sample) bool {
	lo, hi := math.Min(a.r, b.r), math.Max(a.r, b.r)
	return lo > 0 && hi > 2*lo
}

// wide reports whether the stretch between two samples is wider than the discs
// at its ends, so that something could stand between them unseen.
func (f *Field) wide(i int32, a, b sample) bool {
	e := &f.elems[i]
	if e.kind == vertex {
		return math.Abs(e.sweep)*(b.u-a.u) > math.Pi/8
	}
	if f.walk.known && f.walk.short {
		return false
	}
	return (b.u-a.u)*e.length > math.Min(a.r, b.r)
}

// traceAll finds the runs of every element.
//
//  1. Ask the tree at both ends and the middle of each element and trace the
//     lower envelope between them.
//  2. What an element sees must be seen back: take every foot as a further
//     place to ask on the element it lies on, and trace that one again where
//     its own envelope is wider there.
//  3. Repeat until nothing new is seen, a few times at most.
func (f *Field) traceAll() {
	f.runs = make([][]run, len(f.elems))
	for _, ring := range f.rings {
		last := sample{j: noFoot}
		f.walk = walk{}
		for _, i := range ring {
			last = f.trace(i, nil, last)
		}
	}
	doubted := f.doubted
	for _, i := range doubted {
		f.retrace(i, nil)
	}
	f.doubted = nil
	seeds := make(map[int32][]float64)
	for range 4 {
		clear(seeds)
		for i := range f.elems {
			f.collectSeeds(int32(i), seeds)
		}
		if len(seeds) == 0 {
			return
		}
		for j, us := range seeds {
			f.retrace(j, us)
		}
	}
}

// retrace traces element i again, with the tree, also at the places in extra.
func (f *Field) retrace(i int32, extra []float64) {
	for _, rn := range f.runs[i] {
		extra = append(extra, rn.u0, rn.u1)
	}
	f.walk = walk{}
	f.trace(i, extra, sample{j: noFoot})
}

// collectSeeds notes the feet of element i's discs that lie on elements whose
// own envelope says a larger disc fits there.
func (f *Field) collectSeeds(i int32, seeds map[int32][]float64) {
	for _, rn := range f.runs[i] {
		if rn.j == noFoot || rn.j == i {
			continue
		}
		for _, w := range [...]float64{0.5, 0.02, 0.98} {
			u := rn.u0 + w*(rn.u1-rn.u0)
			p, n := f.elems[i].at(u)
			r := f.radius(i, p, n, rn.j)
			if !(r < f.far) || r <= 0 {
				continue
			}
			q := f.foot(p, n, r, rn.j)
			t := f.elems[rn.j].paramOf(q, p.Add(n.Mul(r)))
			if k, ok := f.runAt(rn.j, t); ok && f.runs[rn.j][k].j == i {
				continue // they see each other
			}
			if f.envelopeAt(rn.j, t) > r*(1+1e-7) {
				seeds[rn.j] = append(seeds[rn.j], t)
			}
		}
	}
}

// runAt returns the index of element i's run that holds u.
func (f *Field) runAt(i int32, u float64) (int, bool) {
	runs := f.runs[i]
	k := sort.Search(len(runs), func(k int) bool { return runs[k].u1 >= u })
	return k, k < len(runs)
}

// envelopeAt evaluates what the runs of element i say at u.
func (f *Field) envelopeAt(i int32, u float64) float64 {
	k, ok := f.runAt(i, u)
	if !ok {
		return math.Inf(1)
	}
	runs := f.runs[i]
	p, n := f.elems[i].at(u)
	r := f.radius(i, p, n, runs[k].j)
	if math.IsInf(r, 1) {
		// At a run's end the foot may sit a rounding beyond its element.
		return math.Max(runs[k].r0, runs[k].r1)
	}
	return r
}

// trace finds the runs of element i from the usual places and those in extra.
// last is the sample at the end of the element before: where that ends at the
// same place with the same normal it is this one's start as well, and elsewhere
// its foot is a good first guess. trace returns the sample at the end.
func (f *Field) trace(i int32, extra []float64, last sample) sample {
	f.step(i)
	e := &f.elems[i]
	var few [12]float64
	us := append(append(few[:0], 0, 1), extra...)
	// A long element looks in many directions, or at many things.
	parts := 1.0
	if !f.walk.short || len(extra) > 0 {
		parts = 2
	}
	if e.kind == concave || e.kind == convex {
		parts = max(parts, math.Ceil(math.Abs(float64(e.c.Sweep))/(math.Pi/4)))
	}
	for k := 1.0; k < parts; k++ {
		us = append(us, k/parts)
	}
	sort.Float64s(us)
	f.runs[i] = f.runs[i][:0]
	before := sample{0, last.r, last.j}
	if !f.continued(i, last) {
		before = f.sampleAt(i, us[0], last.j)
	}
	for k := 1; k < len(us); k++ {
		if us[k]-us[k-1] < 1e-13 {
			continue
		}
		s := f.sampleAt(i, us[k], before.j)
		f.between(i, before, s, 0)
		before = s
	}
	length := e.length
	if e.kind == vertex {
		length = f.far * math.Abs(e.sweep)
	}
	f.runs[i] = dropTies(f.runs[i], length)
	return before
}

// continued reports whether element i begins at the place and with the normal
// at which sample last was taken: round a reflex vertex, on either side of it.
func (f *Field) continued(i int32, last sample) bool {
	if last.j == noFoot || last.u != 1 || last.r <= 0 {
		return false
	}
	e := &f.elems[i]
	if e.kind == vertex {
		return e.turnPrev < -smoothTurn && last.j != e.prev && last.j != e.next
	}
	return e.kind == lineElem && e.turnPrev < -smoothTurn && last.j != i && last.j != e.prev
}

// dropTies gives runs of no consequence to their neighbours. Where a wall ends
// at a vertex the formulas of both agree to rounding over some 1e-8 of the
// radius, and which of them wins there is chance.
func dropTies(runs []run, length float64) []run {
	if len(runs) < 2 {
		return runs
	}
	kept := runs[:0]
	for k, rn := range runs {
		r := math.Min(rn.r0, rn.r1)
		tie := math.Abs(rn.r0-rn.r1) <= 1e-12*r && (rn.u1-rn.u0)*length <= 1e-7*r
		switch last := len(kept) - 1; {
		case !tie:
			kept = append(kept, rn)
		case last >= 0:
			kept[last].u1, kept[last].r1 = rn.u1, rn.r1
		case k+1 < len(runs):
			runs[k+1].u0, runs[k+1].r0 = rn.u0, rn.r0
		default:
			kept = append(kept, rn)
		}
	}
	return kept
}

// sampleAt asks the tree for the disc at u; hint is an element that may be near.
func (f *Field) sampleAt(i int32, u float64, hint int32) sample {
	e := &f.elems[i]
	if e.kind != vertex {
		// At a convex corner the width is nothing and the foot the other wall.
		if u == 0 && e.turnPrev > smoothTurn {
			return sample{0, 0, e.prev}
		}
		if u == 1 && e.turnNext > smoothTurn {
			return sample{1, 0, e.next}
		}
	}
	p, n := e.at(u)
	r, j := f.far, noFoot
	if e.kind == concave && e.c.Radius < r {
		r, j = e.c.Radius, i
	}
	if hint != noFoot && hint != i {
		if got := f.radius(i, p, n, hint); got < r {
			r, j = got, hint
		}
	}
	// At a smooth joint the tighter of the two arcs bounds the disc.
	if u == 0 {
		r, j = f.jointBound(e.prev, e.turnPrev, r, j)
	} else if u == 1 {
		r, j = f.jointBound(e.next, e.turnNext, r, j)
	}
	r, j = f.ask(i, p, n, r, j, hint)
	return sample{u, r, j}
}

func (f *Field) jointBound(k int32, turn, r float64, j int32) (float64, int32) {
	if math.Abs(turn) < smoothTurn {
		if e := &f.elems[k]; e.kind == concave && e.c.Radius < r {
			return e.c.Radius, k
		}
	}
	return r, j
}

// between appends the runs of element i from sample a to sample b.
func (f *Field) between(i int32, a, b sample, depth int) {
	if b.u-a.u <= 0 {
		return
	}
	if a.j == b.j && (depth < maxLooks && f.wide(i, a, b) || depth < maxSteepLooks && steep(a, b)) {
		// Something narrow may stand between two looks at the same wall.
		if m := f.sampleAt(i, f.look(i, a, b), a.j); m.j != a.j {
			f.between(i, a, m, maxSteepLooks)
			f.between(i, m, b, maxSteepLooks)
		} else {
			f.between(i, a, m, depth+1)
			f.between(i, m, b, depth+1)
		}
		return
	}
	if a.j == b.j || depth > maxDepth || b.u-a.u < leastStep {
		f.addRun(i, run{a.u, b.u, a.r, b.r, a.j})
		return
	}
	u, p, n := f.crossing(i, a, b)
	ra, rb := f.radius(i, p, n, a.j), f.radius(i, p, n, b.j)
	r, j := ra, a.j
	if rb < ra {
		r, j = rb, b.j
	}
	if math.Abs(ra-rb) <= 1e-9*ra && (b.u-a.u)*f.elems[i].length < ra/4 && f.elems[i].kind != vertex && f.neighbours(a.j, b.j) {
		// The foot walks from one element to the next: nothing new is met.
		f.addRun(i, run{a.u, u, a.r, r, a.j})
		f.addRun(i, run{u, b.u, r, b.r, b.j})
		return
	}
	if math.IsInf(r, 1) {
		r, j = f.far, noFoot
	}
	got, k := f.ask(i, p, n, r, j, a.j, b.j)
	if k != a.j && k != b.j && got < r*(1-1e-12) {
		m := sample{u, got, k}
		f.between(i, a, m, depth+1)
		f.between(i, m, b, depth+1)
		return
	}
	// Where a foot runs off its element, the next one takes over at the same
	// radius; if that is not the other sample's, look just beyond.
	const step = 1e-7
	left, right := a, b
	if math.Abs(ra-got) > 1e-6*got {
		left = f.sampleAt(i, u-step*(u-a.u), b.j)
	}
	if math.Abs(rb-got) > 1e-6*got {
		right = f.sampleAt(i, u+step*(b.u-u), a.j)
	}
	if left.j != a.j {
		f.between(i, a, left, depth+1)
		f.addRun(i, run{left.u, u, left.r, got, left.j})
	} else {
		f.between(i, a, sample{u, got, a.j}, max(depth, maxLooks))
	}
	if right.j != b.j {
		f.addRun(i, run{u, right.u, got, right.r, right.j})
		f.between(i, right, b, depth+1)
	} else {
		f.between(i, sample{u, got, b.j}, b, max(depth, maxLooks))
	}
}

// neighbours reports whether two elements follow each other on a contour.
func (f *Field) neighbours(a, b int32) bool {
	if a == noFoot || b == noFoot {
		return false
	}
	e, o := &f.elems[a], &f.elems[b]
	return e.next == b || e.prev == b || o.next == a || o.prev == a
}

// crossing finds the place between a and b where the formulas of their two feet
// change order: by false position (Illinois) while both hold, by halving where
// one of them ends.
func (f *Field) crossing(i int32, a, b sample) (u float64, p, n r2.Point) {
	e := &f.elems[i]
	between := bracket{lo: a.u, hi: b.u} // of the difference of the two, not known there
	for range 80 {
		var ok bool
		if u, ok = between.next(); !ok || between.hi-between.lo < 1e-15 {
			break
		}
		p, n = e.at(u)
		ra, rb := f.radius(i, p, n, a.j), f.radius(i, p, n, b.j)
		if math.IsInf(ra, 1) && math.IsInf(rb, 1) {
			return u, p, n // a third element lies between
		}
		g := ra - rb
		if between.put(u, g); math.Abs(g) <= 1e-15*math.Min(ra, rb) {
			break
		}
	}
	p, n = e.at(u)
	return u, p, n
}

// addRun appends a run, joining it with the one before where the foot stays.
func (f *Field) addRun(i int32, rn run) {
	if rn.u1 <= rn.u0 {
		return
	}
	runs := f.runs[i]
	if k := len(runs) - 1; k >= 0 && runs[k].j == rn.j {
		runs[k].u1, runs[k].r1 = rn.u1, rn.r1
		return
	}
	f.runs[i] = append(runs, rn)
}
