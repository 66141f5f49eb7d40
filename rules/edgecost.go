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
	var costs []EdgeCost
	var like *judging
	for _, e := range shop.EdgeChoices() {
		job.Edge = Given{Value: e.Preset, Source: "choice"}
		b, j, err := judgePart(d, p, job, shop, like)
		if err != nil {
			return nil, err
		}
		like = b
		costs = append(costs, EdgeCost{e, j.Treatment, j.LineTime, j.HandTime, j.Cost})
	}
	return costs, nil
}
