package width

import (
	"errors"
	"slices"

	"burrcast/geom"

	"github.com/golang/geo/r2"
)

// Scratch is room in which the fields of one region after another are made. The
// zero Scratch is ready. It holds one Field at a time and is not safe for use by
// several goroutines.
type Scratch struct {
	field   Field
	closing closing
	loop    []loopCurve
	heads   []int32 // while pieces are paired: by pair of elements,
	nexts   []int32 // and by piece
}

// roomy is the number of elements from which on room is given back when the next
// region needs far less of it.
const roomy = 1 << 15

// New is the function New in the room of s. It ends the use of the Field made
// in s before.
func (s *Scratch) New(contours [][]geom.Curve, far float64) (*Field, error) {
	box := r2.EmptyRect()
	n := 0
	for _, loop := range contours {
		for i := range loop {
			if !loop[i].Finite() {
				return nil, errors.New("curve with a number that is not finite")
			}
		}
		box = box.Union(geom.LoopBounds(loop))
		n += len(loop)
	}
	if n == 0 {
		return nil, errNoContour
	}
	size := box.Size().Norm()
	if size == 0 {
		return nil, errors.New("contour without extent")
	}
	if room := cap(s.field.elems); room > roomy && n < room/8 {
		*s = Scratch{}
	}
	f := &s.field
	*f = Field{
		far: far, origin: box.Center(),
		elems: slices.Grow(f.elems[:0], 2*n), rings: f.rings[:0], ringOf: slices.Grow(f.ringOf[:0], 2*n),
		runs: f.runs, allRuns: f.allRuns, pieces: f.pieces, ring: f.ring, order: f.order, piecesOf: f.piecesOf,
	}
	if far <= 0 {
		f.far = size
	}
	for k, loop := range contours {
		s.addContour(int32(k), loop, size*negligible)
	}
	if len(f.elems) == 0 {
		return nil, errNoContour
	}
	f.closed = s.closing.closeAll(f)
	s.cutPieces()
	return f, nil
}

// cleared is a list of n zeros, in the room of the old one if that is enough.
func cleared[T any](old []T, n int) []T {
	s := slices.Grow(old[:0], n)[:n]
	clear(s)
	return s
}
