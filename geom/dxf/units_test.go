package dxf

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"github.com/yofu/dxf/insunit"
)

func TestUnits(t *testing.T) {
	const none = -1
	for _, c := range []struct {
		name              string
		insUnits, measure int
		given             string
		size              float64 // length of the one line, in drawing units
		want              string
		mm                float64
		source            string
		doubt             string // a word of it
	}{
		{"header mm", 4, 1, "", 100, "mm", 1, "header $INSUNITS", ""},
		{"header inch", 1, 0, "", 10, "inch", 25.4, "header $INSUNITS", ""},
		{"header inch, metric word", 1, 1, "", 10, "inch", 25.4, "header $INSUNITS", "metric"},
		{"header mm, imperial word", 4, 0, "", 100, "mm", 1, "header $INSUNITS", "imperial"},
		{"header m", 6, none, "", 1.5, "m", 1000, "header $INSUNITS", ""},
		{"header says inch of a plate in mm", 1, none, "", 2000, "inch", 25.4, "header $INSUNITS", "5.08e+04 mm"},
		{"header m, a cello's back", 6, 1, "", 776, "m", 1000, "header $INSUNITS", "7.76e+05 mm"},
		{"unitless, metric", 0, 1, "", 2, "mm", 1, "header $MEASUREMENT", "2 mm"},
		{"unitless, imperial", 0, 0, "", 12, "inch", 25.4, "header $MEASUREMENT", ""},
		{"imperial word only", none, 0, "", 12, "inch", 25.4, "header $MEASUREMENT", ""},
		{"nothing said", none, none, "", 120, "mm", 1, "assumed from size", ""},
		{"nothing said, small", none, none, "", 2.5, "inch", 25.4, "assumed from size", ""},
		{"unknown code", 77, none, "", 120, "mm", 1, "assumed from size", ""},
		{"unknown measurement word", 0, 9, "", 120, "mm", 1, "assumed from size", ""},
		{"given", 1, 0, "mm", 100, "mm", 1, "given", "header says inch"},
		{"given the same", 4, 1, " MM ", 100, "mm", 1, "given", ""},
		{"given in words", none, none, "inch", 3, "inch", 25.4, "given", ""},
	} {
		text := tags("0 SECTION 2 HEADER 9 $ACADVER 1 AC1015")
		if c.insUnits != none {
			text += tags(fmt.Sprintf("9 $INSUNITS 70 %d", c.insUnits))
		}
		if c.measure != none {
			text += tags(fmt.Sprintf("9 $MEASUREMENT 70 %d", c.measure))
		}
		text += tags(fmt.Sprintf("0 ENDSEC 0 SECTION 2 ENTITIES 0 LINE 8 cut 10 0 20 0 11 %g 21 0 0 ENDSEC 0 EOF", c.size))
		d, err := ReadBytes([]byte(text), Options{Units: c.given})
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		u := d.Units
		if u.Name != c.want || u.Millimetres != c.mm || u.Source != c.source {
			t.Errorf("%s: %+v", c.name, u)
		}
		if (c.doubt == "") != (u.Doubt == "") || !strings.Contains(u.Doubt, c.doubt) {
			t.Errorf("%s: doubt %q, want %q", c.name, u.Doubt, c.doubt)
		}
		if got, want := d.Paths[0].Curves[0].End.X, c.size*c.mm; got != want {
			t.Errorf("%s: ends at %g mm, want %g", c.name, got, want)
		}
	}
	var e *Error
	if _, err := ReadBytes(drawingOf("", "0 LINE 10 0 20 0 11 1 21 1"), Options{Units: "furlong"}); !errors.As(err, &e) || e.Code != CodeUnits {
		t.Errorf("unknown unit: %v", err)
	}
}

// TestHeaderUnits compares the codes of $INSUNITS with the named library's table.
func TestHeaderUnits(t *testing.T) {
	names := map[string]string{
		"inches": "inch", "feet": "ft", "miles": "mile", "millimeters": "mm", "centimeters": "cm",
		"meters": "m", "kilometers": "km", "microinches": "microinch", "mils": "mil", "yards": "yd",
		"angstroms": "angstrom", "nanometers": "nm", "microns": "micron", "decimeters": "dm",
		"decameters": "dam", "hectometers": "hm",
	}
	compared := 0
	for code, u := range headerUnits {
		want, ok := names[fmt.Sprint(insunit.Unit(code))]
		if !ok {
			continue
		}
		compared++
		if u.name != want {
			t.Errorf("code %d is %s, the library says %s", code, u.name, want)
		}
	}
	if compared != len(names) {
		t.Errorf("%d codes compared, want %d", compared, len(names))
	}
}
