package report

import (
	"strings"
	"testing"
)

// advised is a small report with everything that goes beyond measures and
// findings: edges priced, ways, the burr's map, and lines compared.
func advised() *Report {
	p := Part{ID: "P1", Quantity: 4, BBox: [2]Num{30, 20}, Treatment: "fixture", Cost: Range{0.2, 0.6},
		Abrasive: &Range{0.01, 0.02},
		EdgeChoices: []EdgeChoice{
			{Edge: "mild", Means: "burr up to 0.1 mm allowed", Treatment: "fixture", Cost: Range{0.1, 0.2}},
			{Edge: "strict", Means: "no burr", Treatment: "hand", Hand: Range{5, 9}, Cost: Range{0.3, 0.9}},
		},
		Ways: []Way{{For: "holding", Name: "tray", Hand: Range{5, 20}, Cost: Range{0.1, 0.4}, Note: "pockets", Source: "shop"}},
		Burr: &Burr{Process: "punch", Side: "die side", Kind: "rollover burr", Low: 0.01, High: 0.2, Source: "table",
			Note: "sources disagree above 1.27 mm",
			Map: []BurrStretch{
				{Contour: "O", Length: known(100), Kind: "rollover burr", Low: 0.01, High: 0.1, Why: "plain edge"},
				{Contour: "C1", X: 5, Y: 5, Length: known(6), Kind: "rollover burr", Low: 0.1, High: 0.2, Why: "small"},
				{Contour: "O", Feature: "K1", Kind: "rollover burr", Low: 0.1, High: 0.2, Why: "sharp"},
			}},
	}
	r := &Report{Schema: Schema, Drawings: []Drawing{{File: "clip.dxf", Status: OK, Parts: []Part{p}},
		{File: "letter.dxf", Status: Unreadable, Messages: []Message{{Code: "not-dxf", Text: "this is text"}}}},
		Comparison: &Comparison{Currency: "EUR", Best: "brushes", Judged: "belt", Why: "4 of 4 pieces run on it", Others: 1,
			Lines: []LineWork{
				{Line: "brushes", Title: "with brushes", Pieces: 4, By: ByTreatment{Brush: 4}, LineTime: Range{10, 20}, Cost: Range{1, 2}},
				{Line: "belt", Title: "belt alone", Pieces: 4, By: ByTreatment{Hand: 4}, Never: 4, Hand: Range{60, 900}, Cost: Range{3, 9}},
			},
			Differences: []Difference{{File: "clip.dxf", Part: "P1", Pieces: 4, Best: "brushes", Worst: "belt", Extra: Range{2, 7},
				By: []OnALine{{"brushes", "brush", ""}, {"belt", "hand", "film-keep"}}}},
			Next: []Difference{{File: "clip.dxf", Part: "P1", Pieces: 4, Best: "brushes", Worst: "belt", Extra: Range{2, 7},
				By: []OnALine{{"brushes", "brush", ""}, {"belt", "hand", ""}}}},
		},
	}
	var t Tally
	for i := range r.Drawings {
		t.Add(&r.Drawings[i], nil)
	}
	r.Totals = t.Totals()
	return r
}

// The schema takes all of it, and the types read it back without an unknown key.
func TestAdviceInJSON(t *testing.T) {
	whole, _ := schemas(t)
	text := render(t, "json", Style{}, advised())
	if err := validate(whole, text); err != nil {
		t.Error(err)
	}
	var back Report
	if err := strict(text, &back); err != nil {
		t.Fatal(err)
	}
	if back.Comparison == nil || len(back.Comparison.Lines) != 2 || back.Comparison.Lines[1].By.Hand != 4 {
		t.Errorf("comparison %+v", back.Comparison)
	}
	p := back.Drawings[0].Parts[0]
	if len(p.EdgeChoices) != 2 || len(p.Ways) != 1 || len(p.Burr.Map) != 3 || p.Abrasive == nil {
		t.Errorf("part %+v", p)
	}
	// A comparison of nothing has lists, not nulls.
	r := &Report{Comparison: &Comparison{}}
	if err := validate(whole, render(t, "json", Style{}, r)); err != nil {
		t.Error(err)
	}
	for name, change := range map[string][2]string{
		"a treatment that is none": {`"treatment": "hand",`, `"treatment": "bench",`},
		"an unknown key":           {`"not_taken": 4`, `"not_taken": 4, "colour": 1`},
		"a way for nothing":        {`"for": "holding"`, `"for": "fun"`},
	} {
		bad := strings.Replace(string(text), change[0], change[1], 1)
		if bad == string(text) {
			t.Fatalf("%s: nothing to change", name)
		}
		if validate(whole, []byte(bad)) == nil {
			t.Errorf("the schema takes %s", name)
		}
	}
}

// The comparison leads the text; parts in full belong to one line and stay out,
// what could not be read does not.
func TestComparisonInText(t *testing.T) {
	const want = `pieces on       as is   brush  holding    hand     ask  not taken
brushes             0       4        0       0       0          0
belt                0       0        0       4       0          4

all pieces on  line              bench             abrasive         cost, EUR
brushes        10 to 20 s        0 s               0.00 to 0.00     1.00 to 2.00
belt           0 s               1 to 15 min       0.00 to 0.00     3.00 to 9.00

best for this mix: brushes; 4 of 4 pieces run on it

what makes the difference to belt, most first:
* clip.dxf P1, 4 pieces: 2.00 to 7.00 more on belt than on brushes
  brushes brush, belt hand

what makes the difference among all lines, most first:
* clip.dxf P1, 4 pieces: 2.00 to 7.00 more on belt than on brushes
  brushes brush, belt hand (film-keep)
and 1 part more that the lines treat differently
`
	got := string(render(t, "text", Style{}, advised()))
	_, table, ok := strings.Cut(got, "pieces on ")
	if !ok {
		t.Fatal(got)
	}
	table, _, _ = strings.Cut(table, "\n\nUNREAD")
	if want := strings.TrimPrefix(strings.TrimSuffix(want, "\n"), "pieces on "); table != want {
		t.Errorf("got\n%s\nwant\n%s", table, want)
	}
	if words := strings.Join(strings.Fields(got), " "); !strings.Contains(words, "judged on belt, the shop file's default line; only the comparison is of all lines") {
		t.Errorf("which line is everything else judged on?\n%s", got)
	}
	if strings.Contains(got, "FIXTURE") || !strings.Contains(got, "letter.dxf") {
		t.Errorf("blocks:\n%s", got)
	}
	for line := range strings.Lines(got) {
		if width(strings.TrimSuffix(line, "\n")) > columns100 {
			t.Errorf("too wide: %q", line)
		}
	}
}

func TestAdviceInText(t *testing.T) {
	r := advised()
	r.Comparison = nil
	got := strings.Join(strings.Fields(string(render(t, "text", Style{}, r))), " ")
	for _, want := range []string{
		"burr: rollover burr, 0.01 to 0.2 mm, die side; heaviest at C1, K1; sources disagree above 1.27 mm",
		"edge not stated; a piece would cost with mild 0.10 to 0.20 (fixture), strict 0.30 to 0.90 (hand)",
	} {
		if !strings.Contains(got, want) {
			t.Errorf("lacks %q:\n%s", want, got)
		}
	}
	// Where another question comes first, no edge can be priced.
	for i := range r.Drawings[0].Parts[0].EdgeChoices {
		r.Drawings[0].Parts[0].EdgeChoices[i].Treatment = "ask"
	}
	if s := string(render(t, "text", Style{}, r)); strings.Contains(s, "edge not stated") {
		t.Errorf("priced all the same:\n%s", s)
	}
}
