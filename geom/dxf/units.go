package dxf

import (
	"fmt"
	"sort"
	"strings"
)

type unit struct {
	name string
	mm   float64
}

// headerUnits lists the values of $INSUNITS by the DXF reference.
var headerUnits = map[int]unit{
	1: {"inch", 25.4}, 2: {"ft", 304.8}, 3: {"mile", 1609344}, 4: {"mm", 1}, 5: {"cm", 10},
	6: {"m", 1000}, 7: {"km", 1e6}, 8: {"microinch", 25.4e-6}, 9: {"mil", 0.0254}, 10: {"yd", 914.4},
	11: {"angstrom", 1e-7}, 12: {"nm", 1e-6}, 13: {"micron", 1e-3}, 14: {"dm", 100}, 15: {"dam", 1e4},
	16: {"hm", 1e5}, 17: {"gm", 1e12}, 18: {"au", 149597870700e3}, 19: {"light year", 9460730472580800e3},
	20: {"parsec", 3.0856775814913673e19}, 21: {"survey ft", 1200.0 / 3937 * 1000},
	22: {"survey inch", 100.0 / 3937 * 1000}, 23: {"survey yd", 3600.0 / 3937 * 1000},
	24: {"survey mile", 5280 * 1200.0 / 3937 * 1000},
}

// givenUnits lists the names that Options.Units may have.
var givenUnits = map[string]unit{
	"mm": {"mm", 1}, "millimetre": {"mm", 1}, "millimeter": {"mm", 1},
	"cm": {"cm", 10}, "dm": {"dm", 100}, "m": {"m", 1000}, "metre": {"m", 1000}, "meter": {"m", 1000},
	"inch": {"inch", 25.4}, "in": {"inch", 25.4}, "ft": {"ft", 304.8}, "foot": {"ft", 304.8}, "feet": {"ft", 304.8},
	"yd": {"yd", 914.4}, "mil": {"mil", 0.0254}, "thou": {"mil", 0.0254},
	"micron": {"micron", 1e-3}, "um": {"micron", 1e-3}, "pt": {"pt", 25.4 / 72}, "point": {"pt", 25.4 / 72},
}

// UnitNames returns the names that Options.Units may have, sorted.
func UnitNames() []string {
	var names []string
	for n := range givenUnits {
		names = append(names, n)
	}
	sort.Strings(names)
	return names
}

// Sizes, as the larger side of everything drawn, outside which a unit is
// doubted: flat parts and nests of sheet metal lie well within them.
const (
	leastSize   = 3.0     // mm
	largestSize = 20000.0 // mm
)

// units decides how long a drawing unit is:
//  1. what the caller gave;
//  2. $INSUNITS of the header, if it names a unit;
//  3. $MEASUREMENT of the header: 0 inch, 1 mm;
//  4. mm, unless the larger side of everything drawn is under 3 units; then inch.
//
// size is the larger side in drawing units, 0 if unknown.
func (h *header) units(given string, size float64) (Units, error) {
	if given != "" {
		u, ok := givenUnits[strings.ToLower(strings.TrimSpace(given))]
		if !ok {
			return Units{}, &Error{Code: CodeUnits, Text: fmt.Sprintf("unknown unit %q (known: %s)",
				given, strings.Join(UnitNames(), ", "))}
		}
		out := Units{Millimetres: u.mm, Name: u.name, Source: "given"}
		if d, ok := headerUnits[h.insUnits]; ok && d.name != u.name {
			out.Doubt = "the header says " + d.name
		}
		return out, nil
	}
	var doubts []string
	measure := ""
	if h.hasMeasure {
		switch h.measurement {
		case 0:
			measure = "inch"
		case 1:
			measure = "mm"
		}
	}
	var out Units
	u, ok := headerUnits[h.insUnits]
	switch {
	case h.hasUnits && ok:
		out = Units{Millimetres: u.mm, Name: u.name, Source: "header $INSUNITS"}
		if imperial(u.name) && measure == "mm" {
			doubts = append(doubts, "the header's measurement word says metric")
		}
		if !imperial(u.name) && measure == "inch" {
			doubts = append(doubts, "the header's measurement word says imperial")
		}
	case measure == "inch":
		out = Units{Millimetres: 25.4, Name: "inch", Source: "header $MEASUREMENT"}
	case measure == "mm":
		out = Units{Millimetres: 1, Name: "mm", Source: "header $MEASUREMENT"}
	case size > 0 && size < leastSize:
		out = Units{Millimetres: 25.4, Name: "inch", Source: "assumed from size"}
	default:
		out = Units{Millimetres: 1, Name: "mm", Source: "assumed from size"}
	}
	if mm := size * out.Millimetres; mm > largestSize || size > 0 && mm < leastSize {
		doubts = append(doubts, fmt.Sprintf("the drawing would be %.4g mm long", mm))
	}
	out.Doubt = strings.Join(doubts, "; ")
	return out, nil
}

func imperial(name string) bool {
	switch name {
	case "inch", "ft", "mile", "microinch", "mil", "yd", "survey ft", "survey inch", "survey yd", "survey mile":
		return true
	}
	return false
}
