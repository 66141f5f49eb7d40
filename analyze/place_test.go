package analyze

import (
	"fmt"
	"math"
	"math/rand"
	"testing"

	"github.com/golang/geo/r2"
)

type spot struct {
	id string
	at r2.Point
	n  int
}

func order(list []spot, size float64) string {
	byPlace(list, size, func(s *spot) r2.Point { return s.at })
	out := ""
	for _, s := range list {
		out += fmt.Sprintf(" %d", s.n)
	}
	return out
}

func TestByPlaceRows(t *testing.T) {
	for _, c := range []struct {
		name string
		at   []r2.Point
		size float64
		want string
	}{
		{"none", nil, 1, ""},
		{"one", []r2.Point{{X: 1, Y: 1}}, 1, " 0"},
		{"top first", []r2.Point{{Y: 1}, {Y: 3}, {Y: 2}}, 3, " 1 2 0"},
		{"left first in a row", []r2.Point{{X: 5}, {X: 3}, {X: 4}}, 5, " 1 2 0"},
		{"a row is a millionth high", []r2.Point{{X: 2, Y: 9e-7}, {X: 1}}, 1, " 1 0"},
		{"more is two rows", []r2.Point{{X: 1}, {X: 2, Y: 1.1e-6}}, 1, " 1 0"},
		{"a row may slope", []r2.Point{{X: 3, Y: 1.8e-6}, {X: 1}, {X: 2, Y: 9e-7}}, 1, " 1 2 0"},
		{"one place keeps its order", []r2.Point{{X: 1}, {X: 1}, {X: 0}, {X: 1}}, 1, " 2 0 1 3"},
		{"above at equal x", []r2.Point{{X: 1}, {X: 1, Y: 1e-9}}, 1, " 1 0"},
	} {
		list := make([]spot, len(c.at))
		for k, p := range c.at {
			list[k] = spot{at: p, n: k}
		}
		if got := order(list, c.size); got != c.want {
			t.Errorf("%s: order%s, want%s", c.name, got, c.want)
		}
	}
}

// Rounding in the twelfth digit moves nothing, at any size of the part.
func TestByPlaceJitter(t *testing.T) {
	rng := rand.New(rand.NewSource(1))
	for _, size := range []float64{1e-3, 1, 500, 1e5} {
		var grid []spot
		for n := range 20 * 15 {
			grid = append(grid, spot{at: r2.Point{X: float64(n%20) / 20, Y: float64(n/20) / 20}.Mul(size), n: n})
		}
		rng.Shuffle(len(grid), func(i, k int) { grid[i], grid[k] = grid[k], grid[i] })
		want := order(append([]spot(nil), grid...), size)
		for range 20 {
			jittered := append([]spot(nil), grid...)
			for k := range jittered {
				jittered[k].at = jittered[k].at.Add(r2.Point{X: rng.NormFloat64(), Y: rng.NormFloat64()}.Mul(1e-12 * size))
			}
			rng.Shuffle(len(jittered), func(i, k int) { jittered[i], jittered[k] = jittered[k], jittered[i] })
			if got := order(jittered, size); got != want {
				t.Fatalf("size %g: order%s, want%s", size, got, want)
			}
		}
	}
}

// What is no number harms no other place and loses none.
func TestByPlaceNaN(t *testing.T) {
	list := []spot{{at: r2.Point{Y: 1}, n: 0}, {at: r2.Point{X: math.NaN(), Y: math.NaN()}, n: 1}, {at: r2.Point{Y: 2}, n: 2}}
	if got := order(list, 1); len(got) != 6 {
		t.Errorf("order%s", got)
	}
	seen := map[int]bool{}
	for _, s := range list {
		seen[s.n] = true
	}
	if len(seen) != 3 {
		t.Errorf("lost places: %v", list)
	}
}

func TestLabel(t *testing.T) {
	for _, n := range []int{0, 1, 9, 10, 101, 1000} {
		list := make([]spot, n)
		label(list, 'W', func(s *spot) *string { return &s.id })
		for k, s := range list {
			if want := fmt.Sprintf("W%d", k+1); s.id != want {
				t.Fatalf("%d of %d: %q, want %q", k, n, s.id, want)
			}
		}
	}
}
