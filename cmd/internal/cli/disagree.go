package cli

import (
	"strings"

	"burrcast/cmd/internal/report"
	"burrcast/rules"
)

// bearing says, of each number on which published sources disagree, whether a
// part of the run hangs on it: whether what the part's report says was decided
// by it. A test holds the list to that of the rules.
var bearing = map[string]func(d *report.Drawing, p *report.Part) bool{
	"smallest hole by laser": func(d *report.Drawing, p *report.Part) bool {
		return cutBy(d, "laser") && finds(p, "hole-thickness", "slot-thickness", "web-thickness")
	},
	"smallest punched hole": func(d *report.Drawing, p *report.Part) bool {
		return cutBy(d, "punch") && finds(p, "hole-thickness")
	},
	"die clearance": func(_ *report.Drawing, p *report.Part) bool { return sets(p, "cut", "die clearance", "per side") },
	"belt speed on stainless": func(_ *report.Drawing, p *report.Part) bool {
		return sets(p, "belt", "belt speed", "stainless", "disagree")
	},
	"burr of a punched edge of 2 mm": func(d *report.Drawing, p *report.Part) bool {
		return cutBy(d, "punch") && p.Burr != nil && strings.Contains(p.Burr.Note, "disagree")
	},
	"radius of 2 mm": func(_ *report.Drawing, p *report.Part) bool {
		return sets(p, "inspect", "edge requirement", "2 mm radius")
	},
	"deburring by hand":        func(_ *report.Drawing, p *report.Part) bool { return p.Time.Hand[1] > 0 && sets(p, "bench", "") },
	"density of 304 stainless": func(_ *report.Drawing, p *report.Part) bool { return sets(p, "lay on", "mass of a piece", "7930") },
	"table of dust indices": func(d *report.Drawing, _ *report.Part) bool {
		return strings.Contains(strings.Join(rules.HazardNotes(d.Hazards), " "), "belongs to 68")
	},
	"ranges of squareness u in ISO 9013": func(_ *report.Drawing, p *report.Part) bool { return sets(p, "cut", "squareness u") },
}

// cutBy reports a drawing that was judged for a process of a kind.
func cutBy(d *report.Drawing, kind string) bool {
	return strings.HasPrefix(d.Input("process").Value, kind)
}

func finds(p *report.Part, names ...string) bool {
	for _, f := range p.Findings {
		for _, name := range names {
			if f.Rule == name {
				return true
			}
		}
	}
	return false
}

// sets reports a step of a part's route that gives a setting whose source has
// all of some words; without a name the step alone.
func sets(p *report.Part, step, setting string, words ...string) bool {
	for _, s := range p.Route {
		if s.Step != step {
			continue
		}
		if setting == "" {
			return true
		}
		for _, set := range s.Settings {
			all := strings.HasPrefix(set.Name, setting)
			for _, w := range words {
				all = all && strings.Contains(set.Source, w)
			}
			if all {
				return true
			}
		}
	}
	return false
}

// disagreements gathers, over a run, the parts that hang on numbers on which
// sources disagree.
type disagreements struct {
	parts map[string]int
}

func (g *disagreements) add(d *report.Drawing) {
	if g.parts == nil {
		g.parts = map[string]int{}
	}
	for i := range d.Parts {
		for about, bears := range bearing {
			if bears(d, &d.Parts[i]) {
				g.parts[about]++
			}
		}
	}
}

// list is what to tell of them, in the rules' order.
func (g *disagreements) list() []report.Disagreement {
	var out []report.Disagreement
	for _, d := range rules.Disagreements() {
		if n := g.parts[d.About]; n > 0 {
			out = append(out, report.Disagreement{About: d.About, Says: d.Says, Used: d.Used, Parts: n})
		}
	}
	return out
}
