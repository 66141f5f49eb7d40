package width

// bracket is two places between which a function changes sign: at lo it is not
// positive, at hi positive or unbounded. lo may be the greater place.
type bracket struct {
	lo, hi   float64
	glo, ghi float64 // the function there
	side     int8    // that moved last: -1 lo, 1 hi
	steps    int8
}

// guided is how many places are guessed from the values; after that halving ends
// the search for sure.
const guided = 60

// next returns the place to look at next: by false position (the Illinois
// variant), by halving where that leads nowhere. It returns false when no place
// is left between the two.
func (b *bracket) next() (u float64, ok bool) {
	u = b.lo + (b.hi-b.lo)/2
	if b.glo < 0 && b.ghi > 0 && b.steps < guided {
		// A value without bound makes this a place outside, or none.
		if s := b.lo - b.glo*(b.hi-b.lo)/(b.ghi-b.glo); (s-b.lo)*(s-b.hi) < 0 {
			u = s
		}
		b.steps++
	}
	return u, u != b.lo && u != b.hi
}

// put narrows the bracket by the value g at u. Where one side moves twice, the
// other's value counts half, so that it moves, too.
func (b *bracket) put(u, g float64) {
	if g <= 0 {
		b.lo, b.glo = u, g
		if b.side == -1 {
			b.ghi /= 2
		}
		b.side = -1
		return
	}
	b.hi, b.ghi = u, g
	if b.side == 1 {
		b.glo /= 2
	}
	b.side = 1
}
