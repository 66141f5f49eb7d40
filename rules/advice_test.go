package rules

import (
	"math"
	"slices"
	"strings"
	"testing"

	"burrcast/analyze/measure"

	"github.com/golang/geo/r2"
)

func wayOf(j Judgement, name string) (Way, bool) {
	i := slices.IndexFunc(j.Ways, func(w Way) bool { return w.Name == name })
	if i < 0 {
		return Way{}, false
	}
	return j.Ways[i], true
}

// The carrier of a square of 10 mm in 2 mm steel on the default line, by hand:
// webs of 3 mm (1.5 t), frame of 10 mm; 3 along are 30 + 6 + 20 = 56 mm (50 are
// asked), 1 across is 30 mm (25 asked). Pressing 0.4 x 30 = 12 N; vacuum 12 kPa
// over a quarter of 56 x 30 mm: 5.04 N; weight 0.2588 N; margin
// 0.5 (12 + 5.04 + 0.2588) / (1.5 x 0.4 x 12) = 1.2013. Two joints of 0.4 mm
// (0.2 t) carry 1.5 x 0.16 x 10 = 2.4 N many times. Afterwards two nibs of 5 to 10
// s and 2 to 5 s of handling: 12 to 25 s.
func TestCarrierByHand(t *testing.T) {
	s := plain()
	s.p = plate(10, 10, 0, 0)
	c := s.judge(t).Carrier
	if c == nil {
		t.Fatal("no carrier")
	}
	if c.Along != 3 || c.Across != 1 || c.Parts() != 3 || c.Joints != 2 {
		t.Errorf("%+v", *c)
	}
	for what, v := range map[string][2]float64{
		"length": {c.Length, 56}, "width": {c.Width, 30}, "web": {c.Web, 3}, "joint": {c.JointWidth, 0.4},
		"margin": {c.Margin, 0.5 * (12 + 5.04 + 0.258751) / 7.2}, "mass": {c.Mass, 56 * 30 * 2 * 7.85e-6},
		"nibs low": {c.Nibs.Low, 12}, "nibs high": {c.Nibs.High, 25},
	} {
		near(t, what, v[0], v[1], 1e-4)
	}
	if !strings.Contains(c.Words(), "3 x 1 parts") || !strings.Contains(c.Words(), "56 x 30 mm") {
		t.Errorf("words %q", c.Words())
	}
}

// Whatever the part, a carrier that is offered reaches every limit of the line.
func TestCarriersReachTheLimits(t *testing.T) {
	for _, line := range DefaultShop().LineNames() {
		for _, side := range [][2]float64{{4, 4}, {10, 60}, {30, 30}, {15, 45}, {48, 24}, {8, 400}} {
			for _, thick := range []string{"0.5", "1.5", "3", "10"} {
				s := plain()
				s.line(line)
				s.p, s.job.Thickness = plate(side[0], side[1], 0, 0), given(thick)
				c := s.judge(t).Carrier
				if c == nil {
					continue
				}
				l := s.shop.Lines[line]
				if c.Length < l.Length[0]-1e-9 || c.Length > l.Length[1] || c.Width < l.LeastWidth-1e-9 || c.Width > l.Width {
					t.Errorf("%s %v %s mm: %.1f x %.1f mm does not fit", line, side, thick, c.Length, c.Width)
				}
				if c.Margin < 1 {
					t.Errorf("%s %v %s mm: margin %.3f", line, side, thick, c.Margin)
				}
				if slices.Equal(l.Hold, []string{HoldRollers}) && c.Length < max(l.RollerPitch, l.RollerGap) {
					t.Errorf("%s %v: no roller on %.1f mm at times", line, side, c.Length)
				}
				if c.Joints < 2 || c.JointWidth < 0.2 || c.JointWidth > 1 {
					t.Errorf("%s %v: %d joints of %g mm", line, side, c.Joints, c.JointWidth)
				}
				// One part less along the feed would not do.
				if c.Along > 1 {
					less := c.Length - c.PartLength - c.Web
					if less >= l.Length[0] && less >= max(l.RollerPitch, l.RollerGap) && line == "belt-only" {
						t.Errorf("%s %v: %d along, %.1f mm would do", line, side, c.Along, less)
					}
				}
			}
		}
	}
}

func TestNoCarrierOutgrowsTheLine(t *testing.T) {
	s := plain()
	s.p = plate(30, 30, 0, 0)
	s.shop.Lines["belt-and-drum-brush"].Length = Span{50, 49.9}
	j := s.judge(t)
	if j.Carrier != nil {
		t.Errorf("carrier %+v", *j.Carrier)
	}
	i := slices.IndexFunc(j.Route, func(s Step) bool { return s.Step == "carrier" })
	if i >= 0 && !strings.Contains(j.Route[i].Note, "no array") {
		t.Errorf("note %q", j.Route[i].Note)
	}
}

// The ways of a small part are priced and listed with the cheapest first, and
// the findings name them.
func TestWaysToHold(t *testing.T) {
	s := plain()
	s.p = plate(30, 30, 0, 0)
	j := s.judge(t)
	for _, name := range []string{"carrier", "tray", "magnet plate", "bench", "tumbling"} {
		w, ok := wayOf(j, name)
		if !ok || w.For != ForHold || !(w.Cost.High > 0) || w.Cost.Low > w.Cost.High || w.Source == "" || w.Provenance == "" {
			t.Errorf("%s: %+v", name, w)
		}
	}
	if !slices.IsSortedFunc(j.Ways, func(a, b Way) int {
		return int(math.Copysign(1, a.Cost.Low+a.Cost.High-b.Cost.Low-b.Cost.High))
	}) {
		t.Errorf("not cheapest first: %+v", j.Ways)
	}
	f := findingsOf(j, "part-length")[0]
	if !strings.Contains(f.Do, "joined in sheet of 50 x 50 mm") || !strings.Contains(f.Do, "tumbling") {
		t.Errorf("do %q", f.Do)
	}
	// A magnet holds no austenitic steel, tumbling takes no part above its size.
	s.job.Material = given("1.4301")
	if _, ok := wayOf(s.judge(t), "magnet plate"); ok {
		t.Error("a magnet plate for 1.4301")
	}
	s.p = plate(300, 10, 0, 0)
	if _, ok := wayOf(s.judge(t), "tumbling"); ok {
		t.Error("a strip of 300 mm is tumbled")
	}
	// A part that rides needs none.
	if j := judge(t, plate(200, 150, 5, 4), s.job); len(j.Ways) > 0 || j.Carrier != nil {
		t.Errorf("ways %+v", j.Ways)
	}
	// More pieces in a carrier than were ordered are told.
	s = plain()
	s.p = plate(10, 10, 0, 0)
	if w, ok := wayOf(s.judge(t), "carrier"); !ok || !strings.Contains(w.Note, "only 1 ordered") {
		t.Errorf("carrier %+v", w)
	}
}

// Oxide: a brush pass more against what the shop file prices; both faces count.
func TestWaysToTakeOxideOff(t *testing.T) {
	s := plain()
	s.job.Process, s.job.Edge = given("laser-o2"), given("paint")
	j := s.judge(t)
	for _, name := range []string{"brush pass", "pickling bath", "blasting"} {
		if w, ok := wayOf(j, name); !ok || w.For != ForOxide || !(w.Cost.High > 0) {
			t.Errorf("%s: %+v", name, w)
		}
	}
	w, _ := wayOf(j, "pickling bath")
	m2 := 2 * s.p.Area.V * 1e-6
	near(t, "pickling, low", w.Cost.Low, 0.1+3*m2, 1e-9)
	near(t, "pickling, high", w.Cost.High, 0.3+8*m2, 1e-9)
	// No price, no way; aluminium is not pickled here; without a brush no pass.
	s.shop.Alternatives["pickling"].PerM2, s.shop.Alternatives["pickling"].PerPiece = Span{}, Span{}
	if _, ok := wayOf(s.judge(t), "pickling bath"); ok {
		t.Error("pickling without a price")
	}
	s.line("belt-only")
	if _, ok := wayOf(s.judge(t), "brush pass"); ok {
		t.Error("a brush pass on a line without a brush")
	}
	found := false
	for _, st := range j.Route {
		for _, v := range st.Settings {
			found = found || v.Name == "cost of each way" && strings.Contains(v.Value, "pickling bath")
		}
	}
	if !found {
		t.Error("the route does not name the ways")
	}
}

// Abrasive use by hand, titanium on the belt of belt-only (price 45, life 20 h,
// 12 to 25 m/s): right is 12 to 15 m/s; one speed of 18.5 for all takes
// (18.5/15)^2 = 1.5211 times the belt.
func TestWearByHand(t *testing.T) {
	s := plain()
	s.line("belt-only")
	s.job.Material = given("titanium")
	j := s.judge(t)
	if len(j.Wear) != 1 {
		t.Fatalf("wear %+v", j.Wear)
	}
	w := j.Wear[0]
	if w.Right != (Span{12, 15}) || w.OneSpeed != 18.5 {
		t.Errorf("right %v, one speed %g", w.Right, w.OneSpeed)
	}
	near(t, "use", w.Cost.Low, j.LineTime.Low/3600/20*45, 1e-12)
	near(t, "at one speed", w.AtOne.High, w.Cost.High*18.5*18.5/225, 1e-12)
	near(t, "saved", w.Saved(), (w.Cost.Low+w.Cost.High)/2*(18.5*18.5/225-1), 1e-12)
	near(t, "of the cost", j.Abrasive.High, w.Cost.High, 1e-12)
	if !strings.Contains(w.Why, "too fast for titanium") {
		t.Errorf("why %q", w.Why)
	}
	// Steel asks for more than the belt has: 25 m/s. At 18.5 the conveyor runs 1.35
	// times slower, where it and not the loader sets the pace.
	s.job.Material, s.p = given("S235"), plate(2000, 800, 5, 4)
	w = s.judge(t).Wear[0]
	if w.Right != (Span{25, 25}) || !strings.Contains(w.Why, "too slow for carbon steel") || !(w.Saved() > 0) {
		t.Errorf("steel: %+v", w)
	}
	// The shop runs the right speed already: nothing is saved.
	s.shop.Lines["belt-only"].Heads[0].OneSpeed = 25
	if w := s.judge(t).Wear[0]; w.Saved() != 0 || w.Why != "" {
		t.Errorf("at the right speed: %+v", w)
	}
	// A lifted belt wears nothing; heads without a price fall back to the flat rate.
	s = plain()
	s.job.Material = given("DX51D+Z275")
	if j := s.judge(t); len(j.Wear) != 1 || j.Wear[0].Head != "drum brush" {
		t.Errorf("galvanised: %+v", j.Wear)
	}
	s.shop.Lines["belt-and-drum-brush"].Heads[1].Price = 0
	j = s.judge(t)
	near(t, "flat rate", j.Cost.Low, (j.LineTime.Low*(60+6)+j.HandTime.Low*52)/3600, 1e-9)
}

// The map names every contour once, then the places, all within the forecast.
func TestBurrMap(t *testing.T) {
	s := plain()
	s.p.Cutouts[1] = hole("C2", 3)
	s.p.Notches = []measure.Notch{{ID: "N1", Width: measure.Of(3, 0), Depth: measure.Of(10, 0)}}
	s.p.Corners = []measure.Corner{{ID: "K1", Contour: "C3", Angle: 40, Side: measure.Void}}
	j := s.judge(t)
	var ids []string
	length := 0.0
	for _, m := range j.BurrMap {
		ids = append(ids, m.Contour+"/"+m.Feature)
		if m.Low < j.Burr.Low || m.High > j.Burr.High || m.Low > m.High || m.Why == "" || m.Kind != j.Burr.Kind || m.Side != j.Burr.Side {
			t.Errorf("stretch %+v outside the forecast %+v", m, *j.Burr)
		}
		if m.Feature == "" {
			length += m.Length
		}
	}
	if want := []string{"O/", "C1/", "C2/", "C3/", "C4/", "O/N1", "C3/K1"}; !slices.Equal(ids, want) {
		t.Errorf("map %v, want %v", ids, want)
	}
	near(t, "mapped length", length, s.p.OutlineLength.V+4*math.Pi*5-2*math.Pi, 1e-9)
	mid := (j.Burr.Low + j.Burr.High) / 2
	if j.BurrMap[2].Low != mid || j.BurrMap[1].High != mid {
		t.Errorf("the small hole is at the low end: %+v, %+v", j.BurrMap[1], j.BurrMap[2])
	}
	s.job.Process = Given{}
	if m := s.judge(t).BurrMap; m != nil {
		t.Errorf("a map without a process: %v", m)
	}
}

func TestFeedOptions(t *testing.T) {
	s := plain() // a drum brush leaves 350 of 700 mm of outline at 0 degrees
	j := s.judge(t)
	if len(j.FeedOptions) != 3 {
		t.Fatalf("options %+v", j.FeedOptions)
	}
	drawn, chosen, two := j.FeedOptions[0], j.FeedOptions[1], j.FeedOptions[2]
	if !(chosen.Worked > drawn.Worked) || !(two.Worked > drawn.Worked) || two.Worked != 1 {
		t.Errorf("worked %g, %g, %g", drawn.Worked, chosen.Worked, two.Worked)
	}
	if !slices.Equal(two.Angles, []float64{0, 90}) || two.LineTime.Low < 2*drawn.LineTime.Low-1e-9 {
		t.Errorf("two passes %+v", two)
	}
	s.line("belt-and-disc-brush-wet") // discs work every direction
	if o := s.judge(t).FeedOptions; len(o) != 1 {
		t.Errorf("disc brushes: %+v", o)
	}
	// A grain: told which way it runs.
	s.line("three-heads-grain")
	s.job.Edge = given("grained")
	j = s.judge(t)
	text := ""
	for _, st := range j.Route {
		for _, v := range st.Settings {
			if v.Name == "grain" {
				text = v.Value
			}
		}
	}
	if !strings.Contains(text, "along the drawing's Y") { // the longer sides lie across the drum there
		t.Errorf("grain: %q", text)
	}
}

// Short thick parts may be fed nose to tail; thin ones climb, and hooked ones
// tangle.
func TestNoseToTail(t *testing.T) {
	nose := func(s situation) (string, Judgement) {
		j := s.judge(t)
		for _, st := range j.Route {
			for _, v := range st.Settings {
				if v.Name == "or nose to tail" {
					return v.Value, j
				}
			}
		}
		return "", j
	}
	s := plain()
	s.line("belt-only")
	s.p = plate(70, 60, 5, 1)
	s.p.Quantity = 10
	if v, j := nose(s); !strings.HasPrefix(v, "2 and more") {
		t.Errorf("%q %+v", v, j.Findings)
	}
	s.job.Thickness = given("0.8")
	v, j := nose(s)
	if v != "" || j.Verdicts["part-interlocks"] != Fail {
		t.Errorf("thin: %q, interlocks %d", v, j.Verdicts["part-interlocks"])
	}
	s.job.Thickness = given("2")
	s.rake(30)
	if v, _ := nose(s); v != "" {
		t.Errorf("hooked: %q", v)
	}
}

// Widths of zero are tips and touching contours, never "0 x thickness".
func TestZeroWidths(t *testing.T) {
	s := plain()
	tip := slot("C1", 6, 20)
	tip.Kind, tip.MinWidth = measure.Window, measure.Of(0, 1e-9)
	tip.Area = measure.Of(60, 0)
	s.p.Cutouts = []measure.Cutout{tip}
	s.p.Webs = []measure.Passage{{ID: "W1", Kind: measure.Web, Width: measure.Of(0, 0)}, {ID: "W2", Kind: measure.Neck, At: r2.Point{X: 10}, Width: measure.Of(1e-17, 0), Length: measure.Of(1, 0), Hangs: measure.Of(10, 0)},
		{ID: "W3", Kind: measure.Web, At: r2.Point{X: 10}, Width: measure.Of(0, 0)}} // where W2 is, too
	j := s.judge(t)
	for _, f := range j.Findings {
		if f.Measured == 0 && f.Rule != "contours-touch" {
			t.Errorf("%s measured 0: %+v", f.Rule, f)
		}
		if f.Rule == "web-thickness" || f.Rule == "neck-thin" {
			t.Errorf("%s on contours that touch", f.Rule)
		}
	}
	if n := len(findingsOf(j, "contours-touch")); n != 2 {
		t.Errorf("%d places touch", n)
	}
	if j.Verdicts["slot-thickness"] == Fail || j.Verdicts["slot-reach"] == Fail {
		t.Error("a sharp tip counts as a slot of no width")
	}
	// A slot so narrow that the tip is all of it is judged by its largest disc.
	thin := slot("C1", 1, 20)
	thin.MinWidth = measure.Of(0, 0)
	s.p.Cutouts = []measure.Cutout{thin}
	fs := findingsOf(s.judge(t), "slot-thickness")
	if len(fs) != 1 || math.Abs(fs[0].Measured-0.5) > 1e-9 {
		t.Errorf("findings %+v", fs)
	}
}

// A bent slot is a slot: told once, by the slot's rule.
func TestBentSlotIsToldOnce(t *testing.T) {
	s := plain()
	bent := slot("C1", 1.6, 60)
	bent.Kind = measure.Window
	s.p.Cutouts = []measure.Cutout{bent}
	j := s.judge(t)
	if j.Verdicts["slot-thickness"] != Fail || j.Verdicts["hole-thickness"] != NotApplicable {
		t.Errorf("slot-thickness %d, hole-thickness %d", j.Verdicts["slot-thickness"], j.Verdicts["hole-thickness"])
	}
}

// The depth that a disc leaves in a corner follows from where it touches: for a
// right corner of a disc of 2.4 mm the touching points lie 1.697 mm apart and
// 1.2 mm from the corner.
func TestStretchDepth(t *testing.T) {
	for _, angle := range []float64{30, 60, 90, 120} {
		half := angle / 2 * math.Pi / 180
		wall := 1.2 / math.Tan(half)
		chord := 2 * wall * math.Sin(half)
		s := measure.Stretch{Length: 2 * wall, B: r2.Point{X: chord}}
		near(t, "depth", StretchDepth(2.4, s), CornerDepth(2.4, angle), 1e-9)
		s.Length *= 1.01 // longer than any corner's walls
		if d := StretchDepth(2.4, s); !math.IsInf(d, 1) {
			t.Errorf("a pocket counts as a corner %g mm deep", d)
		}
	}
	if d := StretchDepth(2.4, measure.Stretch{Length: 9}); !math.IsInf(d, 1) {
		t.Errorf("a contour that nothing touches is %g mm deep", d)
	}
	// A square window of 14 mm with corners rounded by 0.5 mm: the disc leaves
	// 16 % of the edge, and no more than 0.5 mm of depth.
	s := plain()
	square := slot("C1", 14, 14)
	square.Kind, square.Perimeter = measure.Window, measure.Of(55.1, 0)
	reach := measure.Reach{Tool: 2.4, Share: measure.Of(0.841, 0)}
	for range 4 {
		reach.Missing = append(reach.Missing, measure.Stretch{Contour: "C1", Length: 2.19, B: r2.Point{X: 1.697}})
	}
	square.Reach = []measure.Reach{reach}
	s.p.Cutouts = []measure.Cutout{square}
	if v := s.judge(t).Verdicts["slot-reach"]; v != Pass {
		t.Errorf("verdict %d", v)
	}
}

// What is no part is asked about and nothing else is said of it.
func TestSpecks(t *testing.T) {
	s := plain()
	s.p = plate(1.5, 1.5, 0.6, 1)
	j := s.judge(t)
	if len(j.Findings) != 1 || j.Findings[0].Rule != "part-tiny" || j.Cost.High != 0 || j.Treatment != Ask {
		t.Errorf("%+v, cost %v", j.Findings, j.Cost)
	}
}

// One cause is one finding: an open contour leaves its part incomplete, units
// given by a flag overrule the header, and texts do not repeat themselves.
func TestDrawingFindingsAreToldOnce(t *testing.T) {
	s := plain()
	s.d.OpenContours = []measure.Place{{At: r2.Point{X: 100, Y: 20}, Size: 2, Text: "open contour"}}
	s.p.Incomplete = "a line inside the part neither closes nor reaches from edge to edge"
	s.d.Crossings = []measure.Place{{At: r2.Point{X: 10, Y: 20}, Text: "two contours cross"}}
	s.d.UnitsDoubt, s.d.UnitsSource = "the header says inch", "given"
	j := s.judge(t)
	var got []string
	for _, f := range j.Findings {
		got = append(got, f.Rule)
		if strings.Contains(f.Why, "open contour: open") || strings.Contains(f.Why, "cross: ") {
			t.Errorf("why %q", f.Why)
		}
	}
	if !slices.Equal(got, []string{"crossing-contour", "open-contour"}) {
		t.Errorf("findings %v", got)
	}
	if !strings.Contains(j.Findings[0].Why, "10.0, 20.0") || !strings.Contains(j.Findings[1].Why, "2 mm") {
		t.Errorf("places: %q, %q", j.Findings[0].Why, j.Findings[1].Why)
	}
	// Doubles are counted where they lie.
	s = plain()
	s.d.Duplicates = 3
	s.d.DuplicatesAt = []measure.Place{{At: r2.Point{X: 5, Y: 5}}, {At: r2.Point{X: 900, Y: 5}}, {At: r2.Point{X: 901, Y: 5}}}
	if fs := findingsOf(s.judge(t), "duplicate-lines"); len(fs) != 1 || fs[0].Measured != 1 {
		t.Errorf("doubles %+v", fs)
	}
}

// A plate that fits at no angle is reported at the one that misses by least.
func TestNearestMiss(t *testing.T) {
	s := plain()
	s.p = plate(2000, 2000, 0, 0)
	j := s.judge(t)
	if math.Abs(findingsOf(j, "part-wide")[0].Measured-2000) > 1 {
		t.Errorf("%+v", findingsOf(j, "part-wide"))
	}
}

// A line without a brush leaves the burr that its belt lays over to the bench.
func TestBeltAloneCostsTheBench(t *testing.T) {
	s := plain()
	with := s.judge(t)
	s.line("belt-only")
	j := s.judge(t)
	if !(j.HandTime.High > 4*6) || j.HandTime.Low != 0 {
		t.Errorf("bench %v", j.HandTime)
	}
	if !(j.Cost.High > with.Cost.High) {
		t.Errorf("a belt alone costs %v, with a brush %v", j.Cost, with.Cost)
	}
}

// Advice names the shop's other lines where they do what this one cannot.
func TestOtherLinesAreNamed(t *testing.T) {
	s := plain()
	s.p = plate(1200, 1000, 8, 4) // 900 mm is the default line's width, 1300 the others'
	if do := findingsOf(s.judge(t), "part-wide")[0].Do; !strings.Contains(do, "in this shop: belt-and-disc-brush-wet, three-heads-grain") {
		t.Errorf("do %q", do)
	}
	s.p = plate(1500, 1400, 8, 4) // too wide for all
	if do := findingsOf(s.judge(t), "part-wide")[0].Do; strings.Contains(do, "in this shop") {
		t.Errorf("do %q", do)
	}
	s = plain()
	s.line("belt-only")
	if do := findingsOf(s.judge(t), "belt-rolls-burr")[0].Do; !strings.Contains(do, "belt-and-drum-brush") || strings.Contains(do, "three-heads-grain") {
		t.Errorf("do %q", do)
	}
	s.p = plate(80, 60, 5, 1) // 120 mm is asked here, 50 on the default line
	if !slices.ContainsFunc(s.judge(t).Findings, func(f Finding) bool { return strings.Contains(f.Do, "no trouble on belt-and-drum-brush") }) {
		t.Error("no finding names the line that takes a part of this size")
	}
	s = plain()
	s.job.Edge = given("grained")
	if do := findingsOf(s.judge(t), "grain-wanted")[0].Do; !strings.Contains(do, "in this shop: three-heads-grain") {
		t.Errorf("do %q", do)
	}
}
