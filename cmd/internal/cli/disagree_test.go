package cli

import (
	"slices"
	"testing"

	"burrcast/cmd/internal/report"
	"burrcast/rules"
)

// Every number on which sources disagree can come up, and each comes up where
// it bears on a part.
func TestBearing(t *testing.T) {
	input := func(name, value string) []report.Input { return []report.Input{{Name: name, Value: value}} }
	route := func(step, setting, source string) report.Part {
		return report.Part{Route: []report.Step{{Step: step, Settings: report.Settings{{Name: setting, Source: source}}}}}
	}
	hole := report.Part{Findings: []report.Finding{{Rule: "hole-thickness"}}}
	bench := route("bench", "", "")
	bench.Time.Hand = report.Range{1, 2}
	cases := map[string]struct {
		d report.Drawing
		p report.Part
	}{
		"smallest hole by laser":             {report.Drawing{Inputs: input("process", "laser-n2")}, hole},
		"smallest punched hole":              {report.Drawing{Inputs: input("process", "punch")}, hole},
		"die clearance":                      {report.Drawing{}, route("cut", "die clearance, total of both sides", "total and per side")},
		"belt speed on stainless":            {report.Drawing{}, route("belt", "belt speed", "stainless steel; sources disagree")},
		"burr of a punched edge of 2 mm":     {report.Drawing{Inputs: input("process", "punch")}, report.Part{Burr: &report.Burr{Note: "sources disagree"}}},
		"radius of 2 mm":                     {report.Drawing{}, route("inspect", "edge requirement", "a 2 mm radius is sometimes tied to P2")},
		"deburring by hand":                  {report.Drawing{}, bench},
		"density of 304 stainless":           {report.Drawing{}, route("lay on", "mass of a piece", "JIS 7930")},
		"table of dust indices":              {report.Drawing{Hazards: []string{"dry", "light-metal"}}, report.Part{}},
		"ranges of squareness u in ISO 9013": {report.Drawing{}, route("cut", "squareness u by ISO 9013", "")},
	}
	var names []string
	for _, d := range rules.Disagreements() {
		names = append(names, d.About)
		c, ok := cases[d.About]
		if !ok || bearing[d.About] == nil {
			t.Errorf("%s: nobody says where it bears", d.About)
			continue
		}
		c.d.Parts = []report.Part{c.p, {}}
		var g disagreements
		g.add(&c.d)
		got := g.list()
		if len(got) != 1 || got[0].About != d.About || !slices.Equal(got[0].Says, d.Says) {
			t.Errorf("%s: told %v", d.About, got)
		}
	}
	for about := range bearing {
		if !slices.Contains(names, about) {
			t.Errorf("%s: the rules do not know it", about)
		}
	}
	var quiet disagreements
	quiet.add(&report.Drawing{Parts: []report.Part{{}}})
	if len(quiet.list()) > 0 {
		t.Errorf("a part that hangs on none: %v", quiet.list())
	}
}
