package samples

import (
	"math/rand/v2"
	"reflect"
	"testing"

	"burrcast/rules"
)

func candidate(source, pieces int, feature string, width, chance float64) Candidate {
	return Candidate{Source: source, Pieces: pieces, Chance: chance, Place: rules.SampledPlace{Rule: "hole-reach", Feature: feature, Measured: width, Limit: 2.4}}
}

func TestPickForm(t *testing.T) {
	var all []Candidate
	for i := range 60 { // equal holes of one part
		all = append(all, candidate(1, 1, "C"+string(rune('A'+i)), 2.4, 0.5))
	}
	for i := range 40 {
		all = append(all, candidate(2+i, 1, "C1", 2+0.02*float64(i), 0.06+0.022*float64(i)))
		all = append(all, candidate(50+i, 1, "C1", 1, 0.01+0.001*float64(i)), candidate(100+i, 1, "C1", 6, 0.99-0.001*float64(i)))
	}
	got := PickForm(all)
	unsure, controls, equal := 0, map[bool]int{}, 0
	for _, c := range got {
		switch {
		case c.Control:
			controls[c.Chance > 0.5]++
		default:
			unsure++
			if c.Chance < 0.25 || c.Chance > 0.75 {
				t.Errorf("a chance of %g", c.Chance)
			}
			if c.Source == 1 {
				equal++
			}
		}
	}
	if unsure != unsureRows || controls[true] != controlRows || controls[false] != controlRows || equal != 2 {
		t.Errorf("%d unsure, %v controls, %d equal", unsure, controls, equal)
	}
	if n := len(PickForm([]Candidate{candidate(1, 1, "C1", 60, 1), candidate(1, 1, "C2", 0.5, 0)})); n > 0 {
		t.Errorf("%d places far from any limit", n)
	}
	// Lots count with as many rows as pieces are taken of them.
	for i := range all {
		all[i].Pieces = 50
	}
	if n := len(PickForm(all)); n != unsureRows/3+2 {
		t.Errorf("%d places of lots", n)
	}
}

// A long run keeps only what it would pick so far, and picks the same.
func TestPickFormInPieces(t *testing.T) {
	rng := rand.New(rand.NewPCG(12, 12))
	for range 30 {
		var all, kept []Candidate
		for i := range 120 {
			c := candidate(i/4, 1+rng.IntN(4), "C"+string(rune('1'+i%4)), 1+float64(rng.IntN(30))/10, rng.Float64())
			all = append(all, c)
			if kept = append(kept, c); i%4 == 3 {
				kept = PickForm(kept)
			}
		}
		if want := PickForm(all); !reflect.DeepEqual(PickForm(kept), want) {
			t.Fatalf("%d kept, %d picked", len(kept), len(want))
		}
	}
}

func TestPiecesToTake(t *testing.T) {
	for n, want := range map[int][]int{0: {1}, 1: {1}, 2: {1, 2}, 3: {1, 2, 3}, 40: {1, 20, 40}} {
		if got := PiecesToTake(n); !reflect.DeepEqual(got, want) {
			t.Errorf("%d: %v", n, got)
		}
	}
}
