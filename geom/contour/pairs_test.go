package contour

import (
	"math/rand/v2"
	"slices"
	"testing"
)

func TestPairsAgainstAll(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 0))
	for _, n := range []int{0, 1, 2, 7, 8, 9, 63, 64, 65, 600} {
		boxes := make([]box, n)
		for i := range boxes {
			x, y := r.Float64()*100, r.Float64()*100
			boxes[i] = box{x, y, x + r.Float64()*10, y + r.Float64()*10}
		}
		const grow = 1.5
		p := newBoxTree(boxes).findPairs(grow, n*n)
		all := 0
		for i, b := range boxes {
			var want []int32
			for k, o := range boxes {
				if k != i && b.grown(grow).meets(o) {
					want = append(want, int32(k))
				}
			}
			got := slices.Sorted(slices.Values(p.of(i)))
			if !slices.Equal(got, want) {
				t.Fatalf("%d boxes: neighbours of %d are %v, want %v", n, i, got, want)
			}
			all += len(want)
		}
		if !p.whole {
			t.Errorf("%d boxes: not whole within its bound", n)
		}
		if all == 0 {
			continue
		}
		if p := newBoxTree(boxes).findPairs(grow, all-1); p.whole || len(p.list) >= all {
			t.Errorf("%d boxes: %d pairs, whole %t, with room for %d", n, len(p.list), p.whole, all-1)
		}
	}
}
