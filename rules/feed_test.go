package rules

import (
	"fmt"
	"math"
	"math/rand"
	"testing"

	"burrcast/analyze/measure"
)

// The window gives what looking at every neighbour of every feed gives.
func TestLyingNear(t *testing.T) {
	plain := func(feeds []measure.Feed, i int, tolerance float64) float64 {
		worst := feeds[i].Lying
		for _, f := range feeds {
			if turn(f.Angle-feeds[i].Angle) <= tolerance {
				worst = max(worst, f.Lying)
			}
		}
		return worst
	}
	rng := rand.New(rand.NewSource(5))
	for round := range 200 {
		var feeds []measure.Feed
		for a := 0.0; a < 180; a += 1 + float64(rng.Intn(2)*rng.Intn(60)) {
			feeds = append(feeds, measure.Feed{Angle: a, Lying: float64(rng.Intn(8)) / 8})
			if rng.Intn(10) == 0 { // the angles of least width lie between degrees
				feeds = append(feeds, measure.Feed{Angle: a + 0.25, Lying: rng.Float64()})
			}
		}
		tolerance := float64(rng.Intn(12))
		got := lyingNear(nil, feeds, tolerance)
		for i := range feeds {
			if want := plain(feeds, i, tolerance); got[i] != want {
				t.Fatalf("round %d, %d feeds, tolerance %g: %g at %g degrees, want %g", round, len(feeds), tolerance, got[i], feeds[i].Angle, want)
			}
		}
	}
}

// Numbers are written as the formatting package writes them.
func TestNumbersInWords(t *testing.T) {
	rng := rand.New(rand.NewSource(6))
	for range 2000 {
		v := (rng.Float64() - 0.3) * math.Pow(10, float64(rng.Intn(12)-5))
		for n := range 4 {
			if got, want := fixed(v, n), fmt.Sprintf("%.*f", n, v); got != want {
				t.Fatalf("%v with %d decimals: %q, want %q", v, n, got, want)
			}
			if got, want := digits(v, n+1), fmt.Sprintf("%.*g", n+1, v); got != want {
				t.Fatalf("%v with %d digits: %q, want %q", v, n+1, got, want)
			}
		}
	}
}
