package rules

import (
	"fmt"
	"testing"
	"time"

	"burrcast/analyze/measure"
)

// Judging grows with the number of places, not with its square: a sieve of
// 20,000 small square holes, each with four corners, all of them findings.
func TestJudgingGrowsLinearly(t *testing.T) {
	sieve := func(n int) situation {
		s := plain()
		s.p.Cutouts = s.p.Cutouts[:0]
		for i := range n {
			c := hole(fmt.Sprintf("C%d", i+1), 1.2)
			c.Kind, c.Corners = measure.Window, 4
			s.p.Cutouts = append(s.p.Cutouts, c)
			for k := range 4 {
				s.p.Corners = append(s.p.Corners, measure.Corner{ID: fmt.Sprintf("K%d", 4*i+k+1), Contour: c.ID, Angle: 90, Side: measure.Void})
			}
		}
		return s
	}
	took := func(n int) time.Duration {
		s, best := sieve(n), time.Duration(1<<62)
		for range 3 {
			start := time.Now()
			if n := len(s.judge(t).Findings); n == 0 {
				t.Fatal("no findings")
			}
			best = min(best, time.Since(start))
		}
		return best
	}
	few, many := took(2000), took(20000)
	if many > 40*few {
		t.Errorf("2,000 holes take %v, 20,000 take %v", few, many)
	}
	t.Logf("2,000 holes: %v, 20,000: %v", few, many)
}
