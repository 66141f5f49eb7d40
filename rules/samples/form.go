package samples

import (
	"cmp"
	"math"
	"slices"

	"burrcast/rules"
)

// Candidate is a place that an inspector could be sent to.
type Candidate struct {
	Source  int // which part it is on; the caller's own number
	Pieces  int // of that part
	Place   rules.SampledPlace
	Chance  float64 // forecast of clean
	Control bool    // picked as a clear case
}

// Rows of a form for one rule: places where the forecast is not sure, and clear
// cases on either side, which show whether inspection and drawing agree at all.
// 18 and 6 make two forms more than LeastSamples.
const (
	unsureRows  = 18
	controlRows = 3 // on either side
	clear       = 0.95
	farthestOff = 4 // times its limit, or a fourth of it: beyond that nobody learns anything
)

// PiecesToTake lists the numbers of the pieces of a lot to inspect: the first,
// the middle and the last, since brushes wear and sheets warm up in between.
func PiecesToTake(pieces int) []int {
	switch {
	case pieces <= 1:
		return []int{1}
	case pieces == 2:
		return []int{1, 2}
	}
	return []int{1, (pieces + 1) / 2, pieces}
}

// PickForm picks the places of a form among candidates: for every rule those
// whose chance is nearest to one half until there are enough rows, then the
// clear cases nearest to clear, either way. Of equal places on one part two are
// enough. A choice among all candidates is the same as one among the choices
// from two halves of them, so a long run need not keep them all.
//
// Sampling near the limit is what narrows it: see More and Next.
func PickForm(all []Candidate) []Candidate {
	var picked []Candidate
	for _, k := range rules.SampledRules() {
		var unsure []Candidate
		var sides [2][]Candidate // clear burr, clear clean
		for _, c := range all {
			switch {
			case c.Place.Rule != k.Name || math.Abs(math.Log(c.Place.Measured/c.Place.Limit)) > math.Log(farthestOff):
			case c.Chance >= clear:
				sides[1] = append(sides[1], c)
			case c.Chance <= 1-clear:
				sides[0] = append(sides[0], c)
			default:
				unsure = append(unsure, c)
			}
		}
		picked = append(picked, fill(unsure, unsureRows, false)...)
		for _, side := range sides {
			picked = append(picked, fill(side, controlRows, true)...)
		}
	}
	slices.SortStableFunc(picked, func(a, b Candidate) int {
		return cmp.Or(cmp.Compare(a.Source, b.Source), cmp.Compare(len(a.Place.Feature), len(b.Place.Feature)), cmp.Compare(a.Place.Feature, b.Place.Feature))
	})
	return picked
}

// fill takes the least sure candidates first until they fill so many rows.
func fill(list []Candidate, rows int, control bool) []Candidate {
	slices.SortStableFunc(list, func(a, b Candidate) int {
		return cmp.Or(cmp.Compare(math.Abs(a.Chance-0.5), math.Abs(b.Chance-0.5)), cmp.Compare(a.Source, b.Source),
			cmp.Compare(len(a.Place.Feature), len(b.Place.Feature)), cmp.Compare(a.Place.Feature, b.Place.Feature))
	})
	type size struct {
		source int
		mm     float64
	}
	seen := map[size]int{}
	var out []Candidate
	for _, c := range list {
		if rows <= 0 {
			break
		}
		k := size{c.Source, math.Round(c.Place.Measured * 100)}
		if seen[k]++; seen[k] > 2 {
			continue
		}
		c.Control = control
		out = append(out, c)
		rows -= len(PiecesToTake(c.Pieces))
	}
	return out
}
