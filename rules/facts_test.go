package rules

import (
	"math"
	"strings"
	"testing"
)

// The check values below name the kind of their source: "looked up" was read in a
// public page, "arithmetic" follows from looked-up values, "memory" and "common
// practice" are what they say.

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.6g, want %.6g within %g", what, got, want, tolerance)
	}
}

// Looked up: two gauge tables for steel and galvanised, one each for stainless
// and aluminium (inch, to 0.0001). 79 values; a dash is none.
const gaugeTable = `
7  0.1793 -      0.1875 0.1443
8  0.1644 0.1681 0.1719 0.1285
9  0.1495 0.1532 0.1563 0.1144
10 0.1345 0.1382 0.1406 0.1019
11 0.1196 0.1233 0.1250 0.0907
12 0.1046 0.1084 0.1094 0.0808
13 0.0897 0.0934 0.0938 0.0720
14 0.0747 0.0785 0.0781 0.0641
15 0.0673 0.0710 0.0703 0.0571
16 0.0598 0.0635 0.0625 0.0508
17 0.0538 0.0575 0.0563 0.0453
18 0.0478 0.0516 0.0500 0.0403
19 0.0418 0.0456 0.0438 0.0359
20 0.0359 0.0396 0.0375 0.0320
21 0.0329 0.0366 0.0344 0.0285
22 0.0299 0.0336 0.0313 0.0253
23 0.0269 0.0306 0.0281 0.0226
24 0.0239 0.0276 0.0250 0.0201
25 0.0209 0.0247 0.0219 0.0179
26 0.0179 0.0217 0.0188 0.0159`

func TestGauges(t *testing.T) {
	n := 0
	for _, line := range strings.Split(strings.TrimSpace(gaugeTable), "\n") {
		cells := strings.Fields(line)
		for i, series := range []string{GaugeSteel, GaugeGalvanised, GaugeStainless, GaugeAluminium} {
			text := cells[0] + " ga " + series
			got, err := ParseThickness(text)
			if cells[i+1] == "-" {
				if err == nil {
					t.Errorf("%s: got %v, want an error", text, got)
				}
				continue
			}
			if err != nil {
				t.Error(err)
				continue
			}
			n++
			want, err := ParseThickness(cells[i+1] + " in")
			if err != nil {
				t.Fatal(err)
			}
			near(t, text, got.MM/25.4, want.MM/25.4, 0.00005+1e-9)
			if got.Series != series {
				t.Errorf("%s: series %q", text, got.Series)
			}
		}
	}
	if n != 79 {
		t.Errorf("%d values checked, want 79", n)
	}
	// Looked up: 10 ga steel weighs 5.625 lb/ft2.
	g, _ := Gauge(10, GaugeSteel)
	near(t, "weight of 10 ga", 41.82*g/25.4, 5.625, 0.002)
	// Looked up trap: 24 ga galvanised is 0.0276 in, 0.0239 is the uncoated sheet.
	g, _ = Gauge(24, GaugeGalvanised)
	near(t, "24 ga galvanised", g/25.4, 0.0276, 1e-9)
	for _, bad := range []struct {
		n      int
		series string
	}{{6, GaugeSteel}, {27, GaugeSteel}, {16, ""}, {16, "tin"}} {
		if v, err := Gauge(bad.n, bad.series); err == nil {
			t.Errorf("gauge %d %q: got %g, want an error", bad.n, bad.series, v)
		}
	}
}

func TestISO9013(t *testing.T) {
	// Looked up: a published guide works a = 10 mm: u1 0.08 mm, Rz5-1 16 um.
	// The rest is arithmetic from its formulas; range 5 from memory.
	for _, row := range [][10]float64{
		{1, 0.053, 0.157, 0.410, 0.82, 1.235, 10.6, 40.8, 71.2, 111.8},
		{3, 0.059, 0.171, 0.430, 0.86, 1.305, 11.8, 42.4, 73.6, 115.4},
		{6, 0.068, 0.192, 0.460, 0.92, 1.410, 13.6, 44.8, 77.2, 120.8},
		{10, 0.080, 0.220, 0.500, 1.00, 1.550, 16.0, 48.0, 82.0, 128.0},
		{20, 0.110, 0.290, 0.600, 1.20, 1.900, 22.0, 56.0, 94.0, 146.0},
	} {
		for r := 1; r <= 5; r++ {
			u, ok := ISO9013U(r, row[0])
			if !ok {
				t.Fatalf("u range %d missing", r)
			}
			near(t, "u", u, row[r], 1e-9)
		}
		for r := 1; r <= 4; r++ {
			z, ok := ISO9013Rz5(r, row[0])
			if !ok {
				t.Fatalf("Rz5 range %d missing", r)
			}
			near(t, "Rz5", z, row[5+r], 1e-9)
		}
	}
	if _, ok := ISO9013U(6, 1); ok {
		t.Error("u has five ranges")
	}
	if _, ok := ISO9013Rz5(5, 1); ok {
		t.Error("Rz5 has four ranges")
	}
	// Looked up: scope of the standard, laser 0.5 to 32 mm, plasma 0.5 to 150 mm.
	shop := DefaultShop()
	for name, want := range map[string]Span{"laser-n2": {0.5, 32}, "laser-o2": {0.5, 32}, "plasma": {0.5, 150}} {
		if got := shop.Processes[name].Scope; got != want {
			t.Errorf("%s: scope %v, want %v", name, got, want)
		}
	}
}

func TestZinc(t *testing.T) {
	// Looked up: 7.14 g/m2 is 1 um; a mill prints 90 -> 6 and 600 -> 42 um a side.
	// The rest is arithmetic.
	for mass, want := range map[float64]float64{275: 19.3, 90: 6.3, 100: 7.0, 140: 9.8, 180: 12.6, 200: 14.0, 350: 24.5, 600: 42.0} {
		near(t, "zinc", ZincThickness(mass), want, 0.05)
	}
	// Looked up: G90 is Z275 within rounding; G40 is 0.20 oz/ft2 a side, 8.6 um.
	g90, ok := ParseZinc("G90")
	if !ok {
		t.Fatal("G90 not read")
	}
	near(t, "G90", g90, 275, 1)
	g40, _ := ParseZinc("G40")
	near(t, "G40 a side", ZincThickness(g40), 8.6, 0.1)
	if m, ok := ParseZinc("Z275"); !ok || m != 275 {
		t.Errorf("Z275: %g %t", m, ok)
	}
	if m, ok := ParseZinc("ZE25/25"); !ok || math.Abs(ZincThickness(m)-2.5) > 1e-9 { // memory: tenths of a um a side
		t.Errorf("ZE25/25: %g %t", m, ok)
	}
	for _, bad := range []string{"", "275", "Z", "Z0", "G", "X275", "Z2750", "Z00"} {
		if m, ok := ParseZinc(bad); ok {
			t.Errorf("%q read as %g", bad, m)
		}
	}
	// Arithmetic: one P120 grain is 6.5 times the layer of Z275.
	p120, _ := GrainSize("P120")
	near(t, "P120 over Z275", p120/ZincThickness(275), 6.5, 0.05)
}

func TestGrains(t *testing.T) {
	// Looked up: FEPA P grades; decimals of P240 and P320 memory.
	for grade, want := range map[string]float64{
		"P12": 1815, "P16": 1324, "P20": 1000, "P24": 764, "P30": 642, "P36": 538, "P40": 425, "P50": 336, "P60": 269, "P80": 201,
		"P100": 162, "P120": 125, "P150": 100, "P180": 82, "P220": 68, "P240": 58.5, "P320": 46.2, "P400": 35,
		"P280": 52, "P360": 40, "P500": 30, "P600": 26, "P800": 22, "P1000": 18, "P1200": 15,
	} {
		got, ok := GrainSize(grade)
		if !ok || got != want {
			t.Errorf("%s: got %g, want %g", grade, got, want)
		}
	}
	if _, ok := GrainSize("P77"); ok {
		t.Error("P77 is no grade")
	}
	if got, ok := GrainSize(" p80 "); !ok || got != 201 {
		t.Errorf("p80: %g", got)
	}
}

func TestBeltSpeeds(t *testing.T) {
	near(t, "6500 sfpm", MetresPerSecond(6500), 33.0, 0.05) // arithmetic, exact factor
	near(t, "2500 sfpm", MetresPerSecond(2500), 12.7, 0.05)
	near(t, "drum of 300 mm at 1450 rpm", BeltSpeed(300, 1450), 22.8, 0.05) // arithmetic
	shop := DefaultShop()
	// Looked up: an abrasive maker's catalogue; magnesium a distributor's tips.
	for family, want := range map[string]Span{"steel": {30, 40}, "stainless": {20, 30}, "aluminium": {20, 35},
		"copper": {25, 35}, "titanium": {8, 15}, "magnesium": {27.9, 30.5}} {
		if got := shop.Families[family].BeltSpeed; got != want {
			t.Errorf("%s: belt speed %v, want %v", family, got, want)
		}
	}
}

func TestSlip(t *testing.T) {
	// Arithmetic: the worked table of the slip condition.
	for _, row := range []struct{ mu, lambda, s, fn, want float64 }{
		{0.5, 0.3, 1.5, 20, 0}, {0.5, 0.4, 1.5, 20, 4}, {0.5, 0.6, 1.5, 20, 16}, {0.2, 0.4, 1.5, 20, 40},
	} {
		got := HoldNeeded(row.mu, row.lambda, row.s, row.fn, 0)
		near(t, "hold-down needed", got, row.want, 1e-9)
		near(t, "margin at that force", max(SlipMargin(row.mu, row.lambda, row.s, row.fn, got, 0), 1), max(SlipMargin(row.mu, row.lambda, row.s, row.fn, row.want, 0), 1), 1e-9)
		if got > 0 {
			near(t, "margin just holds", SlipMargin(row.mu, row.lambda, row.s, row.fn, got, 0), 1, 1e-9)
		}
	}
	if !math.IsInf(SlipMargin(0.5, 0.4, 1.5, 0, 0, 0), 1) {
		t.Error("nothing pressing, no drag")
	}
	// Arithmetic: 40 N on 50 x 50 mm is 16 kPa over the face, 53.3 kPa over 30 % of it.
	near(t, "16 kPa", VacuumForce(16, 2500, 1), 40, 1e-9)
	near(t, "53.3 kPa over 30 %", VacuumForce(53.333333, 2500, 0.3), 40, 1e-5)
	near(t, "10 kPa", VacuumForce(10, 2500, 1), 25, 1e-9)
	near(t, "60 kPa", VacuumForce(60, 2500, 1), 150, 1e-9)
	// Looked up: a sheet of 2500 x 1250 x 2.5 mm has 61.33 kg; lifting it at
	// 5 m/s2 with safety 1.5 takes 1362 N (arithmetic). Weight of 50 x 50 x 2 mm
	// steel: 39.25 g, 0.385 N.
	m := SheetMass(2500*1250, 2.5, 7850)
	near(t, "mass of the sheet", m, 61.33, 0.005)
	near(t, "lifting force", m*(gravity+5)*1.5, 1362, 1)
	near(t, "small part", SheetMass(2500, 2, 7850)*1000, 39.25, 1e-9)
	near(t, "its weight", SheetMass(2500, 2, 7850)*gravity, 0.385, 0.001)
}

func TestRollers(t *testing.T) {
	// Arithmetic: floor(L/p).
	for _, row := range [][2]float64{{99, 0}, {100, 1}, {199, 1}, {200, 2}} {
		if got := RollersOn(row[0], 100); float64(got) != row[1] {
			t.Errorf("length %g: %d rollers, want %g", row[0], got, row[1])
		}
	}
	if RollersOn(100, 0) != 0 {
		t.Error("no pitch, no rollers")
	}
	// Arithmetic: L 60, W 40 turned by 30 degrees lies 71.96 mm along the feed.
	f := rectFeeds(60, 40, 0)[30]
	near(t, "projected length", f.Length, 71.96, 0.005)
}

func TestThroughput(t *testing.T) {
	// Arithmetic: B 900, W 80, s 20 gives 9 lanes; 3 m/min, L 120, g 30: 180 a minute.
	if n := Lanes(900, 80, 20); n != 9 {
		t.Errorf("%d lanes, want 9", n)
	}
	near(t, "parts a minute", PartsPerMinute(9, 3, 120, 30), 180, 1e-9)
	// The loader caps the line: 3 s a part are 20 a minute.
	s := plain()
	s.p = plate(120, 80, 5, 1)
	s.job.Edge = given("+0.1")
	s.brushOnly()
	j := s.judge(t)
	near(t, "loader's time", j.LineTime.Low, 3, 1e-9)
	// Looked up: 25 an hour over 4 pieces an hour is 6.25 a piece.
	near(t, "cost a piece", CostPerPiece(25, 4), 6.25, 1e-9)
}

func TestBurrCeilings(t *testing.T) {
	// Looked up: 10 % of thickness, never above 0.127 mm.
	for _, row := range [][2]float64{{0.5, 0.05}, {1, 0.1}, {1.27, 0.127}, {2, 0.127}, {6, 0.127}} {
		near(t, "ceiling", PunchBurrCeiling(row[0]), row[1], 1e-9)
	}
	// Looked up: perforated-plate table; gaps take the next higher band.
	for _, row := range [][2]float64{{0.6, 0.15}, {0.65, 0.17}, {1.5, 0.17}, {1.55, 0.20}, {3, 0.20}, {6, 0.25}, {8, 0.5}, {12, 0.5}} {
		near(t, "perforator", PerforatorBurr(row[0]), row[1], 1e-9)
	}
	// Looked up: a measured sharp punch left 0.01 mm at 0.70 mm; the forecast's
	// low end is that tool, its high end the ceiling.
	shop := DefaultShop()
	m, err := shop.Material("DC01")
	if err != nil {
		t.Fatal(err)
	}
	b := ForecastBurr("punch", shop.Processes["punch"], m, 0.7)
	near(t, "low end", b.Low, 0.01, 0.0003)
	near(t, "high end", b.High, 0.07, 1e-9)
}

func TestISO13715(t *testing.T) {
	// Looked up: sharp is within 0.05 mm.
	for a, want := range map[float64]string{0.05: EdgeSharp, 0.06: EdgeBurr, -0.05: EdgeSharp, -0.06: EdgeUndercut, 0: EdgeSharp, 2.5: EdgeBurr, -2.5: EdgeUndercut} {
		if got := Classify(a); got != want {
			t.Errorf("classify(%g) = %s, want %s", a, got, want)
		}
	}
	// Looked up: the recommended sizes of two school books.
	if n := len(PreferredSizes()); n != 14 {
		t.Errorf("%d sizes, want 14", n)
	}
	for a, want := range map[float64]float64{0.08: 0.1, 0.4: 0.5, 0.2: 0.3, 3: 2.5, 0.001: 0.02, -0.08: -0.1, -0.7: -0.5, -9: -2.5, -0.01: -0.02} {
		got := PreferredSize(a)
		if a == 0.4 || a == 0.2 { // halfway between two: either neighbour is right
			if math.Abs(got-a) > 0.1+1e-9 {
				t.Errorf("nearest size to %g is %g", a, got)
			}
			continue
		}
		if got != want {
			t.Errorf("nearest size to %g is %g, want %g", a, got, want)
		}
	}
}

func TestMaterialData(t *testing.T) {
	// Densities and strengths with the provenance that the shop file gives.
	shop := DefaultShop()
	for _, row := range []struct {
		written, key string
		density      float64
		rm           Span
		magnetic     bool
	}{
		{"DC01", "dc01", 7850, Span{270, 410}, true},                     // looked up
		{"S235JR", "s235", 7850, Span{360, 510}, true},                   // looked up
		{"S355", "s355", 7850, Span{470, 680}, true},                     // looked up, both thickness bands
		{"galvanised", "dx51d", 7850, Span{270, 500}, true},              // memory
		{"A36", "a36", 7850, Span{400, 550}, true},                       // looked up
		{"304", "1.4301", 7900, Span{515, 750}, false},                   // looked up and memory
		{"1.4301", "1.4301", 7900, Span{515, 750}, false},                //
		{"V2A", "1.4301", 7900, Span{515, 750}, false},                   //
		{"316L", "1.4404", 7980, Span{515, 680}, false},                  // looked up and memory
		{"430", "1.4016", 7700, Span{430, 600}, true},                    // ferritic: a magnet holds it
		{"AlMg3", "almg3", 2660, Span{190, 270}, false},                  // memory
		{"5052-H32", "al5052", 2680, Span{210, 280}, false},              // looked up
		{"6061-T6", "al6061", 2700, Span{290, 310}, false},               // looked up
		{"Al99.5", "al1050", 2710, Span{105, 145}, false},                // memory
		{"copper", "cu-etp", 8940, Span{220, 300}, false},                // looked up density
		{"Messing", "brass", 8530, Span{310, 560}, false},                // looked up
		{"steel", "s235", 7850, Span{360, 510}, true},                    // the family's stock
		{"Edelstahl", "1.4301", 7900, Span{515, 750}, false},             //
		{"acciaio inox", "1.4301", 7900, Span{515, 750}, false},          //
		{"EN 10025 S235JR", "s235", 7850, Span{360, 510}, true},          //
		{"stainless steel 1.4016", "1.4016", 7700, Span{430, 600}, true}, // the grade decides
	} {
		m, err := shop.Material(row.written)
		if err != nil {
			t.Error(err)
			continue
		}
		if m.Key != row.key || m.Stock.Density != row.density || m.Stock.Rm != row.rm || m.Stock.Magnetic != row.magnetic {
			t.Errorf("%s: got %s, %g kg/m3, %v MPa, magnetic %t", row.written, m.Key, m.Stock.Density, m.Stock.Rm, m.Stock.Magnetic)
		}
	}
	for written, zinc := range map[string]float64{"DX51D+Z275": 275, "DX51D Z140": 140, "galvanised": 0, "DC01 verzinkt": 0, "S235 G90": 0.9 * 305.15} {
		m, err := shop.Material(written)
		if err != nil || !m.Coated || math.Abs(m.Zinc-zinc) > 1e-9 {
			t.Errorf("%s: coated %t, %g g/m2, %v", written, m.Coated, m.Zinc, err)
		}
	}
	for written, hint := range map[string]string{"S253": "S235", "aluminum5": "", "unobtainium": "", "1.4031": "1.4301", "": "", "steel 6061": "names two"} {
		m, err := shop.Material(written)
		if err == nil {
			t.Errorf("%q read as %s", written, m.Key)
		} else if !strings.Contains(err.Error(), hint) {
			t.Errorf("%q: %v, want a hint at %q", written, err, hint)
		}
	}
}
