package analyze

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"burrcast/analyze/measure"
)

// Sizes between which flat parts of sheet metal lie, mm: the longer side of the
// largest, from a large washer to a whole sheet, and the diameter of the
// smallest round hole, from the finest that is cut to more than any bolt needs; a
// plate of a metre or more has bolt holes. The limits are common practice; outside them a unit is doubted only if another
// one brings both inside.
const (
	leastPart, largestPart = 8.0, 4000.0
	leastHole, largestHole = 0.5, 40.0
	largePart              = 1000.0
)

// smallHole is the share of a part's longer side above which a hole says nothing
// of its size: the bore of a ring is as wide as the ring wants it.
const smallHole = 0.2

// sizes is what the drawing shows of its scale, in mm as taken.
type sizes struct {
	long, short float64   // sides of the largest part
	holes       []float64 // diameters of small round cut-outs, ascending, each once
}

// reading is a unit that the numbers of a drawing could be in.
type reading struct {
	name string
	mm   float64
}

// readings lists the units that drawings are found in, the likeliest first;
// points and pixels come from drawing programs for print and screen.
func readings() []reading {
	return []reading{{"mm", 1}, {"inch", 25.4}, {"cm", 10}, {"m", 1000}, {"points (1/72 inch)", 25.4 / 72},
		{"pixels (1/96 inch)", 25.4 / 96}, {"mil", 0.0254}}
}

// doubtUnits compares the units taken with what the drawing shows of its scale:
//
//  1. sizes of parts and holes that nobody makes, where another unit gives sizes
//     that are made;
//  2. diameters of holes that are round numbers in another unit only;
//  3. sizes of parts in notes.
//
// What it finds is told and never acted upon. A unit given by the user is not
// doubted.
func (a *analysis) doubtUnits() {
	if a.dxf.Units.Source == "given" || !(a.dxf.Units.Millimetres > 0) || len(a.res.Parts) == 0 {
		return
	}
	s := a.sizes()
	confirmed, doubt := a.notedSize()
	if doubt == "" && !confirmed {
		if doubt = a.doubtSizes(s); doubt == "" {
			doubt = a.doubtDiameters(s)
		}
	}
	if doubt == "" && a.dxf.Units.Doubt != "" {
		doubt = a.settleDoubt(s)
	}
	if doubt == "" {
		return
	}
	d := &a.res.Drawing
	if d.UnitsDoubt != "" {
		d.UnitsDoubt += "; "
	}
	d.UnitsDoubt += doubt
	a.say("units-doubt", 0, "%s; nothing was changed", doubt)
}

func (a *analysis) sizes() sizes {
	var s sizes
	for i := range a.res.Parts {
		m := &a.res.Parts[i].Measure
		w, h := m.BBox.X.Length(), m.BBox.Y.Length()
		if long := math.Max(w, h); long > s.long {
			s.long, s.short = long, math.Min(w, h)
		}
		for _, c := range m.Cutouts {
			if d, ok := c.Inscribed.Get(); ok && c.Kind == measure.Round && d <= smallHole*math.Max(w, h) {
				s.holes = append(s.holes, d)
			}
		}
	}
	slices.Sort(s.holes)
	s.holes = slices.CompactFunc(s.holes, func(p, q float64) bool { return math.Abs(q-p) <= 1e-4*q })
	return s
}

// sensible reports whether the sizes, k times as large, are made.
func (s sizes) sensible(k float64) bool {
	if s.long*k < leastPart || s.long*k > largestPart {
		return false
	}
	if len(s.holes) == 0 {
		return true
	}
	least := s.holes[0] * k
	return least >= leastHole && (least <= largestHole || s.long*k <= largePart)
}

// describe tells the sizes, k times as large.
func (s sizes) describe(k float64) string {
	text := fmt.Sprintf("%.4g x %.4g mm", s.long*k, s.short*k)
	if len(s.holes) > 0 {
		text += fmt.Sprintf(" with holes from %.3g mm", s.holes[0]*k)
	}
	return text
}

func (a *analysis) doubtSizes(s sizes) string {
	if s.sensible(1) {
		return ""
	}
	// First units whose sizes lie well within what is made.
	var better []string
	for _, most := range [2]float64{0.4, 1} {
		for _, r := range readings() {
			k := r.mm / a.dxf.Units.Millimetres
			if math.Abs(k-1) > 1e-9 && s.sensible(k) && s.sensible(k/most) && len(better) < 2 {
				better = append(better, fmt.Sprintf("as %s %s", r.name, s.describe(k)))
			}
			// Units of drawing programs only where those of drawings do not do.
			if r.mm == 1000 && len(better) > 0 {
				return s.say(a.dxf.Units.Name, better)
			}
		}
	}
	return s.say(a.dxf.Units.Name, better)
}

func (s sizes) say(unit string, better []string) string {
	if len(better) == 0 {
		return ""
	}
	return fmt.Sprintf("as %s the largest part is %s, %s would make sense", unit, s.describe(1), strings.Join(better, " or "))
}

// fewestHoles is how many different diameters it takes to tell round numbers
// from chance: one in twenty is round in one way or another.
const fewestHoles = 3

func (a *analysis) doubtDiameters(s sizes) string {
	if len(s.holes) < fewestHoles || 4*roundNumbers(s.holes, 1) > len(s.holes) {
		return ""
	}
	for _, r := range readings() {
		k := r.mm / a.dxf.Units.Millimetres
		if math.Abs(k-1) > 1e-9 && s.sensible(k) && 4*roundNumbers(s.holes, k) >= 3*len(s.holes) {
			return fmt.Sprintf("as %s the holes are %s, no round numbers; as %s they are %s, and the largest part %s",
				a.dxf.Units.Name, diameters(s.holes, 1), r.name, diameters(s.holes, k), s.describe(k))
		}
	}
	return ""
}

// roundNumbers counts the diameters that, k times as large, are whole tenths of
// a millimetre or whole 64ths or thousandths of an inch.
func roundNumbers(holes []float64, k float64) int {
	n := 0
	for _, d := range holes {
		d *= k
		whole := func(step, tol float64) bool { return math.Abs(d-step*math.Round(d/step)) <= tol }
		if whole(0.1, 5e-4) || whole(25.4/64, 5e-4) || whole(0.0254, 5e-4) {
			n++
		}
	}
	return n
}

func diameters(holes []float64, k float64) string {
	var out []string
	for _, d := range holes[:min(len(holes), fewestHoles)] {
		out = append(out, fmt.Sprintf("%.4g", d*k))
	}
	return strings.Join(out, ", ") + " mm"
}

// settleDoubt says what a contradiction in the header would come to.
func (a *analysis) settleDoubt(s sizes) string {
	other := ""
	switch {
	case strings.Contains(a.dxf.Units.Doubt, "metric"):
		other = "mm"
	case strings.Contains(a.dxf.Units.Doubt, "imperial"):
		other = "inch"
	default:
		return ""
	}
	for _, r := range readings() {
		if r.name != other {
			continue
		}
		k := r.mm / a.dxf.Units.Millimetres
		text := fmt.Sprintf("as %s the largest part is %s, as %s %s", a.dxf.Units.Name, s.describe(1), other, s.describe(k))
		switch one, two := s.sensible(1), s.sensible(k); {
		case one && !two:
			text += fmt.Sprintf(": %s makes sense", a.dxf.Units.Name)
		case two && !one:
			text += fmt.Sprintf(": %s makes sense", other)
		}
		return text
	}
	return ""
}

// sizePattern finds two sizes and perhaps a thickness: 120 x 80, 120x80x2 mm,
// 4.5" x 3".
var sizePattern = regexp.MustCompile(`(?i)(\d+(?:[.,]\d+)?)\s*(mm|"|in\b|inch)?\s*[x×*]\s*(\d+(?:[.,]\d+)?)(?:\s*[x×*]\s*\d+(?:[.,]\d+)?)?\s*(mm|"|in\b|inch)?`)

// notedSize compares part sizes in notes with the parts. A size that fits as
// taken, or that repeats the drawing's own numbers without naming a unit,
// confirms; one that fits a part in another unit is a doubt.
func (a *analysis) notedSize() (confirmed bool, doubt string) {
	u := a.dxf.Units.Millimetres
	for _, n := range a.dxf.Notes {
		for _, f := range sizePattern.FindAllStringSubmatch(n.Text, 8) {
			p, err := strconv.ParseFloat(strings.Replace(f[1], ",", ".", 1), 64)
			q, err2 := strconv.ParseFloat(strings.Replace(f[3], ",", ".", 1), 64)
			if err != nil || err2 != nil || !(math.Min(p, q) > 0) {
				continue
			}
			unit := strings.ToLower(f[4] + f[2])
			mm := 1.0
			if unit != "" && !strings.HasPrefix(unit, "mm") {
				mm = 25.4
			}
			if a.fitsPart(p*mm, q*mm) || unit == "" && a.fitsPart(p*u, q*u) {
				return true, ""
			}
			for _, r := range readings() {
				// In this unit every part is k times as large as taken.
				k := r.mm / u
				if math.Abs(k-1) > 1e-9 && doubt == "" && a.fitsPart(p*mm/k, q*mm/k) {
					doubt = fmt.Sprintf("the note %q fits a part if the drawing is in %s; as %s that part is %.4g x %.4g mm",
						strings.TrimSpace(f[0]), r.name, a.dxf.Units.Name, p*mm/k, q*mm/k)
				}
			}
		}
	}
	return false, doubt
}

// fitsPart reports whether a part has these sides within one per cent.
func (a *analysis) fitsPart(p, q float64) bool {
	near := func(x, y float64) bool { return math.Abs(x-y) <= 0.01*y }
	for i := range a.res.Parts {
		b := a.res.Parts[i].Measure.BBox
		w, h := b.X.Length(), b.Y.Length()
		if near(p, w) && near(q, h) || near(p, h) && near(q, w) {
			return true
		}
	}
	return false
}
