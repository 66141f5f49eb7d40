package rules

import (
	"errors"
	"strings"
	"testing"
)

func TestEdge(t *testing.T) {
	s := DefaultShop()
	for _, c := range []struct {
		written, notation string
		lower, upper      float64
		allowed, takes    float64
		explain           string
	}{
		{"+0.1", "+0.1", 0, 0.1, 0.1, 0, "burr up to 0.1 mm allowed"},
		{"+0,05", "+0.05", 0, 0.05, 0.05, 0, "sharp edge"},
		{"-0.3", "-0.3", -0.3, 0, 0, 0, "no burr; edge taken off by up to 0.3 mm"},
		{"−0.3", "-0.3", -0.3, 0, 0, 0, "no burr"},
		{"-0.3/-0.5", "-0.3/-0.5", -0.5, -0.3, 0, 0.3, "taken off by 0.3 mm to 0.5 mm"},
		{"-0.5/-0.3", "-0.3/-0.5", -0.5, -0.3, 0, 0.3, ""},
		{"±0.1", "±0.1", -0.1, 0.1, 0.1, 0, "burr up to 0.1 mm or edge taken off by up to 0.1 mm"},
		{"+/-0.02", "±0.02", -0.02, 0.02, 0.02, 0, "sharp edge"},
		{"+0.3/+0.1", "+0.3/+0.1", 0.1, 0.3, 0.3, 0, "burr between 0.1 mm and 0.3 mm"},
		{"+0.1/-0.3", "+0.1/-0.3", -0.3, 0.1, 0.1, 0, "burr up to 0.1 mm or edge taken off by up to 0.3 mm"},
		{"ISO 13715 -0.3", "-0.3", -0.3, 0, 0, 0, ""},
		{"DIN ISO 13715: +0.1", "+0.1", 0, 0.1, 0.1, 0, ""},
		{"R0.5", "", 0, 0, 0, 0.5, "radius at least 0.5 mm"},
		{"radius 0.3-0.5", "", 0, 0, 0, 0.3, "radius 0.3 mm to 0.5 mm"},
		{"0.4x45°", "-0.4", -0.4, -0.2, 0, 0.2, "taken off by 0.2 mm to 0.4 mm"},
		{"safe to handle", "-0.1/-0.3", -0.3, -0.1, 0, 0.1, "both sides"},
		{"Kanten brechen", "-0.1/-0.3", -0.3, -0.1, 0, 0.1, "both sides"},
		{"safe-to-handle", "-0.1/-0.3", -0.3, -0.1, 0, 0.1, "both sides"},
		{"P2", "", 0, 0, 0, 0, "preparation grade P2"},
		{"ISO 8501-3 P3", "", 0, 0, 0, 2, "2 mm"},
		{"paint", "", 0, 0, 0, 0.3, "edges will be coated"},
		{"grained", "-0.1/-0.3", -0.3, -0.1, 0, 0.1, "grain of P240"},
	} {
		e, err := s.Edge(c.written)
		if err != nil {
			t.Error(err)
			continue
		}
		if e.Notation != c.notation || e.Lower != c.lower || e.Upper != c.upper {
			t.Errorf("%s: %s [%g, %g]", c.written, e.Notation, e.Lower, e.Upper)
		}
		near(t, c.written+": burr allowed", e.BurrAllowed(), c.allowed, 1e-9)
		near(t, c.written+": takes off", e.TakesOff(), c.takes, 1e-9)
		if !strings.Contains(e.Explain(), c.explain) || e.Explain() == "" {
			t.Errorf("%s: %q lacks %q", c.written, e.Explain(), c.explain)
		}
		if e.Source == "" || e.Provenance == "" || e.Sides == "" {
			t.Errorf("%s: no source or side: %+v", c.written, e)
		}
		// The canonical notation reads as itself.
		if e.Notation != "" && e.Upper != -0.2 {
			again, err := s.Edge(e.Notation)
			if err != nil || again.Lower != e.Lower || again.Upper != e.Upper {
				t.Errorf("%s: read again %+v, %v", e.Notation, again, err)
			}
		}
	}
}

func TestEdgeErrors(t *testing.T) {
	s := DefaultShop()
	for _, v := range []string{"burr-free", "Burr free", "gratfrei", "deburr", "sans bavures", "senza bave", "sin rebabas"} {
		if _, err := s.Edge(v); !errors.Is(err, ErrVagueEdge) {
			t.Errorf("%q: %v", v, err)
		}
	}
	for v, want := range map[string]string{"": "empty", "0.3": "neither", "+": "neither", "-0": "nor a size", "+0/-0": "nor a size", "+50": "nor a size",
		"safe-to-handel": `did you mean "safe-to-handle"?`, "R0": "above 0", "R0.5-0.3": "low first", "P4": "neither", "-0.3/0.5": "neither", "+1e9": "neither"} {
		_, err := s.Edge(v)
		if err == nil || errors.Is(err, ErrVagueEdge) || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %q in it", v, err, want)
		}
	}
	// The radius of grade P3 is not one of P2, which sources often confuse.
	p2, _ := s.Edge("P2")
	p3, _ := s.Edge("P3")
	if p2.TakesOff() != 0 || p3.TakesOff() != 2 || !strings.Contains(p2.Source, "belongs to P3") {
		t.Errorf("P2 %+v, P3 %+v", p2, p3)
	}
}

func TestEdgeChoices(t *testing.T) {
	choices := DefaultShop().EdgeChoices()
	if len(choices) < 3 {
		t.Fatalf("%d readings of burr-free", len(choices))
	}
	s := plain()
	s.job.Edge = given("burr-free")
	j := s.judge(t)
	for _, q := range j.Questions {
		if q.Input == "edge" {
			for _, c := range choices {
				if !strings.Contains(q.Text, c.Preset) {
					t.Errorf("question does not offer %s: %s", c.Preset, q.Text)
				}
			}
			if !strings.Contains(q.Text, `"burr-free"`) {
				t.Errorf("question does not quote what was said: %s", q.Text)
			}
		}
	}
	costs, err := EdgeCosts(s.d, s.p, s.job, s.shop)
	if err != nil || len(costs) != len(choices) {
		t.Fatalf("%d costs, %v", len(costs), err)
	}
	first, last := costs[0], costs[len(costs)-1]
	if !(last.LineTime.Low > first.LineTime.Low) {
		t.Errorf("both sides (%v s) must take longer than one (%v s)", last.LineTime, first.LineTime)
	}
}

// What is read without searching is read as by searching.
func TestPlainNotation(t *testing.T) {
	plain := 0
	for _, text := range []string{"+0.1", "-0.3", "-0.1/-0.3", "+0.1/-0.3", "+0.3/+0.1", "-2.5", "+10", "+0.05/-0.05", // plain
		"-10.5", "0.1", "+.1", "-0.30", "-0.3/-0.1", "+0", "-0/-0.3", "+0.1/+0.1", "+1e1", "-", "+", "", "-0.3/", "-0.3/x",
		" -0.3", "-0.3 mm", "+0,1", "±0.1", "iso 13715 -0.3", "-0x1", "+1_0", "-Inf"} {
		fast, ok := plainISO13715(text)
		if !ok {
			continue
		}
		plain++
		slow, err := parseISO13715(" " + text) // the space sends it the long way
		slow.Written = fast.Written
		if err != nil || slow != fast {
			t.Errorf("%q: %+v, the long way %+v, %v", text, fast, slow, err)
		}
	}
	if plain != 8 {
		t.Errorf("%d of the sizes are plain, want 8", plain)
	}
}
