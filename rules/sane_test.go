package rules

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"burrcast/analyze/measure"

	"github.com/golang/geo/r2"
)

// Whatever the part and the job, numbers are finite, ranges run upwards, shares
// are shares, and every text is there. Parts are random within what drawings
// hold, some measures missing; the seed is fixed.
func TestJudgementsAreSane(t *testing.T) {
	const seed = 20
	rng := rand.New(rand.NewPCG(seed, seed))
	shop := DefaultShop()
	pick := func(list ...string) string { return list[rng.IntN(len(list))] }
	size := func(low, high float64) float64 { return low * math.Pow(high/low, rng.Float64()) }
	maybe := func(v float64) measure.Value {
		if rng.IntN(12) == 0 {
			return measure.Value{}
		}
		return measure.Of(v, 1e-9*v)
	}
	for n := range 3000 {
		x, y := size(0.5, 4000), size(0.5, 2000)
		p := plate(x, y, min(size(0.3, 60), 0.4*min(x, y)), rng.IntN(6))
		p.Quantity = 1 + rng.IntN(3)
		p.Area = maybe(p.Area.V)
		if rng.IntN(5) == 0 {
			p.Feeds = nil
		}
		for i := range rng.IntN(4) {
			id := fmt.Sprint(i + 1)
			w := size(1e-9, 50)
			p.Notches = append(p.Notches, measure.Notch{ID: "N" + id, Width: maybe(w), Depth: maybe(size(0.1, 300))})
			p.Webs = append(p.Webs, measure.Passage{ID: "W" + id, Kind: pick(measure.Web, measure.Neck, measure.Tab), Width: maybe(w),
				Length: maybe(size(0.1, 300)), Hangs: maybe(size(0.1, 1e5)), Between: [2]string{"O", "O"}})
			p.Corners = append(p.Corners, measure.Corner{ID: "K" + id, Contour: "O", Angle: size(0.01, 179), Side: pick(measure.Void, measure.Material)})
			p.Joints = append(p.Joints, measure.Joint{ID: "J" + id, Contour: "O", Gap: maybe(size(0.01, 2))})
		}
		for i := range p.Cutouts {
			c := &p.Cutouts[i]
			c.Kind = pick(measure.Round, measure.Slot, measure.Window)
			c.MinWidth = maybe(c.Inscribed.V * rng.Float64())
			if rng.IntN(6) == 0 {
				c.MinWidth = measure.Of(0, 0)
			}
			c.Reach = []measure.Reach{{Tool: 2.4, Share: maybe(rng.Float64()), Missing: []measure.Stretch{{Contour: c.ID, Length: size(0.1, 20), B: r2.Point{X: size(0.01, 10)}}}}}
		}
		job := order(pick("", "S235", "1.4301", "AlMg3", "DX51D+Z275", "titanium"), pick("", "0.5", "2", "12"),
			pick("", "punch", "laser-n2", "laser-o2", "plasma", "waterjet", "shear"), pick("", "burr-free", "+0.1", "safe-to-handle", "paint", "P3", "grained"))
		job.Line, job.Film, job.Quantity = given(pick(shop.LineNames()...)), given(pick("", "", "yes")), rng.IntN(50)
		d := measure.Drawing{Units: "mm", Duplicates: rng.IntN(2)}
		j, err := Judge(d, p, job, shop)
		if err != nil {
			t.Fatal(err)
		}
		if what := insane(j); what != "" {
			t.Fatalf("seed %d, part %d: %s\npart %+v\njob %+v", seed, n, what, p, job)
		}
		costs, err := EdgeCosts(d, p, job, shop)
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range costs {
			job.Edge = given(c.Edge.Preset)
			full, err := Judge(d, p, job, shop)
			if err != nil {
				t.Fatal(err)
			}
			if c.Cost != full.Cost || c.Treatment != full.Treatment || c.LineTime != full.LineTime || c.HandTime != full.HandTime {
				t.Fatalf("seed %d, part %d: %s costs %v, judged alone %v", seed, n, c.Edge.Preset, c.Cost, full.Cost)
			}
		}
	}
}

// insane names what of a judgement no reader could make sense of.
func insane(j Judgement) string {
	finite := func(vs ...float64) bool {
		for _, v := range vs {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				return false
			}
		}
		return true
	}
	upward := func(r Range) bool { return finite(r.Low, r.High) && r.Low >= 0 && r.Low <= r.High }
	for _, f := range j.Findings {
		if !finite(f.Measured, f.Limit) || f.Why == "" || f.Do == "" || f.Source == "" || f.Provenance == "" {
			return fmt.Sprintf("finding %+v", f)
		}
		if f.Treatment > j.Treatment {
			return "treatment below its findings'"
		}
	}
	for what, r := range map[string]Range{"line": j.LineTime, "hand": j.HandTime, "cost": j.Cost, "abrasive": j.Abrasive} {
		if !upward(r) {
			return fmt.Sprintf("%s %v", what, r)
		}
	}
	if j.Abrasive.High > j.Cost.High+1e-9 {
		return fmt.Sprintf("abrasive %v above the cost %v", j.Abrasive, j.Cost)
	}
	for i, w := range j.Ways {
		if !upward(w.Cost) || !upward(w.Line) || !upward(w.Hand) || w.Cost.High == 0 || w.Name == "" || w.Source == "" {
			return fmt.Sprintf("way %+v", w)
		}
		if i > 0 && j.Ways[i-1].For == w.For && j.Ways[i-1].Cost.Low+j.Ways[i-1].Cost.High > w.Cost.Low+w.Cost.High {
			return "ways not cheapest first"
		}
	}
	for _, w := range j.Wear {
		if !upward(w.Cost) || !upward(w.AtOne) || w.Saved() < 0 || w.Right[0] > w.Right[1] {
			return fmt.Sprintf("wear %+v", w)
		}
	}
	for _, o := range j.FeedOptions {
		if o.Worked < 0 || o.Worked > 1 || !upward(o.LineTime) {
			return fmt.Sprintf("feed option %+v", o)
		}
	}
	for _, m := range j.BurrMap {
		if m.Contour == "" || m.Why == "" || !finite(m.Low, m.High, m.Length) || m.Low > m.High {
			return fmt.Sprintf("stretch %+v", m)
		}
	}
	if j.Feed.Worked < 0 || j.Feed.Worked > 1 {
		return fmt.Sprintf("worked share %g", j.Feed.Worked)
	}
	if c := j.Carrier; c != nil && (!finite(c.Length, c.Width, c.JointWidth, c.Mass) || c.Along < 1 || c.Across < 1 || c.Joints < 1 || c.Margin < 1-1e-9) {
		return fmt.Sprintf("carrier %+v", *c)
	}
	for _, s := range j.Route {
		for _, v := range s.Settings {
			if v.Name == "" || v.Value == "" || v.Source == "" {
				return fmt.Sprintf("step %s, setting %+v", s.Step, v)
			}
		}
	}
	return ""
}
