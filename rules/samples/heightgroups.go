package samples

import (
	"cmp"
	"slices"
	"time"

	"burrcast/rules"
)

// HeightGroup is the burr heights as cut of one process, family and thickness.
type HeightGroup struct {
	Process, Family string
	Thickness       float64 // mm
	Fit             HeightFit
	Date            time.Time // of the last

	Forecast rules.Range // of the shop's process without samples; valid if Known
	Known    bool
	Inside   int // heights inside it

	Settled bool
	Why     string
	More    int // heights that are lacking
}

// heightGroups sorts heights as cut by process, material family and thickness.
// Places whose process, material or thickness is not written say nothing here.
func heightGroups(all []Sample, shop rules.Shop) []HeightGroup {
	type key struct {
		process, family string
		thickness       float64
	}
	heights := map[key][]float64{}
	dates := map[key]time.Time{}
	material := map[key]string{}
	var keys []key
	for _, s := range all {
		h, ok := s.Cut.Get()
		t, known := s.Thickness.Get()
		if !ok || !known || s.Process == "" || s.Family == "" {
			continue
		}
		k := key{s.Process, s.Family, t}
		if _, seen := heights[k]; !seen {
			keys = append(keys, k)
			material[k] = s.Material
		}
		heights[k] = append(heights[k], h)
		if s.Date.After(dates[k]) {
			dates[k] = s.Date
		}
	}
	slices.SortFunc(keys, func(a, b key) int {
		return cmp.Or(cmp.Compare(a.process, b.process), cmp.Compare(a.family, b.family), cmp.Compare(a.thickness, b.thickness))
	})
	var out []HeightGroup
	for _, k := range keys {
		g := HeightGroup{Process: k.process, Family: k.family, Thickness: k.thickness, Fit: FitHeights(heights[k]), Date: dates[k]}
		g.Settled, g.Why = g.Fit.Settled()
		g.More = max(0, LeastHeights-g.Fit.N)
		plain := *shop.Processes[k.process]
		plain.Sampled = nil // against the forecast, not against what was fitted before
		if m, err := shop.Material(material[k]); err == nil {
			if b := rules.ForecastBurr(k.process, &plain, m, k.thickness); b != nil {
				g.Forecast, g.Known = rules.Range{Low: b.Low, High: b.High}, true
				for _, h := range heights[k] {
					if h >= b.Low && h <= b.High {
						g.Inside++
					}
				}
			}
		}
		out = append(out, g)
	}
	return out
}
