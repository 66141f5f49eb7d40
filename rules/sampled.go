package rules

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"time"

	"burrcast/analyze/measure"

	"github.com/golang/geo/r2"
)

// SampledRule is a rule whose limit can be fitted to inspected places.
type SampledRule struct {
	Name      string
	Sense     float64 // +1: a larger measure comes cleaner; -1: a smaller one
	Filaments bool    // the limit goes with the diameter of the brush's filament
}

// SampledRules lists the rules whose limits can be fitted, in the order of lists:
// those that judge one place by one measure of it.
func SampledRules() []SampledRule {
	return []SampledRule{
		{"hole-reach", 1, true}, {"slot-reach", 1, true}, {"notch-reach", 1, true}, {"corner-reach", -1, false},
		{"hole-thickness", 1, false}, {"slot-thickness", 1, false}, {"web-thickness", 1, false},
	}
}

// FittedLimit is a limit of one rule on one line, fitted to inspected places.
type FittedLimit struct {
	Limit     float64 `toml:"limit"`     // in the rule's unit
	Interval  Span    `toml:"interval"`  // of it, 95 %
	Share     float64 `toml:"share"`     // of places that come clean at the limit
	Steepness float64 `toml:"steepness"` // of the chance over the measure's logarithm
	Filament  float64 `toml:"filament"`  // mm, of the brush sampled; 0: the limit does not go with it
	Samples   int     `toml:"samples"`
	Date      string  `toml:"date"` // of the last sample, 2006-01-02
}

// SampledBurr is a burr height fitted to a shop's own measured heights. It
// stands before the rows of the process's forecast.
type SampledBurr struct {
	Families  []string `toml:"families"`  // none: all
	Thickness float64  `toml:"thickness"` // mm; within a twentieth of it
	Height    Span     `toml:"height"`    // mm, of the next height, 95 %
	Samples   int      `toml:"samples"`
	Date      string   `toml:"date"`
}

func (f *FittedLimit) words() string {
	return fmt.Sprintf("%d samples up to %s, 95 %% interval %.4g to %.4g", f.Samples, f.Date, f.Interval[0], f.Interval[1])
}

// FittedOn returns the limit of a rule that was fitted to samples of a line, in
// the rule's unit and for the brush that the line has now.
func (s Shop) FittedOn(line, rule string) (FittedLimit, bool) {
	f := s.Fitted[s.LineName(line)][rule]
	if f == nil {
		return FittedLimit{}, false
	}
	out := *f
	if now, ok := s.FinestBrush(line); ok && f.Filament > 0 && now.Filament > 0 {
		by := now.Filament / f.Filament
		out.Limit, out.Filament = out.Limit*by, now.Filament
		out.Interval = Span{by * f.Interval[0], by * f.Interval[1]}
	}
	return out, true
}

// FinestBrush returns the head of a line whose bundle is the finest.
func (s Shop) FinestBrush(line string) (Head, bool) {
	l, err := s.Line(line)
	if err != nil {
		return Head{}, false
	}
	var best Head
	found := false
	for _, h := range l.Heads {
		if d := s.bundle(h); d > 0 && (!found || d < s.bundle(best)) {
			best, found = h, true
		}
	}
	if found && best.Filament == 0 { // strips that bend together are one thick filament
		best.Filament = best.Bundle
	}
	return best, found
}

// OnLine is the shop with the limits that were fitted to a line in place of its
// general ones: what was seen on this line counts more.
func (s Shop) OnLine(line string) Shop {
	line = s.LineName(line)
	if len(s.Fitted[line]) == 0 {
		return s
	}
	limits := maps.Clone(s.Limits)
	if limits == nil {
		limits = map[string]float64{}
	}
	for _, rule := range sortedKeys(s.Fitted[line]) {
		if f, ok := s.FittedOn(line, rule); ok {
			limits[rule] = f.Limit
		}
	}
	s.Limits = limits
	return s
}

// fittedBurr replaces the heights of a forecast by the shop's own.
func (p *Process) fittedBurr(b *Burr, m Material, thickness float64) {
	for _, row := range p.Sampled {
		if len(row.Families) > 0 && !slices.Contains(row.Families, m.Family) || math.Abs(thickness-row.Thickness) > row.Thickness/20 {
			continue
		}
		b.Low, b.High = row.Height[0], row.Height[1]
		b.Note = ""
		b.Source, b.Provenance = fmt.Sprintf("%d heights measured up to %s, range of the next one, 95 %%", row.Samples, row.Date), ShopSamples
		return
	}
}

// SampledPlace is a place whose outcome an inspector can compare with the
// forecast.
type SampledPlace struct {
	Rule     string
	Feature  string
	At       r2.Point
	Measured float64 // in the rule's unit
	Limit    float64 // of the shop, in the rule's unit
	Unit     string
	Sense    float64
	Clean    bool    // the rule passes
	Filament float64 // mm, of the line's finest brush; 0: none, or of no account
}

// SampledPlaces lists the places of a part that rules of SampledRules judge, each
// once, under the rule that comes nearest to failing there. Those whose measure
// or limit is not known are left out.
func SampledPlaces(d measure.Drawing, p measure.Part, job Job, shop Shop) ([]SampledPlace, error) {
	if p.Incomplete != "" { // what was measured of it may not be there
		return nil, nil
	}
	b, _, err := judgePart(d, p, job, shop)
	if err != nil || b.speck() {
		return nil, err
	}
	var places []SampledPlace
	at := map[string]int{}
	put := func(name, feature string, where r2.Point, measured, limit float64) {
		if !(measured > 0) || !(limit > 0) || math.IsInf(measured, 0) {
			return
		}
		r, _ := Lookup(name)
		s := SampledPlace{Rule: name, Feature: feature, At: where, Measured: measured, Limit: limit, Unit: r.Unit, Sense: 1}
		for _, k := range SampledRules() {
			if k.Name == name {
				s.Sense = k.Sense
				if h, ok := shop.FinestBrush(b.LineName); ok && k.Filaments {
					s.Filament = h.Filament
				}
			}
		}
		s.Clean = s.Sense*(measured-limit) >= -1e-9*limit
		if i, ok := at[feature]; ok {
			if s.distance() < places[i].distance() {
				places[i] = s
			}
			return
		}
		at[feature] = len(places)
		places = append(places, s)
	}
	b.reachPlaces(put)
	b.thicknessPlaces(put)
	return places, nil
}

// distance is how far a place passes its rule: below 0 it fails.
func (s SampledPlace) distance() float64 { return s.Sense * math.Log(s.Measured/s.Limit) }

type putPlace func(rule, feature string, at r2.Point, measured, limit float64)

func (b *judging) reachPlaces(put putPlace) {
	limitOf := func(name string) (float64, bool) {
		limit, _, ok := b.tool()
		return b.shared(name, limit), ok
	}
	for i := range b.p.Cutouts {
		c := &b.p.Cutouts[i]
		switch c.Kind {
		case measure.Round:
			if limit, ok := limitOf("hole-reach"); ok && c.Inscribed.Known {
				put("hole-reach", c.ID, c.At, c.Inscribed.V, limit)
			}
		case measure.Slot:
			if limit, ok := limitOf("slot-reach"); ok && passage(c).Known {
				put("slot-reach", c.ID, c.At, passage(c).V, limit)
			}
		}
	}
	shallow := b.shared("corner-reach", 1.5)
	for i := range b.p.Notches {
		n := &b.p.Notches[i]
		depth, known := n.Depth.Get()
		if limit, ok := limitOf("notch-reach"); ok && n.Width.Known && !(known && depth <= shallow) {
			put("notch-reach", n.ID, n.At, n.Width.V, limit)
		}
	}
	tool, _, ok := b.tool()
	for _, k := range b.p.Corners {
		if ok && k.Side == measure.Void && k.Angle > 0 && !b.insideSmall(k.Contour, tool) {
			put("corner-reach", k.ID, k.At, CornerDepth(tool, k.Angle), shallow)
		}
	}
}

func (b *judging) thicknessPlaces(put putPlace) {
	if b.Process == nil || !b.ThicknessKnown {
		return
	}
	t := b.Thickness.MM
	one := func(name, feature string, at r2.Point, v measure.Value, school Span) {
		if own, ok := b.shop.Limits[name]; ok {
			school[1] = own
		}
		if v.Known {
			put(name, feature, at, v.V/t, school[1])
		}
	}
	least := b.Process.LeastHole
	if s, ok := b.Process.HoleBy[b.Material.Family]; ok && b.MaterialKnown {
		least = s
	}
	for i := range b.p.Cutouts {
		c := &b.p.Cutouts[i]
		switch c.Kind {
		case measure.Round:
			one("hole-thickness", c.ID, c.At, c.Inscribed, least)
		case measure.Slot:
			one("slot-thickness", c.ID, c.At, passage(c), least)
		}
	}
	for i := range b.p.Notches {
		n := &b.p.Notches[i]
		one("slot-thickness", n.ID, n.At, n.Width, least)
	}
	for i := range b.p.Webs {
		w := &b.p.Webs[i]
		if w.Kind != measure.Tab {
			one("web-thickness", w.ID, w.At, w.Width, b.Process.LeastWeb)
		}
	}
}

// LimitOf is the limit that a rule of SampledRules has in a shop on a line, in
// the rule's unit, without what was fitted to samples; of two schools the
// strict one. Process may be nil.
func (s Shop) LimitOf(rule, line string, process *Process, family string) (float64, bool) {
	if v, ok := s.Limits[rule]; ok {
		return v, v > 0
	}
	switch rule {
	case "hole-reach", "slot-reach", "notch-reach":
		h, ok := s.FinestBrush(line)
		return s.bundle(h), ok
	case "corner-reach":
		r, _ := Lookup(rule)
		return r.Default, true
	}
	if process == nil {
		return 0, false
	}
	if rule == "web-thickness" {
		return process.LeastWeb[1], process.LeastWeb[1] > 0
	}
	least := process.LeastHole[1]
	if h, ok := process.HoleBy[family]; ok {
		least = h[1]
	}
	return least, least > 0
}

// sampled checks what was fitted to samples.
func (c *checker) sampled() {
	date := func(key, v string) {
		if _, err := time.Parse(time.DateOnly, v); err != nil {
			c.failf(key, "%q is not a date such as 2026-03-31", v)
		}
	}
	for _, line := range sortedKeys(c.shop.Fitted) {
		if _, ok := c.shop.Lines[line]; !ok {
			c.failf("fitted."+line, "no line has this name%s", didYouMean(line, c.shop.LineNames()))
		}
		for _, rule := range sortedKeys(c.shop.Fitted[line]) {
			key, f := "fitted."+line+"."+rule, c.shop.Fitted[line][rule]
			if !slices.ContainsFunc(SampledRules(), func(r SampledRule) bool { return r.Name == rule }) {
				c.failf(key, "no rule of this name is fitted to samples")
			}
			c.number(key+".limit", f.Limit, aboveZero)
			c.span(key+".interval", f.Interval, aboveZero)
			if f.Limit < f.Interval[0] || f.Limit > f.Interval[1] {
				c.failf(key+".limit", "%g is outside its interval", f.Limit)
			}
			c.share(key+".share", f.Share)
			if f.Share == 0 || f.Share == 1 {
				c.failf(key+".share", "must be between 0 and 1")
			}
			c.number(key+".steepness", f.Steepness, aboveZero)
			c.number(key+".filament", f.Filament, mayBeZero)
			if f.Samples < 1 {
				c.failf(key+".samples", "must be given and above 0")
			}
			date(key+".date", f.Date)
		}
	}
	for _, name := range c.shop.ProcessNames() {
		for i, b := range c.shop.Processes[name].Sampled {
			key := fmt.Sprintf("process.%s.sampled[%d]", name, i)
			c.number(key+".thickness", b.Thickness, aboveZero)
			c.span(key+".height", b.Height, aboveZero)
			if b.Samples < 1 {
				c.failf(key+".samples", "must be given and above 0")
			}
			date(key+".date", b.Date)
			for _, f := range b.Families {
				if _, ok := c.shop.Families[f]; !ok {
					c.failf(key+".families", "no family named %q%s", f, didYouMean(f, sortedKeys(c.shop.Families)))
				}
			}
		}
	}
}
