package contour

// pairs lists for every box of a set the others that come within a distance of
// it. They are found once and serve every step that compares neighbours.
type pairs struct {
	list  []int32    // the neighbours of all boxes, leaf by leaf of the tree
	span  [][2]int32 // of each box, its part of list
	whole bool       // nothing is missing
}

// of returns the boxes near box i in the tree's order.
func (p *pairs) of(i int) []int32 { return p.list[p.span[i][0]:p.span[i][1]] }

// findPairs joins the tree with itself: the leaves near a leaf are found
// together, then its boxes are held against theirs. It stops at most pairs.
func (t *boxTree) findPairs(grow float64, most int) *pairs {
	n := len(t.items)
	p := &pairs{span: make([][2]int32, n), whole: true}
	if n < 2 {
		return p
	}
	p.list = make([]int32, 0, 4*n)
	boxes, leaves := t.levels[0], t.levels[1]
	var near []int32
	for l, lb := range leaves {
		near = t.leavesNear(len(t.levels)-1, 0, lb.grown(grow), near[:0])
		for a := l * fanout; a < min((l+1)*fanout, n); a++ {
			q := boxes[a].grown(grow)
			from := len(p.list)
			for _, m := range near {
				if !leaves[m].meets(q) {
					continue
				}
				first := int(m) * fanout
				for k, b := range boxes[first:min(first+fanout, n)] {
					if b.meets(q) && first+k != a {
						p.list = append(p.list, t.items[first+k])
					}
				}
			}
			if len(p.list) > most {
				p.list, p.whole = p.list[:from], false
				return p
			}
			p.span[t.items[a]] = [2]int32{int32(from), int32(len(p.list))}
		}
	}
	return p
}

// leavesNear appends the leaves below node i of a level whose box meets q.
func (t *boxTree) leavesNear(level, i int, q box, out []int32) []int32 {
	if level == 1 {
		return append(out, int32(i))
	}
	below := t.levels[level-1]
	first := i * fanout
	for k, b := range below[first:min(first+fanout, len(below))] {
		if b.meets(q) {
			out = t.leavesNear(level-1, first+k, q, out)
		}
	}
	return out
}
