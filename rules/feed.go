package rules

import (
	"fmt"
	"math"
	"slices"

	"burrcast/analyze/measure"
)

// liftHeads finds the heads that must not touch the part: a belt cuts through
// zinc and film, and hits what stands up.
func (b *judging) liftHeads() {
	b.lifted = make([]string, len(b.Line.Heads))
	for i, h := range b.Line.Heads {
		if h.Brush() {
			continue
		}
		switch {
		case b.Zinc:
			b.lifted[i] = "a belt grain is larger than the zinc layer"
		case b.Film:
			b.lifted[i] = "a belt tears the film"
		case len(b.p.Forms) > 0:
			b.lifted[i] = "formed features stand up"
		}
	}
}

// hasHead reports whether a head of one of the kinds touches the part.
func (b *judging) hasHead(kinds ...string) bool {
	for i, h := range b.Line.Heads {
		if b.lifted[i] == "" && slices.Contains(kinds, h.Kind) {
			return true
		}
	}
	return false
}

// hasBrush reports whether a brush of any kind touches the part.
func (b *judging) hasBrush() bool { return b.hasHead(DrumBrush, DiscBrush, Oscillating) }

// drumOnly reports whether the line's only brushes are drums, which leave edges
// that lie along the feed.
func (b *judging) drumOnly() bool {
	return b.hasHead(DrumBrush) && !b.hasHead(DiscBrush, Oscillating)
}

// tool is the diameter of the finest brush bundle of the line, in mm, and the
// head that has it.
func (b *judging) tool() (float64, string, bool) {
	best, name := math.Inf(1), ""
	for i, h := range b.Line.Heads {
		if d := b.shop.bundle(h); d > 0 && b.lifted[i] == "" && d < best {
			best, name = d, h.Name
		}
	}
	return best, name, name != ""
}

// holding is the slip balance at one feed.
type holding struct {
	margin   float64 // friction over drag, safety included; the worst head
	known    bool
	press    float64 // N, of that head
	force    float64 // N, hold-down
	head     string
	atLeast  bool // the true margin may be higher: an input is missing
	gripless bool // rollers alone hold, and at times none is on the part
	rollers  int
}

// holds lists the hold-downs of the line that act on the material, and whether
// that could be said.
func (b *judging) holds() (list []string, sure bool) { return b.balance.acting, b.balance.sure }

func (b *judging) acting() (list []string, sure bool) {
	if !slices.Contains(b.Line.Hold, HoldMagnet) {
		return b.Line.Hold, true
	}
	sure = true
	for _, h := range b.Line.Hold {
		if h == HoldMagnet {
			if !b.MaterialKnown {
				sure = false
				continue
			}
			if !b.Material.Stock.Magnetic {
				continue
			}
		}
		list = append(list, h)
	}
	return list, sure
}

// balance is what the balance of forces has in common at every feed.
type balance struct {
	acting   []string // hold-downs
	sure     bool
	area     float64 // mm2 covered
	known    bool    // area is
	friction float64
	safety   float64
	weight   float64 // N
	still    float64 // N, hold-down that does not hang on the feed
	rollers  bool
	atLeast  bool // what is not known could only hold better
}

func (b *judging) newBalance() balance {
	var n balance
	n.acting, n.sure = b.acting()
	n.area, n.known = b.p.Area.Get()
	n.friction, n.safety = b.friction(), b.shared("hold-safety", 1.5)
	n.weight, n.atLeast = b.kg*gravity, !b.weighed || !n.sure
	for _, kind := range n.acting {
		switch kind {
		case HoldVacuum:
			n.still += VacuumForce(b.Line.Vacuum, n.area, b.Line.OpenArea)
		case HoldRollers:
			n.rollers = true
		case HoldMagnet:
			if b.ThicknessKnown {
				n.still += b.magnet(n.area)
			}
		}
	}
	return n
}

// holdAt balances the forces on the part at one feed.
//
//	margin = mu (Fn + Fh + W) / (S lambda Fn), for the worst head that touches
//	Fn = force per mm times the widest section under the head
//	Fh = vacuum over the covered area, rollers always on the part, magnet
func (b *judging) holdAt(f *measure.Feed) holding {
	h := holding{margin: math.Inf(1)}
	n := &b.balance
	if !n.known || f.Section <= 0 || f.Length <= 0 {
		return h
	}
	h.atLeast, h.force = n.atLeast, n.still
	if n.rollers {
		h.rollers = RollersOn(f.Length, b.Line.RollerPitch)
		h.force += float64(h.rollers) * b.Line.RollerForce * n.area / f.Length // mean width under a roller
		h.gripless = n.sure && len(n.acting) == 1 && (h.rollers < 1 || f.Length <= b.Line.RollerGap-1e-9)
	}
	for i := range b.Line.Heads {
		if b.lifted[i] != "" {
			continue
		}
		head := &b.Line.Heads[i]
		fn := head.Force * f.Section
		if m := SlipMargin(n.friction, head.ForceRatio, n.safety, fn, h.force, n.weight); m < h.margin {
			h.margin, h.press, h.head, h.known = m, fn, head.Name, true
		}
	}
	return h
}

// friction is that of the part on the conveyor, as the line runs.
func (b *judging) friction() float64 {
	if b.Line.Wet {
		return b.Line.FrictionWet
	}
	return b.Line.FrictionDry
}

// fits reports whether the part lies on the conveyor at a feed.
func (b *judging) fits(f *measure.Feed) bool {
	l := b.Line
	const eps = 1e-6
	return f.Length >= l.Length[0]-eps && f.Length <= l.Length[1]+eps && f.Width >= l.LeastWidth-eps && f.Width <= l.Width+eps
}

// misses is by how many mm a feed misses the conveyor's limits, in all.
func (b *judging) misses(f *measure.Feed) float64 {
	l := b.Line
	return max(l.Length[0]-f.Length, 0) + max(f.Length-l.Length[1], 0) + max(l.LeastWidth-f.Width, 0) + max(f.Width-l.Width, 0)
}

// feeds returns the measured feeds, or what the box of the part says of 0 and 90
// degrees: lengths are exact, the section is at most the width.
func (b *judging) feeds() (list []measure.Feed, measured bool) {
	if len(b.p.Feeds) > 0 {
		return b.p.Feeds, true
	}
	box := b.p.BBox
	if box.IsEmpty() || box.X.Length() <= 0 || box.Y.Length() <= 0 {
		return nil, false
	}
	x, y := box.X.Length(), box.Y.Length()
	return []measure.Feed{{Length: x, Width: y, Section: y}, {Angle: 90, Length: y, Width: x, Section: x}}, false
}

// chooseFeed finds the feed angle.
//
//  1. A grain that is wanted leaves only angles along the drawing's axes.
//  2. Angles that fit the conveyor come before those that do not (of which the
//     ones that miss it by least count), then those that hold, then those that leave the least edge lying along the feed as a
//     drum brush sees it, at the worst angle an operator may miss by.
//  3. Of angles within 5 points of the best, the least turn wins.
func (b *judging) chooseFeed() FeedChoice {
	feeds, measured := b.feeds()
	if len(feeds) == 0 {
		return FeedChoice{}
	}
	drum, tolerance := b.drumOnly(), b.shared("skew-tolerance", 5)
	type candidate struct {
		i    int
		rank int
		off  float64 // mm by which it misses the conveyor
		lies float64
	}
	var room [192]candidate // 182 feeds are measured
	all := room[:0]
	for i := range feeds {
		f := &feeds[i]
		if b.EdgeKnown && b.Edge.Grain != "" && math.Abs(math.Remainder(f.Angle, 90)) > 0.5 {
			continue
		}
		c := candidate{i: i}
		if b.fits(f) {
			c.rank += 4
		} else {
			c.off = b.misses(f)
		}
		h := b.holdAt(f)
		if !h.gripless {
			c.rank += 2
		}
		if !h.known || h.margin >= 1 {
			c.rank++
		}
		all = append(all, c)
	}
	if len(all) == 0 { // no measured angle lies along an axis
		all = append(all, candidate{})
	}
	rank, near := -1, math.Inf(1)
	for _, c := range all {
		if c.rank > rank {
			rank, near = c.rank, c.off
		} else if c.rank == rank {
			near = min(near, c.off)
		}
	}
	least := math.Inf(1)
	var lies []float64
	if drum {
		var room [192]float64
		lies = lyingNear(room[:0], feeds, tolerance)
	}
	for i := range all {
		if c := &all[i]; c.rank == rank && c.off <= near+0.5 {
			if drum {
				c.lies = lies[c.i]
			}
			least = min(least, c.lies)
		}
	}
	pick := candidate{i: -1}
	for _, c := range all {
		if c.rank != rank || c.off > near+0.5 || c.lies > least+0.05 {
			continue
		}
		if pick.i < 0 || turn(feeds[c.i].Angle) < turn(feeds[pick.i].Angle)-1e-9 {
			pick = c
		}
	}
	b.feed, b.fed = feeds[pick.i], measured
	b.hold = b.holdAt(&b.feed)
	out := FeedChoice{Angle: b.feed.Angle, Length: b.feed.Length, Width: b.feed.Width,
		HoldMargin: b.hold.margin, HoldKnown: b.hold.known, Worked: 1}
	if drum && measured {
		out.Worked = 1 - b.feed.Lying
	}
	out.Worked *= 1 - b.unworked
	if !out.HoldKnown {
		out.HoldMargin = 0
	}
	mu := b.friction() // the margin is in proportion to it
	out.HoldDry, out.HoldWet = out.HoldMargin*b.Line.FrictionDry/mu, out.HoldMargin*b.Line.FrictionWet/mu
	out.Gain = b.gain(&feeds[0], drum)
	return out
}

// turn is by how much the part is turned from lying as drawn, 0 to 90 degrees.
func turn(angle float64) float64 {
	if angle >= -90 && angle <= 90 {
		return math.Abs(angle)
	}
	return math.Abs(angle - 180*math.Round(angle/180))
}

// lyingNear appends to out for every feed the largest share of edge lying along
// the feed within the angle that an operator misses by. Feeds ascend over half a
// turn, which closes on itself. A window slides over them and holds what may still
// become the largest in it, in falling order (the usual sliding maximum).
func lyingNear(out []float64, feeds []measure.Feed, tolerance float64) []float64 {
	n := len(feeds)
	angle := func(j int) float64 { // of the feed so many places from the first, over several half turns
		switch {
		case j < 0:
			return feeds[j+n].Angle - 180
		case j >= n:
			return feeds[j-n].Angle + 180
		}
		return feeds[j].Angle
	}
	lying := func(j int) float64 { return feeds[(j+n)%n].Lying }
	next := 0
	for next > 1-n && feeds[0].Angle-angle(next-1) <= tolerance {
		next--
	}
	var room [64]int
	window := room[:0]
	for i := range n {
		for next < i+n && next < 2*n && angle(next)-feeds[i].Angle <= tolerance {
			for len(window) > 0 && lying(window[len(window)-1]) <= lying(next) {
				window = window[:len(window)-1]
			}
			window = append(window, next)
			next++
		}
		for feeds[i].Angle-angle(window[0]) > tolerance || window[0] <= i-n {
			window = window[1:]
		}
		out = append(out, lying(window[0]))
	}
	return out
}

// gain says what the chosen angle is better for than the drawing's own.
func (b *judging) gain(zero *measure.Feed, drum bool) string {
	f := &b.feed
	if f.Angle == zero.Angle {
		return ""
	}
	if b.fits(f) && !b.fits(zero) {
		return fmt.Sprintf("at %.0f degrees the part fits the conveyor; as drawn (%.0f long, %.0f wide) it does not", f.Angle, zero.Length, zero.Width)
	}
	h := b.holdAt(zero)
	if h.gripless && !b.hold.gripless {
		return fmt.Sprintf("at %.0f degrees a roller is always on the part; as drawn none is at times", f.Angle)
	}
	if h.known && h.margin < 1 && b.hold.margin >= 1 {
		return fmt.Sprintf("at %.0f degrees the part holds (margin %.2f); as drawn it slips (%.2f)", f.Angle, b.hold.margin, h.margin)
	}
	if drum && zero.Lying > f.Lying {
		return fmt.Sprintf("turning by %.0f degrees leaves %.0f %% of the edge lying along the feed instead of %.0f %%", f.Angle, 100*f.Lying, 100*zero.Lying)
	}
	return ""
}

// unreachedShare is the share of the cut length that the finest brush cannot
// touch; 0 if the line has no brush or nothing was measured.
func (b *judging) unreachedShare() float64 {
	d, _, ok := b.tool()
	total, known := b.p.CutLength.Get()
	if !ok || !known || total <= 0 {
		return 0
	}
	missing := 0.0
	for i := range b.p.Cutouts {
		c := &b.p.Cutouts[i]
		length, _ := c.Perimeter.Get()
		if share, ok := reachAt(c.Reach, d); ok {
			missing += (1 - share.V) * length
		} else if w, ok := c.Inscribed.Get(); ok && w < d {
			missing += length
		}
	}
	if share, ok := reachAt(b.p.Reach, d); ok {
		length, _ := b.p.OutlineLength.Get()
		missing += (1 - share.V) * length
	}
	return min(missing/total, 1)
}

// reachAt finds the share that was measured for a tool.
func reachAt(list []measure.Reach, tool float64) (measure.Value, bool) {
	r, ok := reachOf(list, tool)
	return r.Share, ok
}

// reachOf finds the reach measured for a tool.
func reachOf(list []measure.Reach, tool float64) (measure.Reach, bool) {
	for _, r := range list {
		if math.Abs(r.Tool-tool) < 1e-6 && r.Share.Known {
			return r, true
		}
	}
	return measure.Reach{}, false
}
