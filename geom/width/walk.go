package width

import (
	"math"

	"github.com/golang/geo/r2"
)

// Where a wall is made of short smooth pieces, a spline drawn as chords, the
// foot of the disc walks along the wall opposite from one piece to the next.
// Asking the tree at every piece would meet again and again all pieces that
// nearly touch the disc: on a polygon of n sides drawn for a circle all n. So the
// tree is asked once in an eighth of a radius, and between the pieces beside the
// last foot and those beside the place itself answer.
//
// When the tree then finds a smaller disc than the walk would have, another wall
// has come near on the way, and the pieces walked since are traced again with
// the tree. What is missed even so is found when feet are looked at from the
// other side.

const (
	slightTurn = 0.2  // radians; beyond a corner that turns more the tree is asked
	walkShare  = 8.0  // the tree is asked once in this part of a radius
	shortWay   = 0.02 // share of the radius that a short piece moves the disc
	walkMisses = 4    // pieces tried beyond the last that was nearer
)

// walk is where the last disc found its foot.
type walk struct {
	known bool
	short bool    // the element in hand is short and smooth
	since float64 // way of the disc since the tree was asked, mm
	r     float64
	foot  int32
	over  []int32 // elements walked over since the tree was asked
}

// step takes the walk on to element i.
func (f *Field) step(i int32) {
	e := &f.elems[i]
	w := &f.walk
	turn := math.Max(0, e.turnPrev) // round a convex corner at its start
	switch e.kind {
	case vertex:
		turn = math.Abs(e.sweep)
	case concave, convex:
		turn += math.Abs(float64(e.c.Sweep))
	}
	// The far side of the disc moves with the place, and twice its radius with
	// the normal.
	way := e.length + 2*w.r*turn
	w.short = way < w.r*shortWay && math.Abs(e.turnPrev) < slightTurn && math.Abs(e.turnNext) < slightTurn
	w.known = w.known && w.short
	w.since += way
	if w.short {
		w.over = append(w.over, i)
	}
}

// ask returns the disc of element i at p, n: the largest no larger than r, whose
// foot is j, that nothing lies inside. hints are elements that may be near.
func (f *Field) ask(i int32, p, n r2.Point, r float64, j int32, hints ...int32) (float64, int32) {
	w := &f.walk
	walked := math.Inf(1)
	if len(w.over) > 0 {
		got, k := f.around(i, p, n, r, j, i)
		got, k = f.around(i, p, n, got, k, w.foot)
		for _, h := range hints {
			got, k = f.around(i, p, n, got, k, h)
		}
		plain := k != noFoot && got <= 1.2*w.r || k == noFoot && w.foot == noFoot
		if w.known && w.short && w.since < w.r/walkShare && plain {
			if d := k - i; d > walkMisses || d < -walkMisses {
				w.foot = k
			}
			return got, k
		}
		r, j, walked = got, k, got
	}
	r, j = f.nearest(i, p, n, r, j)
	if r < walked*(1-1e-9) {
		f.doubted = append(f.doubted, w.over...)
	}
	if r > 0 {
		*w = walk{known: true, short: w.short, r: r, foot: j, over: w.over[:0]}
		if w.short {
			w.over = append(w.over, i)
		}
	}
	return r, j
}

// around tries the elements beside start on its contour, both ways, as long as
// they bring the disc down or a few beyond.
func (f *Field) around(i int32, p, n r2.Point, r float64, j, start int32) (float64, int32) {
	if start == noFoot {
		return r, j
	}
	ring := f.rings[f.elems[start].contour]
	lo, count := ring[0], int32(len(ring))
	if start != i {
		if got := f.radius(i, p, n, start); got < r {
			r, j = got, start
		}
	}
	for _, dir := range [...]int32{1, count - 1} {
		k := start - lo
		for miss, steps := 0, int32(0); miss < walkMisses && steps < count; steps++ {
			k = (k + dir) % count
			if got := f.radius(i, p, n, lo+k); got < r {
				r, j = got, lo+k
				miss = 0
			} else {
				miss++
			}
		}
	}
	return r, j
}
