package analyze

import (
	"burrcast/analyze/measure"
	"burrcast/geom/contour"
)

// tellProblems tells what the contours themselves show to be wrong, each with
// its place and what to do about it.
func (a *analysis) tellProblems() {
	for i := range a.built.Problems {
		p := &a.built.Problems[i]
		text, do := p.Text, ""
		switch p.Code {
		case "crossing":
			text, do = a.crossing(p)
			a.res.Drawing.Crossings = append(a.res.Drawing.Crossings, measure.Place{At: p.At, Text: text, Mend: do})
		case "touching":
			do = "leave a web of at least the thickness, or join both into one contour"
			if text == "a contour touches itself" {
				do = "leave a web of at least the thickness, or draw it as two contours"
			}
		case "overlap":
			do = "delete it, or draw it with a width"
		case "gap-cluster":
			do = "draw there with ends that meet, or allow a smaller gap"
		}
		if do != "" {
			do = "; " + do
		}
		a.say(p.Code, a.line(p.Sources), "%s at %s%s", text, at(p.At), do)
	}
}

// crossing tells what crosses what: an outline or a cut-out with itself, two
// cut-outs, a cut-out and the outline of its part, or two parts that overlap.
func (a *analysis) crossing(p *contour.Problem) (text, do string) {
	if p.Text != "two contours cross" || len(p.Sources) < 2 {
		return p.Text, "redraw the loop there so that no line crosses another, or trim both lines at the crossing"
	}
	c, d, ok := a.contoursAt(p.Sources[0], p.Sources[1])
	switch {
	case !ok:
		return p.Text, "trim both there and join them into one contour, or move one"
	case c.Region != d.Region && c.Cutout < 0 && d.Cutout < 0:
		a.overlapping = append(a.overlapping, [2]int{c.Region, d.Region})
		return "two parts overlap", "move one of them by more than the width of the cut"
	case c.Region != d.Region:
		a.overlapping = append(a.overlapping, [2]int{c.Region, d.Region})
		return "a part crosses a cut-out of another", "move one of them"
	case c.Cutout >= 0 && d.Cutout >= 0:
		return "two cut-outs cross", "join them into one contour, or move one"
	}
	return "a cut-out crosses the outline", "trim both there and join them into one outline, or move the cut-out"
}

// contoursAt returns the contours that two sources belong to.
func (a *analysis) contoursAt(s, t int) (c, d contour.Place, ok bool) {
	c, ok = a.contourOf(s)
	if !ok {
		return c, d, false
	}
	d, ok = a.contourOf(t)
	return c, d, ok && c != d
}

func (a *analysis) contourOf(source int) (contour.Place, bool) {
	if source < 0 {
		return contour.Place{}, false
	}
	if head, ok := a.refits.head[source]; ok {
		source = head
	}
	for _, i := range a.owner[source] {
		for k, c := range contoursOf(&a.built.Regions[i]) {
			for _, s := range c.Sources {
				if s == source {
					return contour.Place{Region: i, Cutout: k - 1}, true
				}
			}
		}
	}
	return contour.Place{}, false
}
