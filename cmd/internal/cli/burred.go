package cli

import (
	"math"
	"strings"

	"burrcast/analyze"
	"burrcast/analyze/measure"
	"burrcast/geom"
	"burrcast/rules"

	"github.com/golang/geo/s1"
)

// burredOf is the edge of a part on which burr stays after the line, as far as
// the findings say where:
//
//  1. stretches that the line's finest brush bundle cannot touch, but for those
//     no deeper than a corner may stay;
//  2. the whole edge of a cut-out that a reach rule names and that has no
//     stretch, since nothing enters it;
//  3. under a drum brush that leaves edges along the feed, those edges;
//  4. behind a belt that lays burr over, the edges of all cut-outs.
func burredOf(p *analyze.Part, j rules.Judgement, tool float64, shop rules.Shop) []geom.Curve {
	var out []geom.Curve
	drawn := map[string]bool{} // contours that have a stretch
	reach := map[string][]measure.Reach{"O": p.Measure.Reach}
	loops := map[string][]geom.Curve{}
	for k, loop := range p.Contours {
		id := "O"
		if k > 0 {
			id = p.Measure.Cutouts[k-1].ID
			reach[id] = p.Measure.Cutouts[k-1].Reach
		}
		loops[id] = loop
	}
	shallow := limitOf(shop, "corner-reach")
	for k := range p.Contours {
		id := "O"
		if k > 0 {
			id = p.Measure.Cutouts[k-1].ID
		}
		for _, r := range reach[id] {
			if r.Tool != tool {
				continue
			}
			for _, s := range r.Missing {
				edge := along(loops[id], s.From, s.Length)
				if whole := s.Length >= geom.LoopLength(loops[id])*(1-1e-9); whole || untouched(edge, tool) > shallow {
					out = append(out, edge...)
					drawn[id] = true
				}
			}
		}
	}
	var lying, rolled bool
	for _, f := range j.Findings {
		lying = lying || f.Rule == "edge-direction"
		rolled = rolled || f.Rule == "belt-rolls-burr"
		if strings.HasSuffix(f.Rule, "-reach") && strings.HasPrefix(f.Feature, "C") && !drawn[f.Feature] {
			drawn[f.Feature] = true
			out = append(out, loops[f.Feature]...)
		}
	}
	for k, loop := range p.Contours {
		switch {
		case rolled && k > 0 && !drawn[p.Measure.Cutouts[k-1].ID]:
			out = append(out, loop...)
		case lying && !rolled:
			// The part turns by the angle, so seen from it the feed turns back.
			out = append(out, within(loop, -s1.Angle(j.Feed.Angle)*s1.Degree, 15*s1.Degree)...)
		}
	}
	return out
}

// finest is the diameter of a line's finest brush bundle, mm; 0 without one.
func finest(tools []float64) float64 {
	if len(tools) == 0 {
		return 0
	}
	return tools[0]
}

// untouched is how far, in mm, a stretch lies at most from a disc that touches
// both its ends: what lies beyond their chord, less what the disc reaches beyond
// it. Arcs count by their ends and their middle.
func untouched(stretch []geom.Curve, diameter float64) float64 {
	if len(stretch) == 0 {
		return 0
	}
	a, b := stretch[0].Start, stretch[len(stretch)-1].End
	chord := geom.Line(a, b)
	deepest := 0.0
	for _, c := range stretch {
		for _, t := range [...]float64{0.5, 1} {
			p := c.At(t)
			_, q := chord.Closest(p)
			deepest = max(deepest, p.Sub(q).Norm())
		}
	}
	r, half := diameter/2, chord.Length()/2
	if half >= r {
		return deepest
	}
	return deepest - (r - math.Sqrt(r*r-half*half))
}

// limitOf is a rule's limit: the shop's own or the built-in one.
func limitOf(shop rules.Shop, name string) float64 {
	if v, ok := shop.Limits[name]; ok {
		return v
	}
	r, _ := rules.Lookup(name)
	return r.Default
}

// along cuts a stretch out of a closed contour: from a distance along it, for a
// length, past its start if need be.
func along(loop []geom.Curve, from, length float64) []geom.Curve {
	total := geom.LoopLength(loop)
	if !(total > 0) || length <= 0 {
		return nil
	}
	length = min(length, total)
	var out []geom.Curve
	at := -total // twice round, so that a stretch over the start is in one piece
	for range 3 {
		for _, c := range loop {
			l := c.Length()
			lo, hi := max(from-at, 0), min(from+length-at, l)
			// What rounding leaves over is no piece.
			if hi-lo > 1e-9*total && l > 0 {
				out = append(out, c.Sub(lo/l, hi/l))
			}
			at += l
		}
	}
	return out
}

// within cuts out of a contour what runs in a direction, either way, to within
// an angle.
func within(loop []geom.Curve, direction, slack s1.Angle) []geom.Curve {
	var out []geom.Curve
	for _, c := range loop {
		if !c.IsArc() {
			t := c.Tangent(0)
			off := math.Remainder(math.Atan2(t.Y, t.X)-float64(direction), math.Pi)
			if math.Abs(off) <= float64(slack) {
				out = append(out, c)
			}
			continue
		}
		// The tangent of an arc runs in the direction where the radius stands
		// across it: two windows round, each twice the slack wide.
		from, sweep := float64(c.From), float64(c.Sweep)
		lo, hi := min(from, from+sweep), max(from, from+sweep)
		first := math.Ceil((lo - float64(slack) - float64(direction) - math.Pi/2) / math.Pi)
		for k := first; ; k++ {
			mid := float64(direction) + math.Pi/2 + k*math.Pi
			a, b := max(lo, mid-float64(slack)), min(hi, mid+float64(slack))
			if mid-float64(slack) > hi {
				break
			}
			if b-a <= 1e-9 {
				continue
			}
			t0, t1 := (a-from)/sweep, (b-from)/sweep
			out = append(out, c.Sub(max(0, min(t0, t1)), min(1, max(t0, t1))))
		}
	}
	return out
}
