package rules

import (
	"slices"
	"strings"

	"burrcast/analyze/measure"
)

// LineVerdict is how one part does on one line.
type LineVerdict struct {
	Line      string
	Judgement Judgement
}

// CompareLines judges a part on every line of the shop, in order of their names:
// findings, times and costs, without route and questions.
// Its reach must have been measured for AllTools.
func CompareLines(d measure.Drawing, p measure.Part, job Job, shop Shop) ([]LineVerdict, error) {
	var verdicts []LineVerdict
	for _, name := range shop.LineNames() {
		job.Line = Given{Value: name, Source: "comparison"}
		_, j, err := judgePart(d, p, job, shop)
		if err != nil {
			return nil, err
		}
		verdicts = append(verdicts, LineVerdict{name, j})
	}
	return verdicts, nil
}

// elsewhere names the shop's other lines that would do what this one does not;
// "" if none would, so that the rule's own advice stands.
func (b *judging) elsewhere(r *Rule, would func(*LineSpec) bool) string {
	names := b.otherLines(would)
	if names == "" {
		return ""
	}
	return r.Do + "; in this shop: " + names
}

// otherLines names the shop's other lines that would do something.
func (b *judging) otherLines(would func(*LineSpec) bool) string {
	var names []string
	for _, name := range b.shop.LineNames() {
		if name != b.LineName && would(b.shop.Lines[name]) {
			names = append(names, name)
		}
	}
	return strings.Join(names, ", ")
}

// takes reports whether a line takes the part's size and thickness at some angle.
func (b *judging) takes(l *LineSpec) bool {
	if b.ThicknessKnown && (b.Thickness.MM < l.Thickness[0] || b.Thickness.MM > l.Thickness[1]) {
		return false
	}
	feeds, _ := b.feeds()
	return slices.ContainsFunc(feeds, func(f measure.Feed) bool {
		return f.Length >= l.Length[0] && f.Length <= l.Length[1] && f.Width >= l.LeastWidth && f.Width <= l.Width
	})
}

// AllTools lists the bundle diameters of every line's brushes, in mm, ascending.
func (s Shop) AllTools() []float64 {
	var tools []float64
	for _, name := range s.LineNames() {
		tools = append(tools, s.Tools(name)...)
	}
	slices.Sort(tools)
	return slices.Compact(tools)
}
