package width

import (
	"cmp"
	"slices"
)

// mark is a place along a line, the feed most often, and the number of what is
// there.
type mark struct {
	x  float64
	id int32
}

// few is how many marks insertion alone sorts quickly.
const few = 24

// sorter sorts marks by place and keeps its room. Places are finite.
type sorter struct {
	counts []int32 // of marks by bin, then where each bin begins, then ends
	room   []mark
}

// sort throws the marks into as many bins along the line as there are marks and
// orders them by insertion, in time that grows with their number unless they
// crowd; a crowded bin is sorted by comparing.
func (s *sorter) sort(marks []mark) {
	n := len(marks)
	if n <= few {
		insertion(marks)
		return
	}
	lo, hi := marks[0].x, marks[0].x
	for _, m := range marks {
		lo, hi = min(lo, m.x), max(hi, m.x)
	}
	bins := float64(n-1) / (hi - lo)
	if !(bins < 1e300) {
		slices.SortFunc(marks, byPlace) // almost all on one place
		return
	}
	if cap(s.room) < n {
		s.room, s.counts = make([]mark, n), make([]int32, n+1)
	}
	counts, room := s.counts[:n+1], s.room[:n]
	clear(counts)
	for i := range marks {
		counts[int32((marks[i].x-lo)*bins)+1]++
	}
	sum, most := int32(0), int32(0)
	for i, c := range counts {
		most = max(most, c)
		sum += c
		counts[i] = sum
	}
	copy(room, marks)
	for _, m := range room {
		at := &counts[int32((m.x-lo)*bins)]
		marks[*at] = m
		*at++
	}
	if most > few {
		begin := int32(0)
		for _, end := range counts {
			if end-begin > few {
				slices.SortFunc(marks[begin:end], byPlace)
			}
			begin = end
		}
	}
	insertion(marks)
}

func byPlace(a, b mark) int { return cmp.Compare(a.x, b.x) }

// insertion orders marks that are few or nearly in order.
func insertion(marks []mark) {
	for i := 1; i < len(marks); i++ {
		m := marks[i]
		k := i
		for ; k > 0 && marks[k-1].x > m.x; k-- {
			marks[k] = marks[k-1]
		}
		marks[k] = m
	}
}
