package width

import "slices"

// sets is a union-find over int32 with path halving and union by size.
type sets struct{ parent, size []int32 }

// reset makes n sets of one each.
func (s *sets) reset(n int) {
	s.parent, s.size = slices.Grow(s.parent[:0], n)[:n], slices.Grow(s.size[:0], n)[:n]
	for i := range s.parent {
		s.parent[i], s.size[i] = int32(i), 1
	}
}

func (s *sets) find(i int32) int32 {
	for s.parent[i] != i {
		s.parent[i] = s.parent[s.parent[i]]
		i = s.parent[i]
	}
	return i
}

// union joins the sets of a and b and returns the root.
func (s *sets) union(a, b int32) int32 {
	a, b = s.find(a), s.find(b)
	if a == b {
		return a
	}
	if s.size[a] < s.size[b] {
		a, b = b, a
	}
	s.parent[b] = a
	s.size[a] += s.size[b]
	return a
}
