package width

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"burrcast/geom"
)

// TestScratchKeepsNothing holds a field made in used room to one made in new
// room, piece by piece: after larger and smaller regions, after one that was
// traced and after one that was refused.
func TestScratchKeepsNothing(t *testing.T) {
	small := [][]geom.Curve{poly(0, 0, 30, 0, 30, 10, 0, 10)}
	holed := [][]geom.Curve{poly(0, 0, 60, 0, 60, 40, 0, 40), poly(20, 10, 20, 30, 40, 30, 40, 10)}
	crossing := [][]geom.Curve{poly(0, 0, 40, 30, 40, 0, 0, 30)}
	endless := [][]geom.Curve{poly(0, 0, math.NaN(), 0, 5, 5)}
	steps := []struct {
		name   string
		region [][]geom.Curve
	}{
		{"small", small}, {"comb", [][]geom.Curve{combOutline(400)}}, {"holed", holed}, {"crossing", crossing},
		{"small", small}, {"refused", endless}, {"holed", holed}, {"smooth", [][]geom.Curve{smoothOutline(900)}},
		{"jagged", [][]geom.Curve{jaggedOutline(300)}}, {"nothing", nil}, {"small", small},
	}
	var s Scratch
	traced := 0
	for k, step := range steps {
		got, err := s.New(step.region, 0)
		want, wantErr := New(step.region, 0)
		if (err == nil) != (wantErr == nil) {
			t.Fatalf("step %d, %s: error %v, in new room %v", k, step.name, err, wantErr)
		}
		if err != nil {
			continue
		}
		if !got.closed {
			traced++
		}
		if got.closed != want.closed || !slices.Equal(got.pieces, want.pieces) {
			t.Errorf("step %d, %s: %d pieces, closed %v; in new room %d, %v, or others",
				k, step.name, len(got.pieces), got.closed, len(want.pieces), want.closed)
		}
		if !slices.EqualFunc(got.ring, want.ring, slices.Equal[[]int32]) || !slices.EqualFunc(got.rings, want.rings, slices.Equal[[]int32]) {
			t.Errorf("step %d, %s: rings differ from those in new room", k, step.name)
		}
	}
	if traced != 1 {
		t.Errorf("%d regions traced, want the crossing one", traced)
	}
}

// TestScratchGivesBack holds that room for a large region does not outlive the
// next small one, and that room for an ordinary one does.
func TestScratchGivesBack(t *testing.T) {
	small := [][]geom.Curve{poly(0, 0, 30, 0, 30, 10, 0, 10)}
	for _, c := range []struct {
		curves int
		kept   bool
	}{{2000, true}, {40000, false}} {
		var s Scratch
		if _, err := s.New([][]geom.Curve{smoothOutline(c.curves)}, 0); err != nil {
			t.Fatal(err)
		}
		if _, err := s.New(small, 0); err != nil {
			t.Fatal(err)
		}
		if kept := cap(s.field.elems) >= c.curves; kept != c.kept {
			t.Errorf("%d curves: room for %d elements after a small region", c.curves, cap(s.field.elems))
		}
	}
}

// TestSectionsKeepNothing holds sections made in used room to those made in new
// room: every direction, bit for bit.
func TestSectionsKeepNothing(t *testing.T) {
	rng := rand.New(rand.NewPCG(31, 1))
	var s Sections
	for k := range 60 {
		var contours [][]geom.Curve
		switch k % 6 {
		case 2:
			contours = [][]geom.Curve{smoothOutline(100 + 10*k)}
		case 4: // none
		default:
			contours = randomPart(rng, k%2 == 1)
		}
		s.Reset(contours)
		fresh := NewSections(contours)
		for range 20 {
			a := rng.Float64() * math.Pi
			got, at := s.Widest(a)
			want, wantAt := fresh.Widest(a)
			if got != want || at != wantAt {
				t.Fatalf("part %d, feed at %v: %v at %v, in new room %v at %v", k, a, got, at, want, wantAt)
			}
		}
	}
}
