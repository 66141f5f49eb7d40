package samples

import (
	"strings"
	"testing"

	"burrcast/analyze/measure"
)

func known() *Places {
	at := func(drawing, place string, measured float64) KnownPlace {
		return KnownPlace{Drawing: drawing, Part: "P1", Place: place, Rule: "hole-reach", Line: "belt-and-drum-brush", Measured: measured, Filament: 0.8, X: 10, Y: 20,
			Material: "S235", Process: "laser-n2", Thickness: 2, Burr: [2]measure.Value{measure.Of(0, 0), measure.Of(0.05, 0)}, Chance: 0.4}
	}
	return NewPlaces([]KnownPlace{at("orders/a.dxf", "C1", 2.3), at("orders/a.dxf", "C2", 2.9), at("orders/b.dxf", "C1", 3), at("old/b.dxf", "C1", 4)})
}

// What a row leaves blank the drawing says; what it says itself stays.
func TestJoin(t *testing.T) {
	ctx := context()
	ctx.Places = known()
	got := ReadCSV("s.csv", []byte("drawing,part,place,outcome\na.dxf,p1,c1,clean\n./ORDERS/a.dxf,P1,C2,burr\norders\\b.dxf,P1,C1,ok\n"), ctx)
	if len(got.Problems) > 0 || len(got.Samples) != 3 {
		t.Fatalf("%+v", got.Problems)
	}
	s := got.Samples[0]
	if s.Measured != 2.3 || s.Rule != "hole-reach" || s.Line != "belt-and-drum-brush" || s.Filament != 0.8 || s.Family != "steel" || s.Process != "laser-n2" || s.Thickness.V != 2 ||
		s.Chance.V != 0.4 || s.Burr[1].V != 0.05 || s.X.V != 10 {
		t.Errorf("%+v", s)
	}
	if got.Samples[1].Measured != 2.9 || got.Samples[2].Measured != 3 {
		t.Errorf("%v %v", got.Samples[1].Measured, got.Samples[2].Measured)
	}
	got = ReadCSV("s.csv", []byte("drawing,part,place,rule,line,measured,forecast,outcome\na.dxf,P1,C1,,,2.32,0.9,clean\na.dxf,P1,C1,,belt-only,2,,clean\n"), ctx)
	if len(got.Samples) != 1 || got.Samples[0].Measured != 2.32 || got.Samples[0].Chance.V != 0.9 {
		t.Errorf("%+v", got)
	}
	if len(got.Problems) != 1 || got.Problems[0].Column != ColRule || !strings.Contains(got.Problems[0].Reason, "no drawing given has this place on this line") {
		t.Errorf("%+v", got.Problems)
	}
}

func TestJoinRefuses(t *testing.T) {
	ctx := context()
	ctx.Places = known()
	for row, want := range map[string]string{
		"a.dxf,P1,C1,2.6,clean": "2.6, but the drawing has 2.3 there",
		"a.dxf,P1,C7,,clean":    "no drawing given has this place",
		"b.dxf,P1,C1,,clean":    "no drawing given has this place", // two drawings of this name
		"c.dxf,P1,C1,2,clean":   "no drawing given has this place", // no rule
	} {
		got := ReadCSV("s.csv", []byte("drawing,part,place,measured,outcome\n"+row+"\n"), ctx)
		if len(got.Samples) != 0 || len(got.Problems) != 1 || !strings.Contains(got.Problems[0].Reason, want) {
			t.Errorf("%s: %+v", row, got)
		}
	}
}

// The next place may be one of a drawing that no form has named.
func TestNextAmongDrawings(t *testing.T) {
	table := inspected(40, 3, 20, 1, "2026-03-01")
	table.Samples[0].Drawing, table.Samples[0].Place = "orders/a.dxf", "C2" // inspected already
	g := Learn([]Table{table}, context().Shop, Options{Places: known()}).Groups[0]
	if g.Next == nil || g.Next.Drawing != "orders/b.dxf" || g.Next.Row != 0 || g.Next.Measured != 3 {
		t.Errorf("next: %+v", g.Next)
	}
}
