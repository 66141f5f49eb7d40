package rules

import (
	"slices"
	"strings"
	"testing"

	"burrcast/analyze/measure"

	"github.com/golang/geo/r2"
)

func TestRegistry(t *testing.T) {
	seen := map[string]bool{}
	group := 0
	for _, r := range Rules() {
		if seen[r.Name] {
			t.Errorf("%s: name used twice", r.Name)
		}
		seen[r.Name] = true
		for field, v := range map[string]string{"Name": r.Name, "Title": r.Title, "Group": r.Group, "Measured": r.Measured, "Formula": r.Formula,
			"Unit": r.Unit, "Applies": r.Applies, "Why": r.Why, "Do": r.Do, "Source": r.Source, "Provenance": r.Provenance, "Example": r.Example} {
			if strings.TrimSpace(v) == "" {
				t.Errorf("%s: %s is empty", r.Name, field)
			}
		}
		if !slices.Contains([]string{LookedUp, Memory, Practice, Arithmetic, Reasoning, ShopsOwn}, r.Provenance) {
			t.Errorf("%s: provenance %q", r.Name, r.Provenance)
		}
		if r.judge == nil {
			t.Errorf("%s: nothing judges it", r.Name)
		}
		if strings.ToLower(r.Name) != r.Name || strings.ContainsAny(r.Name, " _") {
			t.Errorf("%s: name is not in lower case with dashes", r.Name)
		}
		if r.Treatment == Line && r.Name != "duplicate-lines" && r.Name != "part-interlocks" && r.Name != "joint-hold" {
			t.Errorf("%s: a rule that fails needs a treatment", r.Name)
		}
		g := slices.Index(Groups(), r.Group)
		if g < group {
			t.Errorf("%s: group %q out of order", r.Name, r.Group)
		}
		group = g
		got, ok := Lookup(r.Name)
		if !ok || got.Title != r.Title {
			t.Errorf("%s: lookup finds %q", r.Name, got.Title)
		}
		if _, ok := ruleCases[r.Name]; !ok {
			t.Errorf("%s: no passing and failing part in ruleCases", r.Name)
		}
	}
	for name := range ruleCases {
		if !seen[name] {
			t.Errorf("ruleCases has %q, which is no rule", name)
		}
	}
	// The table of the rules that the tool promises.
	for _, name := range strings.Fields(`hole-reach slot-reach notch-reach corner-reach edge-direction hole-thickness slot-thickness
		web-thickness joint-nib oxide-edge film-pierce burr-height part-length part-width part-wide part-thick roller-grip hold-slip
		part-light tab-bend neck-thin formed-up zinc-keep film-keep grain-wanted edge-unstated radius-too-big belt-rolls-burr
		open-contour crossing-contour duplicate-lines units-assumed thickness-missing material-missing entity-skipped part-incomplete`) {
		if !seen[name] {
			t.Errorf("rule %s is missing", name)
		}
	}
	if _, ok := Lookup("no-such-rule"); ok {
		t.Error("found a rule that is none")
	}
}

// situation is a part under judgement with everything around it.
type situation struct {
	d    measure.Drawing
	p    measure.Part
	job  Job
	shop Shop
}

// plain is what passes nearly everything: a plate of 200 x 150 mm with four holes
// of 5 mm, steel of 2 mm cut by laser with nitrogen, edges safe to handle.
func plain() situation {
	return situation{d: measure.Drawing{Units: "mm"}, p: plate(200, 150, 5, 4), job: order("S235", "2", "laser-n2", "safe-to-handle"), shop: DefaultShop()}
}

func (s *situation) line(name string) { s.job.Line = given(name) }

// ruleCase is one passing and one failing part of a rule.
type ruleCase struct {
	pass, fail func(*situation)
	unknown    func(*situation) // a measure or an input is missing
	treatment  Treatment        // of the failing part's finding
	feature    string           // of the finding
	question   string           // instead of a finding: the input asked for
	input      string           // that the unknown case asks for
}

var ruleCases = map[string]ruleCase{
	"hole-reach": {
		pass:      func(s *situation) { s.p.Cutouts[0] = hole("C1", 2.4) },
		fail:      func(s *situation) { s.p.Cutouts[0] = hole("C1", 2.39) },
		unknown:   func(s *situation) { s.p.Cutouts[0].Inscribed = measure.Value{} },
		treatment: Hand, feature: "C1",
	},
	"slot-reach": {
		pass:      func(s *situation) { s.p.Cutouts[0] = slot("C1", 2.5, 20) },
		fail:      func(s *situation) { s.p.Cutouts[0] = slot("C1", 2.2, 20) },
		unknown:   func(s *situation) { s.p.Cutouts[0] = slot("C1", 2.2, 20); s.p.Cutouts[0].MinWidth = measure.Value{} },
		treatment: Hand, feature: "C1",
	},
	"notch-reach": {
		pass: func(s *situation) {
			s.p.Notches = []measure.Notch{{ID: "N1", Width: measure.Of(3, 0), Depth: measure.Of(10, 0)}, {ID: "N2", Width: measure.Of(1, 0), Depth: measure.Of(1, 0)}}
		},
		fail: func(s *situation) {
			s.p.Notches = []measure.Notch{{ID: "N1", Width: measure.Of(2.2, 0), Depth: measure.Of(10, 0)}}
		},
		unknown:   func(s *situation) { s.p.Notches = []measure.Notch{{ID: "N1", Depth: measure.Of(10, 0)}} },
		treatment: Hand, feature: "N1",
	},
	"corner-reach": {
		pass: func(s *situation) {
			s.p.Corners = []measure.Corner{{ID: "K1", Contour: "O", Angle: 90, Side: measure.Void}}
		},
		fail: func(s *situation) {
			s.p.Corners = []measure.Corner{{ID: "K1", Contour: "O", Angle: 30, Side: measure.Void}}
		},
		unknown:   func(s *situation) { s.p.Corners = []measure.Corner{{ID: "K1", Contour: "O", Side: measure.Void}} },
		treatment: Hand, feature: "K1",
	},
	"edge-direction": {
		pass:      func(s *situation) {},
		fail:      func(s *situation) { s.p = plate(2500, 860, 5, 4) }, // no room to turn
		unknown:   func(s *situation) { s.p.Feeds = nil },
		treatment: Brush,
	},
	"hole-thickness": {
		pass:      func(s *situation) { s.p.Cutouts[0] = hole("C1", 2) },
		fail:      func(s *situation) { s.p.Cutouts[0] = hole("C1", 1.3) },
		unknown:   func(s *situation) { s.job.Process = Given{} },
		treatment: Hand, feature: "C1", input: "process",
	},
	"slot-thickness": {
		pass:      func(s *situation) { s.p.Cutouts[0] = slot("C1", 2, 20) },
		fail:      func(s *situation) { s.p.Cutouts[0] = slot("C1", 1.2, 20) },
		unknown:   func(s *situation) { s.p.Cutouts[0] = slot("C1", 2, 20); s.job.Thickness = Given{} },
		treatment: Hand, feature: "C1", input: "thickness",
	},
	"web-thickness": {
		pass: func(s *situation) {
			s.p.Webs = []measure.Passage{{ID: "W1", Kind: measure.Web, Width: measure.Of(2, 0)}}
		},
		fail: func(s *situation) {
			s.p.Webs = []measure.Passage{{ID: "W1", Kind: measure.Web, Width: measure.Of(1.2, 0)}}
		},
		unknown:   func(s *situation) { s.p.Webs = []measure.Passage{{ID: "W1", Kind: measure.Web}} },
		treatment: Brush, feature: "W1",
	},
	"joint-nib": {
		pass:      func(s *situation) { s.p.Joints = []measure.Joint{{ID: "J1", Gap: measure.Of(0.08, 0)}} },
		fail:      func(s *situation) { s.p.Joints = []measure.Joint{{ID: "J1", Gap: measure.Of(0.5, 0)}} },
		unknown:   func(s *situation) { s.p.Joints = []measure.Joint{{ID: "J1"}} },
		treatment: Hand, feature: "J1",
	},
	"oxide-edge": {
		pass:      func(s *situation) { s.job.Edge = given("paint") },
		fail:      func(s *situation) { s.job.Process, s.job.Edge = given("laser-o2"), given("paint") },
		unknown:   func(s *situation) { s.job.Process, s.job.Edge = given("laser-o2"), Given{} },
		treatment: Brush, input: "edge",
	},
	"film-pierce": {
		pass:      func(s *situation) { s.job.Film = given("yes") },
		fail:      func(s *situation) { s.job.Film = given("yes"); s.p.Cutouts[1].EdgeGap = measure.Of(3, 0) },
		unknown:   func(s *situation) { s.job.Film = given("yes"); s.p.Cutouts[1].EdgeGap = measure.Value{} },
		treatment: Brush, feature: "C2",
	},
	"burr-height": {
		pass: func(s *situation) { s.job.Process, s.job.Thickness = given("plasma"), given("6") }, // P60 at hand
		fail: func(s *situation) {
			s.job.Process, s.job.Thickness = given("plasma"), given("6")
			s.line("three-heads-grain") // P80 is its coarsest
		},
		unknown:   func(s *situation) { s.job.Edge = Given{} },
		treatment: Hand, input: "edge",
	},
	"part-length": {
		pass:      func(s *situation) { s.p = plate(50, 50, 5, 1) },
		fail:      func(s *situation) { s.p = plate(30, 30, 5, 1) },
		unknown:   func(s *situation) { s.p.Feeds, s.p.BBox = nil, r2.EmptyRect() },
		treatment: Fixture,
	},
	"part-width": {
		pass:      func(s *situation) { s.p = plate(300, 25, 5, 1) },
		fail:      func(s *situation) { s.p = plate(300, 12, 5, 1) },
		unknown:   func(s *situation) { s.p.Feeds, s.p.BBox = nil, r2.EmptyRect() },
		treatment: Fixture,
	},
	"part-wide": {
		pass:      func(s *situation) { s.p = plate(1200, 900, 5, 1) },
		fail:      func(s *situation) { s.p = plate(1200, 1000, 5, 1) },
		unknown:   func(s *situation) { s.p.Feeds, s.p.BBox = nil, r2.EmptyRect() },
		treatment: Hand,
	},
	"part-long": {
		pass:      func(s *situation) { s.p = plate(3000, 100, 5, 1) },
		fail:      func(s *situation) { s.p = plate(3200, 100, 5, 1) },
		unknown:   func(s *situation) { s.p.Feeds, s.p.BBox = nil, r2.EmptyRect() },
		treatment: Hand,
	},
	"part-thick": {
		pass:      func(s *situation) { s.job.Thickness = given("25") },
		fail:      func(s *situation) { s.job.Thickness = given("25.4") },
		unknown:   func(s *situation) { s.job.Thickness = Given{} },
		treatment: Hand, input: "thickness",
	},
	"roller-grip": {
		pass:      func(s *situation) { s.line("belt-only"); s.p = plate(120, 120, 5, 1) },
		fail:      func(s *situation) { s.line("belt-only"); s.p = plate(80, 80, 5, 1) },
		unknown:   func(s *situation) { s.line("belt-only"); s.p.Feeds, s.p.BBox = nil, r2.EmptyRect() },
		treatment: Fixture,
	},
	"hold-slip": {
		pass: func(s *situation) { s.p = plate(50, 50, 5, 1) },
		fail: func(s *situation) { // the same part wet: ten times the hold-down
			s.p = plate(50, 50, 5, 1)
			s.shop.Lines["belt-and-drum-brush"].Wet = true
		},
		unknown:   func(s *situation) { s.p.Area = measure.Value{} },
		treatment: Fixture,
	},
	"part-light": {
		pass:      func(s *situation) { s.p = plate(60, 40, 5, 1); s.job.Thickness = given("0.5") },
		fail:      func(s *situation) { s.p = plate(20, 20, 5, 1); s.job.Thickness = given("0.5") },
		unknown:   func(s *situation) { s.job.Material = Given{} },
		treatment: Fixture, input: "material",
	},
	"part-tips": {
		pass:      func(s *situation) { s.p, s.job.Thickness = plate(50, 50, 0, 0), given("25") },
		fail:      func(s *situation) { s.p, s.job.Thickness = plate(50, 50, 0, 0), given("24"); s.aheadBy(5) },
		unknown:   func(s *situation) { s.aheadBy(0) },
		treatment: Fixture,
	},
	"part-interlocks": {
		pass:      func(s *situation) { s.p.Quantity = 2; s.rake(4) },
		fail:      func(s *situation) { s.p.Quantity = 2; s.rake(60) },
		treatment: Line, feature: "N1",
	},
	"parts-near": {
		pass:      func(s *situation) { s.beside(2) },
		fail:      func(s *situation) { s.beside(1.2) },
		unknown:   func(s *situation) { s.beside(2); s.job.Thickness = Given{} },
		treatment: Brush, input: "thickness",
	},
	"parts-overlap": {
		pass:      func(s *situation) { s.beside(2) },
		fail:      func(s *situation) { s.d.Overlaps = []measure.Apart{{Parts: [2]string{"P0", "P1"}}} },
		treatment: Ask,
	},
	"joint-hold": {
		pass: func(s *situation) { s.hung(1) },
		fail: func(s *situation) { s.hung(0.01) },
		unknown: func(s *situation) {
			s.hung(1)
			s.p.Joints[0].Gap = measure.Value{}
		},
		treatment: Line,
	},
	"bend-edge": {
		pass:      func(s *situation) { s.bent(5) },
		fail:      func(s *situation) { s.bent(3) },
		unknown:   func(s *situation) { s.bent(3); s.p.Bends[0].Gap = measure.Value{} },
		treatment: Brush, feature: "B1",
	},
	"contours-touch": {
		pass: func(s *situation) {
			s.p.Webs = []measure.Passage{{ID: "W1", Kind: measure.Web, Width: measure.Of(0.5, 0)}}
		},
		fail: func(s *situation) {
			s.p.Webs = []measure.Passage{{ID: "W1", Kind: measure.Web, Width: measure.Of(1e-15, 0)}}
		},
		treatment: Ask, feature: "W1",
	},
	"part-tiny": {
		pass:      func(s *situation) { s.p = plate(3, 3, 0, 0) },
		fail:      func(s *situation) { s.p = plate(0.6, 0.6, 0, 0) },
		treatment: Ask,
	},
	"tab-bend": {
		pass: func(s *situation) {
			s.p.Webs = []measure.Passage{{ID: "W1", Kind: measure.Tab, Width: measure.Of(8, 0), Length: measure.Of(30, 0)}}
		},
		fail: func(s *situation) {
			s.job.Thickness = given("1")
			s.p.Webs = []measure.Passage{{ID: "W1", Kind: measure.Tab, Width: measure.Of(8, 0), Length: measure.Of(60, 0)}}
		},
		unknown: func(s *situation) {
			s.p.Webs = []measure.Passage{{ID: "W1", Kind: measure.Tab, Width: measure.Of(8, 0)}}
		},
		treatment: Fixture, feature: "W1",
	},
	"neck-thin": {
		pass: func(s *situation) {
			s.p.Webs = []measure.Passage{{ID: "W1", Kind: measure.Neck, Width: measure.Of(3, 0), Length: measure.Of(5, 0), Hangs: measure.Of(2000, 0)}}
		},
		fail: func(s *situation) {
			s.p.Webs = []measure.Passage{{ID: "W1", Kind: measure.Neck, Width: measure.Of(1, 0), Length: measure.Of(5, 0), Hangs: measure.Of(2000, 0)}}
		},
		unknown: func(s *situation) {
			s.p.Webs = []measure.Passage{{ID: "W1", Kind: measure.Neck, Width: measure.Of(1, 0), Length: measure.Of(5, 0)}}
		},
		treatment: Fixture, feature: "W1",
	},
	"formed-up": {
		pass:      func(s *situation) {},
		fail:      func(s *situation) { s.p.Forms = []measure.Form{{ID: "F1", Name: "LOUVRE"}} },
		treatment: Brush, feature: "F1",
	},
	"zinc-keep": {
		pass:      func(s *situation) { s.job.Material = given("DX51D+Z275"); s.brushOnly() },
		fail:      func(s *situation) { s.job.Material = given("DX51D+Z275") },
		unknown:   func(s *situation) { s.job.Material = Given{} },
		treatment: Brush, input: "material",
	},
	"film-keep": {
		pass:      func(s *situation) { s.job.Film = given("yes"); s.brushOnly() },
		fail:      func(s *situation) { s.job.Film = given("yes") },
		treatment: Brush,
	},
	"grain-wanted": {
		pass:      func(s *situation) { s.job.Edge = given("grained"); s.line("three-heads-grain") },
		fail:      func(s *situation) { s.job.Edge = given("grained") },
		unknown:   func(s *situation) { s.job.Edge = Given{} },
		treatment: Brush, input: "edge",
	},
	"iron-free": {
		pass:      func(s *situation) { s.wire() },
		fail:      func(s *situation) { s.wire(); s.job.Material = given("1.4301") },
		unknown:   func(s *situation) { s.wire(); s.job.Material = Given{} },
		treatment: Brush, input: "material",
	},
	"edge-unstated": {
		pass:     func(s *situation) {},
		fail:     func(s *situation) { s.job.Edge = given("burr-free") },
		question: "edge",
	},
	"radius-too-big": {
		pass:      func(s *situation) { s.job.Edge, s.job.Thickness = given("P3"), given("4") },
		fail:      func(s *situation) { s.job.Edge, s.job.Thickness = given("P3"), given("3") },
		unknown:   func(s *situation) { s.job.Edge, s.job.Thickness = given("P3"), Given{} },
		treatment: Ask, input: "thickness",
	},
	"radius-reach": {
		pass:      func(s *situation) { s.job.Edge = given("R0.3") },
		fail:      func(s *situation) { s.job.Edge, s.job.Thickness = given("R1"), given("5") },
		unknown:   func(s *situation) { s.job.Edge = Given{} },
		treatment: Brush, input: "edge",
	},
	"belt-rolls-burr": {
		pass:      func(s *situation) {},
		fail:      func(s *situation) { s.line("belt-only") },
		unknown:   func(s *situation) { s.line("belt-only"); s.job.Edge, s.p = Given{}, plate(200, 150, 0, 0) },
		treatment: Brush, input: "edge",
	},
	"open-contour": {
		pass: func(s *situation) { s.d.OpenContours = []measure.Place{{At: r2.Point{X: 900, Y: 900}}} }, // of another part
		fail: func(s *situation) {
			s.d.OpenContours = []measure.Place{{At: r2.Point{X: 100, Y: 20}, Text: "gap of 5 mm"}}
		},
		treatment: Ask,
	},
	"crossing-contour": {
		pass:      func(s *situation) { s.d.Crossings = []measure.Place{{At: r2.Point{X: 900, Y: 900}}} },
		fail:      func(s *situation) { s.d.Crossings = []measure.Place{{At: r2.Point{X: 100, Y: 20}}} },
		treatment: Ask,
	},
	"part-incomplete": {
		pass:      func(s *situation) {},
		fail:      func(s *situation) { s.p.Incomplete = "a cut-out stayed open" },
		treatment: Ask,
	},
	"entity-skipped": {
		pass:      func(s *situation) {},
		fail:      func(s *situation) { s.d.RejectedCurves = 1 },
		treatment: Ask,
	},
	"duplicate-lines": {
		pass:      func(s *situation) {},
		fail:      func(s *situation) { s.d.Duplicates = 3 },
		treatment: Line,
	},
	"units-assumed": {
		pass:     func(s *situation) {},
		fail:     func(s *situation) { s.d.UnitsAssumed = true },
		question: "units",
	},
	"units-conflict": {
		pass:      func(s *situation) {},
		fail:      func(s *situation) { s.d.UnitsDoubt = "the header says inch, the part would be 5 m long" },
		treatment: Ask,
	},
	"thickness-missing": {
		pass:     func(s *situation) {},
		fail:     func(s *situation) { s.job.Thickness = Given{} },
		question: "thickness",
	},
	"material-missing": {
		pass:     func(s *situation) {},
		fail:     func(s *situation) { s.job.Material = Given{} },
		question: "material",
	},
	"process-missing": {
		pass:     func(s *situation) {},
		fail:     func(s *situation) { s.job.Process = Given{} },
		question: "process",
	},
	"input-conflict": {
		pass:      func(s *situation) { s.job.Thickness = given("16 ga steel") },
		fail:      func(s *situation) { s.job.Material, s.job.Thickness = given("AlMg3"), given("16 ga stainless") },
		treatment: Ask,
	},
}

// brushOnly takes the belt off the default line.
func (s *situation) brushOnly() {
	l := s.shop.Lines["belt-and-drum-brush"]
	l.Heads = l.Heads[1:]
}

// aheadBy puts the centre of gravity so far behind the leading end, mm; 0 takes
// the measure away.
func (s *situation) aheadBy(lead float64) {
	for i := range s.p.Feeds {
		s.p.Feeds[i].Lead = lead
	}
}

// rake gives the part a tine of 6 mm beside a gap of 8 mm that is so deep.
func (s *situation) rake(depth float64) {
	s.p.Notches = []measure.Notch{{ID: "N1", Width: measure.Of(8, 0), Depth: measure.Of(depth, 0)}}
	s.p.Webs = []measure.Passage{{ID: "W1", Kind: measure.Tab, Width: measure.Of(6, 0), Length: measure.Of(depth, 0), Between: [2]string{"O", "O"}}}
}

// wire fits a steel-wire brush to the default line.
func (s *situation) wire() { s.shop.Lines["belt-and-drum-brush"].Heads[1].Material = "steel-wire" }

func (s *situation) judge(t *testing.T) Judgement {
	t.Helper()
	j, err := Judge(s.d, s.p, s.job, s.shop)
	if err != nil {
		t.Fatal(err)
	}
	return j
}

func findingsOf(j Judgement, rule string) []Finding {
	return slices.DeleteFunc(slices.Clone(j.Findings), func(f Finding) bool { return f.Rule != rule })
}

func TestEveryRulePassesAndFails(t *testing.T) {
	for name, c := range ruleCases {
		t.Run(name, func(t *testing.T) {
			s := plain()
			c.pass(&s)
			j := s.judge(t)
			if v := j.Verdicts[name]; v != Pass {
				t.Errorf("passing part: verdict %d, findings %+v", v, findingsOf(j, name))
			}
			if fs := findingsOf(j, name); len(fs) > 0 {
				t.Errorf("passing part has findings: %+v", fs)
			}

			s = plain()
			c.fail(&s)
			j = s.judge(t)
			if c.question != "" {
				if v := j.Verdicts[name]; v != Unknown {
					t.Errorf("verdict %d, want unknown", v)
				}
				asks(t, j, c.question, name)
				if fs := findingsOf(j, name); len(fs) > 0 {
					t.Errorf("a question must not be a finding too: %+v", fs)
				}
			} else {
				if v := j.Verdicts[name]; v != Fail {
					t.Fatalf("failing part: verdict %d", v)
				}
				f := findingsOf(j, name)[0]
				if f.Treatment != c.treatment || f.Feature != c.feature {
					t.Errorf("finding has treatment %d and feature %q, want %d and %q", f.Treatment, f.Feature, c.treatment, c.feature)
				}
				if f.Why == "" || f.Do == "" || f.Source == "" || f.Provenance == "" || f.Unit == "" {
					t.Errorf("finding with empty texts: %+v", f)
				}
				if j.Treatment < f.Treatment {
					t.Errorf("part's treatment %d is below its finding's %d", j.Treatment, f.Treatment)
				}
			}

			if c.unknown != nil {
				s = plain()
				c.unknown(&s)
				j = s.judge(t)
				if v := j.Verdicts[name]; v != Unknown {
					t.Errorf("missing measure or input: verdict %d, want unknown", v)
				}
				if fs := findingsOf(j, name); len(fs) > 0 {
					t.Errorf("missing measure or input gave findings: %+v", fs)
				}
				if c.input != "" {
					asks(t, j, c.input, name)
				}
			}
		})
	}
}

// asks checks that one question asks for the input and names the rule.
func asks(t *testing.T, j Judgement, input, rule string) {
	t.Helper()
	n := 0
	for _, q := range j.Questions {
		if q.Input == input {
			n++
			if !slices.Contains(q.Unjudged, rule) || q.Text == "" {
				t.Errorf("question %+v does not name %s", q, rule)
			}
		}
	}
	if n != 1 {
		t.Errorf("%d questions for %s, want 1", n, input)
	}
}

// A shop's own limit replaces the rule's and is reported as the shop's.
func TestEveryLimitCanBeSet(t *testing.T) {
	for _, r := range Rules() {
		shop, err := LoadShop("own.toml", []byte("[limit]\n"+r.Name+" = 1e6\n"))
		if err != nil {
			t.Errorf("%s: %v", r.Name, err)
			continue
		}
		if shop.Limits[r.Name] != 1e6 {
			t.Errorf("%s: limit %v", r.Name, shop.Limits[r.Name])
		}
	}
	for _, c := range []struct {
		rule  string
		limit float64
		want  Verdict
	}{
		{"hole-reach", 1, Pass}, {"hole-reach", 6, Fail}, {"hole-thickness", 3, Fail}, {"hole-thickness", 0.1, Pass},
		{"part-length", 500, Fail}, {"part-light", 1e5, Fail}, {"hold-slip", 50, Fail}, {"edge-direction", 0.001, Fail},
		{"part-width", 180, Fail}, {"part-wide", 100, Fail}, {"part-thick", 1, Fail},
	} {
		s := plain()
		s.shop.Limits = map[string]float64{c.rule: c.limit}
		j := s.judge(t)
		if got := j.Verdicts[c.rule]; got != c.want {
			t.Errorf("%s with limit %g: verdict %d, want %d", c.rule, c.limit, got, c.want)
		}
		for _, f := range findingsOf(j, c.rule) {
			if f.Provenance != ShopsOwn || f.Limit != c.limit {
				t.Errorf("%s: finding %+v does not say that the limit is the shop's", c.rule, f)
			}
		}
	}
}

// Every limit limits: for each failing part there is a value that lets it pass.
func TestEveryLimitLimits(t *testing.T) {
	for name, c := range ruleCases {
		var passes bool
		for _, limit := range []float64{0, 1e9} {
			s := plain()
			c.fail(&s)
			s.shop.Limits = map[string]float64{name: limit}
			v := s.judge(t).Verdicts[name]
			passes = passes || v == Pass || v == NotApplicable
		}
		if !passes {
			t.Errorf("%s fails whatever its limit", name)
		}
	}
}
