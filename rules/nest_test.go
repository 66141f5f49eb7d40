package rules

import (
	"strings"
	"testing"

	"burrcast/analyze/measure"

	"github.com/golang/geo/r2"
)

// beside puts another part so many mm away in the sheet.
func (s *situation) beside(gap float64) {
	s.d.Nearest = []measure.Apart{{Parts: [2]string{"P0", "P1"}, Distance: measure.Of(gap, 0)}}
}

// hung hangs the part in its sheet on two joints of a width.
func (s *situation) hung(width float64) {
	s.p.HeldBy = 2
	for _, id := range []string{"J1", "J2"} {
		s.p.Joints = append(s.p.Joints, measure.Joint{ID: id, Contour: "O", Gap: measure.Of(width, 0)})
	}
}

// bent puts a bend so many mm beside a hole.
func (s *situation) bent(gap float64) {
	s.p.Bends = []measure.Bend{{ID: "B1", Length: measure.Of(150, 0), Cutout: "C1", Gap: measure.Of(gap, 0)}}
}

// Between the two schools a strip of sheet is brushed and looked at; one cut for
// two parts is no strip; the witness on the part itself is the place.
func TestPartsNear(t *testing.T) {
	for _, c := range []struct {
		gap             float64
		verdict         Verdict
		measured, limit float64
	}{{0, NotApplicable, 0, 0}, {1.2, Fail, 0.6, 0.7}, {1.6, Fail, 0.8, 1}, {2, Pass, 0, 0}} {
		s := plain()
		s.beside(c.gap)
		s.d.Nearest[0].Distance = s.d.Nearest[0].Distance.Seen(measure.Witness{A: r2.Point{X: -1}, B: r2.Point{X: 3}, Points: true})
		j := s.judge(t)
		if v := j.Verdicts["parts-near"]; v != c.verdict {
			t.Errorf("%g mm apart: verdict %d, want %d", c.gap, v, c.verdict)
		}
		for _, f := range findingsOf(j, "parts-near") {
			near(t, "measured", f.Measured, c.measured, 1e-12)
			near(t, "limit", f.Limit, c.limit, 1e-12)
			if f.At.X != 3 {
				t.Errorf("found at %v, on the other part", f.At)
			}
		}
	}
}

// A bend that runs into a cut-out was given a relief; the route says how the
// burr is to lie, and from which height on no belt passes.
func TestBends(t *testing.T) {
	s := plain()
	s.bent(0)
	s.p.Bends[0].Flange = measure.Of(12, 0)
	j := s.judge(t)
	if v := j.Verdicts["bend-edge"]; v != Pass {
		t.Errorf("relief: verdict %d", v)
	}
	for _, step := range j.Route {
		if step.Step == "bend" {
			text := ""
			for _, v := range step.Settings {
				text += v.Name + " " + v.Value + "; "
			}
			if !strings.Contains(text, "burr side to the inside") || !strings.Contains(text, "narrowest flange 12 mm") {
				t.Errorf("step bend says %q", text)
			}
			return
		}
	}
	t.Error("no step for the bend")
}

// Joints drawn at a part that needs holding hold it, so that it runs in its
// sheet; where they are too weak for that nobody says so.
func TestJointsHold(t *testing.T) {
	for width, want := range map[float64]bool{1: true, 0.001: false} {
		s := plain()
		s.p = plate(40, 30, 0, 0)
		s.hung(width)
		j := s.judge(t)
		fs := findingsOf(j, "part-length")
		if len(fs) != 1 {
			t.Fatalf("joints of %g mm: %+v", width, j.Findings)
		}
		if got := strings.Contains(fs[0].Do, "finish it in its sheet"); got != want {
			t.Errorf("joints of %g mm: %q", width, fs[0].Do)
		}
	}
}
