package rules

import (
	"math"
	"testing"
)

// fact is a number that a rule uses, beside what its source says.
type fact struct {
	what      string
	got, want float64 // want is the source's number, or the bound that it sets
	bound     int     // -1: got is at most want, +1: at least, 0: it is want
	source    string  // with its provenance word first
}

func (f fact) holds() bool {
	switch f.bound {
	case -1:
		return f.got <= f.want+1e-9
	case 1:
		return f.got >= f.want-1e-9
	}
	return math.Abs(f.got-f.want) <= 1e-9*math.Max(1, math.Abs(f.want))
}

// ruleFacts lists for every rule the numbers that it uses and where they come
// from; nil for a rule that counts what a drawing or an order lacks, or whose
// numbers are the machine's own.
func ruleFacts(t *testing.T) map[string][]fact {
	t.Helper()
	shop := DefaultShop()
	limit := func(rule string) float64 {
		r, ok := Lookup(rule)
		if !ok {
			t.Fatalf("no rule %s", rule)
		}
		return r.Default
	}
	brush := shop.Lines["belt-and-drum-brush"].Heads[1]
	grain := func(g string) float64 {
		v, ok := GrainSize(g)
		if !ok {
			t.Fatalf("no grade %s", g)
		}
		return v
	}
	forecast := func(process, material string, thickness float64) *Burr {
		m, err := shop.Material(material)
		if err != nil {
			t.Fatal(err)
		}
		return ForecastBurr(process, shop.Processes[process], m, thickness)
	}
	bundle := []fact{
		{"filaments in a bundle", limit("hole-reach") / brush.Filament, defaultBundle, 0, "reasoning: several filament diameters, no source has a number"},
		{"filament", brush.Filament, 0.55, 1, "common practice: abrasive nylon 0.55 to 1.2 mm for deburring"},
		{"filament", brush.Filament, 1.2, -1, "common practice: abrasive nylon 0.55 to 1.2 mm for deburring"},
	}
	laser, punch := shop.Processes["laser-n2"], shop.Processes["punch"]
	schools := []fact{
		{"lenient laser school", laser.LeastHole[0], 0.7, 0, "looked up: two job shops, hole >= 0.7 t"},
		{"strict laser school", laser.LeastHole[1], 1, 0, "looked up: two job shops, hole >= t"},
		{"lenient punch school", punch.LeastHole[0], 1, 0, "common practice: turret punching of mild steel; memory: EN 1090-2"},
		{"strict punch school", punch.LeastHole[1], 1.5, 0, "looked up: a stamping shop"},
		{"punched stainless", punch.HoleBy["stainless"][1], 2, 0, "looked up: precision stamping"},
		{"waterjet", shop.Processes["waterjet"].LeastHole[0], 1. / 5, 0, "looked up: down to about t/5"},
	}
	webs := []fact{
		{"lenient laser web", laser.LeastWeb[0], 0.7, 0, "looked up: contours >= 0.7 t, two shops"},
		{"strict laser web", laser.LeastWeb[1], 1, 0, "looked up: web >= t"},
		{"punched web", punch.LeastWeb[1], 1.5, 0, "looked up: blank width 1.5 t, 1 t with more downtime"},
	}
	smallest := []fact{
		{"smallest part that is held", leastHeld, 15, 1, "looked up: 15 to 25 mm, three laser shops' own limits"},
		{"smallest part that is held", leastHeld, 25, -1, "looked up: 15 to 25 mm, three laser shops' own limits"},
	}
	slip := []fact{
		{"hold-down at 0.4 dry", HoldNeeded(0.5, 0.4, 1.5, 20, 0), 4, 0, "arithmetic: worked table"},
		{"hold-down at 0.4 wet", HoldNeeded(0.2, 0.4, 1.5, 20, 0), 40, 0, "arithmetic: ten times as much wet"},
		{"belt's force on 50 mm", 50 * shop.Lines["belt-and-drum-brush"].Heads[0].Force, 20, 0, "reasoning: the worked table's 20 N on a part of 50 mm"},
	}
	return map[string][]fact{
		"hole-reach": bundle, "slot-reach": bundle, "notch-reach": bundle,
		"corner-reach":   append(bundle, fact{"depth in a right angle", CornerDepth(2, 90), math.Sqrt2 - 1, 0, "arithmetic: a disc between two walls"}),
		"edge-direction": {{"a circle's share within 15 degrees", 4 * 15 / 360., limit("edge-direction"), -1, "arithmetic: a round part passes"}},
		"hole-thickness": schools, "slot-thickness": schools, "web-thickness": webs, "parts-near": webs,
		"joint-nib": {
			{"least nib", limit("joint-nib"), 0.1, 0, "common practice: 0.1 to 0.4 mm stay, no measured source"},
			{"carrier's joint of 2 mm sheet", 2 * shop.Carrier.JointShare, 0.5, -1, "common practice: 0.2 to 0.5 mm to 2 mm sheet"},
		},
		"oxide-edge":  nil,
		"film-pierce": {{"distance", limit("film-pierce"), 5, 0, "looked up: bubbling where holes are nearer than 5 mm"}},
		"burr-height": {
			{"thin tuned laser cut", forecast("laser-n2", "S235", 2).High, 0.05, 0, "common practice"},
			{"off-focus stainless", forecast("laser-n2", "304", 5).High, 0.5, 0, "common practice: 0.1 to 0.5 mm from 4 mm on"},
			{"laser-cut aluminium", forecast("laser-n2", "AlMg3", 3).High, 0.4, 0, "common practice: 0.1 to 0.4 mm"},
			{"plasma", forecast("plasma", "S235", 10).High, 2, 0, "common practice: 0.3 to 2 mm"},
			{"waterjet", forecast("waterjet", "S235", 10).High, 0.1, 0, "common practice: below 0.1 mm"},
			{"shear", forecast("shear", "S235", 2).High, 0.1 * 2, 0, "common practice: up to 5 to 10 % of thickness"},
			{"coarse belt", grain("P60"), 269, 0, "looked up: FEPA P60; common practice: P36 to P60 for dross"},
		},
		"part-length": smallest, "part-width": nil, "part-wide": nil, "part-long": nil, "part-thick": nil,
		"roller-grip": {{"rollers on 199 mm at 100 mm", float64(RollersOn(199, 100)), 1, 0, "arithmetic: floor(L/p)"}},
		"hold-slip":   slip, "part-tips": slip,
		"part-light": {{"50 x 50 x 2 mm of steel, g", SheetMass(2500, 2, 7850) * 1000, 39.25, 0, "arithmetic"}},
		"part-interlocks": {
			{"depth that hooks", limit("part-interlocks"), 3.2, 1, "looked up: tabs from 3.2 mm of width on; the depth is an inference"},
		},
		"joint-hold": {{"shear over yield", shearOfYield, 1 / math.Sqrt(3), -1, "textbook: distortion energy, 0.577"}},
		"tab-bend":   {{"share of yield", limit("tab-bend"), 1 / 1.5, 1, "arithmetic: 1 over the safety of 1.5, rounded up"}},
		"neck-thin":  {{"share of yield", limit("neck-thin"), 1 / 1.5, 1, "arithmetic: 1 over the safety of 1.5, rounded up"}},
		"formed-up":  nil,
		"zinc-keep":  {{"layer of Z275", ZincThickness(275), 275. / 2 / 7.14, 0, "looked up: 7.14 g/m2 is 1 micrometre"}},
		"film-keep":  nil,
		"grain-wanted": {
			{"grain of the preset", grain(shop.Edges["grained"].Grain), grain("P180"), -1, "common practice: stainless grain finish P180 to P320"},
			{"grain of the preset", grain(shop.Edges["grained"].Grain), grain("P320"), 1, "common practice: stainless grain finish P180 to P320"},
		},
		"iron-free":      nil,
		"edge-unstated":  {{"readings offered", float64(len(shop.EdgeChoices())), 3, 1, "looked up: burr sizes of two articles; common practice: handling and powder coat"}},
		"radius-too-big": {{"two radii over thickness", limit("radius-too-big"), 1, 0, "arithmetic: 2 r <= t"}},
		"radius-reach": {
			{"a pass of a flap brush", limit("radius-reach"), 0.5, 0, "common practice: 0.1 to 0.5 mm a pass, no published source"},
			{"preset for powder", shop.Edges["paint"].Radius[1], 0.5, 0, "common practice: 0.3 to 0.5 mm on sheet of 1 to 3 mm"},
		},
		"belt-rolls-burr": {{"fine belt", grain("P180"), 82, 0, "looked up: FEPA P180; that it is harmless is an inference"}},
		"bend-edge":       {{"thicknesses", limit("bend-edge"), 2.5, 0, "common practice: two to three, no published source seen"}},
		"open-contour":    nil, "crossing-contour": nil, "part-incomplete": nil, "entity-skipped": nil, "duplicate-lines": nil,
		"parts-overlap":  nil,
		"contours-touch": {{"web", limit("contours-touch"), 0.075, -1, "looked up: class 1 of ISO 9013, 0.075 mm at best"}},
		"part-tiny": {
			{"side", limit("part-tiny"), 1, 1, "looked up: no opening below 1 mm is cut by laser"},
			{"side", limit("part-tiny"), 15, -1, "looked up: laser shops take parts from 15 mm on"},
		},
		"units-assumed": nil, "units-conflict": nil, "thickness-missing": nil, "material-missing": nil, "process-missing": nil,
		"input-conflict": {
			{"laser from", laser.Scope[0], 0.5, 0, "looked up: scope of ISO 9013"},
			{"laser to", laser.Scope[1], 32, 0, "looked up: scope of ISO 9013"},
			{"plasma from", shop.Processes["plasma"].Scope[0], 0.5, 0, "looked up: scope of ISO 9013"},
			{"plasma to", shop.Processes["plasma"].Scope[1], 150, 0, "looked up: scope of ISO 9013"},
		},
	}
}

// Every rule's numbers are those of their sources, and no rule is left out.
func TestRulesKeepToTheSources(t *testing.T) {
	facts := ruleFacts(t)
	for _, r := range Rules() {
		list, ok := facts[r.Name]
		if !ok {
			t.Errorf("%s: nobody says what its numbers rest on", r.Name)
		}
		for _, f := range list {
			if !f.holds() {
				t.Errorf("%s, %s: %.6g, the source (%s) has %.6g", r.Name, f.what, f.got, f.source, f.want)
			}
		}
		delete(facts, r.Name)
	}
	for name := range facts {
		t.Errorf("facts of %s, which is no rule", name)
	}
}

// Looked up: the web at a skeleton's edge is 1.5 times that between parts, which
// is 1.5 thicknesses: in 10 mm sheet 22.5 mm, in 2 mm sheet the shop's 10 mm.
func TestCarrierFrame(t *testing.T) {
	for thickness, want := range map[string]float64{"2": 10, "10": 22.5} {
		s := plain()
		s.p, s.job.Thickness = plate(30, 30, 0, 0), given(thickness)
		c := s.judge(t).Carrier
		if c == nil {
			t.Fatalf("%s mm: no carrier", thickness)
		}
		near(t, "frame in sheet of "+thickness+" mm", c.Frame, want, 1e-9)
	}
}
