package rules

import (
	"fmt"
	"math"

	"burrcast/analyze/measure"
)

// Carrier is an array of parts left joined in sheet, with a frame all round, so
// that the line can hold what it cannot hold alone.
type Carrier struct {
	Along, Across int     // parts along the feed and across it
	Length, Width float64 // mm of the carrier, frame included
	PartLength    float64 // mm of a part along the feed, as it lies in the carrier
	PartWidth     float64
	Turned        float64 // degrees by which the part is turned in it
	Web           float64 // mm between parts
	Frame         float64 // mm of sheet all round
	Joints        int     // a part
	JointWidth    float64 // mm
	Margin        float64 // of the slip balance of the whole carrier
	Mass          float64 // kg; 0 if unknown
	Nibs          Range   // bench seconds a piece afterwards: break out, file the nibs
	LineTime      Range   // seconds a piece
}

// Parts is how many pieces a carrier holds.
func (c Carrier) Parts() int { return c.Along * c.Across }

// carrier finds the smallest array that reaches the line's limits.
//
//  1. The part lies as its smallest box does, or turned by 90 degrees.
//  2. Parts along the feed are added until the carrier is long enough and a
//     roller is always on it where rollers alone hold, and for each length parts
//     across until it is wide and heavy enough.
//  3. The first such array that the slip balance holds is taken: pressing and
//     hold-down both grow with the width, so that only length helps.
//  4. Joints: one for so much of the outline, and as many or as wide as their
//     shear strength against the head's drag asks.
//
// It is not found if the sheet would outgrow the line.
func (b *judging) carrier() (Carrier, bool) {
	feeds, measured := b.feeds()
	if len(feeds) == 0 || b.Line == nil {
		return Carrier{}, false
	}
	best, found := Carrier{}, false
	for _, f := range boxFeeds(feeds, measured) {
		c, ok := b.arrayOf(f)
		if ok && (!found || c.Parts() < best.Parts() || c.Parts() == best.Parts() && c.Length*c.Width < best.Length*best.Width) {
			best, found = c, true
		}
	}
	if !found {
		return Carrier{}, false
	}
	b.joinIn(&best)
	return best, true
}

// boxFeeds returns the feed whose box is smallest, and the one turned by 90
// degrees from it.
func boxFeeds(feeds []measure.Feed, measured bool) []measure.Feed {
	least := feeds[0]
	for _, f := range feeds {
		if f.Length*f.Width < (1-1e-9)*least.Length*least.Width {
			least = f
		}
	}
	if !measured {
		return feeds
	}
	across := least
	across.Angle = math.Mod(least.Angle+90, 180)
	across.Length, across.Width = least.Width, least.Length
	return []measure.Feed{least, across}
}

// edgeWeb is what the web at a skeleton's edge is to the webs between parts: a
// nesting lesson on blanking has one and a half (looked up).
const edgeWeb = 1.5

// arrayOf finds the fewest parts along and across of one lie.
func (b *judging) arrayOf(f measure.Feed) (Carrier, bool) {
	k := b.shop.Carrier
	web := k.LeastWeb
	if b.ThicknessKnown {
		web = max(web, k.Web*b.Thickness.MM)
	}
	c := Carrier{PartLength: f.Length, PartWidth: f.Width, Turned: f.Angle, Web: web, Frame: max(k.Frame, edgeWeb*web)}
	size := func(n int, side float64) float64 { return float64(n)*(side+web) - web + 2*c.Frame }
	for c.Along = 1; c.Along <= int(k.Most); c.Along++ {
		c.Length = size(c.Along, f.Length)
		if c.Length > b.Line.Length[1] {
			break
		}
		if c.Length < b.Line.Length[0] || !b.rollersHold(c.Length) {
			continue
		}
		for c.Across = 1; c.Across <= int(k.Most); c.Across++ {
			c.Width = size(c.Across, f.Width)
			if c.Width > b.Line.Width {
				break
			}
			c.Mass = b.sheetMass(c)
			if c.Width < b.Line.LeastWidth || c.Mass > 0 && c.Mass*1000 < b.shared("part-light", 5) {
				continue
			}
			if c.Margin = b.slip(c); c.Margin >= b.shared("hold-slip", 1)-1e-9 {
				return c, true
			}
			break // wider changes pressing and hold-down alike
		}
	}
	return Carrier{}, false
}

// rollersHold reports whether a roller is always on a length, on lines that
// rollers alone hold.
func (b *judging) rollersHold(length float64) bool {
	list, sure := b.holds()
	if !sure || len(list) != 1 || list[0] != HoldRollers {
		return true
	}
	return RollersOn(length, b.Line.RollerPitch) >= 1 && length >= b.Line.RollerGap-1e-9
}

// sheet is the covered area of a carrier in mm2: all of it but the parts' own
// cut-outs, which drop out.
func (b *judging) sheet(c Carrier) float64 {
	holes := 0.0
	for i := range b.p.Cutouts {
		h := &b.p.Cutouts[i]
		holes += h.Area.V
	}
	return max(c.Length*c.Width-float64(c.Parts())*holes, 0)
}

func (b *judging) sheetMass(c Carrier) float64 {
	if !b.ThicknessKnown || !b.MaterialKnown {
		return 0
	}
	return SheetMass(b.sheet(c), b.Thickness.MM, b.Material.Stock.Density)
}

// slip is the slip balance of a carrier: its leading frame is the widest section
// under a head.
func (b *judging) slip(c Carrier) float64 {
	area := b.sheet(c)
	hold := 0.0
	list, _ := b.holds()
	for _, kind := range list {
		switch kind {
		case HoldVacuum:
			hold += VacuumForce(b.Line.Vacuum, area, b.Line.OpenArea)
		case HoldRollers:
			hold += float64(RollersOn(c.Length, b.Line.RollerPitch)) * b.Line.RollerForce * area / c.Length
		case HoldMagnet:
			if b.ThicknessKnown {
				hold += b.magnet(area)
			}
		}
	}
	margin := math.Inf(1)
	for i, h := range b.Line.Heads {
		if b.lifted[i] == "" {
			margin = min(margin, SlipMargin(b.friction(), h.ForceRatio, b.shared("hold-safety", 1.5), h.Force*c.Width, hold, b.sheetMass(c)*gravity))
		}
	}
	return margin
}

// shearOfYield is the shear yield of ductile metal as a share of its yield in
// tension: 1/sqrt(3), by the distortion-energy criterion of the textbooks.
const shearOfYield = 0.577

// joinIn chooses joints and what they cost afterwards.
func (b *judging) joinIn(c *Carrier) {
	k := b.shop.Carrier
	outline, _ := b.p.OutlineLength.Get()
	c.Joints = int(math.Max(k.Joints[0], math.Min(k.Joints[1], math.Ceil(outline/k.JointSpacing))))
	c.JointWidth = k.JointWidth[0]
	if b.ThicknessKnown {
		c.JointWidth = math.Round(10*max(k.JointWidth[0], min(k.JointWidth[1], k.JointShare*b.Thickness.MM))) / 10
		if b.MaterialKnown {
			_, drag := b.heaviest()
			load := b.shared("hold-safety", 1.5) * drag * c.PartWidth
			each := c.JointWidth * b.Thickness.MM * shearOfYield * b.Material.YieldOrEstimate()
			c.Joints = max(c.Joints, int(math.Ceil(load/each-1e-9)))
		}
	}
	r := b.shop.Rates
	c.Nibs = Range{float64(c.Joints)*r.HandNib[0] + r.PickPlace[0], float64(c.Joints)*r.HandNib[1] + r.PickPlace[1]}
	lanes := max(Lanes(b.Line.Width, c.Width, b.Line.Spacing), 1)
	each := func(speed float64) float64 {
		return max(60/PartsPerMinute(lanes, speed, c.Length, b.Line.Spacing), b.shop.Rates.Loader) / float64(c.Parts())
	}
	low, high := b.sides()
	c.LineTime = Range{low * each(b.Line.ConveyorSpeed[1]), high * each(b.Line.ConveyorSpeed[0])}
}

// Words say what the carrier is.
func (c Carrier) Words() string {
	parts := "the part"
	if c.Parts() > 1 {
		parts = fmt.Sprintf("%d x %d parts (along x across the feed)", c.Along, c.Across)
	}
	return fmt.Sprintf("%s joined in sheet of %.0f x %.0f mm, %d joints of %.1f mm to a part", parts, c.Length, c.Width, c.Joints, c.JointWidth)
}

// settings are the carrier's numbers for the route.
func (c Carrier) settings() []Setting {
	list := []Setting{
		{"array", fmt.Sprintf("%d along x %d across", c.Along, c.Across), "fewest parts that reach the line's least size and slip balance (arithmetic, from the line's own numbers)"},
		{"carrier size", fmt.Sprintf("%.0f x %.0f mm, frame %.0f mm, webs %.1f mm", c.Length, c.Width, c.Frame, c.Web), "webs 1.5 of thickness, at the edge half as much again (looked up for blanking); the least of both is an inference; shop file"},
		{"hold margin", fmt.Sprintf("%.2f", c.Margin), "slip balance of the whole carrier, safety included"},
		{"joints", fmt.Sprintf("%d a part, %.1f mm wide", c.Joints, c.JointWidth), "1 to 4 a part, 0.2 to 0.5 mm to 2 mm sheet, 0.5 to 1 mm from 3 to 6 mm (common practice); enough to carry the drag in shear (textbook)"},
		{"nibs afterwards", fmt.Sprintf("%.0f to %.0f s a piece", c.Nibs.Low, c.Nibs.High), "break out and file, shop file; nibs stay 0.1 to 0.4 mm high (common practice, no measured source)"},
	}
	if math.IsInf(c.Margin, 1) {
		list = append(list[:2], list[3:]...)
	}
	return list
}
