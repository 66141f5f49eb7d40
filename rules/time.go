package rules

import (
	"strings"

	"burrcast/analyze/measure"
)

// timeAndCost fills line and bench seconds and the cost of one piece, as ranges.
//
//  1. The line's time is what the conveyor needs for a piece at its lanes and
//     speeds, never less than the loader needs, times the passes.
//  2. Bench time is a time for each place that a finding sends to the bench;
//     where the whole part goes there, its whole edge.
//  3. A part that needs holding runs the line in a carrier at best, and is done
//     by hand at worst.
func (b *judging) timeAndCost(out *Judgement) {
	r := b.shop.Rates
	rides := b.rides(out.Findings)
	if rides != never && b.feed.Length > 0 {
		out.LineTime = b.lineSeconds(out)
	}
	places := b.placesByHand(out.Findings)
	if rides == carried || rides == never && b.onlySmall(out.Findings) {
		if c, ok := b.carrier(); ok {
			out.Carrier = &c
		}
	}
	switch rides {
	case never:
		out.HandTime = b.benchAlone(out.Findings)
	case carried:
		nibs := r.Carrier.Range()
		out.HandTime = Range{places.Low + nibs.Low, max(places.High+nibs.High, b.benchAlone(out.Findings).High)}
	default:
		if places.High > 0 {
			out.HandTime = add(places, b.handling())
		}
		if left := b.leftByBelt(); left.High > 0 {
			out.HandTime.High = max(out.HandTime.High, left.High)
		}
	}
	out.Cost = b.cost(out.LineTime, out.HandTime)
	out.Wear = b.wear(out)
	out.Abrasive = abrasiveUse(out.Wear)
	out.Ways = b.ways(out)
}

// How a part rides the line.
type ride int

const (
	alone   ride = iota
	carried      // in a carrier, tray or joined
	never
)

// rides says from the findings of the hold-down group and the fragile group how
// the part goes through the line.
func (b *judging) rides(findings []Finding) ride {
	how := alone
	if !b.hasHead(BeltHead, DrumBrush, DiscBrush, Oscillating) {
		return never
	}
	for _, f := range findings {
		rule := ruleNamed(f.Rule)
		if rule.Group != GroupHold && rule.Group != GroupFragile {
			continue
		}
		switch f.Treatment {
		case Hand:
			return never
		case Fixture:
			how = carried
		}
	}
	return how
}

// passes is how often the part runs through the line: twice if both sides need
// it, twice again if a second pass turned by 90 degrees or a brush pass of its
// own does.
func (b *judging) passes(findings []Finding) (low, high float64) {
	low, high = b.sides()
	for _, f := range findings {
		if f.Rule == "edge-direction" || f.Rule == "oxide-edge" || f.Rule == "belt-rolls-burr" {
			return low, 2 * high
		}
	}
	return low, high
}

// sides is how often the part runs through for its sides: twice if both need it,
// once or twice if nobody said.
func (b *judging) sides() (low, high float64) {
	switch {
	case !b.EdgeKnown:
		return 1, 2
	case b.Edge.Sides == BothSides:
		return 2, 2
	}
	return 1, 1
}

func (b *judging) lineSeconds(out *Judgement) Range {
	low, high := b.passes(out.Findings)
	t := b.secondsAt(b.feed)
	sideLow, sideHigh := b.sides()
	return Range{t.Low * low / sideLow, t.High * high / sideHigh}
}

// secondsAt is the line's time of a piece at one feed, both sides included where
// they are wanted.
func (b *judging) secondsAt(f measure.Feed) Range {
	l := b.Line
	lanes := max(Lanes(l.Width, f.Width, l.Spacing), 1)
	seconds := func(speed float64) float64 {
		return max(60/PartsPerMinute(lanes, speed, f.Length, l.Spacing), b.shop.Rates.Loader)
	}
	low, high := b.sides()
	return Range{low * seconds(l.ConveyorSpeed[1]), high * seconds(l.ConveyorSpeed[0])}
}

// handling is the bench's picking up and putting down of one piece.
func (b *judging) handling() Range {
	r := b.shop.Rates
	if m, ok := b.mass(); ok && m >= r.LargeMass {
		return r.LargePiece.Range()
	}
	return r.PickPlace.Range()
}

// perMetre is the bench's time for a metre of edge. Without a thickness it is
// the whole span of the table.
func (b *judging) perMetre() Range {
	rows := b.shop.Rates.HandMetre
	all := rows[0].Seconds.Range()
	for _, row := range rows {
		if b.ThicknessKnown && (row.To == 0 || b.Thickness.MM <= row.To) {
			return row.Seconds.Range()
		}
		all = Range{min(all.Low, row.Seconds[0]), max(all.High, row.Seconds[1])}
	}
	return all
}

// wholeByHand is the time for all edges of the part on the bench.
func (b *judging) wholeByHand() Range {
	r := b.shop.Rates
	per := b.perMetre()
	metres := b.p.OutlineLength.V / 1000
	t := add(b.handling(), Range{per.Low * metres, per.High * metres})
	for i := range b.p.Cutouts {
		c := &b.p.Cutouts[i]
		t = add(t, b.cutoutByHand(c))
	}
	sides := 1.0
	if b.EdgeKnown && b.Edge.Sides == BothSides {
		sides = 2
		t = add(t, r.TurnOver.Range())
	}
	return Range{t.Low * sides, t.High * sides}
}

// benchAlone is the time for the whole part on the bench: all its edges, and the
// nibs, which stand on the side face and are no edge's.
func (b *judging) benchAlone(findings []Finding) Range {
	t := b.wholeByHand()
	for _, f := range findings {
		if f.Rule == "joint-nib" && f.Treatment == Hand {
			t = add(t, b.shop.Rates.HandNib.Range())
		}
	}
	return t
}

// cutoutByHand is the time for one cut-out: a swivel tool for a hole; for
// anything longer the tool's time or its edge by the metre, whichever is more.
func (b *judging) cutoutByHand(c *measure.Cutout) Range {
	r := b.shop.Rates
	if c.Kind == measure.Round {
		return r.HandHole.Range()
	}
	per := b.perMetre()
	metres := c.Perimeter.V / 1000
	return Range{max(r.HandSlot[0], per.Low*metres), max(r.HandSlot[1], per.High*metres)}
}

// placesByHand adds up the places that findings send to the bench, each feature
// once.
func (b *judging) placesByHand(findings []Finding) Range {
	r := b.shop.Rates
	var t Range
	seen := map[string]bool{}
	for _, f := range findings {
		if f.Treatment != Hand || f.Feature == "" || seen[f.Feature] {
			continue
		}
		seen[f.Feature] = true
		switch {
		case strings.HasPrefix(f.Feature, "C"):
			if c := b.cutout(f.Feature); c != nil {
				t = add(t, b.cutoutByHand(c))
			}
		case f.Rule == "joint-nib":
			t = add(t, r.HandNib.Range())
		case f.Rule == "corner-reach":
			t = add(t, r.HandCorner.Range())
		default:
			t = add(t, r.HandSlot.Range())
		}
	}
	for _, f := range findings { // dross that the line does not take off: the whole edge
		if f.Rule == "burr-height" && f.Treatment == Hand {
			per, metres := b.perMetre(), b.p.CutLength.V/1000
			t = add(t, Range{per.Low * metres, per.High * metres})
		}
	}
	return t
}

// leftByBelt is the bench's time for the edges over which a belt lays the burr on
// a line without a brush: at best another line brushes them, at worst the bench
// does. The outline counts where a requirement was stated, as the rule has it.
func (b *judging) leftByBelt() Range {
	if b.verdict("belt-rolls-burr") != Fail || b.hasBrush() {
		return Range{}
	}
	t := b.handling()
	for i := range b.p.Cutouts {
		c := &b.p.Cutouts[i]
		t = add(t, b.cutoutByHand(c))
	}
	if b.EdgeKnown {
		per, metres := b.perMetre(), b.p.OutlineLength.V/1000
		t = add(t, Range{per.Low * metres, per.High * metres})
	}
	return t
}

func add(a, b Range) Range { return Range{a.Low + b.Low, a.High + b.High} }

// CostPerPiece is pay by the hour over pieces by the hour.
func CostPerPiece(perHour, piecesPerHour float64) float64 { return perHour / piecesPerHour }
