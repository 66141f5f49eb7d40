package report

import "fmt"

// Place is where a finding stands, with the number that pictures give its rule.
type Place struct {
	Number int
	Finding
}

// Places lists the findings of a part that have a place of their own, in the
// order of their numbers.
func Places(p *Part) []Place {
	var out []Place
	for i, g := range byRule(p.Findings) {
		for k := range g {
			if placed(&g[k]) {
				out = append(out, Place{Number: i + 1, Finding: g[k]})
			}
		}
	}
	return out
}

// markedAnew tells that the marked drawing is not the drawing's own file.
func (d *Drawing) markedAnew() string {
	if d.MarkedAnew == "" {
		return ""
	}
	return "its marked drawing is written anew, not the original file: " + d.MarkedAnew
}

// LegendLines say in short lines what a part needs and what its numbers mean.
func LegendLines(p *Part) []string {
	out := []string{fmt.Sprintf("%s: %s, %s, %s x %s mm", p.ID, p.Treatment, plural(p.Quantity, "piece"),
		short(float64(p.BBox[0])), short(float64(p.BBox[1])))}
	for i, g := range byRule(p.Findings) {
		line := fmt.Sprintf("%d  %s (%s)", i+1, g[0].Rule, g[0].Treatment)
		switch {
		case len(g) > 1:
			line += ", " + plural(len(g), "place")
		case !placed(&g[0]):
			line += ", the whole part"
		}
		if n := numbers(&g[0]); n != "" {
			line += ": " + n
		}
		out = append(out, line)
		if g[0].Do != "" {
			out = append(out, "   do: "+sentence(clean(g[0].Do)))
		}
	}
	return out
}
