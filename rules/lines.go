package rules

import (
	"slices"

	"burrcast/analyze/measure"
)

// LineVerdict is how one part does on one line.
type LineVerdict struct {
	Line      string
	Judgement Judgement
}

// CompareLines judges a part on every line of the shop, in order of their names.
// Its reach must have been measured for AllTools.
func CompareLines(d measure.Drawing, p measure.Part, job Job, shop Shop) ([]LineVerdict, error) {
	var verdicts []LineVerdict
	for _, name := range shop.LineNames() {
		job.Line = Given{Value: name, Source: "comparison"}
		j, err := Judge(d, p, job, shop)
		if err != nil {
			return nil, err
		}
		verdicts = append(verdicts, LineVerdict{name, j})
	}
	return verdicts, nil
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
