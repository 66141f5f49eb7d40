package rules

import (
	"fmt"

	"github.com/golang/geo/r2"
)

// BurrStretch is one stretch of edge in the map of the burr forecast: a whole
// contour, or a place on it where the burr is likelier at the high end.
type BurrStretch struct {
	Contour   string   // "O" for the outline, else the cut-out's id
	Feature   string   // id of the corner, notch or joint that makes the place; "" for a whole contour
	At        r2.Point // of the place, or the contour's centre
	Length    float64  // mm of edge; 0: the place alone
	Kind      string
	Side      string
	Low, High float64 // mm
	Why       string
}

// burrMap lays the forecast over the part: every contour once, with the lower
// half of the range where nothing speaks for more and the upper half where it
// is small for its thickness, and then the places that stand out. That small
// holes, corners, pierce points and nibs are the bad places is the trade's
// experience; the halves are reasoning.
func (b *judging) burrMap(places []BurrPlace) []BurrStretch {
	if b.burr == nil {
		return nil
	}
	mid := (b.burr.Low + b.burr.High) / 2
	base := BurrStretch{Kind: b.burr.Kind, Side: b.burr.Side, Low: b.burr.Low, High: mid}
	list := make([]BurrStretch, 0, 1+len(b.p.Cutouts)+len(places))

	outline := base
	outline.Contour, outline.At, outline.Length = "O", b.p.Centroid, b.p.OutlineLength.V
	outline.Why = "plain edge"
	list = append(list, outline)
	for i := range b.p.Cutouts {
		c := &b.p.Cutouts[i]
		s := base
		s.Contour, s.At, s.Length, s.Why = c.ID, c.At, c.Perimeter.V, "plain edge"
		if len(places) > 0 && places[0].Feature == c.ID { // cut-outs stand first among the places
			s.Low, s.High, s.Why = places[0].Low, places[0].High, places[0].Why
			places = places[1:]
		}
		list = append(list, s)
	}
	for _, p := range places {
		list = append(list, BurrStretch{Contour: p.contour, Feature: p.Feature, At: p.At, Length: p.length,
			Kind: base.Kind, Side: base.Side, Low: p.Low, High: p.High, Why: p.Why})
	}
	return list
}

// pierceNote says where a cut that must pierce leaves a place that the drawing
// does not show.
func (b *judging) pierceNote() string {
	if b.Process == nil || b.ProcessName == "punch" || b.ProcessName == "shear" {
		return ""
	}
	n := 1 + len(b.p.Cutouts)
	return fmt.Sprintf("%d pierce points and lead-ins, one a contour, are not in the drawing: burr there is at the high end, so place them where it matters least", n)
}
