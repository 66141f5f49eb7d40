package width

// sets is a union-find over int32 with path halving and union by size.
type sets struct{ parent, size []int32 }

func newSets(n int) sets {
	s := sets{make([]int32, n), make([]int32, n)}
	for i := range s.parent {
		s.parent[i], s.size[i] = int32(i), 1
	}
	return s
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
