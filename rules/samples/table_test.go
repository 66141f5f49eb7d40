package samples

import (
	"strings"
	"testing"
	"time"

	"burrcast/rules"
)

func context() Context {
	return Context{Shop: rules.DefaultShop(), Today: time.Date(2026, 6, 1, 0, 0, 0, 0, time.UTC)}
}

const plain = `drawing,part,piece,place,rule,line,material,thickness,process,measured,forecast,outcome,height_cut,height_left,radius,date,remarks
plate.dxf,P1,1,C1,hole-reach,belt-and-drum-brush,S235,2,laser-n2,2.6,0.7,clean,0.04,,0.1,2026-05-02,
plate.dxf,P1,1,C2,hole-reach,belt-and-drum-brush,S235,2,laser-n2,1.8,0.1,burr,,0.05,,2026-05-02,"deep, inside"

plate.dxf,P1,2,C1,hole-reach,belt-and-drum-brush,S235,2,laser-n2,2.6,0.7,,,,,,
`

func TestReadCSV(t *testing.T) {
	got := ReadCSV("s.csv", []byte(plain), context())
	if len(got.Problems) > 0 || len(got.Samples) != 2 || len(got.Waiting) != 1 || got.Rows != 3 || len(got.Unused) != 0 {
		t.Fatalf("%+v", got)
	}
	s := got.Samples[1]
	if s.Row != 3 || s.Drawing != "plate.dxf" || s.Place != "C2" || s.Measured != 1.8 || s.Clean || s.Left.V != 0.05 || s.Cut.Known || s.Remarks != "deep, inside" ||
		s.Family != "steel" || s.Process != "laser-n2" || s.Thickness.V != 2 || s.Chance.V != 0.1 || s.Date.Format(time.DateOnly) != "2026-05-02" {
		t.Errorf("%+v", s)
	}
	if s := got.Samples[0]; !s.Clean || s.Cut.V != 0.04 || s.Radius.V != 0.1 {
		t.Errorf("%+v", s)
	}
	if got.Waiting[0].Row != 5 || got.Waiting[0].Piece != "2" {
		t.Errorf("%+v", got.Waiting[0])
	}
}

// The same table as other programs and countries write it.
func TestReadCSVInManyForms(t *testing.T) {
	semicolon := strings.ReplaceAll(strings.ReplaceAll(strings.ReplaceAll(plain, `"deep, inside"`, "deep inside"), ",", ";"), ".", ",")
	semicolon = strings.ReplaceAll(semicolon, "plate,dxf", "plate.dxf")
	utf16 := func(s string) string {
		out := "\xff\xfe"
		for _, r := range s {
			out += string([]byte{byte(r), byte(r >> 8)})
		}
		return out
	}
	for name, text := range map[string]string{
		"semicolons, decimal commas": semicolon,
		"tabs":                       strings.ReplaceAll(strings.ReplaceAll(plain, `"deep, inside"`, "x"), ",", "\t"),
		"byte order mark, CRLF":      "\xef\xbb\xbf" + strings.ReplaceAll(plain, "\n", "\r\n"),
		"old line ends":              strings.ReplaceAll(plain, "\n", "\r"),
		"UTF-16":                     utf16(plain),
		"a word on the separator":    "sep=;\n" + semicolon,
		"rows above":                 "samples of May\n\n" + plain,
		"other headers":              "Drawing;Part;Piece;Place;Rule;Line;Material;Thickness, mm;Process;Measured;Chance of clean;Outcome;Burr as cut, mm;Burr left, mm;Edge radius (mm);Date;Remarks\n" + semicolon[strings.Index(semicolon, "\n")+1:],
		"a western code page":        strings.Replace(plain, `"deep, inside"`, "Fl\xe4che", 1),
	} {
		t.Run(name, func(t *testing.T) {
			got := ReadCSV("s.csv", []byte(text), context())
			if len(got.Problems) > 0 || len(got.Samples) != 2 || len(got.Waiting) != 1 {
				t.Fatalf("%+v", got)
			}
			if s := got.Samples[1]; s.Measured != 1.8 || s.Left.V != 0.05 || s.Drawing != "plate.dxf" || s.Date.Day() != 2 {
				t.Errorf("%+v", s)
			}
		})
	}
}

// Every row that cannot be used is named with its line, its column and the
// reason; the others stay.
func TestBadRows(t *testing.T) {
	good := "plate.dxf,P1,1,C1,hole-reach,belt-and-drum-brush,S235,2,laser-n2,2.6,0.7,clean,0.04,,0.1,2026-05-02,"
	head, _, _ := strings.Cut(plain, "\n")
	for _, c := range []struct{ old, new, column, reason string }{
		{"plate.dxf", "", ColDrawing, "is blank"},
		{"P1", " ", ColPart, "is blank"},
		{"C1", "", ColPlace, "is blank"},
		{"hole-reach", "hole-reech", ColRule, `no rule "hole-reech"`},
		{"hole-reach", "part-length", ColRule, "not a rule that places are sampled for"},
		{"belt-and-drum-brush", "belt-and-drum-brsh", ColLine, "did you mean"},
		{"S235", "unobtainium-9", ColMaterial, "unobtainium-9"},
		{"laser-n2", "laser", ColProcess, "does not say the gas"},
		{",2,laser", ",two,laser", ColThickness, "not a number"},
		{",2,laser", ",-2,laser", ColThickness, "not between"},
		{",2.6,", ",,", ColMeasured, "is blank"},
		{",2.6,", `,"2,6.1",`, ColMeasured, "comma and point"},
		{",2.6,", ",0,", ColMeasured, "not between"},
		{",2.6,", ",NaN,", ColMeasured, "not a number"},
		{",2.6,", ",1e999,", ColMeasured, "not a number"},
		{",0.7,", ",70,", ColChance, "not a chance"},
		{",clean,", ",cleanish,", ColOutcome, "neither clean nor burr"},
		{",clean,0.04,,0.1,", ",,0.04,,0.1,", ColOutcome, "is blank, but"},
		{",clean,0.04,,", ",burr,0.04,0,", ColLeft, "its height is 0"},
		{"0.04", "40", ColCut, "not between 0 and 20"},
		{"2026-05-02", "2026-13-02", ColDate, "not a date"},
		{"2026-05-02", "2026-07-02", ColDate, "not a day on which"},
		{"2026-05-02", "3/4/2026", ColDate, "two ways"},
	} {
		if !strings.Contains(good, c.old) {
			t.Fatalf("no %q", c.old)
		}
		text := head + "\n" + strings.Replace(good, c.old, c.new, 1) + "\n" + good + "\n"
		got := ReadCSV("s.csv", []byte(text), context())
		if len(got.Samples) != 1 || got.Samples[0].Row != 3 || len(got.Problems) != 1 {
			t.Errorf("%q: %+v", c.new, got)
			continue
		}
		p := got.Problems[0]
		if p.File != "s.csv" || p.Row != 2 || p.Column != c.column || !strings.Contains(p.Reason, c.reason) {
			t.Errorf("%q: %+v", c.new, p)
		}
	}
}

func TestUnitMustBeTheRules(t *testing.T) {
	text := "drawing,part,place,rule,line,measured,unit,outcome\na.dxf,P1,C1,hole-thickness,belt-only,0.8,x thickness,ok\na.dxf,P1,C2,hole-thickness,belt-only,1.6,mm,ok\n"
	got := ReadCSV("s.csv", []byte(text), context())
	if len(got.Samples) != 1 || len(got.Problems) != 1 || got.Problems[0].Column != ColUnit {
		t.Errorf("%+v", got)
	}
}

func TestFilesThatAreNoSamples(t *testing.T) {
	for text, want := range map[string]string{
		"":                         "drawing, part, place, rule, line, measured, outcome not found",
		"drawing,part,rule\na,b,c": "place, line, measured, outcome not found",
		"PK\x03\x04\x00\x00":       "zero bytes",
	} {
		got := ReadCSV("s.csv", []byte(text), context())
		if len(got.Problems) != 1 || !strings.Contains(got.Problems[0].Reason, want) || got.Problems[0].Row != 0 {
			t.Errorf("%q: %+v", text, got.Problems)
		}
	}
}

func TestDays(t *testing.T) {
	for text, want := range map[string]string{
		"2026-03-31": "2026-03-31", "31.3.2026": "2026-03-31", "31/3/2026": "2026-03-31", "3/31/2026": "2026-03-31", "4/4/2026": "2026-04-04",
		"2026/3/31": "2026-03-31", "46112": "2026-03-31", "46112.5": "2026-03-31", "2026-03-31T08:15:00": "2026-03-31",
	} {
		if d, err := day(text, time.Time{}); err != nil || d.Format(time.DateOnly) != want {
			t.Errorf("%s: %v %v", text, d, err)
		}
	}
	for _, text := range []string{"", "31.2.2026", "May", "1/2/2026", "12", "1999-01-01", "13/13/2026"} {
		if d, err := day(text, time.Time{}); err == nil {
			t.Errorf("%q is taken for %v", text, d)
		}
	}
}

func FuzzReadCSV(f *testing.F) {
	f.Add([]byte(plain))
	f.Add([]byte("sep=;\ndrawing;part;place;rule;line;measured;outcome\n\"a;;"))
	ctx := context()
	f.Fuzz(func(t *testing.T, data []byte) {
		got := ReadCSV("s.csv", data, ctx)
		for _, s := range got.Samples {
			if !(s.Measured > 0) || s.Row < 1 || s.Rule == "" || s.Line == "" {
				t.Errorf("%+v", s)
			}
		}
		Learn([]Table{got}, ctx.Shop, Options{})
	})
}
