package dxf

import (
	"bytes"
	"sync"
)

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

// borrow takes room for the numbers and entities that data likely holds, so that
// growing does not copy.
func (p *parser) borrow(data []byte) {
	p.scratch = scratches.Get().(*scratch)
	p.nums, p.ents = p.scratch.nums[:0], p.scratch.ents[:0]
	nums, ents := likelyRoom(data)
	if cap(p.nums) < nums {
		p.nums = make([]float64, 0, nums)
	}
	if cap(p.ents) < ents {
		p.ents = make([]entity, 0, ents)
	}
}

// likelyRoom estimates how many numbers and entities a drawing holds: in a common
// one a number in 30 bytes and an entity in 250. A file of a megabyte or more is
// looked into at eight places, where a line is half a number and a line "0" with
// letters below it an entity; a twentieth is added to what is found.
func likelyRoom(data []byte) (nums, ents int) {
	const large, places, window = 1 << 20, 8, 1 << 13
	if len(data) < large || bytes.HasPrefix(data, sentinel) {
		return len(data) / 30, len(data) / 250
	}
	lines, zeros := 0, 0
	for k := range places {
		at := len(data) / places * k
		zero := false
		for line := range bytes.Lines(data[at : at+window]) {
			lines++
			line = trim(bytes.TrimSuffix(line, []byte("\n")))
			if zero && len(line) > 0 && isLetter(line[0]) {
				zeros++
			}
			zero = len(line) == 1 && line[0] == '0'
		}
	}
	share := float64(len(data)) / (places * window) * 1.05
	return int(share * float64(lines) / 2), int(share * float64(zeros))
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
