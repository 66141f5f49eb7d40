package rules

import (
	"fmt"
	"math"
	"strconv"

	"burrcast/analyze/measure"
)

// FeedOption is one way to run a part: at one angle, or at two in two passes.
type FeedOption struct {
	Name     string // "as drawn", "as chosen", "two passes turned by 90 degrees"
	Angles   []float64
	Worked   float64 // share of edge length that the brushes work
	Fits     bool    // on the conveyor, at every angle
	Margin   float64 // of the slip balance, the worst angle; valid if Known
	Known    bool
	LineTime Range // seconds a piece
}

// feedOptions compares how the part could be run.
//
//  1. As drawn, and as chosen.
//  2. Two passes, the second turned by 90 degrees: a drum brush leaves only what
//     lies along the feed both times, which is nothing, as directions within 15
//     degrees of one axis are not within 15 of the other.
//
// The second pass costs the line's time twice.
func (b *judging) feedOptions() []FeedOption {
	feeds, measured := b.feeds()
	if len(feeds) == 0 || !measured {
		return nil
	}
	reached := 1 - b.unworked
	drum := b.drumOnly()
	one := func(name string, f measure.Feed) FeedOption {
		o := FeedOption{Name: name, Angles: []float64{f.Angle}, Worked: reached, Fits: b.fits(&f), LineTime: b.secondsAt(f)}
		if drum {
			o.Worked *= 1 - f.Lying
		}
		h := b.holdAt(&f)
		o.Margin, o.Known = h.margin, h.known
		return o
	}
	list := append(make([]FeedOption, 0, 3), one("as drawn", feeds[0]))
	if b.feed.Angle != feeds[0].Angle {
		list = append(list, one("as chosen", b.feed))
	}
	if !drum {
		return list
	}
	first, second := feeds[0], nearestFeed(feeds, feeds[0].Angle+90)
	a, c := one("", first), one("", second)
	two := FeedOption{Name: "two passes, the second turned by 90 degrees", Angles: []float64{first.Angle, second.Angle},
		Worked: reached * (1 - min(first.Lying, 1)*overlap(first.Angle, second.Angle)), Fits: a.Fits && c.Fits,
		Margin: min(a.Margin, c.Margin), Known: a.Known && c.Known, LineTime: add(a.LineTime, c.LineTime)}
	return append(list, two)
}

// overlap is 1 if edges can lie along the feed at both angles, else 0.
func overlap(a, c float64) float64 {
	if math.Abs(math.Remainder(a-c, 180)) > 30 {
		return 0
	}
	return 1
}

// nearestFeed finds the measured feed nearest to an angle in degrees.
func nearestFeed(feeds []measure.Feed, angle float64) measure.Feed {
	best, off := 0, math.Inf(1)
	for i := range feeds {
		if d := turn(feeds[i].Angle - angle); d < off-1e-9 {
			best, off = i, d
		}
	}
	return feeds[best]
}

// settings tell the options where there is a choice to make.
func (b *judging) feedSettings(out Judgement) []Setting {
	list := make([]Setting, 0, 6)
	for i := range out.FeedOptions {
		o := &out.FeedOptions[i]
		if len(out.FeedOptions) < 2 {
			break
		}
		value := "does not fit the conveyor"
		if o.Fits {
			value = fixed(100*o.Worked, 0) + " % of the edge worked, line " + digits(o.LineTime.Low, 3) + " to " + digits(o.LineTime.High, 3) + " s"
			switch {
			case o.Known && o.Margin < 1:
				value += ", slips (margin " + fixed(o.Margin, 2) + ")"
			case o.Known:
				value += ", hold margin " + fixed(o.Margin, 2)
			}
		}
		angles := fixed(o.Angles[0], 0)
		if len(o.Angles) > 1 {
			angles += " and " + fixed(o.Angles[1], 0)
		}
		list = append(list, Setting{"feed " + o.Name + " (" + angles + " degrees)", value,
			"edges within 15 degrees of the feed count as unworked by a drum brush (inference); skew feeding is a dealer's advice (looked up)"})
	}
	if b.EdgeKnown && b.Edge.Grain != "" {
		list = append(list, Setting{"grain", fmt.Sprintf("runs along the feed: at %.0f degrees along the drawing's %s; skew would turn it", b.feed.Angle, axis(b.feed.Angle)),
			"a fine belt draws its grain along the feed (common practice); say so if the other direction is wanted"})
	}
	return list
}

func axis(angle float64) string {
	if math.Abs(math.Remainder(angle, 180)) < 45 {
		return "X"
	}
	return "Y"
}

// fixed writes a number with so many decimals, digits one with so many digits, as
// %.0f and %.3g do, in a fraction of their time.
func fixed(v float64, decimals int) string { return strconv.FormatFloat(v, 'f', decimals, 64) }
func digits(v float64, n int) string       { return strconv.FormatFloat(v, 'g', n, 64) }
