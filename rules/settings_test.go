package rules

import (
	"strings"
	"testing"

	"burrcast/analyze/measure"
)

// Forecasts by process, material and thickness; the heights are the trade's
// (common practice) unless the shop file says otherwise.
func TestForecasts(t *testing.T) {
	shop := DefaultShop()
	for _, c := range []struct {
		process, material string
		thickness         float64
		low, high         float64
	}{
		{"laser-n2", "steel", 2, 0, 0.05},      // thin and tuned
		{"laser-n2", "1.4301", 3, 0, 0.05},     //
		{"laser-n2", "1.4301", 3.5, 0.02, 0.3}, // reasoning: between the rows
		{"laser-n2", "1.4301", 4, 0.05, 0.5},   // hard dross when off focus
		{"laser-n2", "AlMg3", 2, 0.1, 0.4},     // soft clinging burr
		{"laser-o2", "S235", 6, 0, 0.2},        // reasoning
		{"plasma", "S355", 12, 0.3, 2},         //
		{"waterjet", "copper", 5, 0, 0.1},      //
		{"punch", "DC01", 1, 0.014, 0.1},       // looked up: 1.4 % measured, 10 % ceiling
		{"punch", "DC01", 2, 0.01, 0.20},       // looked up: perforator's table
		{"punch", "S235", 8, 0.05, 0.5},        //
		{"shear", "steel", 3, 0, 0.3},          // up to 10 %
	} {
		m, err := shop.Material(c.material)
		if err != nil {
			t.Fatal(err)
		}
		b := ForecastBurr(c.process, shop.Processes[c.process], m, c.thickness)
		name := c.process + " " + c.material
		near(t, name+" low", b.Low, c.low, 1e-9)
		near(t, name+" high", b.High, c.high, 1e-9)
	}
	// Tool states: sharp keeps to the lower half, worn runs from the middle to twice the top.
	m, _ := shop.Material("DC01")
	p := *shop.Processes["punch"]
	p.ToolState = "sharp"
	near(t, "sharp", ForecastBurr("punch", &p, m, 2).High, 0.105, 1e-9)
	p.ToolState = "worn"
	worn := ForecastBurr("punch", &p, m, 2)
	near(t, "worn low", worn.Low, 0.105, 1e-9)
	near(t, "worn high", worn.High, 0.4, 1e-9)
	if !strings.Contains(worn.Note, "worn") {
		t.Errorf("note %q", worn.Note)
	}
}

func TestSecondaryBurr(t *testing.T) {
	for _, c := range []struct {
		line, edge string
		cutouts    int
		want       Verdict
	}{
		{"belt-only", "+0.1", 4, Fail},
		{"belt-only", "+0.1", 0, Fail},
		{"belt-only", "+0.3", 4, Pass}, // room for what the belt lays over
		{"belt-only", "", 4, Fail},
		{"belt-only", "", 0, Unknown},
		{"belt-and-drum-brush", "-0.3", 4, Pass},
		{"three-heads-grain", "+0.1", 4, Pass}, // a fine belt behind the brush
		{"three-heads-grain", "-0.1/-0.3", 4, Fail},
		{"three-heads-grain", "", 4, Unknown},
	} {
		s := plain()
		s.p = plate(200, 150, 5, c.cutouts)
		s.line(c.line)
		s.job.Edge = given(c.edge)
		if v := s.judge(t).Verdicts["belt-rolls-burr"]; v != c.want {
			t.Errorf("%s, %q, %d cut-outs: verdict %d, want %d", c.line, c.edge, c.cutouts, v, c.want)
		}
	}
	s := plain() // a coarse belt behind the brush is not fine
	s.line("three-heads-grain")
	s.job.Edge = given("+0.1")
	s.shop.Lines["three-heads-grain"].Heads[2].Grades = []string{"P80", "P240"}
	if fs := findingsOf(s.judge(t), "belt-rolls-burr"); len(fs) != 1 || fs[0].Measured != 5 {
		t.Errorf("coarse last belt: %+v", fs)
	}
}

func TestLinesWithoutBrush(t *testing.T) {
	s := plain()
	s.line("belt-only")
	s.job.Material = given("galvanised")
	j := s.judge(t)
	if j.Treatment != Hand || j.LineTime != (Range{}) {
		t.Errorf("zinc on a line of one belt: treatment %d, line %v", j.Treatment, j.LineTime)
	}
	if fs := findingsOf(j, "zinc-keep"); len(fs) != 1 || fs[0].Treatment != Hand {
		t.Errorf("zinc on a line of one belt: %+v", fs)
	}
	s = plain()
	s.line("belt-only")
	s.job.Edge = given("R0.3")
	if v := s.judge(t).Verdicts["radius-reach"]; v != Fail {
		t.Errorf("a belt does not round to 0.3 mm: verdict %d", v)
	}
	s.p.Forms = []measure.Form{{ID: "F1"}}
	if fs := findingsOf(s.judge(t), "formed-up"); len(fs) != 1 || fs[0].Treatment != Hand {
		t.Errorf("forms on a line of one belt: %+v", fs)
	}
	// Reach rules say nothing where no brush works.
	if v := s.judge(t).Verdicts["hole-reach"]; v != NotApplicable {
		t.Errorf("hole-reach without a brush: verdict %d", v)
	}
}

func TestLiftedHeads(t *testing.T) {
	s := plain()
	s.p.Forms = []measure.Form{{ID: "F1"}}
	j := s.judge(t)
	if j.Route[2].Step != "lift" || !strings.Contains(j.Route[2].Note, "stand up") {
		t.Errorf("route %+v", j.Route)
	}
	// Film on mechanical cuts does not bubble.
	s = plain()
	s.job.Film, s.job.Process = given("yes"), given("punch")
	s.p.Cutouts[0].EdgeGap = measure.Of(2, 0)
	if v := s.judge(t).Verdicts["film-pierce"]; v != NotApplicable {
		t.Errorf("film-pierce when punched: verdict %d", v)
	}
}

func TestSettings(t *testing.T) {
	setting := func(s situation, step, name string) string {
		for _, st := range s.judge(t).Route {
			for _, v := range st.Settings {
				if st.Step == step && v.Name == name {
					return v.Value
				}
			}
		}
		return ""
	}
	s := plain()
	for _, c := range []struct{ material, process, want string }{
		{"S235", "laser-n2", "P150"}, // light burr: P120 to P180
		{"S235", "punch", "P80"},     // punching burr: P80 to P120
		{"S235", "plasma", "P60"},    // dross: P36 to P60
	} {
		s.job.Material, s.job.Process = given(c.material), given(c.process)
		if got := setting(s, "belt", "grade"); got != c.want {
			t.Errorf("%s: grade %s, want %s", c.process, got, c.want)
		}
	}
	s = plain()
	for material, want := range map[string]string{"S235": "25 m/s", "1.4301": "20 to 25 m/s", "AlMg3": "20 to 25 m/s", "titanium": "12 to 15 m/s"} {
		s.job.Material = given(material)
		if got := setting(s, "belt", "belt speed"); got != want {
			t.Errorf("%s: belt speed %q, want %q", material, got, want)
		}
	}
	s = plain()
	s.line("three-heads-grain")
	s.job.Edge = given("grained")
	s.shop.Lines["three-heads-grain"].Heads[2].Grades = []string{"P180", "P400"}
	if v := s.judge(t).Verdicts["grain-wanted"]; v != Fail {
		t.Errorf("P180 and P400 at hand, P240 wanted: verdict %d", v)
	}
	s.shop.Lines["three-heads-grain"].Heads[2].Grades = []string{"P180", "P240", "P320"}
	if v := s.judge(t).Verdicts["grain-wanted"]; v != Pass {
		t.Errorf("P240 at hand: verdict %d", v)
	}
}

// A turn must be worth it: 5 points of edge.
func TestSmallGainsDoNotTurn(t *testing.T) {
	s := plain()
	for i := range s.p.Feeds {
		s.p.Feeds[i].Lying = 0.06
	}
	s.p.Feeds[0].Lying = 0.10
	if a := s.judge(t).Feed.Angle; a != 0 {
		t.Errorf("turned by %g for 4 points", a)
	}
	s.p.Feeds[0].Lying = 0.2
	if a := s.judge(t).Feed.Angle; a != 6 { // clear of 0 by the operator's 5 degrees
		t.Errorf("turned by %g for 14 points, want 6", a)
	}
}

func TestPassesCost(t *testing.T) {
	s := plain()
	s.job.Edge = given("+0.1")
	s.p = plate(2500, 860, 5, 4) // cannot turn: a second pass
	once := s.judge(t)
	if once.Verdicts["edge-direction"] != Fail {
		t.Fatal("edge-direction did not fail")
	}
	seconds := 60 / PartsPerMinute(1, 2, once.Feed.Length, 20)
	near(t, "two passes at the slowest", once.LineTime.High, 2*seconds, 1e-6)
	near(t, "one at the fastest", once.LineTime.Low, 60/PartsPerMinute(1, 6, once.Feed.Length, 20), 1e-6)
}

func TestRollerGap(t *testing.T) {
	s := plain()
	s.line("belt-only")
	s.shop.Lines["belt-only"].RollerGap = 180 // wider at the head than the pitch
	s.p = plate(150, 150, 5, 1)
	s.p.Feeds = s.p.Feeds[:1]
	fs := findingsOf(s.judge(t), "roller-grip")
	if len(fs) != 1 || fs[0].Unit != "mm" || fs[0].Limit != 180 {
		t.Errorf("findings %+v", fs)
	}
	// Turned by 30 degrees it spans the gap.
	s.p.Feeds = rectFeeds(150, 150, 16)
	j := s.judge(t)
	if j.Verdicts["roller-grip"] != Pass || j.Feed.Length < 180 {
		t.Errorf("verdict %d, feed %+v", j.Verdicts["roller-grip"], j.Feed)
	}
}
