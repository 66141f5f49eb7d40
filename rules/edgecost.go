package rules

import "burrcast/analyze/measure"

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
	feed := b.chooseFeed()
	painted, fed, hold := b.Painted, b.feed, b.hold
	var costs []EdgeCost
	for _, e := range shop.EdgeChoices() {
		b.job.Edge = Given{Value: e.Preset, Source: "choice"}
		b.Edge, b.EdgeKnown, b.Painted = e, true, painted || e.Painted
		b.findings = b.findings[:0]
		if b.choice, b.feed, b.hold = feed, fed, hold; e.Grain != "" { // which limits the angle
			b.choice = b.chooseFeed()
		}
		j := b.judge()
		costs = append(costs, EdgeCost{e, j.Treatment, j.LineTime, j.HandTime, j.Cost})
	}
	return costs, nil
}
