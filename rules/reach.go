package rules

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"burrcast/analyze/measure"
)

const (
	reachSource = "filaments must enter an opening together to work its edge; no published source for how many"
	reachWhy    = "the brush bundle cannot enter, so the burr inside stays"
	reachDo     = "deburr this place on the bench, or widen it"
)

// reachRules say what a brush can touch.
func reachRules() []Rule {
	return []Rule{
		{
			Name: "hole-reach", Title: "hole too small for the brush", Group: GroupReach,
			Measured: "diameter of the largest disc that fits into a round or window cut-out",
			Formula:  "diameter >= bundle diameter of the line's finest brush; where the reachable share of a round hole's edge was measured, share >= reach-share",
			Default:  2.4, Unit: "mm", Applies: "round and window cut-outs on a line with a brush; a belt alone is judged by belt-rolls-burr",
			Treatment: Hand, Why: reachWhy, Do: "countersink or deburr this hole on the bench, or widen it",
			Source: reachSource + "; 3 filaments of 0.8 mm", Provenance: Reasoning,
			Example: "a hole of 2 mm under a brush whose bundle is 2.4 mm: 2 mm against 2.4 mm, hand; one of 2.5 mm passes",
			judge:   judgeHoleReach,
		},
		{
			Name: "slot-reach", Title: "slot too narrow for the brush", Group: GroupReach,
			Measured: "least width of a slot, or of the narrowest passage of a window",
			Formula:  "width >= bundle diameter of the line's finest brush; where the reachable share of the edge was measured, share >= reach-share, stretches left out that stay no deeper than corner-reach",
			Default:  2.4, Unit: "mm", Applies: "slots and windows on a line with a brush",
			Treatment: Hand, Why: reachWhy, Do: reachDo,
			Source: reachSource + "; 3 filaments of 0.8 mm", Provenance: Reasoning,
			Example: "a slot 1.5 mm wide under a brush whose bundle is 2.4 mm: 1.5 mm against 2.4 mm, hand; one of 2.5 mm passes",
			judge:   judgeSlotReach,
		},
		{
			Name: "notch-reach", Title: "notch too narrow for the brush", Group: GroupReach,
			Measured: "width of an opening that enters from the outline",
			Formula:  "width >= bundle diameter of the line's finest brush, unless the notch is no deeper than corner-reach allows a corner to be",
			Default:  2.4, Unit: "mm", Applies: "notches on a line with a brush",
			Treatment: Hand, Why: reachWhy, Do: reachDo,
			Source: reachSource + "; 3 filaments of 0.8 mm", Provenance: Reasoning,
			Example: "a notch 1 mm wide and 12 mm deep under a bundle of 2.4 mm: 1 mm against 2.4 mm, hand; one 3 mm wide passes",
			judge:   judgeNotchReach,
		},
		{
			Name: "corner-reach", Title: "inside corner that the brush does not fill", Group: GroupReach,
			Measured: "depth that stays untouched in an inside corner: r/sin(angle/2) - r, r half the bundle diameter",
			Formula:  "depth <= limit",
			Default:  1.5, Unit: "mm", Applies: "sharp inside corners on a line with a brush",
			Treatment: Hand, Why: "the brush bundle does not reach the bottom of the corner, where burr is heaviest",
			Do:     "file the corner on the bench, or round it by half the bundle diameter",
			Source: "the depth is arithmetic of a disc between two lines; how deep a corner may stay has no published source", Provenance: Reasoning,
			Example: "a corner of 30 degrees under a bundle of 2.4 mm: 1.2/sin(15) - 1.2, 3.44 mm against 1.5 mm, hand; one of 60 degrees keeps 1.2 mm and passes",
			judge:   judgeCornerReach,
		},
		{
			Name: "edge-direction", Title: "edges that lie along the feed under a drum brush", Group: GroupReach,
			Measured: "share of the edge length whose direction is within 15 degrees of the feed, at the feed angle chosen",
			Formula:  "share <= limit",
			Default:  0.25, Unit: "share", Applies: "lines whose only brush is a drum with its axis across the feed",
			Treatment: Brush, Why: "filaments of a drum brush run along these edges instead of across them and leave their burr",
			Do:     "feed the part skewed, or a second time turned by 90 degrees, or use a disc or oscillating brush",
			Source: "skew feeding so that all edges are worked: a dealer's page (looked up); the share is an inference (a circle alone has 0.17)", Provenance: Reasoning,
			Example: "a plate 2500 x 860 mm, too long to turn on 900 mm: 5000 of 6720 mm lie along the feed, 0.744 share against 0.25 share, brush; one of 200 x 150 mm is fed askew and passes",
			judge:   judgeEdgeDirection,
		},
	}
}

// tooSmall records a reach finding; where the burr as cut is already within the
// requirement the bench need not touch it.
func (b *judging) tooSmall(r *Rule, f Finding) {
	t := r.Treatment
	if b.asCutEnough() {
		t = Line
		f.Why = fmt.Sprintf("the brush bundle cannot enter, but the burr forecast as cut (up to %.2g mm) is within the requirement (%s)", b.burr.High, b.Edge.Notation)
		f.Do = "no bench work if samples confirm the burr as cut"
	}
	b.fail(r, t, f)
}

// bundleLimit is the rule's limit: the shop's own, or the line's finest bundle.
// It is not applicable to a line without a brush.
func (b *judging) bundleLimit(r *Rule) (limit float64, own, ok bool) {
	if v, has := b.shop.Limits[r.Name]; has {
		return v, true, true
	}
	d, _, ok := b.tool()
	return d, false, ok
}

func (b *judging) reachShare() float64 { return b.shared("reach-share", 0.95) }

func judgeHoleReach(b *judging, r *Rule) {
	limit, own, ok := b.bundleLimit(r)
	if !ok {
		return
	}
	for i := range b.p.Cutouts {
		c := &b.p.Cutouts[i]
		if c.Kind == measure.Slot {
			continue
		}
		if share, ok := reachAt(c.Reach, limit); ok && !own && c.Kind == measure.Round {
			if share.V+share.Err >= b.reachShare() {
				b.see(r, Pass)
				continue
			}
			d, known := c.Inscribed.Get()
			if !known {
				b.tooSmall(r, Finding{Feature: c.ID, At: c.At, Measured: share.V, Limit: b.reachShare(), Unit: "share"})
				continue
			}
			b.tooSmall(r, Finding{Feature: c.ID, At: c.At, Measured: d, Limit: limit})
			continue
		}
		if b.atLeast(r, c.Inscribed, limit) {
			b.tooSmall(r, Finding{Feature: c.ID, At: c.At, Measured: c.Inscribed.V, Limit: limit})
		}
	}
}

func judgeSlotReach(b *judging, r *Rule) {
	limit, own, ok := b.bundleLimit(r)
	if !ok {
		return
	}
	for i := range b.p.Cutouts {
		c := &b.p.Cutouts[i]
		if c.Kind == measure.Round {
			continue
		}
		if d, ok := c.Inscribed.Get(); ok && c.Kind == measure.Window && d < limit-c.Inscribed.Err-1e-9*limit {
			continue // hole-reach says it
		}
		width := passage(c)
		reach, measured := reachOf(c.Reach, limit)
		length, hasLength := c.Perimeter.Get()
		if share := reach.Share; measured && hasLength && length > 0 && !own {
			// A corner keeps a disc off on both walls; how deep that leaves it
			// untouched is corner-reach's limit, not a share of the edge.
			got := min(share.V+b.shallow(c, reach)/length, 1)
			if got+share.Err >= b.reachShare() {
				b.see(r, Pass)
				continue
			}
			if w, ok := width.Get(); !ok || w >= limit {
				b.tooSmall(r, Finding{Feature: c.ID, At: c.At, Measured: got, Limit: b.reachShare(), Unit: "share",
					Why: "the brush bundle touches only part of the edge, so burr stays in the rest"})
				continue
			}
			b.tooSmall(r, Finding{Feature: c.ID, At: c.At, Measured: width.V, Limit: limit})
			continue
		}
		if b.atLeast(r, width, limit) {
			b.tooSmall(r, Finding{Feature: c.ID, At: c.At, Measured: width.V, Limit: limit})
		}
	}
}

// shallow is the length in mm of the stretches of a cut-out that a tool does not
// touch but leaves no deeper than a corner may stay. Where the stretches were
// not measured, a sharp corner counts as a right one: it keeps a disc off by
// half its diameter on both walls.
func (b *judging) shallow(c *measure.Cutout, reach measure.Reach) float64 {
	if len(reach.Missing) == 0 {
		return float64(c.Corners) * reach.Tool
	}
	limit, sum := b.shared("corner-reach", 1.5), 0.0
	for _, s := range reach.Missing {
		if StretchDepth(reach.Tool, s) <= limit {
			sum += s.Length
		}
	}
	return sum
}

// StretchDepth bounds the depth in mm that a disc of a diameter leaves untouched
// in a stretch of edge. A stretch that is longer than the walls of a sharp corner
// between the same two touching points is no corner: its depth has no bound.
func StretchDepth(diameter float64, s measure.Stretch) float64 {
	chord := s.A.Sub(s.B).Norm()
	depth := UntouchedDepth(diameter, chord)
	// Two walls from the corner to where the disc touches: d cot(angle/2) in all,
	// with cos(angle/2) = chord/d.
	c := chord / diameter
	if walls := diameter * c / math.Sqrt(max(1-c*c, 0)); !(s.Length <= walls*(1+1e-6)+1e-9) {
		return math.Inf(1)
	}
	return depth
}

// UntouchedDepth bounds the depth in mm that a disc of a diameter leaves
// untouched in a corner, from the chord between the two places where it touches
// the walls: chord = diameter cos(angle/2), depth as of CornerDepth. A rounded
// corner is shallower. A chord of a diameter or more is no corner.
func UntouchedDepth(diameter, chord float64) float64 {
	c := chord / diameter
	if !(c < 1) {
		return math.Inf(1)
	}
	return diameter / 2 * (1/math.Sqrt(1-c*c) - 1)
}

func judgeNotchReach(b *judging, r *Rule) {
	limit, _, ok := b.bundleLimit(r)
	if !ok {
		return
	}
	shallow := b.shared("corner-reach", 1.5)
	for i := range b.p.Notches {
		n := &b.p.Notches[i]
		if depth, ok := n.Depth.Get(); ok && depth <= shallow {
			b.see(r, Pass)
			continue
		}
		if b.atLeast(r, n.Width, limit) {
			b.tooSmall(r, Finding{Feature: n.ID, At: n.At, Measured: n.Width.V, Limit: limit})
		}
	}
}

// CornerDepth is the depth in mm that a disc of a diameter leaves untouched in a
// corner of an angle in degrees.
func CornerDepth(diameter, angle float64) float64 {
	s := math.Sin(angle / 2 * math.Pi / 180)
	if s <= 0 {
		return math.Inf(1)
	}
	return diameter / 2 * (1/s - 1)
}

func judgeCornerReach(b *judging, r *Rule) {
	d, _, ok := b.tool()
	if !ok {
		return
	}
	limit := b.limit(r, r.Default)
	for _, k := range b.p.Corners {
		if k.Side != measure.Void || b.insideSmall(k.Contour, d) {
			continue
		}
		if !(k.Angle > 0) {
			b.see(r, Unknown)
			continue
		}
		depth := CornerDepth(d, k.Angle)
		if depth <= limit {
			b.see(r, Pass)
			continue
		}
		b.tooSmall(r, Finding{Feature: k.ID, At: k.At, Measured: depth, Limit: limit})
	}
}

// insideSmall reports whether a corner belongs to a cut-out that the bundle
// cannot enter at all: that finding says it already.
func (b *judging) insideSmall(contour string, tool float64) bool {
	c := b.cutout(contour)
	if c == nil {
		return false
	}
	w, ok := c.Inscribed.Get()
	return ok && w < tool
}

// cutout finds a cut-out by its id, nil if the part has none: C7 is the seventh
// as a rule, and is looked for where it is not.
func (b *judging) cutout(id string) *measure.Cutout {
	if !strings.HasPrefix(id, "C") {
		return nil
	}
	if n, err := strconv.Atoi(id[1:]); err == nil && n >= 1 && n <= len(b.p.Cutouts) && b.p.Cutouts[n-1].ID == id {
		return &b.p.Cutouts[n-1]
	}
	for i := range b.p.Cutouts {
		if b.p.Cutouts[i].ID == id {
			return &b.p.Cutouts[i]
		}
	}
	return nil
}

func judgeEdgeDirection(b *judging, r *Rule) {
	if !b.drumOnly() {
		if b.hasBrush() {
			b.see(r, Pass)
		}
		return
	}
	if !b.fed {
		b.see(r, Unknown)
		return
	}
	limit := b.limit(r, r.Default)
	if b.feed.Lying <= limit {
		b.see(r, Pass)
		return
	}
	b.fail(r, r.Treatment, Finding{Measured: b.feed.Lying, Limit: limit, At: b.p.Centroid})
}
