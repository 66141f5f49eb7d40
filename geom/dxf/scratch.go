package dxf

import "sync"

// scratch is memory that the entities of one drawing after another are read
// into. Nothing of a drawing that was read points there.
type scratch struct {
	nums []float64
	ents []entity
}

var scratches = sync.Pool{New: func() any { return new(scratch) }}

// mostKept bounds the entities whose room is kept for the next drawing, and the
// numbers at eight each: about 6 MB.
const mostKept = 1 << 15

// borrow takes room for a common drawing of size bytes, so that growing does not
// copy: about one number in 30 bytes and one entity in 250.
func (p *parser) borrow(size int) {
	p.scratch = scratches.Get().(*scratch)
	p.nums, p.ents = p.scratch.nums[:0], p.scratch.ents[:0]
	if n := size / 30; cap(p.nums) < n {
		p.nums = make([]float64, 0, n)
	}
	if n := size / 250; cap(p.ents) < n {
		p.ents = make([]entity, 0, n)
	}
}

// giveBack returns the room when the drawing is done.
func (p *parser) giveBack() {
	s := p.scratch
	if cap(p.ents) > mostKept || cap(p.nums) > 8*mostKept {
		*s = scratch{}
	} else {
		clear(p.ents) // handles
		s.nums, s.ents = p.nums, p.ents
	}
	scratches.Put(s)
	p.scratch, p.nums, p.ents = nil, nil, nil
}
