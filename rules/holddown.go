package rules

import (
	"fmt"
	"strings"
)

const machineSource = "the machine's own number, from the shop file; single published data points: 152 x 51 mm (an edge-rounding machine), 63 x 88 mm (brush and disc machines)"

// holdRules say whether the part can ride the conveyor.
func holdRules() []Rule {
	return []Rule{
		{
			Name: "part-length", Title: "part too short for the conveyor", Group: GroupHold,
			Measured: "length along the feed at the feed angle chosen",
			Formula:  "length >= the line's least length",
			Default:  50, Unit: "mm", Applies: "always",
			Treatment: Fixture, Why: "a part shorter than the line's least length is not held or carried safely at every moment",
			Do:     "leave it joined in a carrier or in the skeleton, use a tray or magnet plate, or finish it on the bench or by tumbling",
			Source: machineSource, Provenance: ShopsOwn,
			Example: "a disc of 40 mm on a line whose least length is 50 mm: 40 mm against 50 mm, fixture; one of 50 mm passes",
			judge:   judgePartLength,
		},
		{
			Name: "part-width", Title: "part too narrow for the conveyor", Group: GroupHold,
			Measured: "least width of the part (between parallel lines that hold it), or across the feed if that was not measured",
			Formula:  "width >= the line's least width; turning the part does not make it wider",
			Default:  25, Unit: "mm", Applies: "always",
			Treatment: Fixture, Why: "a part narrower than the line's least width tips or turns under a head",
			Do:     "leave it joined in a carrier or in the skeleton, or feed it in a tray",
			Source: machineSource, Provenance: ShopsOwn,
			Example: "a strip 300 x 12 mm on a line whose least width is 25 mm: 12 mm against 25 mm, fixture; one of 25 mm passes",
			judge:   judgePartWidth,
		},
		{
			Name: "part-wide", Title: "part wider than the conveyor", Group: GroupHold,
			Measured: "width across the feed at the feed angle chosen",
			Formula:  "width <= the line's width",
			Default:  900, Unit: "mm", Applies: "always",
			Treatment: Hand, Why: "the part does not pass through the line at any angle",
			Do:     "use a wider line or finish it on the bench",
			Source: "the machine's own number, from the shop file", Provenance: ShopsOwn,
			Example: "a plate 1500 x 1400 mm on a line 1300 mm wide: 1400 mm against 1300 mm, hand; one of 1500 x 1300 mm passes",
			judge:   judgePartWide,
		},
		{
			Name: "part-long", Title: "part longer than the line takes", Group: GroupHold,
			Measured: "length along the feed at the feed angle chosen",
			Formula:  "length <= the line's greatest length",
			Default:  3000, Unit: "mm", Applies: "always",
			Treatment: Hand, Why: "the part is longer than tables and conveyor carry",
			Do:     "use a longer line or finish it on the bench",
			Source: "the machine's own number, from the shop file", Provenance: ShopsOwn,
			Example: "a plate 3500 x 880 mm on a line for 3000 mm: 3500 mm against 3000 mm, hand; one of 2900 mm passes",
			judge:   judgePartLong,
		},
		{
			Name: "part-thick", Title: "thickness outside the line's range", Group: GroupHold,
			Measured: "sheet thickness",
			Formula:  "thickness within the line's range",
			Default:  25, Unit: "mm", Applies: "thickness known",
			Treatment: Hand, Why: "the line is not built for this thickness",
			Do:     "use another line or finish it on the bench",
			Source: "the machine's own number, from the shop file", Provenance: ShopsOwn,
			Example: "plate on a line for 0.5 to 25 mm: 30 mm against 25 mm, hand; 25 mm passes",
			judge:   judgePartThick,
		},
		{
			Name: "roller-grip", Title: "no roller on the part at times", Group: GroupHold,
			Measured: "rollers always on the part: floor(length / roller pitch)",
			Formula:  "rollers >= limit, and length > free gap at a head",
			Default:  1, Unit: "rollers", Applies: "lines on which rollers alone hold the part",
			Treatment: Fixture, Why: "between two rollers nothing holds the part against the head",
			Do:     "feed nose to tail, turn the part so that it lies longer, or leave it joined in a carrier",
			Source: "geometry: always one roller if and only if length >= pitch", Provenance: Arithmetic,
			Example: "a disc of 100 mm under rollers 150 mm apart: 0 rollers against 1 rollers, fixture; one of 150 mm passes",
			judge:   judgeRollerGrip,
		},
		{
			Name: "hold-slip", Title: "head drags harder than the conveyor holds", Group: GroupHold,
			Measured: "friction x (pressing + hold-down + weight) over safety x force ratio x pressing, for the worst head at the feed angle chosen",
			Formula:  "margin >= limit; pressing = head's force per mm x widest section of material under it; hold-down = vacuum over covered area, rollers always on the part, magnet on ferritic stock",
			Default:  1, Unit: "margin", Applies: "lines with a head that touches the part",
			Treatment: Fixture, Why: "the part slips, turns or is thrown back under the head",
			Do:     "hold it in a carrier or tray, lower the head's pressure, run dry instead of wet, or raise the hold-down",
			Source: "statics (arithmetic); friction of rubber 0.5 to 0.6 dry and below 0.2 wet (looked up); force ratio of belts 0.3 to 0.6 (memory); pressing force per mm is an inference", Provenance: Reasoning,
			Example: "a disc of 60 mm in 2 mm steel under a belt of 0.4 N/mm on a wet bed of 12 kPa, 0.25 open: 0.2 (24 + 8.5 + 0.4) N over 1.5 x 0.4 x 24 N, 0.457 margin against 1 margin, fixture; dry (0.5) it is 1.14 and passes",
			judge:   judgeHoldSlip,
		},
		{
			Name: "part-light", Title: "part too light to lie still", Group: GroupHold,
			Measured: "mass of one piece",
			Formula:  "mass >= limit",
			Default:  5, Unit: "g", Applies: "thickness and material known",
			Treatment: Fixture, Why: "so light a part is lifted by the exhaust's draught, a brush's wind or the coolant before hold-down acts",
			Do:     "leave it joined in a carrier, or tumble it",
			Source: "weight never holds a small part (50 x 50 x 2 mm steel is 39 g, 0.4 N: arithmetic); the limit itself is an inference", Provenance: Reasoning,
			Example: "a disc of 50 mm in 0.5 mm AlMg3: 2.61 g against 5 g, fixture; in 1 mm it passes",
			judge:   judgePartLight,
		},
	}
}

// newtons writes a force with two digits, whole from 10 N on.
func newtons(v float64) string {
	if v < 10 {
		return fmt.Sprintf("%.2g", v)
	}
	return fmt.Sprintf("%.0f", v)
}

func (b *judging) noFeed(r *Rule) bool {
	if b.feed.Length <= 0 || b.feed.Width <= 0 {
		b.see(r, Unknown)
		return true
	}
	return false
}

// implied records a failure that another finding tells already: what is too small
// for any conveyor slips, tips and flies, too.
func (b *judging) implied(r *Rule) bool {
	if b.tiny() && b.verdict("part-length") == Fail {
		b.see(r, Fail)
		return true
	}
	return false
}

// leastHeld in mm: laser shops send parts of which no side reaches it to hand work
// or tumbling (15 to 25 mm, three shops' own limits, looked up).
const leastHeld = 20

func (b *judging) tiny() bool { return max(b.feed.Length, b.feed.Width) < leastHeld }

func judgePartLength(b *judging, r *Rule) {
	if b.noFeed(r) {
		return
	}
	limit := b.limit(r, b.Line.Length[0])
	if b.feed.Length >= limit-1e-6 {
		b.see(r, Pass)
		return
	}
	if b.tiny() {
		b.fail(r, Hand, Finding{Measured: b.feed.Length, Limit: limit, At: b.p.Centroid,
			Why: "the part is too small for any conveyor: job shops send parts below 15 to 25 mm to hand work or tumbling",
			Do:  "tumble it, finish it on the bench, or leave it joined in a carrier"})
		return
	}
	b.fail(r, r.Treatment, Finding{Measured: b.feed.Length, Limit: limit, At: b.p.Centroid})
}

func judgePartWidth(b *judging, r *Rule) {
	if b.noFeed(r) {
		return
	}
	limit, width := b.limit(r, b.Line.LeastWidth), b.feed.Width
	if w, ok := b.p.MinWidth.Get(); ok {
		width = min(width, w+b.p.MinWidth.Err)
	}
	if width >= limit-1e-6 {
		b.see(r, Pass)
		return
	}
	b.fail(r, r.Treatment, Finding{Measured: width, Limit: limit, At: b.p.Centroid})
}

func judgePartWide(b *judging, r *Rule) {
	if b.noFeed(r) {
		return
	}
	limit := b.limit(r, b.Line.Width)
	if b.feed.Width <= limit+1e-6 {
		b.see(r, Pass)
		return
	}
	b.fail(r, r.Treatment, Finding{Measured: b.feed.Width, Limit: limit, At: b.p.Centroid, Do: b.elsewhere(r, b.takes)})
}

func judgePartLong(b *judging, r *Rule) {
	if b.noFeed(r) {
		return
	}
	limit := b.limit(r, b.Line.Length[1])
	if b.feed.Length <= limit+1e-6 {
		b.see(r, Pass)
		return
	}
	b.fail(r, r.Treatment, Finding{Measured: b.feed.Length, Limit: limit, At: b.p.Centroid, Do: b.elsewhere(r, b.takes)})
}

func judgePartThick(b *judging, r *Rule) {
	if !b.ThicknessKnown {
		b.need(r, "thickness")
		return
	}
	t, low, high := b.Thickness.MM, b.Line.Thickness[0], b.limit(r, b.Line.Thickness[1])
	switch {
	case t < low-1e-9:
		b.fail(r, Fixture, Finding{Measured: t, Limit: low, At: b.p.Centroid,
			Why: "sheet thinner than the line's least thickness creases or is drawn in", Do: "feed it on a carrier sheet, or finish it on the bench"})
	case t > high+1e-9:
		b.fail(r, r.Treatment, Finding{Measured: t, Limit: high, At: b.p.Centroid, Do: b.elsewhere(r, b.takes)})
	default:
		b.see(r, Pass)
	}
}

func judgeRollerGrip(b *judging, r *Rule) {
	list, sure := b.holds()
	if !sure {
		b.need(r, "material")
		return
	}
	if len(list) != 1 || list[0] != HoldRollers {
		return
	}
	if b.noFeed(r) {
		return
	}
	n := RollersOn(b.feed.Length, b.Line.RollerPitch)
	limit := b.limit(r, r.Default)
	if float64(n) >= limit && (limit < 1 || b.feed.Length >= b.Line.RollerGap-1e-9) {
		b.see(r, Pass)
		return
	}
	f := Finding{Measured: float64(n), Limit: limit, At: b.p.Centroid}
	if float64(n) >= limit {
		f.Measured, f.Limit, f.Unit = b.feed.Length, b.Line.RollerGap, "mm"
		f.Why = "the part is shorter than the free gap at a head, so at times no roller holds it there"
	}
	b.fail(r, r.Treatment, f)
}

func judgeHoldSlip(b *judging, r *Rule) {
	if b.noFeed(r) {
		return
	}
	if !b.hold.known {
		if b.hasHead(BeltHead, DrumBrush, DiscBrush, Oscillating) {
			b.see(r, Unknown)
		}
		return
	}
	limit := b.limit(r, r.Default)
	if b.hold.margin >= limit-1e-9 {
		b.see(r, Pass)
		return
	}
	if b.hold.atLeast { // what lacks may turn it
		if !b.MaterialKnown {
			b.need(r, "material")
		}
		if !b.ThicknessKnown {
			b.need(r, "thickness")
		}
		return
	}
	if b.implied(r) {
		return
	}
	list, _ := b.holds()
	held := strings.Join(list, " and ")
	if held == "" {
		held = "nothing (a magnet does not hold this stock)"
	}
	wet, do := "dry", "hold it in a carrier or tray, lower the head's pressure, or raise the hold-down"
	if b.Line.Wet {
		wet, do = "wet", ""
	}
	b.fail(r, r.Treatment, Finding{Measured: b.hold.margin, Limit: limit, At: b.p.Centroid, Do: do,
		Why: fmt.Sprintf("%s presses with %s N; %s holds with %s N, %s: the part slips, turns or is thrown back", b.hold.head, newtons(b.hold.press), held, newtons(b.hold.force), wet)})
}

func judgePartLight(b *judging, r *Rule) {
	m, ok := b.mass()
	if !ok {
		if !b.ThicknessKnown {
			b.need(r, "thickness")
		}
		if !b.MaterialKnown {
			b.need(r, "material")
		}
		b.see(r, Unknown)
		return
	}
	limit := b.limit(r, r.Default)
	if m*1000 >= limit {
		b.see(r, Pass)
		return
	}
	if b.implied(r) {
		return
	}
	b.fail(r, r.Treatment, Finding{Measured: m * 1000, Limit: limit, At: b.p.Centroid})
}
