package rules

import (
	"fmt"
	"math"
)

// Wear is what one head's belts or brushes cost for a piece, at the speed that
// is right for the material and at the one speed that a shop would run for all.
type Wear struct {
	Head     string
	Right    Span    // m/s, of the material within what the head can do
	OneSpeed float64 // m/s
	Cost     Range   // currency a piece, at the right speed
	AtOne    Range   // the same at the one speed; line time that it adds included
	Why      string  // what the one speed does, or ""
}

// Saved is what the right speed is worth for a piece, from the middle of both
// ranges; never below 0.
func (w Wear) Saved() float64 {
	return max((w.AtOne.Low+w.AtOne.High-w.Cost.Low-w.Cost.High)/2, 0)
}

// rightSpeed is the material's range of belt speed within what the head can do;
// where both do not meet, the nearest that the head has.
func (b *judging) rightSpeed(h Head) (Span, bool) {
	if !b.MaterialKnown || h.Kind != BeltHead {
		return h.Speed, false
	}
	want := b.Material.Group.BeltSpeed
	low, high := max(want[0], h.Speed[0]), min(want[1], h.Speed[1])
	if low > high {
		near := h.Speed[1]
		if want[1] < h.Speed[0] {
			near = h.Speed[0]
		}
		return Span{near, near}, true
	}
	return Span{low, high}, true
}

// wear lists the heads that touch the part and have life and price in the shop
// file.
//
//	use of a piece = running time / life x price
//	above the right speed: life falls with (speed/right)^exponent
//	below it: the rate of cut falls with the speed, so the conveyor runs slower
//	in proportion, and belt, brushes and line run longer for a piece
func (b *judging) wear(out *Judgement) []Wear {
	line := out.LineTime
	var list []Wear
	for i, h := range b.Line.Heads {
		if b.lifted[i] != "" || h.Price <= 0 || h.Life <= 0 || line.High <= 0 {
			continue
		}
		perSecond := h.Price / h.Life / 3600
		w := Wear{Head: h.Name, Right: h.Speed, Cost: Range{line.Low * perSecond, line.High * perSecond}}
		w.OneSpeed = h.OneSpeed
		if w.OneSpeed == 0 {
			w.OneSpeed = (h.Speed[0] + h.Speed[1]) / 2
		}
		w.AtOne = w.Cost
		if right, ok := b.rightSpeed(h); ok {
			w.Right = right
			switch {
			case w.OneSpeed > right[1]*(1+1e-9):
				f := math.Pow(w.OneSpeed/right[1], b.shop.Rates.WearExponent)
				w.AtOne = Range{w.Cost.Low * f, w.Cost.High * f}
				w.Why = fmt.Sprintf("too fast for %s: heat and glazing take the belt %.1f times as fast", b.Material.Group.Title, f)
			case w.OneSpeed < right[0]*(1-1e-9):
				f := right[0] / w.OneSpeed
				slow := b.slower(out, f)
				if slow == line { // the loader sets the pace, and nothing is lost
					break
				}
				more := b.cost(slow, Range{})
				less := b.cost(line, Range{})
				w.AtOne = Range{w.Cost.Low + max(more.Low-less.Low, 0), w.Cost.High + max(more.High-less.High, 0)}
				w.Why = fmt.Sprintf("too slow for %s: the belt cuts %.0f %% less, so the conveyor runs slower", b.Material.Group.Title, 100*(1-1/f))
			}
		}
		list = append(list, w)
	}
	return list
}

// slower is a line's time when the conveyor runs slower by a factor: the
// loader's time stays.
func (b *judging) slower(out *Judgement, factor float64) Range {
	line := out.LineTime
	low, high := b.passes(out.Findings)
	loader := b.shop.Rates.Loader
	at := func(seconds, passes float64) float64 {
		if seconds <= passes*loader*(1+1e-9) { // the loader sets the pace; the conveyor has room
			return seconds
		}
		return seconds * factor
	}
	return Range{at(line.Low, low), at(line.High, high)}
}

// wearHour is the price of an hour of running: of the heads that touch the part
// where all of them have life and price, else the shop's flat rate.
func (b *judging) wearHour() Span {
	sum, touching := 0.0, 0
	for i, h := range b.Line.Heads {
		if b.lifted[i] != "" {
			continue
		}
		if h.Price <= 0 || h.Life <= 0 {
			return b.shop.Rates.Abrasive
		}
		sum += h.Price / h.Life
		touching++
	}
	if touching == 0 {
		return Span{}
	}
	return Span{sum, sum}
}

// cost is the price of line and bench seconds of a piece, abrasive use included.
func (b *judging) cost(line, hand Range) Range {
	r, wear := b.shop.Rates, b.wearHour()
	return Range{
		(line.Low*(r.LineHour[0]+wear[0]) + hand.Low*r.BenchHour[0]) / 3600,
		(line.High*(r.LineHour[1]+wear[1]) + hand.High*r.BenchHour[1]) / 3600,
	}
}

// abrasiveUse adds up what belts and brushes cost for a piece.
func abrasiveUse(list []Wear) Range {
	var sum Range
	for _, w := range list {
		sum = add(sum, w.Cost)
	}
	return sum
}

// money writes an amount with what matters of it.
func money(v float64) string {
	if v < 10 {
		return fixed(v, 2)
	}
	return fixed(v, 0)
}
