package rules

import (
	"strings"
	"testing"

	"burrcast/analyze/measure"
)

// Each reading's price is that of the part judged under it from the start.
func TestEdgeCostsAreJudgements(t *testing.T) {
	shop := DefaultShop()
	for name, p := range map[string]measure.Part{"plate": plate(200, 150, 5, 4), "small": plate(30, 20, 2, 1), "long": plate(2500, 860, 5, 4)} {
		for _, line := range shop.LineNames() {
			for _, process := range []string{"laser-o2", "plasma", ""} {
				job := order("S235", "2", process, "burr-free")
				job.Line = given(line)
				costs, err := EdgeCosts(measure.Drawing{}, p, job, shop)
				if err != nil || len(costs) != 4 {
					t.Fatalf("%d readings, %v", len(costs), err)
				}
				for _, c := range costs {
					job.Edge = given(c.Edge.Preset)
					j, err := Judge(measure.Drawing{}, p, job, shop)
					if err != nil {
						t.Fatal(err)
					}
					if c.Treatment != j.Treatment || c.LineTime != j.LineTime || c.HandTime != j.HandTime || c.Cost != j.Cost {
						t.Errorf("%s, %s, %s, %s: %+v, judged %d %v %v %v", name, line, process, c.Edge.Preset, c, j.Treatment, j.LineTime, j.HandTime, j.Cost)
					}
				}
			}
		}
	}
}

// What does not hang on the edge requirement is judged alike under every reading.
func TestWhatHangsOnTheEdge(t *testing.T) {
	for name, c := range ruleCases {
		for _, set := range []func(*situation){c.pass, c.fail} {
			s := plain()
			set(&s)
			s.job.Edge = Given{}
			costs, err := EdgeCosts(s.d, s.p, s.job, s.shop)
			if err != nil {
				t.Fatal(err)
			}
			verdicts := map[string]map[Verdict]bool{}
			for _, e := range costs {
				s.job.Edge = given(e.Edge.Preset)
				j := s.judge(t)
				if e.Treatment != j.Treatment || e.Cost != j.Cost || e.LineTime != j.LineTime || e.HandTime != j.HandTime {
					t.Errorf("%s, %s: %+v, judged %d %v", name, e.Edge.Preset, e, j.Treatment, j.Cost)
				}
				for rule, v := range j.Verdicts {
					if verdicts[rule] == nil {
						verdicts[rule] = map[Verdict]bool{}
					}
					verdicts[rule][v] = true
				}
			}
			for rule, seen := range verdicts {
				if len(seen) > 1 && !ruleNamed(rule).edge {
					t.Errorf("%s: %s hangs on the edge requirement", name, rule)
				}
			}
		}
	}
}

// A shop's own presets are what the question offers.
func TestChoicesAreTheShops(t *testing.T) {
	shop, err := LoadShop("own.toml", []byte("[edge.no-burr-felt]\nnotation = \"+0.02\"\n"))
	if err != nil {
		t.Fatal(err)
	}
	if e := shop.EdgeChoices()[1]; e.Preset != "no-burr-felt" || e.Upper != 0.02 {
		t.Errorf("choice %+v", e)
	}
	s := plain()
	s.shop, s.job.Edge = shop, Given{}
	for _, q := range s.judge(t).Questions {
		if q.Input == "edge" && strings.Contains(q.Text, "0.02 mm") {
			return
		}
	}
	t.Error("the question does not offer the shop's size")
}

func BenchmarkEdgeCosts(b *testing.B) {
	p, shop, job := plate(100, 60, 5, 4), DefaultShop(), order("1.4301", "2", "laser-n2", "")
	for b.Loop() {
		if _, err := EdgeCosts(measure.Drawing{}, p, job, shop); err != nil {
			b.Fatal(err)
		}
	}
}
