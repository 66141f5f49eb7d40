package report

import (
	"math"

	"burrcast/geom"

	"github.com/golang/geo/r2"
)

func known(v float64) *Num { return Known(v, true) }

// rake is what the fixture's comb looks like, roughly: an outline with two of
// its notches, which stay burred, and its hole.
func rake() PartDrawing {
	pt := func(x, y float64) r2.Point { return r2.Point{X: x, Y: y} }
	corners := []r2.Point{pt(0, 0), pt(214.6, 0), pt(214.6, 95), pt(18, 95), pt(18, 40), pt(16.6, 40), pt(16.6, 95),
		pt(9, 95), pt(9, 40), pt(7.6, 40), pt(7.6, 95), pt(0, 95)}
	var outline []geom.Curve
	for i, c := range corners {
		outline = append(outline, geom.Line(c, corners[(i+1)%len(corners)]))
	}
	return PartDrawing{
		Contours: [][]geom.Curve{outline, {geom.Circle(pt(20, 18), 4.25).Reversed()}},
		Burred:   append(append([]geom.Curve(nil), outline[3:6]...), outline[7:10]...),
		Bends:    []geom.Curve{geom.Line(pt(0, 30), pt(214.6, 30))},
		Joints:   []geom.Curve{geom.Line(pt(107.1, 0), pt(107.5, 0))},
	}
}

// fixture is a report that uses every field at least once: a part for every
// treatment, a drawing that could not be read and one that was read in part.
func fixture() *Report {
	comb := Part{
		ID: "P1", Quantity: 12, Area: known(5200), OutlineLength: known(2740.4), CutLength: known(2793.8070751),
		BBox: [2]Num{214.6, 95}, MinWidth: known(95),
		Cutouts: []Cutout{{ID: "C1", Kind: "round", X: 20, Y: 18, Area: known(56.745017305), Perimeter: known(26.703537556),
			Inscribed: known(8.5), MinWidth: known(8.5)}},
		Notches: []Notch{{ID: "N1", X: 8.3, Y: 67.5, Width: known(1.4), Depth: known(55)},
			{ID: "N2", X: 17.3, Y: 67.5, Width: known(1.4), Depth: nil}},
		Webs:    []Web{{ID: "W1", Kind: "tab", X: 3.8, Y: 67.5, Width: known(7.6), Length: known(55), Between: []string{"O", "O"}}},
		Corners: []Corner{{ID: "K1", X: Number(math.Copysign(0, -1)), Y: 40, Angle: 12.5, Side: "void"}},
		Joints:  []Joint{{ID: "J1", X: 107.3, Y: 0, Gap: known(0.4)}},
		Bends:   []Bend{{ID: "B1", Length: known(214.6)}},
		Feed:    &Feed{Angle: 90, Length: 95, Width: 214.6, HoldMargin: known(1.25), Worked: known(0.875)},
		Findings: []Finding{
			{Rule: "film-pierce", Treatment: "brush", Feature: "C1", X: 20, Y: 18, Measured: known(3.2), Limit: known(5), Unit: "mm",
				Why: "cut-outs this near to each other lift the film", Do: "pierce the film at low power first", Source: "trade practice", Provenance: "common practice"},
			{Rule: "notch-reach", Treatment: "hand", Feature: "N1", X: 8.3, Y: 67.5, Measured: known(1.4), Limit: known(3.6), Unit: "mm",
				Why: "The brush does not enter a notch this narrow.", Do: "Widen the notch to 3.6 mm or plan bench work.", Source: "filament diameter of the line's brush, times three", Provenance: "reasoning"},
			{Rule: "notch-reach", Treatment: "hand", Feature: "N2", X: 17.3, Y: 67.5, Measured: known(1.4), Limit: known(3.6), Unit: "mm",
				Why: "The brush does not enter a notch this narrow.", Do: "Widen the notch to 3.6 mm or plan bench work.", Source: "filament diameter of the line's brush, times three", Provenance: "reasoning"},
			{Rule: "tab-bend", Treatment: "fixture", Feature: "W1", X: 3.8, Y: 67.5, Measured: known(0.62), Limit: known(0.2), Unit: "ratio",
				Why: "the head bends a tab this slender", Do: "lay the part on a carrier", Source: "textbook beam", Provenance: "arithmetic"},
			{Rule: "joint-nib", Treatment: "line", Feature: "J1", X: 107.3, Measured: known(0.4), Limit: known(0.3), Unit: "mm",
				Why: "the joint leaves a nib", Do: "move the joint to a straight edge", Source: "trade practice", Provenance: "common practice"},
		},
		Burr: &Burr{Process: "laser-n2", Side: "bottom", Kind: "dross", Low: 0.01, High: 0.06, Source: "shop file"},
		Route: []Step{
			{Step: "belt", Head: "belt 1", Settings: Settings{{"grade", "P150", "grain against burr"}, {"conveyor speed", "2 to 4 m/min", "shop file"}}},
			{Step: "bench", Note: "24 notches"},
		},
		Time: Time{Line: Range{4, 6.5}, Hand: Range{96, 240}}, Cost: Range{1.5, 4.25}, Treatment: "hand", Drawing: rake(),
	}
	panel := Part{
		ID: "P1", Quantity: 1, Area: known(260275.123456789), OutlineLength: known(2059.398223686), CutLength: known(2600),
		BBox: [2]Num{620, 420}, MinWidth: known(420), Feed: &Feed{Length: 620, Width: 420},
		Time: Time{Line: Range{20, 31}}, Cost: Range{0.4, 0.9}, Treatment: "line",
	}
	left, right := panel, panel
	left.Treatment, left.ID = "brush", "P1"
	right.Treatment, right.ID, right.MirroredOf = "fixture", "P2", "P1"
	right.Quantity = 3
	chute := Part{
		ID: "P1", Quantity: 1, BBox: [2]Num{300, 180}, Incomplete: "an opening does not close: 18 mm are missing at (100, 78)",
		Findings: []Finding{{Rule: "open-contour", Treatment: "ask", X: 100, Y: 78, Measured: known(18), Unit: "mm",
			Why: "an opening of the part does not close", Do: "close the contour in the drawing", Source: "drawing", Provenance: "reasoning"}},
		Treatment: "ask",
	}
	stock := []Input{{"material", "S235", "note on layer NOTES"}, {"thickness", "2", "file name"}, {"process", "laser-n2", FlagSource + "process"},
		{"edge", "-0.3", "note on layer NOTES"}, {"line", "belt-brush", ShopSource}, {"coating", "", ""}}
	var told []Message
	for _, in := range stock {
		if in.Value != "" {
			told = append(told, Message{Code: InputCode, Text: in.Name + " " + in.Value + ": " + in.Source})
		}
	}
	r := &Report{
		Schema: Schema,
		Rates:  Rates{Currency: "EUR", Line: Range{60, 90}, Bench: Range{52, 58}},
		Run: &Run{Program: "v1.0.0", Shop: "sha256:00", Flags: map[string]string{"process": "laser-n2"},
			Rates: &Rates{Currency: "EUR", Line: Range{60, 90}, Bench: Range{52, 58}},
			Split: &Split{Shards: []int{1, 3}, Of: 4, Drawings: 9, Content: "sha256:01"}},
		Incomplete: "interrupted after 5 of 6 drawings",
		Drawings: []Drawing{
			{File: "parts/panel.dxf", Status: OK, Units: Units{"mm", "header $INSUNITS"}, Parts: []Part{panel}, Inputs: stock, Messages: told},
			{File: "parts/pair <1>.dxf", Status: OK, Units: Units{"mm", "header $INSUNITS"}, Parts: []Part{left, right},
				Sheet: &Sheet{Width: known(1500), Height: known(750)}, Skipped: []Skipped{{"DIMENSION", "DIM", 7}}},
			{File: "parts/rake.dxf", Status: OK, Units: Units{"inch", "header $INSUNITS"}, Parts: []Part{comb}, Inputs: stock, Messages: told},
			{File: "parts/chute.dxf", Status: Partial, Units: Units{"mm", "assumed from size"}, Parts: []Part{chute}, Messages: []Message{
				{Code: "bad-number", Line: 214, Text: "an ARC is left out: \"12,5\" is not a number"},
				{Code: "units-assumed", Text: "no units in the drawing, taken as mm"},
				{Code: "duplicate", Text: "2 lines are drawn twice"},
				{Code: "gap", Text: "gaps up to 0.03 mm are closed"},
				{Code: "skipped", Text: "1 SPLINE on layer HELP is left out: layer off"},
			}},
			{File: "parts/letter.dxf", Status: Unreadable, Messages: []Message{{Code: "not-dxf", Text: "this is text, not a DXF drawing"}}},
		},
		Messages: []Message{{Code: "job-row-unused", Text: "jobs.csv:7: no drawing is named by \"lid*.dxf\""}},
		Changes: &Changes{Against: "old/report.json", Same: 2, Hand: [2]Range{{100, 200}, {120, 240}}, Line: [2]Range{{30, 60}, {30, 60}},
			Drawings: []DrawingChange{
				{File: "parts/rake.dxf", Was: "parts/rake-a.dxf", Change: ChangeChanged, Status: &[2]string{Partial, OK}, Parts: []PartChange{
					{ID: "P1", Was: "P2", Change: ChangeChanged, Reshaped: true, Treatment: &[2]Treatment{"line", "hand"}, Quantity: &[2]int{10, 12},
						Hand: &[2]Range{{0, 0}, {55, 110}}, Line: &[2]Range{{3, 6}, {4, 6}},
						More: []RuleChange{{Rule: "notch-reach", Treatment: "hand", Features: []string{"N1", "N2"}}},
						Less: []RuleChange{{Rule: "oxide-edge", Treatment: "brush", Features: []string{""}}}},
					{ID: "P2", Change: ChangeGone, Treatment: &[2]Treatment{"line", ""}},
				}},
				{File: "parts/panel.dxf", Change: ChangeNew, Parts: []PartChange{{ID: "P1", Change: ChangeNew, Treatment: &[2]Treatment{"", "line"}}}},
				{File: "parts/lid.dxf", Change: ChangeGone},
			}},
		Notes: []string{
			"Aluminium dust burns and explodes: never in one collector with steel.",
			"Local codes, the machine's own manual and qualified people come first.",
		},
	}
	var t Tally
	for i := range r.Drawings {
		var open []Question
		if i == 1 || i == 3 {
			open = []Question{
				{Input: "edge", Text: "what does burr-free mean on these parts", Unjudged: []string{"edge-unstated"}},
				{Input: "thickness", Text: "how thick is the sheet? Give --thickness", Unjudged: []string{"slot-thickness", "hole-thickness"}},
			}
		}
		d := &r.Drawings[i]
		d.Index = 2*i + 1
		for _, q := range open {
			d.Lacks = append(d.Lacks, Lack{q.Input, q.Text, q.Unjudged})
		}
		if d.Status != Unreadable {
			d.Hazards = []string{"line", "dry"}
		}
		t.Add(d, open)
	}
	r.Totals, r.Questions = t.Totals(), t.Questions()
	return r
}
