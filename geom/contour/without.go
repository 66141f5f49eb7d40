package contour

import (
	"maps"
	"slices"
)

// Without returns what Build makes of the same curves without those marked as
// gone by their number; sources keep their numbers. r comes from Build and may
// itself be without some; gone has a place for each of Build's curves.
//
// Where all that goes now are plain rings that no other curve had to do with, the
// other contours are known, and only how they lie in each other is found again.
// Curves have to do with each other where they meet, touch or come within
// reach, where one covers or repeats the other, and where one lies in a gap of
// another. Elsewhere everything is built again.
func (r Result) Without(gone []bool) Result {
	b := r.from
	rest, n := make([]block, 0, len(b.blocks)), 0
	for _, bl := range b.blocks {
		if b.goesAlone(&bl, gone) {
			n += len(bl.outer.Sources)
		} else {
			rest = append(rest, bl)
		}
	}
	for i, g := range gone {
		if g && !b.isGone(i) {
			n--
		}
	}
	if n != 0 || b.said["not-converged"] > 0 {
		return buildRest(b.in, b.opt, slices.Clone(gone))
	}
	next := *b
	next.gone, next.blocks, next.said = slices.Clone(gone), rest, maps.Clone(b.said)
	return next.finish()
}

func (b *builder) isGone(src int) bool { return b.gone != nil && b.gone[src] }

// goesAlone reports whether the block is a plain ring that goes, and goes as if
// it had never been there.
func (b *builder) goesAlone(bl *block, gone []bool) bool {
	if !bl.plain {
		return false
	}
	for _, s := range bl.outer.Sources {
		if !gone[s] || b.met[s] {
			return false
		}
	}
	return true
}

// meet notes that inputs have to do with another; those of joints are none.
func (b *builder) meet(sources ...int) {
	for _, s := range sources {
		if s >= 0 {
			b.met[s] = true
		}
	}
}

// finish makes the result of what has been solved. It leaves that as it is.
func (b *builder) finish() Result {
	solved := b.res
	b.res.Open, b.res.Duplicates = slices.Clone(solved.Open), slices.Clone(solved.Duplicates)
	b.res.Problems, b.res.Rejected = slices.Clone(solved.Problems), slices.Clone(solved.Rejected)
	b.nest()
	b.settle()
	out := b.res
	b.res = solved
	out.from = b
	return out
}
