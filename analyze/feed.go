package analyze

import (
	"math"

	"burrcast/analyze/measure"
	"burrcast/geom/width"
)

// lying is the greatest angle between an edge and the feed at which the edge
// counts as lying along it.
const lying = 15 * math.Pi / 180

// feedSteps is the number of feed angles over half a turn: 1 degree steps. The
// other half shows the same part led by its other end.
const feedSteps = 180

// feeds measures the part at every feed angle and at the two angles at which it
// is narrowest along and across the feed. A part turned by an angle sees the
// feed turned back by it.
func (w *work) feeds() {
	s := width.NewSupport(w.merged[0])
	least, narrow := s.LeastWidth()
	w.part.MinWidth = measure.Of(least, 2*w.err)
	sections := &w.room.sections
	sections.Reset(w.merged)
	edges := width.NewEdges(w.merged)
	w.part.Feeds = make([]measure.Feed, 0, feedSteps+2)
	at := func(deg float64) measure.Feed {
		dir := -deg * math.Pi / 180
		f := edges.Face(dir, lying)
		c := w.part.Centroid
		sin, cos := math.Sincos(dir)
		section, place := sections.Widest(dir)
		along, across, front := s.Reach(dir)
		return measure.Feed{
			Angle: deg, Length: along, Width: across,
			Lead:    front - c.X*cos - c.Y*sin,
			Section: section, SectionAt: place,
			Along: f.Along / f.Total, Against: f.Against / f.Total, Across: f.Across / f.Total,
			Lying: f.Lying / f.Total,
		}
	}
	extra := []float64{halfTurn(-narrow * 180 / math.Pi), halfTurn(90 - narrow*180/math.Pi)}
	if extra[0] > extra[1] {
		extra[0], extra[1] = extra[1], extra[0]
	}
	for k := range feedSteps {
		deg := float64(k) * 180 / feedSteps
		for len(extra) > 0 && extra[0] < deg-1e-9 {
			w.part.Feeds = append(w.part.Feeds, at(extra[0]))
			extra = extra[1:]
		}
		if len(extra) > 0 && extra[0] < deg+1e-9 {
			extra = extra[1:]
		}
		w.part.Feeds = append(w.part.Feeds, at(deg))
	}
	for _, deg := range extra {
		w.part.Feeds = append(w.part.Feeds, at(deg))
	}
}

// halfTurn brings an angle in degrees to [0, 180).
func halfTurn(deg float64) float64 {
	deg = math.Mod(deg, 180)
	if deg < 0 {
		deg += 180
	}
	if deg > 180-1e-9 || deg < 1e-9 {
		return 0
	}
	return deg
}
