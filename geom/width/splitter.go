package width

import "github.com/golang/geo/r2"

// splitter orders boxes for a tree over them.
type splitter struct {
	boxes  []r2.Rect
	marks  []mark // of all boxes, by number
	sorter sorter
}

// clear forgets the boxes.
func (s *splitter) clear() { s.boxes, s.marks = s.boxes[:0], s.marks[:0] }

// add takes one more box; boxes are numbered as they come.
func (s *splitter) add(box r2.Rect) {
	s.marks = append(s.marks, mark{id: int32(len(s.boxes))})
	s.boxes = append(s.boxes, box)
}

// alongLongerSide orders some of the boxes by their middles along the longer side
// of the box round them, which it returns.
func (s *splitter) alongLongerSide(some []mark) r2.Rect {
	box := s.boxes[some[0].id]
	for _, m := range some[1:] {
		b := &s.boxes[m.id]
		box.X.Lo, box.X.Hi = min(box.X.Lo, b.X.Lo), max(box.X.Hi, b.X.Hi)
		box.Y.Lo, box.Y.Hi = min(box.Y.Lo, b.Y.Lo), max(box.Y.Hi, b.Y.Hi)
	}
	wide := box.X.Length() >= box.Y.Length()
	for i := range some {
		b := &s.boxes[some[i].id]
		if wide {
			some[i].x = b.X.Lo + b.X.Hi
		} else {
			some[i].x = b.Y.Lo + b.Y.Hi
		}
	}
	s.sorter.sort(some)
	return box
}
