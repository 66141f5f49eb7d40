package rules

import (
	"slices"
	"strings"
	"testing"

	"burrcast/analyze/measure"

	"github.com/golang/geo/r2"
)

// What a finishing planner expects of plain cases. Parts are hand-built from
// arithmetic of rectangles and circles.
func TestPlannersExpectations(t *testing.T) {
	for _, c := range []struct {
		name  string
		part  measure.Part
		job   Job
		want  []Treatment
		rules []string // that must fail
	}{
		{"a plain plate with holes rides the line", plate(100, 60, 5, 4), order("steel", "2", "laser-n2", ""), []Treatment{Line, Brush}, nil},
		{"also with an edge requirement", plate(100, 60, 5, 4), order("steel", "2", "laser-n2", "safe-to-handle"), []Treatment{Line, Brush}, nil},
		{"also in stainless", plate(100, 60, 5, 4), order("1.4301", "2", "laser-n2", "+0.1"), []Treatment{Line, Brush}, nil},
		{"also punched", plate(100, 60, 5, 4), order("DC01", "1.5", "punch", "safe-to-handle"), []Treatment{Line, Brush}, nil},
		{"also in aluminium", plate(100, 60, 5, 4), order("AlMg3", "3", "laser-n2", "safe-to-handle"), []Treatment{Line, Brush}, nil},
		{"a tiny disc cannot be held", plate(12, 12, 0, 0), order("steel", "2", "laser-n2", "+0.1"), []Treatment{Fixture, Hand}, []string{"part-length"}},
		{"a small part needs holding", plate(35, 30, 0, 0), order("steel", "2", "laser-n2", "+0.1"), []Treatment{Fixture}, []string{"part-length"}},
		{"a narrow strip needs holding", plate(400, 10, 0, 0), order("steel", "2", "laser-n2", "safe-to-handle"), []Treatment{Fixture}, []string{"part-width"}},
		{"oxide under paint is brushed", plate(100, 60, 5, 4), order("S235", "3", "laser-o2", "paint"), []Treatment{Brush}, []string{"oxide-edge"}},
		{"galvanised is brushed", plate(100, 60, 5, 4), order("galvanised", "2", "laser-n2", "safe-to-handle"), []Treatment{Brush}, []string{"zinc-keep"}},
		{"galvanised and punched is brushed", plate(100, 60, 5, 4), order("DX51D+Z275", "1.5", "punch", "safe-to-handle"), []Treatment{Brush}, []string{"zinc-keep"}},
		{"holes below the bundle go to the bench", plate(100, 60, 2, 4), order("steel", "1.5", "laser-n2", "safe-to-handle"), []Treatment{Hand}, []string{"hole-reach"}},
		{"a plate wider than the line goes to the bench", plate(1500, 1200, 8, 4), order("steel", "3", "laser-n2", "safe-to-handle"), []Treatment{Hand}, []string{"part-wide"}},
		{"heavy plate is outside the line", plate(300, 200, 30, 4), order("S355", "30", "plasma", "P2"), []Treatment{Hand}, []string{"part-thick"}},
		{"a radius of 2 mm on 3 mm sheet is a contradiction", plate(300, 200, 10, 4), order("S355", "3", "laser-n2", "P3"), []Treatment{Ask}, []string{"radius-too-big"}},
		{"zinc on stainless is a contradiction", plate(300, 200, 10, 4), order("1.4301+Z275", "2", "laser-n2", "+0.1"), []Treatment{Ask}, []string{"input-conflict"}},
		{"plasma on 0.3 mm is a contradiction", plate(300, 200, 10, 4), order("steel", "0.3", "plasma", "+0.1"), []Treatment{Ask}, []string{"input-conflict"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			j := judge(t, c.part, c.job)
			if !slices.Contains(c.want, j.Treatment) {
				t.Errorf("treatment %d, want one of %v; findings %+v", j.Treatment, c.want, j.Findings)
			}
			for _, r := range c.rules {
				if j.Verdicts[r] != Fail {
					t.Errorf("%s did not fail", r)
				}
			}
			if len(j.Route) < 3 || j.Route[len(j.Route)-1].Step != "inspect" {
				t.Errorf("route %+v", j.Route)
			}
			for _, r := range []Range{j.LineTime, j.HandTime, j.Cost} {
				if r.Low < 0 || r.Low > r.High {
					t.Errorf("range %v", r)
				}
			}
			if j.Cost.High <= 0 {
				t.Error("work that costs nothing")
			}
		})
	}
}

// A slot goes to the bench exactly when the bundle does not enter, and a measured
// share is trusted before a width.
func TestReachSharesComeFirst(t *testing.T) {
	s := plain()
	keyhole := slot("C1", 2, 60) // narrow by its least width ...
	keyhole.Kind = measure.Window
	keyhole.Inscribed = measure.Of(12, 0)
	keyhole.Reach = []measure.Reach{{Tool: s.shop.Tools("")[0], Share: measure.Of(0.97, 1e-6)}} // ... nearly all of it reachable
	s.p.Cutouts[0] = keyhole
	if j := s.judge(t); j.Verdicts["slot-reach"] != Pass {
		t.Errorf("share 0.97: verdict %d", j.Verdicts["slot-reach"])
	}
	s.p.Cutouts[0].Reach[0].Share = measure.Of(0.4, 1e-6)
	j := s.judge(t)
	fs := findingsOf(j, "slot-reach")
	if len(fs) != 1 || fs[0].Treatment != Hand || fs[0].Feature != "C1" {
		t.Errorf("share 0.4: findings %+v", fs)
	}
	// Four sharp corners keep a bundle off; that is corner-reach's business.
	square := slot("C1", 10, 10)
	square.Kind, square.Corners, square.Perimeter = measure.Window, 4, measure.Of(40, 0)
	square.Reach = []measure.Reach{{Tool: s.shop.Tools("")[0], Share: measure.Of(1-4*2.4/40, 1e-6)}}
	s.p.Cutouts[0] = square
	if j := s.judge(t); j.Verdicts["slot-reach"] != Pass || j.Verdicts["hole-reach"] != Pass {
		t.Errorf("square window: slot-reach %d, hole-reach %d", j.Verdicts["slot-reach"], j.Verdicts["hole-reach"])
	}
	// A share for another tool says nothing: widths decide.
	small := hole("C1", 2)
	small.Reach = []measure.Reach{{Tool: 1, Share: measure.Of(1, 0)}}
	s.p.Cutouts[0] = small
	if j := s.judge(t); j.Verdicts["hole-reach"] != Fail {
		t.Errorf("share of another tool: verdict %d", j.Verdicts["hole-reach"])
	}
}

// Where the burr as cut is within the requirement, a hole that no brush reaches
// is told but not sent to the bench.
func TestAsCutWithinTheRequirement(t *testing.T) {
	s := plain()
	s.p.Cutouts[0] = hole("C1", 2.2)
	s.job.Edge = given("+0.1")
	j := s.judge(t)
	fs := findingsOf(j, "hole-reach")
	if len(fs) != 1 || fs[0].Treatment != Line || !strings.Contains(fs[0].Why, "within the requirement") {
		t.Errorf("findings %+v", fs)
	}
	if j.HandTime.High != 0 {
		t.Errorf("bench time %v", j.HandTime)
	}
	s.job.Edge = given("+0.02") // the forecast of up to 0.05 mm is above it
	if fs := findingsOf(s.judge(t), "hole-reach"); len(fs) != 1 || fs[0].Treatment != Hand {
		t.Errorf("findings %+v", fs)
	}
}

func TestSchoolsAreNamed(t *testing.T) {
	s := plain()
	s.p.Cutouts[0] = hole("C1", 3.2)
	s.job.Thickness = given("4") // 0.8 t: one laser school allows it, the other does not
	fs := findingsOf(s.judge(t), "hole-thickness")
	if len(fs) == 0 || fs[0].Treatment != Brush {
		t.Fatalf("findings %+v", fs)
	}
	for _, want := range []string{"0.7", "1 t"} {
		if !strings.Contains(fs[0].Why, want) {
			t.Errorf("%q does not name %s", fs[0].Why, want)
		}
	}
	near(t, "measured", fs[0].Measured, 0.8, 1e-9)
	// Stainless is punched to 1.5 and 2 t, steel to 1 and 1.5 t.
	s = plain()
	s.p.Cutouts[0] = hole("C1", 3.2)
	s.job.Process = given("punch") // 1.6 t at 2 mm
	if v := s.judge(t).Verdicts["hole-thickness"]; v != Pass {
		t.Errorf("steel at 1.6 t: verdict %d", v)
	}
	s.job.Material = given("1.4301")
	if fs := findingsOf(s.judge(t), "hole-thickness"); len(fs) != 1 || fs[0].Limit != 2 {
		t.Errorf("stainless at 1.6 t: findings %+v", fs)
	}
	// Waterjet cuts holes down to a fifth of the thickness.
	s.p.Cutouts[0] = hole("C1", 2.5)
	s.job.Process, s.job.Thickness = given("waterjet"), given("10")
	if v := s.judge(t).Verdicts["hole-thickness"]; v != Pass {
		t.Errorf("waterjet at 0.25 t: verdict %d", v)
	}
}

// The sources' disagreements reach the report.
func TestConflictsAreShown(t *testing.T) {
	all := func(s situation) string {
		j := s.judge(t)
		var b strings.Builder
		for _, f := range j.Findings {
			b.WriteString(f.Why + f.Source + "\n")
		}
		if j.Burr != nil {
			b.WriteString(j.Burr.Note + j.Burr.Source + "\n")
		}
		for _, st := range j.Route {
			b.WriteString(st.Note + "\n")
			for _, v := range st.Settings {
				b.WriteString(v.Name + v.Value + v.Source + "\n")
			}
		}
		b.WriteString(strings.Join(SafetyNotes(s.shop, s.job), "\n"))
		return b.String()
	}
	for _, c := range []struct {
		name string
		with func(*situation)
		want []string
	}{
		{"stainless belt speed", func(s *situation) { s.job.Material = given("1.4301") }, []string{"20 to 30 m/s", "33.0 to 35.6"}},
		{"punching burr", func(s *situation) { s.job.Process = given("punch") }, []string{"10 % is 0.2 mm", "0.127", "perforator's table 0.2"}},
		{"punched holes", func(s *situation) { s.job.Process = given("punch"); s.p.Cutouts[0] = hole("C1", 2.5) }, []string{"1.0 t", "1.5 t", "2 t"}},
		{"laser holes", func(s *situation) { s.p.Cutouts[0] = hole("C1", 1.6) }, []string{"0.7", "1 t"}},
		{"radius and grade", func(s *situation) { s.job.Edge = given("P2") }, []string{"belongs to P3"}},
		{"hand rate", func(s *situation) { s.p = plate(12, 12, 0, 0) }, []string{"2 to 3 min/m", "1 to 3 m/min"}},
		{"density of 304", func(s *situation) { s.job.Material = given("304") }, []string{"7900", "7930", "8030"}},
		{"die clearance", func(s *situation) { s.job.Process = given("punch") }, []string{"total and per side", "0.4 to 0.5 mm (20 to 25 %"}},
		{"ranges of ISO 9013", func(s *situation) {}, []string{"wrongly says that there are only four", "range 1 0.056 mm"}},
		{"dust table", func(s *situation) { s.job.Material = given("AlMg3") }, []string{"86", "68"}},
	} {
		s := plain()
		c.with(&s)
		text := all(s)
		for _, w := range c.want {
			if !strings.Contains(text, w) {
				t.Errorf("%s: %q is not shown", c.name, w)
			}
		}
	}
}

func TestFeedChoice(t *testing.T) {
	// A drum brush leaves edges along the feed: the plate is skewed, and by more
	// than the 15 degrees at which the edge stops lying along the feed, since
	// nobody feeds to a degree.
	s := plain()
	j := s.judge(t)
	if j.Feed.Angle < 18 || j.Feed.Angle > 30 || j.Feed.Gain == "" {
		t.Errorf("drum brush: %+v", j.Feed)
	}
	// Discs work every direction: the plate lies as drawn.
	s.line("belt-and-disc-brush-wet")
	if j := s.judge(t); j.Feed.Angle != 0 || j.Feed.Gain != "" {
		t.Errorf("disc brush: %+v", j.Feed)
	}
	// Too wide as drawn: turned.
	s = plain()
	s.line("belt-and-disc-brush-wet")
	s.p = plate(300, 1500, 8, 4)
	j = s.judge(t)
	if !(j.Feed.Width <= 1300) || !strings.Contains(j.Feed.Gain, "fits") {
		t.Errorf("wide part: %+v", j.Feed)
	}
	// Too short for the rollers as drawn: turned until one is always on it.
	s = plain()
	s.line("belt-only")
	s.p = plate(60, 200, 8, 4)
	j = s.judge(t)
	if j.Feed.Length < 120 || j.Verdicts["roller-grip"] != Pass {
		t.Errorf("short part: %+v", j.Feed)
	}
	// A grain leaves only the axes.
	s = plain()
	s.line("three-heads-grain")
	s.job.Edge = given("grained")
	if j := s.judge(t); j.Feed.Angle != 0 && j.Feed.Angle != 90 {
		t.Errorf("grain: %+v", j.Feed)
	}
	// Without measured feeds the box says 0 and 90 degrees.
	s = plain()
	s.p.Feeds = nil
	if j := s.judge(t); j.Feed.Length != 200 || j.Feed.Width != 150 || !j.Feed.HoldKnown {
		t.Errorf("no feeds: %+v", j.Feed)
	}
	// The margin dry is the margin wet times the ratio of frictions.
	near(t, "dry over wet", j.Feed.HoldDry/j.Feed.HoldWet, 0.5/0.2, 1e-9)
}

// The hold-down's arithmetic, worked by hand for the default line: a steel plate
// 50 x 50 x 2 mm, belt 0.4 N/mm: 20 N; vacuum 12 kPa over a quarter of the face:
// 7.5 N; weight 0.385 N; 0.5 (20 + 7.5 + 0.385) / (1.5 x 0.4 x 20) = 1.162.
func TestHoldMarginByHand(t *testing.T) {
	s := plain()
	s.p = plate(50, 50, 0, 0)
	s.p.Feeds = s.p.Feeds[:1]
	j := s.judge(t)
	near(t, "margin", j.Feed.HoldMargin, 0.5*(20+7.5+0.385)/12, 1e-4)
	// Cut-outs leak: only covered area is held.
	s.p.Area = measure.Of(1250, 0)
	near(t, "half covered", s.judge(t).Feed.HoldMargin, 0.5*(20+3.75+0.1925)/12, 1e-4)
	// A magnet holds ferritic stock only, and thin stock less.
	l := s.shop.Lines["belt-and-drum-brush"]
	l.Hold, l.MagnetPull, l.MagnetFull = []string{HoldMagnet}, 16, 4
	s.p.Area = measure.Of(2500, 0)
	near(t, "magnet, half its thickness", s.judge(t).Feed.HoldMargin, 0.5*(20+20+0.385)/12, 1e-4)
	s.job.Material = given("1.4301")
	j = s.judge(t)
	if j.Verdicts["hold-slip"] != Fail || !strings.Contains(findingsOf(j, "hold-slip")[0].Why, "does not hold this stock") {
		t.Errorf("austenitic stainless on a magnet: %+v", findingsOf(j, "hold-slip"))
	}
	s.job.Material = given("430")
	if j := s.judge(t); j.Verdicts["hold-slip"] != Pass {
		t.Errorf("ferritic stainless on a magnet: %+v", findingsOf(j, "hold-slip"))
	}
	s.job.Material = Given{}
	if j := s.judge(t); j.Verdicts["hold-slip"] != Unknown {
		t.Errorf("unknown material on a magnet: verdict %d", j.Verdicts["hold-slip"])
	}
}

func TestRoute(t *testing.T) {
	steps := func(j Judgement) (names []string) {
		for _, s := range j.Route {
			names = append(names, s.Step)
		}
		return names
	}
	s := plain()
	j := s.judge(t)
	if got := steps(j); !slices.Equal(got, []string{"cut", "lay on", "belt", "brush", "turn over", "inspect"}) {
		t.Errorf("route %v", got)
	}
	for _, st := range j.Route {
		for _, v := range st.Settings {
			if v.Name == "" || v.Value == "" || v.Source == "" {
				t.Errorf("%s: setting %+v", st.Step, v)
			}
		}
	}
	// Zinc and film: the belt is lifted, and the route says why.
	s.job.Material = given("DX51D+Z275")
	if got := steps(s.judge(t)); !slices.Contains(got, "lift") || slices.Contains(got, "belt") {
		t.Errorf("galvanised: route %v", got)
	}
	// Plasma dross: scrape first, coarse belt.
	s = plain()
	s.job.Process, s.job.Thickness = given("plasma"), given("6")
	j = s.judge(t)
	if got := steps(j); !slices.Contains(got, "scrape") {
		t.Errorf("plasma: route %v", got)
	}
	for _, st := range j.Route {
		if st.Step == "belt" && st.Settings[0].Value != "P60" {
			t.Errorf("plasma: belt %s, want the coarsest at hand", st.Settings[0].Value)
		}
	}
	// Bends come after deburring.
	s.p.Bends = []measure.Bend{{ID: "B1"}}
	if got := steps(s.judge(t)); slices.Index(got, "bend") < slices.Index(got, "brush") {
		t.Errorf("bends: route %v", got)
	}
	// A part that cannot be held is joined in a row long enough to hold.
	s = plain()
	s.p = plate(30, 30, 0, 0)
	j = s.judge(t)
	i := slices.Index(steps(j), "carrier")
	if i < 0 {
		t.Fatalf("small part: route %v", steps(j))
	}
	row := ""
	for _, v := range j.Route[i].Settings {
		if v.Name == "array" {
			row = v.Value
		}
	}
	if row != "1 along x 1 across" { // 30 mm and a frame of 10 mm all round are 50 mm
		t.Errorf("small part: %q in a row", row)
	}
	if j.HandTime.High <= j.HandTime.Low || j.LineTime.Low <= 0 {
		t.Errorf("small part: line %v, bench %v", j.LineTime, j.HandTime)
	}
	// A part that does not ride has no line time and the whole bench.
	s = plain()
	s.p = plate(1500, 1200, 8, 2)
	j = s.judge(t)
	if j.LineTime != (Range{}) || j.HandTime.Low < 5 || !slices.Contains(steps(j), "bench") {
		t.Errorf("wide part: line %v, bench %v, route %v", j.LineTime, j.HandTime, steps(j))
	}
}

func TestBenchTimeOfPlaces(t *testing.T) {
	s := plain()
	s.p = plate(200, 150, 2, 4) // four holes for the bench, 3 to 6 s each, 2 to 5 s handling
	j := s.judge(t)
	near(t, "low", j.HandTime.Low, 4*3+2, 1e-9)
	near(t, "high", j.HandTime.High, 4*6+5, 1e-9)
}

func TestQuestions(t *testing.T) {
	j := judge(t, plate(100, 60, 5, 4), Job{})
	var inputs []string
	for _, q := range j.Questions {
		inputs = append(inputs, q.Input)
		if len(q.Unjudged) == 0 || !slices.IsSorted(q.Unjudged) {
			t.Errorf("%s: unjudged %v", q.Input, q.Unjudged)
		}
	}
	if !slices.Equal(inputs, []string{"thickness", "material", "process", "edge"}) {
		t.Errorf("questions %v", inputs)
	}
	if j.Treatment == Ask {
		t.Error("a missing input must not make every part ask")
	}
	if j.Burr != nil {
		t.Error("a forecast without process")
	}
	merged := MergeQuestions(j.Questions, j.Questions, []Question{{Input: "edge", Text: "other", Unjudged: []string{"x"}}})
	if len(merged) != 5 {
		t.Errorf("merged %d questions, want 5", len(merged))
	}
	// What was written and not understood is asked with the reason.
	j = judge(t, plate(100, 60, 5, 4), order("steel 6061", "16 ga", "laser", "-0.3"))
	for input, want := range map[string]string{"material": "names two", "thickness": "needs a series", "process": "does not say the gas"} {
		i := slices.IndexFunc(j.Questions, func(q Question) bool { return q.Input == input })
		if i < 0 || !strings.Contains(j.Questions[i].Text, want) {
			t.Errorf("%s: %+v", input, j.Questions)
		}
	}
}

func TestUnknownLineIsAnError(t *testing.T) {
	job := order("steel", "2", "laser-n2", "")
	job.Line = given("belt-onyl")
	if _, err := Judge(measure.Drawing{}, plate(100, 60, 5, 4), job, DefaultShop()); err == nil || !strings.Contains(err.Error(), `"belt-only"`) {
		t.Errorf("error %v", err)
	}
	if _, _, err := JudgeDrawing(measure.Drawing{}, job, DefaultShop()); err == nil {
		t.Error("no error")
	}
	if _, err := EdgeCosts(measure.Drawing{}, plate(100, 60, 5, 4), job, DefaultShop()); err == nil {
		t.Error("no error")
	}
}

func TestJudgeDrawing(t *testing.T) {
	d := measure.Drawing{UnitsAssumed: true, Units: "mm", RejectedCurves: 2, Duplicates: 1,
		OpenContours: []measure.Place{{At: r2.Point{X: 5, Y: 5}}, {At: r2.Point{X: 900, Y: 5}}}}
	fs, qs, err := JudgeDrawing(d, order("steel", "2", "laser-n2", ""), DefaultShop())
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, f := range fs {
		got = append(got, f.Rule)
	}
	if !slices.Equal(got, []string{"entity-skipped", "open-contour", "open-contour", "duplicate-lines"}) {
		t.Errorf("findings %v", got)
	}
	if len(qs) != 1 || qs[0].Input != "units" {
		t.Errorf("questions %+v", qs)
	}
}

// Order and doubles do not depend on the order of measures.
func TestFindingsAreSortedOnce(t *testing.T) {
	s := plain()
	s.p = plate(200, 150, 2, 12)
	forward := s.judge(t).Findings
	slices.Reverse(s.p.Cutouts)
	back := s.judge(t).Findings
	if !slices.Equal(forward, back) {
		t.Error("findings depend on the order of cut-outs")
	}
	for i := 1; i < len(forward); i++ {
		a, b := forward[i-1], forward[i]
		if a.Treatment < b.Treatment || a == b {
			t.Errorf("finding %d out of order or double: %+v, %+v", i, a, b)
		}
	}
	if forward[1].Feature != "C2" || forward[11].Feature != "C12" {
		t.Errorf("features in order %q ... %q", forward[1].Feature, forward[11].Feature)
	}
}

func TestSafetyNotes(t *testing.T) {
	shop := DefaultShop()
	has := func(notes []string, words string) bool {
		return slices.ContainsFunc(notes, func(n string) bool { return strings.Contains(n, words) })
	}
	plainNotes := SafetyNotes(shop, order("S235", "2", "laser-n2", ""))
	if plainNotes[0] != SafetyLead || len(plainNotes) > 3 {
		t.Errorf("plain steel: %q", plainNotes)
	}
	if n := SafetyNotes(shop); len(n) != 1 {
		t.Errorf("no job: %q", n)
	}
	alu := SafetyNotes(shop, order("AlMg3", "2", "laser-n2", ""))
	if !has(alu, "collector of its own") || has(alu, "hydrogen") {
		t.Errorf("aluminium dry: %q", alu)
	}
	wet := order("AlMg3", "2", "laser-n2", "")
	wet.Line = given("belt-and-disc-brush-wet")
	if n := SafetyNotes(shop, wet); !has(n, "hydrogen") || has(n, "collector of its own") {
		t.Errorf("aluminium wet: %q", n)
	}
	if n := SafetyNotes(shop, order("AlMg3", "2", "laser-n2", ""), order("S235", "2", "laser-o2", "")); !has(n, "thermite") || !has(n, "oxide") {
		t.Errorf("mixed: %q", n)
	}
	if n := SafetyNotes(shop, order("galvanised", "2", "punch", "")); !has(n, "zinc dust") {
		t.Errorf("zinc: %q", n)
	}
	if n := SafetyNotes(shop, order("1.4301", "2", "punch", "")); !has(n, "chromium") {
		t.Errorf("stainless: %q", n)
	}
}

func TestParseThickness(t *testing.T) {
	for text, want := range map[string]float64{"2": 2, "2 mm": 2, "2mm": 2, " 1,5 ": 1.5, "t=3": 3, "0.075 in": 1.905, `0.075"`: 1.905, ".06 inch": 1.524,
		"1/8 in": 3.175, `1 1/4"`: 31.75, "60 mil": 1.524, "0.2 cm": 2, "16 ga steel": 1.51892, "16ga galv": 1.6129, "gauge 16 stainless": 1.5875, "16 GA 304": 1.5875, "16 ga aluminium": 1.29032} {
		got, err := ParseThickness(text)
		if err != nil {
			t.Error(err)
			continue
		}
		near(t, text, got.MM, want, 1e-9)
	}
	for _, bad := range []string{"", "thick", "0", "-2", "2 km", "16 ga", "16 ga plastic", "7 ga galvanised", "99 ga steel", "1/0 in", "500", "nan", "inf", "1e3", "2 3"} {
		if got, err := ParseThickness(bad); err == nil {
			t.Errorf("%q read as %+v", bad, got)
		}
	}
}

// What is missing can only give unknown: a part with nothing measured fails no
// rule, on any line.
func TestNothingMeasuredFailsNothing(t *testing.T) {
	shop := DefaultShop()
	for _, line := range shop.LineNames() {
		for _, job := range []Job{{}, order("1.4301", "2", "laser-o2", "paint"), order("galvanised", "1", "punch", "grained")} {
			job.Line = given(line)
			p := measure.Part{ID: "P1", BBox: r2.EmptyRect(),
				Cutouts: []measure.Cutout{{ID: "C1", Kind: measure.Round}, {ID: "C2", Kind: measure.Slot}, {ID: "C3", Kind: measure.Window}},
				Notches: []measure.Notch{{ID: "N1"}}, Webs: []measure.Passage{{ID: "W1", Kind: measure.Web}, {ID: "W2", Kind: measure.Neck}, {ID: "W3", Kind: measure.Tab}},
				Corners: []measure.Corner{{ID: "K1", Side: measure.Void}}, Joints: []measure.Joint{{ID: "J1"}}}
			j, err := Judge(measure.Drawing{}, p, job, shop)
			if err != nil {
				t.Fatal(err)
			}
			for _, f := range j.Findings {
				if f.Feature != "" {
					t.Errorf("%s: %s fails on %s, which was not measured", line, f.Rule, f.Feature)
				}
			}
		}
	}
}

func TestBurrPlaces(t *testing.T) {
	s := plain()
	s.p.Cutouts[1] = hole("C2", 3)
	s.p.Corners = []measure.Corner{{ID: "K1", Contour: "O", Angle: 40, Side: measure.Material}, {ID: "K2", Contour: "O", Angle: 90, Side: measure.Void}}
	s.p.Joints = []measure.Joint{{ID: "J1", Gap: measure.Of(0.5, 0)}}
	j := s.judge(t)
	var ids []string
	for _, p := range j.BurrAt {
		ids = append(ids, p.Feature)
		if p.High != j.Burr.High || p.Low <= j.Burr.Low || p.Why == "" {
			t.Errorf("place %+v outside the upper half of %+v", p, j.Burr)
		}
	}
	if !slices.Equal(ids, []string{"C2", "K1", "J1"}) {
		t.Errorf("places %v", ids)
	}
}

func TestCompareLines(t *testing.T) {
	s := plain()
	verdicts, err := CompareLines(s.d, s.p, s.job, s.shop)
	if err != nil || len(verdicts) != len(s.shop.Lines) {
		t.Fatalf("%d verdicts, %v", len(verdicts), err)
	}
	by := map[string]Judgement{}
	for _, v := range verdicts {
		by[v.Line] = v.Judgement
	}
	if by["belt-only"].Treatment != Brush || by["belt-and-drum-brush"].Treatment != Line {
		t.Errorf("belt only %d, belt and drum brush %d", by["belt-only"].Treatment, by["belt-and-drum-brush"].Treatment)
	}
	if got := s.shop.AllTools(); len(got) != 3 { // 2.4, 3 and 4 mm
		t.Errorf("tools of all lines: %v", got)
	}
}
