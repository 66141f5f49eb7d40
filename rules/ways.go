package rules

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// Way is one way to finish a part, or to take its oxide off, with what it takes
// for one piece. Ways are listed with the cheapest first.
type Way struct {
	For        string // ForHold, ForOxide
	Name       string // "carrier", "tray", "magnet plate", "bench", or of the shop file
	Line       Range  // seconds
	Hand       Range  // seconds
	Cost       Range  // currency a piece
	Note       string
	Source     string
	Provenance string
}

// ways lists how a part that cannot be held could be finished, and how oxide
// could be taken off, each with its price.
func (b *judging) ways(out *Judgement) []Way {
	var list []Way
	if b.rides(out.Findings) == carried || out.Carrier != nil {
		list = append(list, b.waysToHold(out)...)
	}
	if b.verdict("oxide-edge") == Fail {
		list = append(list, b.waysToBare(out)...)
	}
	slices.SortStableFunc(list, func(a, c Way) int {
		return cmp.Or(-cmp.Compare(a.For, c.For), cmp.Compare(a.Cost.Low+a.Cost.High, c.Cost.Low+c.Cost.High), cmp.Compare(a.Name, c.Name))
	})
	return list
}

// onlySmall reports whether a part is kept off the line by nothing but its size:
// joined in a carrier it would run.
func (b *judging) onlySmall(findings []Finding) bool {
	small := false
	for _, f := range findings {
		rule := ruleNamed(f.Rule)
		if (rule.Group == GroupHold || rule.Group == GroupFragile) && f.Treatment == Hand {
			if f.Rule != "part-length" {
				return false
			}
			small = true
		}
	}
	return small
}

func (b *judging) waysToHold(out *Judgement) []Way {
	r := b.shop.Rates
	own := b.lineSeconds(out)
	places := b.placesByHand(out.Findings)
	list := []Way{{For: ForHold, Name: "bench", Hand: b.benchAlone(out.Findings),
		Note: "the whole part by hand", Source: "times of the shop file", Provenance: ShopsOwn}}
	if c := out.Carrier; c != nil {
		note := c.Words()
		if n := b.pieces(); n < c.Parts() {
			note += fmt.Sprintf("; only %d ordered, so the rest of the sheet stays plain", n)
		}
		list = append(list, Way{For: ForHold, Name: "carrier", Line: c.LineTime, Hand: add(c.Nibs, places), Note: note,
			Source: "slip balance, line's limits and shop file", Provenance: Arithmetic})
	}
	if b.feed.Length > 0 && !b.tiny() {
		tray := Way{For: ForHold, Name: "tray", Line: own, Hand: add(r.Carrier.Range(), places),
			Note: "a tray with pockets, a sticky pad or tape", Source: "pockets 0.6 to 0.8 of the thickness deep (common practice); time of the shop file", Provenance: Practice}
		if b.ThicknessKnown && b.Thickness.MM < leastPushed {
			tray.Note += "; sheet this thin needs the pad or tape, a pocket would be no deeper than its burr"
		}
		list = append(list, tray)
		if b.MaterialKnown && b.Material.Stock.Magnetic && b.ThicknessKnown && b.Thickness.MM >= 1 && min(b.feed.Length, b.feed.Width) >= 20 {
			list = append(list, Way{For: ForHold, Name: "magnet plate", Line: own, Hand: add(Range{r.PickPlace[0], r.Carrier[1]}, places),
				Note: "burr side up only: an air gap takes most of the pull; demagnetise afterwards", Source: "steel of 1 to 2 mm and more, from 20 x 20 mm", Provenance: Practice})
		}
	}
	list = append(list, b.others(ForHold)...)
	b.price(list)
	return list
}

// waysToBare are the ways to take oxide off the cut faces: the line's own brush
// in a pass more, or what the shop file prices.
func (b *judging) waysToBare(out *Judgement) []Way {
	var list []Way
	if b.hasBrush() && b.rides(out.Findings) != never && b.feed.Length > 0 {
		low, high := b.passes(out.Findings)
		one := b.lineSeconds(out)
		list = append(list, Way{For: ForOxide, Name: "brush pass", Line: Range{one.Low / low, one.High / high},
			Note: "one pass more of this line's brush", Source: "times of the shop file", Provenance: ShopsOwn})
	}
	list = append(list, b.others(ForOxide)...)
	b.price(list)
	return list
}

// others are the ways that the shop file prices and that suit the part.
func (b *judging) others(use string) []Way {
	area, ok := b.p.Area.Get()
	if !ok {
		return nil
	}
	var list []Way
	for _, key := range sortedKeys(b.shop.Alternatives) {
		o := b.shop.Alternatives[key]
		kg, heavy := b.mass()
		priced := o.PerPiece[1] > 0 || o.PerM2[1] > 0 || o.PerKg[1] > 0 && heavy
		switch {
		case !slices.Contains(o.For, use) || !priced:
		case o.PerKg[1] > 0 && !heavy: // a price that lacks its weight is none
		case len(o.Families) > 0 && (!b.MaterialKnown || !slices.Contains(o.Families, b.Material.Family)):
		case o.Largest > 0 && max(b.feed.Length, b.feed.Width) > o.Largest:
		case o.Burr > 0 && b.burr != nil && b.burr.High > o.Burr:
		case b.Zinc && !o.Zinc:
		default:
			m2 := 2 * area * 1e-6
			list = append(list, Way{For: use, Name: strings.ToLower(cmp.Or(o.Title, key)),
				Cost: Range{o.PerPiece[0] + o.PerM2[0]*m2 + o.PerKg[0]*kg, o.PerPiece[1] + o.PerM2[1]*m2 + o.PerKg[1]*kg},
				Note: o.Note, Source: o.Source, Provenance: o.Provenance})
		}
	}
	return list
}

// price adds what line and bench cost to each way.
func (b *judging) price(list []Way) {
	for i := range list {
		c := b.cost(list[i].Line, list[i].Hand)
		list[i].Cost = add(list[i].Cost, c)
	}
}

// cheapest says in words which way is cheapest and what the next ones cost.
func cheapest(list []Way, use, currency string) string {
	var words []string
	for _, w := range list {
		if w.For == use {
			words = append(words, fmt.Sprintf("%s %.2f to %.2f", w.Name, w.Cost.Low, w.Cost.High))
		}
	}
	if len(words) == 0 {
		return ""
	}
	return strings.Join(words, ", ") + " " + currency + " a piece"
}
