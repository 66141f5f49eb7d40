package samples

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
	"unicode"
)

// Columns of a sheet of samples, in the order in which it is written. Required
// are those without which a row says nothing.
const (
	ColDrawing   = "drawing"
	ColPart      = "part"
	ColOrder     = "order"
	ColPiece     = "piece"
	ColPlace     = "place"
	ColX         = "x"
	ColY         = "y"
	ColRule      = "rule"
	ColLine      = "line"
	ColMaterial  = "material"
	ColThickness = "thickness"
	ColProcess   = "process"
	ColMeasured  = "measured"
	ColUnit      = "unit"
	ColFilament  = "filament"
	ColChance    = "chance"
	ColBurrLow   = "burr low"
	ColBurrHigh  = "burr high"
	ColOutcome   = "outcome"
	ColCut       = "height cut"
	ColLeft      = "height left"
	ColRadius    = "radius"
	ColDate      = "date"
	ColRemarks   = "remarks"
	ColNumber    = "number" // of the place on the form; for people
)

var required = []string{ColDrawing, ColPart, ColPlace, ColRule, ColLine, ColMeasured, ColOutcome}

// joined are those without which a row cannot be joined with a drawing that says
// the rest.
var joined = []string{ColDrawing, ColPart, ColPlace, ColOutcome}

// columnNames are the ways in which a column's header may be written, folded:
// without case, units, marks and blanks.
var columnNames = map[string]string{
	"drawing": ColDrawing, "file": ColDrawing, "zeichnung": ColDrawing,
	"part": ColPart, "teil": ColPart,
	"order": ColOrder, "lot": ColOrder, "batch": ColOrder, "auftrag": ColOrder,
	"piece": ColPiece, "pieceno": ColPiece, "stück": ColPiece,
	"place": ColPlace, "feature": ColPlace, "stelle": ColPlace,
	"no": ColNumber, "number": ColNumber, "nr": ColNumber,
	"x": ColX, "y": ColY,
	"rule": ColRule, "regel": ColRule,
	"line": ColLine, "linie": ColLine, "anlage": ColLine,
	"material": ColMaterial, "werkstoff": ColMaterial,
	"thickness": ColThickness, "dicke": ColThickness,
	"process": ColProcess, "verfahren": ColProcess,
	"measured": ColMeasured, "width": ColMeasured, "maß": ColMeasured, "breite": ColMeasured,
	"unit": ColUnit, "einheit": ColUnit,
	"filament": ColFilament, "filamentdiameter": ColFilament,
	"chance": ColChance, "forecast": ColChance, "chanceofclean": ColChance, "prognose": ColChance,
	"burrlow": ColBurrLow, "forecastburrlow": ColBurrLow, "burrhigh": ColBurrHigh, "forecastburrhigh": ColBurrHigh,
	"outcome": ColOutcome, "found": ColOutcome, "result": ColOutcome, "befund": ColOutcome, "ergebnis": ColOutcome,
	"heightcut": ColCut, "burrascut": ColCut, "cutheight": ColCut, "grathöhe": ColCut,
	"heightleft": ColLeft, "burrleft": ColLeft, "leftheight": ColLeft, "restgrat": ColLeft,
	"radius": ColRadius, "edgeradius": ColRadius, "kantenradius": ColRadius,
	"date": ColDate, "inspected": ColDate, "datum": ColDate,
	"remarks": ColRemarks, "remark": ColRemarks, "note": ColRemarks, "bemerkung": ColRemarks,
}

// column is the column that a header means, or "".
func column(header string) string {
	h := strings.ToLower(header)
	h, _, _ = strings.Cut(h, ",") // "Measured, mm"
	h, _, _ = strings.Cut(h, "(")
	h = strings.TrimSuffix(strings.TrimSpace(h), "_mm")
	return columnNames[strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			return r
		}
		return -1
	}, h)]
}

// outcomes are the words for what an inspector found: true is clean.
var outcomes = map[string]bool{
	"clean": true, "c": true, "ok": true, "free": true, "burr free": true, "burr-free": true, "no burr": true,
	"sauber": true, "gratfrei": true, "io": true, "i.o.": true, "propre": true, "limpio": true, "pulito": true,
	"burr": false, "burr left": false, "b": false, "not ok": false, "nok": false, "not clean": false,
	"grat": false, "nio": false, "n.i.o.": false, "bavure": false, "rebaba": false, "bava": false,
}

// number reads a number with a decimal point or a decimal comma. With both, no
// reading is safe.
func number(s string) (float64, error) {
	t := strings.TrimSpace(s)
	if strings.Contains(t, ",") {
		if strings.Contains(t, ".") || strings.Count(t, ",") > 1 {
			return 0, fmt.Errorf("%q: comma and point in one number, or two commas: write it with one decimal mark only", s)
		}
		t = strings.Replace(t, ",", ".", 1)
	}
	v, err := strconv.ParseFloat(t, 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) || strings.ContainsAny(t, "xXpP_") {
		return 0, fmt.Errorf("%q is not a number", s)
	}
	return v, nil
}

// chance reads a forecast: a share, a percentage, or one of the words.
func chance(s string) (float64, error) {
	t := strings.ToLower(strings.TrimSpace(s))
	if clean, ok := outcomes[t]; ok {
		return outcome(clean), nil
	}
	by := 1.0
	if p, ok := strings.CutSuffix(t, "%"); ok {
		t, by = p, 100
	}
	v, err := number(t)
	if err != nil {
		return 0, err
	}
	if v /= by; v < 0 || v > 1 {
		return 0, fmt.Errorf("%q is not a chance from 0 to 1", s)
	}
	return v, nil
}

// day reads a date: 2026-03-31, 31.3.2026, or the day number of a workbook. A
// date with slashes can be read two ways unless one of its numbers is no month.
func day(s string, today time.Time) (time.Time, error) {
	t := strings.TrimSpace(s)
	var d time.Time
	var err error
	switch {
	case strings.Count(t, "/") == 2:
		d, err = slashed(t)
		if err != nil {
			return d, err
		}
	default:
		for _, form := range []string{"2006-01-02", "2.1.2006", "2006-01-02T15:04:05", "2006-01-02 15:04:05"} {
			if d, err = time.Parse(form, t); err == nil {
				break
			}
		}
		if err != nil {
			n, nerr := number(t)
			if nerr != nil || n < 36526 || n > 73050 { // the years 2000 to 2099
				return time.Time{}, fmt.Errorf("%q is not a date such as 2026-03-31", s)
			}
			// Workbooks count days from 1899-12-30 after February 1900.
			d = time.Date(1899, 12, 30, 0, 0, 0, 0, time.UTC).AddDate(0, 0, int(n))
		}
	}
	d = d.Truncate(24 * time.Hour)
	if d.Year() < 2000 || !today.IsZero() && d.After(today.AddDate(0, 0, 1)) {
		return time.Time{}, fmt.Errorf("%q is not a day on which this can have been inspected", s)
	}
	return d, nil
}

func slashed(t string) (time.Time, error) {
	if d, err := time.Parse("2006/1/2", t); err == nil {
		return d, nil
	}
	us, errUS := time.Parse("1/2/2006", t)
	eu, errEU := time.Parse("2/1/2006", t)
	switch {
	case errUS == nil && errEU == nil && !us.Equal(eu):
		return time.Time{}, fmt.Errorf("%q can be read two ways: write %s or %s", t, us.Format(time.DateOnly), eu.Format(time.DateOnly))
	case errUS == nil:
		return us, nil
	case errEU == nil:
		return eu, nil
	}
	return time.Time{}, errors.New(strconv.Quote(t) + " is not a date such as 2026-03-31")
}
