package cli

import (
	"cmp"
	"container/heap"
	"fmt"
	"iter"

	"burrcast/cmd/internal/report"
)

// each hands on the drawings of a group in order. Of every result begun and not
// ended one drawing is in memory; results are opened when their turn comes, so
// that thousands of small ones can be joined.
func (g *group) each(hand func(*report.Drawing) error) error {
	f := g.streams()
	defer f.close()
	for f.Len() > 0 {
		s := f.list[0]
		d, err := s.take()
		if err != nil {
			return err
		}
		if err := hand(d); err != nil {
			return err
		}
		if s.at < len(s.r.names) {
			heap.Fix(f, 0)
		} else {
			heap.Pop(f)
			s.close()
		}
	}
	return nil
}

// streams are the results of a group, the one whose drawing comes first at the
// front.
func (g *group) streams() *frontier {
	f := &frontier{numbered: g.split != nil}
	for i, r := range g.results {
		if len(r.names) > 0 {
			f.list = append(f.list, &stream{r: r, order: i})
		}
	}
	heap.Init(f)
	return f
}

// stream is one result being read. What comes next in it is known before it is
// opened.
type stream struct {
	r     *result
	order int // among results with the same drawing
	at    int // drawings taken
	next  func() (*report.Drawing, error, bool)
	stop  func()
}

func (s *stream) name() string { return s.r.names[s.at] }

// take reads the next drawing.
func (s *stream) take() (*report.Drawing, error) {
	if s.next == nil {
		s.next, s.stop = iter.Pull2(s.r.all())
	}
	d, err, ok := s.next()
	switch {
	case err != nil:
		return nil, err
	case !ok || d.File != s.name():
		return nil, fmt.Errorf("%s: changed while it was read", s.r.name())
	}
	s.at++
	return d, nil
}

func (s *stream) close() {
	if s.stop != nil {
		s.stop()
	}
}

// all is the result as a sequence; an error is its last element.
func (r *result) all() iter.Seq2[*report.Drawing, error] {
	return func(yield func(*report.Drawing, error) bool) {
		err := r.each(func(d *report.Drawing) error {
			if !yield(d, nil) {
				return errEnough
			}
			return nil
		})
		if err != nil {
			yield(nil, err)
		}
	}
}

// frontier is a heap of streams by what comes next in them.
type frontier struct {
	list     []*stream
	numbered bool // by number in the job, otherwise by path
}

func (f *frontier) Len() int { return len(f.list) }

func (f *frontier) Less(a, b int) bool {
	x, y := f.list[a], f.list[b]
	if f.numbered {
		return cmp.Or(cmp.Compare(x.r.indexes[x.at], y.r.indexes[y.at]), cmp.Compare(x.order, y.order)) < 0
	}
	return cmp.Or(comparePaths(x.name(), y.name()), cmp.Compare(x.order, y.order)) < 0
}

func (f *frontier) Swap(a, b int) { f.list[a], f.list[b] = f.list[b], f.list[a] }
func (f *frontier) Push(x any)    { f.list = append(f.list, x.(*stream)) }

func (f *frontier) Pop() any {
	last := f.list[len(f.list)-1]
	f.list = f.list[:len(f.list)-1]
	return last
}

func (f *frontier) close() {
	for _, s := range f.list {
		s.close()
	}
}
