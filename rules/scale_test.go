package rules

import (
	"fmt"
	"testing"
	"time"

	"burrcast/analyze/measure"
)

// Judging grows with the number of places, not with its square: a sieve of
// 60,000 small square holes, each with four corners, all of them findings, is
// judged in a second; pairs of corner and hole would take minutes.
func TestJudgingGrowsLinearly(t *testing.T) {
	if testing.Short() {
		t.Skip("a large part")
	}
	s := plain()
	s.p.Cutouts = nil
	for i := range 60_000 {
		c := hole(fmt.Sprintf("C%d", i+1), 1.2)
		c.Kind, c.Corners = measure.Window, 4
		s.p.Cutouts = append(s.p.Cutouts, c)
		for k := range 4 {
			s.p.Corners = append(s.p.Corners, measure.Corner{ID: fmt.Sprintf("K%d", 4*i+k+1), Contour: c.ID, Angle: 90, Side: measure.Void})
		}
	}
	var took time.Duration
	for range 3 { // a busy machine disturbs single ones
		start := time.Now()
		if n := len(findingsOf(s.judge(t), "hole-reach")); n != len(s.p.Cutouts) {
			t.Fatalf("%d findings", n)
		}
		if took = time.Since(start); took < 10*time.Second {
			return
		}
	}
	t.Errorf("60,000 holes take %v", took)
}
