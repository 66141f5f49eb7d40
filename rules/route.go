package rules

import (
	"fmt"
	"math"
	"strings"
)

const toProve = "starting value, to be proved on samples"

// route orders the steps and their starting settings.
//
//  1. The cut: what keeps its burr low. Off the cutter: which side carries the
//     burr, and lay it up.
//  2. What must happen before the line: dross, carrier, film.
//  3. Each head that may touch the part, with grade, drum, speed, depth.
//  4. Again turned over, or turned by 90 degrees, if that is needed.
//  5. The bench, then inspection.
func (b *judging) route(out Judgement) []Step {
	steps := make([]Step, 0, 12)
	how := b.rides(out.Findings)
	if s := b.stepCut(); len(s.Settings) > 0 {
		steps = append(steps, s)
	}
	steps = append(steps, b.stepLay(out))
	if how == never {
		bench := b.stepBench(out, true)
		if out.Carrier != nil {
			bench = bench.with(Setting{"cost of each way", cheapest(out.Ways, ForHold, b.shop.Currency), "times and prices of the shop file"})
		}
		return append(steps, bench, b.stepInspect())
	}
	if how == carried {
		steps = append(steps, b.stepCarrier(out))
	}
	if b.burr != nil && b.burr.High > 0.5 {
		steps = append(steps, Step{Step: "scrape", Note: "knock off or scrape thick dross before the belt: it tears belts and lifts the part"})
	}
	heads := b.stepHeads(out)
	steps = append(steps, heads...)
	fired := func(rule string) bool { return b.verdict(rule) == Fail }
	if fired("edge-direction") {
		steps = append(steps, Step{Step: "turn by 90 degrees", Note: "second pass through the brush for the edges that lay along the feed"})
	}
	if b.EdgeKnown && b.Edge.Sides == BothSides {
		steps = append(steps, Step{Step: "turn over", Note: "the requirement names both sides: same settings, lighter belt, other face up"})
	}
	if fired("oxide-edge") || fired("belt-rolls-burr") && !b.hasBrush() {
		steps = append(steps, Step{Step: "extra brush pass", Note: "on a line whose brush works the cut faces, until bare metal shows"}.with(cheapestSetting(out.Ways, b.shop.Currency)))
	}
	if out.HandTime.High > 0 && b.anyHand(out.Findings) {
		steps = append(steps, b.stepBench(out, false))
	}
	if len(b.p.Bends) > 0 {
		steps = append(steps, b.stepBend())
	}
	return append(steps, b.stepInspect())
}

// with adds settings to a step.
func (s Step) with(settings ...Setting) Step {
	for _, v := range settings {
		if v.Value != "" {
			s.Settings = append(s.Settings, v)
		}
	}
	return s
}

func cheapestSetting(ways []Way, currency string) Setting {
	return Setting{"cost of each way", cheapest(ways, ForOxide, currency), "times and prices of the shop file"}
}

func (b *judging) anyHand(fs []Finding) bool {
	for _, f := range fs {
		if f.Treatment == Hand {
			return true
		}
	}
	return false
}

// stepCut says what of the cutting process the burr hangs on: a punch's die
// clearance, a thermal cut's squareness by ISO 9013.
func (b *judging) stepCut() Step {
	s := Step{Step: "cut"}
	if b.Process == nil || !b.ThicknessKnown {
		return s
	}
	t := b.Thickness.MM
	if c, ok := b.Process.Clearance[b.Material.Family]; ok && b.MaterialKnown {
		s.Settings = append(s.Settings, Setting{"die clearance, total of both sides", fmt.Sprintf("%.2g to %.2g mm (%g to %g %% of thickness)", c[0]/100*t, c[1]/100*t, c[0], c[1]),
			"tool makers' charts (looked up); sources mix total and per side without saying so: 20 to 30 % total is 10 to 15 % a side, and two articles call 8 to 10 % a side usual"})
	}
	if strings.HasPrefix(b.ProcessName, "laser") || b.ProcessName == "plasma" {
		u1, _ := ISO9013U(1, t)
		u2, _ := ISO9013U(2, t)
		u5, _ := ISO9013U(5, t)
		s.Settings = append(s.Settings, Setting{"squareness u by ISO 9013", fmt.Sprintf("range 1 %.3f mm, range 2 %.3f mm, range 5 %.3f mm", u1, u2, u5),
			"ranges 1 to 4 a published guide, which wrongly says that there are only four (looked up); range 5 memory"})
	}
	if text := b.pierceNote(); text != "" && len(s.Settings) > 0 {
		s.Note = text
	}
	return s
}

func (b *judging) stepLay(out Judgement) Step {
	s := Step{Step: "lay on", Note: "burr side up first", Settings: make([]Setting, 0, 8)}
	if b.Process != nil {
		s.Note = "burr side up first: it stands on the " + b.Process.Side
	}
	if b.feed.Length > 0 && b.feed.Angle != 0 {
		s.Settings = append(s.Settings, Setting{"feed angle", fixed(b.feed.Angle, 0) + " degrees", "chosen from the measured angles"})
	}
	if b.rides(out.Findings) == alone {
		s.Settings = append(s.Settings, b.feedSettings(out)...)
	}
	if out.Feed.HoldKnown && !math.IsInf(out.Feed.HoldMargin, 1) && b.rides(out.Findings) == alone {
		s.Settings = append(s.Settings, Setting{"hold margin", fixed(out.Feed.HoldDry, 2) + " dry, " + fixed(out.Feed.HoldWet, 2) + " wet",
			"slip balance at this angle, safety included; below 1 the part slips"})
	}
	if m, ok := b.mass(); ok {
		value := digits(m, 3) + " kg"
		if m < 1 {
			value = digits(1000*m, 3) + " g"
		}
		s.Settings = append(s.Settings, Setting{"mass of a piece", value,
			fmt.Sprintf("%.0f kg/m3, %s (%s)", b.Material.Stock.Density, b.Material.Stock.Source, b.Material.Stock.Provenance)})
	}
	return s
}

// stepCarrier says how a part that cannot be held alone gets through: the array
// in which it stays joined, or what else there is, with the price of each.
func (b *judging) stepCarrier(out Judgement) Step {
	s := Step{Step: "carrier", Note: "leave parts joined until the line is done, then break out and file the nibs"}
	if out.Carrier != nil {
		s.Settings = append(s.Settings, out.Carrier.settings()...)
	} else {
		s.Note = "no array of these parts that this line takes reaches its limits: use a tray, tumble them, or finish them on the bench"
	}
	depth := "0.6 to 0.8 of the thickness"
	if b.ThicknessKnown {
		depth = fmt.Sprintf("%.2g to %.2g mm", 0.6*b.Thickness.MM, 0.8*b.Thickness.MM)
	}
	s.Settings = append(s.Settings, Setting{"or a tray with pockets", depth + " deep", "0.6 to 0.8 of the thickness (common practice)"})
	if b.noseToTail() && (!b.ThicknessKnown || b.Thickness.MM >= leastPushed) && b.verdict("part-interlocks") != Fail {
		n := int(math.Ceil(max(b.Line.Length[0], b.Line.RollerPitch, b.Line.RollerGap) / b.feed.Length))
		s.Settings = append(s.Settings, Setting{"or nose to tail", fmt.Sprintf("%d and more pieces in an unbroken row, the last followed by a blank", n),
			"short parts push one another under the head (arithmetic, and common practice)"})
	}
	if text := cheapest(out.Ways, ForHold, b.shop.Currency); text != "" {
		s.Settings = append(s.Settings, Setting{"cost of each way", text, "times and prices of the shop file"})
	}
	return s
}

// stepHeads gives each head its step; lifted heads say why.
func (b *judging) stepHeads(out Judgement) []Step {
	steps := make([]Step, 0, len(b.Line.Heads))
	for i, h := range b.Line.Heads {
		if b.lifted[i] != "" {
			steps = append(steps, Step{Step: "lift", Head: h.Name, Note: b.lifted[i]})
			continue
		}
		if h.Kind == BeltHead {
			steps = append(steps, b.stepBelt(h, i > 0))
		} else {
			steps = append(steps, b.stepBrush(h))
		}
		step := &steps[len(steps)-1]
		step.Settings = append(step.Settings, b.useOf(out, h.Name)...)
	}
	if len(steps) > 0 && b.feed.Length > 0 {
		speed := b.Line.ConveyorSpeed
		mid := (speed[0] + speed[1]) / 2
		low, high := mid, speed[1]
		if b.EdgeKnown && b.Edge.TakesOff() > 0 || b.burr != nil && b.burr.High > 0.2 {
			low, high = speed[0], mid
		}
		value := digits(low, 3) + " to " + digits(high, 3) + " m/min"
		wet := "dry"
		if b.Line.Wet {
			wet = "wet"
		}
		last := &steps[len(steps)-1]
		last.Settings = append(last.Settings,
			Setting{"conveyor speed", value, "metal lines 2 to 6 m/min, rounding 0.5 to 3 (common practice); " + toProve},
			Setting{"wet or dry", wet, "the line's own"})
	}
	return steps
}

func (b *judging) stepBelt(h Head, later bool) Step {
	s := Step{Step: "belt", Head: h.Name, Settings: make([]Setting, 0, 8)}
	grade, why := b.grade(h, later)
	s.Settings = append(s.Settings, Setting{"grade", grade, why})
	if h.Hardness > 0 {
		s.Settings = append(s.Settings, Setting{"contact drum", fixed(h.Hardness, 0) + " Shore A",
			"the line's own; a softer drum rounds more, a hard one (60 to 90) flattens dross and leaves more secondary burr"})
	}
	s.Settings = append(s.Settings, b.speed(h))
	s.Settings = append(s.Settings, Setting{"depth", "0.02 to 0.1 mm a pass", "common practice; " + toProve})
	if later {
		s.Note = "light contact: it only draws the grain"
	}
	return s
}

// speed is the belt speed: the material's range within what the head can do;
// where both do not meet, the nearest the head has.
func (b *judging) speed(h Head) Setting {
	if !b.MaterialKnown {
		return Setting{"belt speed", fmt.Sprintf("%.3g to %.3g m/s", h.Speed[0], h.Speed[1]), "the head's range; the material is not known"}
	}
	want := b.Material.Group.BeltSpeed
	right, _ := b.rightSpeed(h)
	source := fmt.Sprintf("%s: %.3g to %.3g m/s (%s, %s)", b.Material.Group.Title, want[0], want[1], b.Material.Group.Source, b.Material.Group.Provenance)
	if b.Material.Group.SpeedNote != "" {
		source += "; " + b.Material.Group.SpeedNote
	}
	if right[0] == right[1] {
		return Setting{"belt speed", fmt.Sprintf("%.3g m/s", right[0]), source + fmt.Sprintf("; the head runs %.3g to %.3g m/s; dry deburring of thin sheet is run at 12 to 20 m/s (common practice)", h.Speed[0], h.Speed[1])}
	}
	return Setting{"belt speed", digits(right[0], 3) + " to " + digits(right[1], 3) + " m/s", source}
}

// useOf tells what belts or brushes of a head cost, and what the right speed is
// worth.
func (b *judging) useOf(out Judgement, head string) []Setting {
	var list []Setting
	for _, w := range out.Wear {
		if w.Head != head {
			continue
		}
		value := money(1000*w.Cost.Low) + " to " + money(1000*w.Cost.High) + " " + b.shop.Currency + " for 1000 pieces"
		list = append(list, Setting{"abrasive use", value, "life and price of the shop file, over the line's time"})
		if 1000*w.Saved() >= 0.01 {
			list = append(list, Setting{"saved by this speed", fmt.Sprintf("%s %s for 1000 pieces against %.3g m/s for every material", money(1000*w.Saved()), b.shop.Currency, w.OneSpeed),
				w.Why + " (higher speed cuts faster and hotter: an abrasive maker's guide, looked up; the size of the effect is an inference)"})
		}
	}
	return list
}

// grade picks the belt from the grades at hand: coarse for dross, finer for
// light burr, the wanted grain for a later belt.
func (b *judging) grade(h Head, later bool) (grade, why string) {
	if b.EdgeKnown && b.Edge.Grain != "" && later {
		return nearestGrade(h.Grades, grainOf(b.Edge.Grain)), "nearest at hand to the grain wanted, " + b.Edge.Grain
	}
	const practice = " (common practice)"
	lo, hi, text := "P80", "P120", "burr not forecast: P80 to P120 for punching burr"+practice
	if b.burr != nil {
		switch {
		case b.burr.High > 0.5:
			lo, hi, text = "P36", "P60", "dross or heavy burr: P36 to P60"+practice
		case b.burr.High > 0.1:
			lo, hi, text = "P80", "P120", "burr of punching's size: P80 to P120"+practice
		default:
			lo, hi, text = "P120", "P180", "light burr: P120 to P180"+practice
		}
	}
	if later {
		lo, hi, text = "P180", "P320", "fine belt behind the brush: P180 to P320"+practice
	}
	return nearestGrade(h.Grades, math.Sqrt(grainOf(lo)*grainOf(hi))), text + ", nearest at hand"
}

func nearestGrade(grades []string, size float64) string {
	best, at := math.Inf(1), ""
	for _, g := range grades {
		if d := math.Abs(math.Log(grainOf(g) / size)); d < best {
			best, at = d, g
		}
	}
	return at
}

func (b *judging) stepBrush(h Head) Step {
	s := Step{Step: "brush", Head: h.Name, Settings: make([]Setting, 0, 8)}
	material := h.Material
	if material == "" {
		material = "as fitted"
	}
	s.Settings = append(s.Settings, Setting{"brush", material, "the line's own"})
	if h.Filament > 0 {
		s.Settings = append(s.Settings, Setting{"filament", digits(h.Filament, 2) + " mm", "abrasive nylon 0.55 to 1.2 mm for deburring, wire 0.13 to 0.5 mm (common practice; wire looked up)"})
	}
	if len(h.Grades) > 0 {
		s.Settings = append(s.Settings, Setting{"grade", strings.Join(h.Grades, ", "), "at hand; P80 to P180 for deburring (common practice)"})
	}
	low, high := h.Speed[0], h.Speed[1]
	source := "abrasive nylon 10 to 25 m/s, wire 20 to 35, flap 10 to 25 (common practice)"
	s.Settings = append(s.Settings, Setting{"brush speed", digits(low, 3) + " to " + digits(high, 3) + " m/s", source + "; " + toProve},
		Setting{"penetration", "0.5 to 3 mm, start at a tenth of the trim length", "common practice, no published source; " + toProve})
	if h.Kind == DrumBrush {
		s.Note = "turn against the feed: it lifts the burr that the belt laid over the leading edge"
	}
	return s
}

func (b *judging) stepBench(out Judgement, whole bool) Step {
	s := Step{Step: "bench"}
	if whole {
		s.Note = "the whole part by hand, or by tumbling if it is small and its burr is light"
		per := b.perMetre()
		s.Settings = append(s.Settings, Setting{"time for a metre of edge", fmt.Sprintf("%.0f to %.0f s", per.Low, per.High),
			"shop file; sources disagree: 2 to 3 min/m on sheet of 1 to 3 mm in a published table (looked up, weak), 1 to 3 m/min with a scraper (common practice)"})
		return s
	}
	var ids []string
	seen := map[string]bool{}
	for _, f := range out.Findings {
		if f.Treatment == Hand && f.Feature != "" && !seen[f.Feature] {
			seen[f.Feature] = true
			ids = append(ids, f.Feature)
		}
	}
	s.Note = "places that the line does not finish"
	if len(ids) > 0 {
		s.Note += ": " + strings.Join(ids, ", ")
	}
	r := b.shop.Rates
	s.Settings = append(s.Settings, Setting{"time for a place", fmt.Sprintf("hole %g to %g s, slot %g to %g s", r.HandHole[0], r.HandHole[1], r.HandSlot[0], r.HandSlot[1]),
		"shop file; hole 3 to 6 s and slot 5 to 10 s are common practice"})
	return s
}

func (b *judging) stepInspect() Step {
	s := Step{Step: "inspect", Note: "feel and measure the first pieces"}
	if b.EdgeKnown {
		s.Settings = append(s.Settings, Setting{"edge requirement", b.Edge.Explain(), b.Edge.Source + " (" + b.Edge.Provenance + ")"})
		return s
	}
	s.Note += "; no edge requirement was stated to measure against"
	return s
}
