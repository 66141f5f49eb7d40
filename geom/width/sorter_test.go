package width

import (
	"math/rand/v2"
	"slices"
	"testing"
)

// Marks spread evenly, crowded, in steps, all on one place and so near each other
// that no bins can be made between them.
func TestSorter(t *testing.T) {
	rng := rand.New(rand.NewPCG(21, 22))
	places := map[string]func() float64{
		"even":      func() float64 { return 200*rng.Float64() - 100 },
		"crowded":   func() float64 { return []float64{3, 3 + 1e-9*rng.Float64(), 1e6 * rng.Float64()}[rng.IntN(3)] },
		"steps":     func() float64 { return float64(rng.IntN(7)) },
		"one place": func() float64 { return -4 },
		"nearest":   func() float64 { return 5e-324 * float64(rng.IntN(3)) },
	}
	var s sorter // one for all, as it keeps its room
	for name, place := range places {
		for _, n := range []int{0, 1, 2, few, few + 1, 1000, 77} {
			marks := make([]mark, n)
			at := make([]float64, n)
			for i := range marks {
				at[i] = place()
				marks[i] = mark{at[i], int32(i)}
			}
			s.sort(marks)
			seen := make([]bool, n)
			for i, m := range marks {
				if i > 0 && marks[i-1].x > m.x {
					t.Fatalf("%s, %d marks: %g before %g", name, n, marks[i-1].x, m.x)
				}
				if seen[m.id] || at[m.id] != m.x {
					t.Fatalf("%s, %d marks: mark %d is twice there or moved", name, n, m.id)
				}
				seen[m.id] = true
			}
			if slices.Contains(seen, false) {
				t.Fatalf("%s, %d marks: one is lost", name, n)
			}
		}
	}
}
