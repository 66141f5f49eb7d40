package rules

import (
	"slices"

	"burrcast/analyze/measure"
)

// EdgeCost is what one reading of "burr-free" would mean for a part.
type EdgeCost struct {
	Edge      Edge
	Treatment Treatment
	LineTime  Range // seconds per piece
	HandTime  Range // seconds per piece
	Cost      Range // in the shop's currency, per piece
}

// EdgeCosts judges a part once for each of the shop's EdgeChoices, so that a
// customer who wrote "burr-free" can choose by the price.
func EdgeCosts(d measure.Drawing, p measure.Part, job Job, shop Shop) ([]EdgeCost, error) {
	job.Edge = Given{}
	in, err := Resolve(job, shop)
	if err != nil {
		return nil, err
	}
	b := newJudging(in, d, p, job, shop)
	b.choice = b.chooseFeed()
	b.run(func(r *Rule) bool { return !r.edge })
	same := *b
	var costs []EdgeCost
	for _, e := range shop.EdgeChoices() {
		*b = same
		b.job.Edge = Given{Value: e.Preset, Source: "choice"}
		b.Edge, b.EdgeKnown, b.Painted = e, true, same.Painted || e.Painted
		b.unjudged = nil
		if e.Grain == "" {
			b.findings, b.verdicts = slices.Clone(same.findings), slices.Clone(same.verdicts)
			b.run(func(r *Rule) bool { return r.edge })
		} else { // it limits the feed angle
			b.findings, b.verdicts = nil, make([]Verdict, len(rows()))
			b.choice = b.chooseFeed()
			b.run(func(*Rule) bool { return true })
		}
		j := b.conclude()
		costs = append(costs, EdgeCost{e, j.Treatment, j.LineTime, j.HandTime, j.Cost})
	}
	return costs, nil
}
