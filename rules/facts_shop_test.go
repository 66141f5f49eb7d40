package rules

import (
	"math"
	"slices"
	"strings"
	"testing"
)

// within reports a range of the shop file that leaves the published one.
func within(t *testing.T, what string, got, published Span) {
	t.Helper()
	if got[0] < published[0]-1e-9 || got[1] > published[1]+1e-9 {
		t.Errorf("%s: %v is outside %v", what, got, published)
	}
}

// The built-in lines keep to the ranges that sources give for lines of their kind.
func TestLinesKeepToTheSources(t *testing.T) {
	shop := DefaultShop()
	for _, name := range shop.LineNames() {
		l := shop.Lines[name]
		// Looked up: a letter on rubber on steel, dry 0.5 to 0.6, wet below 0.2.
		within(t, name+" friction dry", Span{l.FrictionDry, l.FrictionDry}, Span{0.5, 0.6})
		within(t, name+" friction wet", Span{l.FrictionWet, l.FrictionWet}, Span{0.1, 0.2})
		// Common practice: metal deburring lines 0.5 to 10 m/min.
		within(t, name+" conveyor", l.ConveyorSpeed, Span{0.5, 10})
		// Common practice: vacuum beds 2 to 15 kPa, 20 to 30 % open.
		if slices.Contains(l.Hold, HoldVacuum) {
			within(t, name+" vacuum", Span{l.Vacuum, l.Vacuum}, Span{2, 15})
			within(t, name+" open area", Span{l.OpenArea, l.OpenArea}, Span{0.2, 0.3})
		}
		// Common practice: rollers need 100 to 250 mm, vacuum beds 50 mm.
		if slices.Contains(l.Hold, HoldRollers) {
			within(t, name+" least length", Span{l.Length[0], l.Length[0]}, Span{100, 250})
		} else if l.Length[0] < 50 {
			t.Errorf("%s: least length %g", name, l.Length[0])
		}
		for _, h := range l.Heads {
			at := name + " " + h.Name
			// Memory: textbooks on grinding, drag over pressing force 0.3 to 0.6.
			within(t, at+" force ratio", Span{h.ForceRatio, h.ForceRatio}, Span{0.3, 0.6})
			switch {
			case h.Kind == BeltHead:
				// Looked up: most belts up to 35.6 m/s (7000 sfpm); common practice: thin
				// sheet dry from 12 m/s.
				within(t, at+" speed", h.Speed, Span{12, MetresPerSecond(7000)})
				// Looked up: contact drums from about 30 Shore A; 90 the hardest.
				within(t, at+" drum", Span{h.Hardness, h.Hardness}, Span{30, 90})
			case h.Material == "abrasive-nylon":
				// Common practice: filaments 0.55 to 1.2 mm; above 25 m/s they melt.
				within(t, at+" filament", Span{h.Filament, h.Filament}, Span{0.55, 1.2})
				within(t, at+" speed", h.Speed, Span{0, 25})
			}
		}
	}
	// Looked up: a maker's page on vacuum, at least 1.5 on smooth and tight sheet.
	if !strings.Contains(ExtraLimits()["hold-safety"], "1.5, looked up") {
		t.Error("hold-safety names no source")
	}
}

// Two schools stand beside each other; the lenient one first.
func TestLeastOpenings(t *testing.T) {
	shop := DefaultShop()
	for name, want := range map[string]Span{
		"laser-n2":  {0.7, 1.0}, // looked up: two shops each
		"laser-o2":  {0.7, 1.0}, //
		"laser-air": {0.7, 1.0}, //
		"punch":     {1.0, 1.5}, // common practice 1.0, looked up 1.5
		"plasma":    {1.0, 1.5}, // looked up: not much below the thickness
		"waterjet":  {0.2, 0.2}, // looked up: down to a fifth of the thickness
	} {
		if got := shop.Processes[name].LeastHole; got != want {
			t.Errorf("%s: %v, want %v", name, got, want)
		}
	}
	// Looked up: 1.5 t above all in stainless, 2 t precision stamping.
	if got := shop.Processes["punch"].HoleBy["stainless"]; got != (Span{1.5, 2}) {
		t.Errorf("stainless punched: %v", got)
	}
	// Looked up: tool makers' charts, total of both sides, % of thickness.
	for family, want := range map[string]Span{"steel": {20, 25}, "stainless": {20, 30}, "aluminium": {15, 20}, "copper": {15, 25}} {
		if got := shop.Processes["punch"].Clearance[family]; got != want {
			t.Errorf("clearance of %s: %v, want %v", family, got, want)
		}
	}
	// Looked up: a trade article, film bubbles where holes are nearer than 5 mm.
	if r, _ := Lookup("film-pierce"); r.Default != 5 || r.Provenance != LookedUp {
		t.Errorf("film-pierce %g (%s)", r.Default, r.Provenance)
	}
}

// Times and rates with what they rest on.
func TestRatesKeepToTheSources(t *testing.T) {
	r := DefaultShop().Rates
	for what, v := range map[string][2]Span{
		"hole":        {r.HandHole, {3, 6}},     // common practice
		"slot":        {r.HandSlot, {5, 10}},    // common practice
		"handling":    {r.PickPlace, {2, 5}},    // common practice
		"turn over":   {r.TurnOver, {4, 8}},     // common practice
		"large piece": {r.LargePiece, {10, 20}}, // common practice
	} {
		if v[0] != v[1] {
			t.Errorf("%s: %v, want %v", what, v[0], v[1])
		}
	}
	// Looked up, weak: by hand 2 to 3 min/m on 1 to 3 mm, 4 to 6 on 6 to 10 mm, 6 to
	// 8 on 12 to 20 mm; hand grinder 1.5 to 2.5 and 2 to 3. Common practice: a
	// scraper 1 to 3 m/min on thin sheet, which is 20 to 60 s/m. Each row spans its
	// sources: the spread is the uncertainty.
	for i, want := range []Span{{60.0 / 3, 3 * 60}, {1.5 * 60, 6 * 60}, {2 * 60, 8 * 60}} {
		if r.HandMetre[i].Seconds != want {
			t.Errorf("row %d: %v s/m, want %v", i, r.HandMetre[i].Seconds, want)
		}
	}
	// Looked up: 45 + 2 + 2 + 1 + 1 + 1 is 52 an hour, sold at 60 to 70.
	if r.BenchHour != (Span{45 + 2 + 2 + 1 + 1 + 1, 70}) {
		t.Errorf("bench hour %v", r.BenchHour)
	}
	// Looked up: full cost of burrs 2.5 times the salary of who takes them off.
	near(t, "hidden factor", r.HiddenFactor, 2.5, 0)
	// Arithmetic of a published example: 3 s a part are 20 parts a minute.
	near(t, "loader", 60/r.Loader, 20, 1e-9)
	// Common practice: 1 to 4 joints, every 100 to 300 mm, 0.1 to 0.3 of the
	// thickness, 0.2 to 1 mm wide.
	k := DefaultShop().Carrier
	within(t, "joints", k.Joints, Span{1, 4})
	within(t, "joint spacing", Span{k.JointSpacing, k.JointSpacing}, Span{100, 300})
	within(t, "joint share", Span{k.JointShare, k.JointShare}, Span{0.1, 0.3})
	within(t, "joint width", k.JointWidth, Span{0.2, 1})
	// Looked up: webs of a skeleton 1.5 t, never below 0.7 mm; laser 1 to 1.5 t.
	if k.Web != 1.5 || k.LeastWeb < 0.7 {
		t.Errorf("webs %g t, at least %g mm", k.Web, k.LeastWeb)
	}
}

// Edge presets rest on published sizes.
func TestPresetsKeepToTheSources(t *testing.T) {
	shop := DefaultShop()
	size := func(preset string) Edge {
		e, err := shop.Edge(preset)
		if err != nil {
			t.Fatal(err)
		}
		return e
	}
	// Looked up: two articles, a burr is noticed near 0.076 mm and cuts above 0.127
	// mm; the preset is the largest size of ISO 13715 that stays below.
	for preset, bound := range map[string]float64{"no-burr-felt": 0.076, "no-cutting-burr": 0.127} {
		best := 0.0
		for _, s := range PreferredSizes() {
			if s < bound {
				best = math.Max(best, s)
			}
		}
		near(t, preset, size(preset).BurrAllowed(), best, 1e-9)
	}
	// Common practice: 0.1 to 0.3 mm for handling, radius 0.3 to 0.5 mm for powder
	// on thin sheet. Looked up: radius 2 mm belongs to grade P3, not to P2.
	if e := size("safe-to-handle"); e.Upper != -0.1 || e.Lower != -0.3 {
		t.Errorf("safe to handle: %+v", e)
	}
	if e := size("paint"); e.Radius != (Span{0.3, 0.5}) {
		t.Errorf("paint: %v", e.Radius)
	}
	if size("P3").Radius != (Span{2, 2}) || size("P2").Radius != (Span{}) || !strings.Contains(size("P2").Source, "belongs to P3") {
		t.Error("radius 2 mm belongs to P3")
	}
	// Arithmetic: a radius of 2 mm on both edges needs 4 mm.
	for thickness, want := range map[string]Verdict{"4": Pass, "3.9": Fail} {
		s := plain()
		s.job.Edge, s.job.Thickness = given("P3"), given(thickness)
		if v := s.judge(t).Verdicts["radius-too-big"]; v != want {
			t.Errorf("radius 2 mm on %s mm: verdict %d", thickness, v)
		}
	}
}

// Looked up: a cup of 1 inch radius at 60 % vacuum (8.8 psi) pulls 27.6 lbf.
func TestVacuumCup(t *testing.T) {
	const psi, lbf = 6.894757, 4.4482216 // kPa, N: exact factors, rounded
	near(t, "cup", VacuumForce(8.8*psi, math.Pi*25.4*25.4, 1)/lbf, 27.6, 0.05)
}

// Looked up: dust indices of an NFPA appendix, and where its classes begin
// (above 0, 200, 300 bar m/s); the notes name the class that follows.
func TestDustClasses(t *testing.T) {
	class := func(kst float64) string {
		switch {
		case kst > 300:
			return "St 3"
		case kst > 200:
			return "St 2"
		}
		return "St 1"
	}
	shop := DefaultShop()
	text := strings.Join(SafetyNotes(shop, order("AlMg3", "2", "laser-n2", ""), order("galvanised", "1", "punch", "")), "\n")
	for _, row := range []struct {
		metal string
		kst   float64
		shown string
	}{{"aluminium", 415, "aluminium St 3, 415"}, {"magnesium", 508, "magnesium St 3, 508"}, {"zinc", 176, "St 1, 176"}} {
		if !strings.Contains(text, row.shown) || !strings.Contains(row.shown, class(row.kst)) {
			t.Errorf("%s: the notes lack %q", row.metal, row.shown)
		}
	}
	// Looked up: 5 micrograms/m3 of chromium(VI) over 8 h, 29 CFR 1910.1026.
	if n := strings.Join(SafetyNotes(shop, order("304", "2", "punch", "")), "\n"); !strings.Contains(n, "5 micrograms/m3 over 8 h in 29 CFR 1910.1026") {
		t.Error("no limit of chromium(VI)")
	}
}

// The disagreements of the sources are listed with what each says and which is
// used, and each is shown where it matters.
func TestDisagreements(t *testing.T) {
	list := Disagreements()
	if len(list) != 10 {
		t.Errorf("%d disagreements, want 10", len(list))
	}
	page := Page()
	for _, d := range list {
		if d.About == "" || len(d.Says) < 2 || d.Used == "" || d.Shown == "" {
			t.Errorf("%+v", d)
		}
		for _, s := range d.Says {
			if !strings.Contains(page, markdown.Replace(s)) {
				t.Errorf("the page lacks %q", s)
			}
		}
	}
}
