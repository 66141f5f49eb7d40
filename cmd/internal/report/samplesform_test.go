package report

import (
	"bytes"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"burrcast/geom"
	"burrcast/rules"
	"burrcast/rules/samples"

	"github.com/golang/geo/r2"
	"github.com/xuri/excelize/v2"
)

// formFixture is a form with two parts: a lot of one with two places, and a
// single piece whose stock is not known.
func formFixture() *SampleForm {
	rect := func(w, h float64) []geom.Curve {
		p := []r2.Point{{}, {X: w}, {X: w, Y: h}, {Y: h}}
		var loop []geom.Curve
		for i := range p {
			loop = append(loop, geom.Line(p[i], p[(i+1)%4]))
		}
		return loop
	}
	drawn := func(id string, w, h float64) *Part {
		return &Part{ID: id, Quantity: 40, Drawing: PartDrawing{Contours: [][]geom.Curve{rect(w, h)}}}
	}
	return &SampleForm{Parts: []SamplePart{
		{File: "plates/=plate <1>.dxf", Line: "belt-and-drum-brush", Part: drawn("P1", 200, 80), Material: "S235", Process: "laser-n2", Thickness: 2, Pieces: 40, Take: []int{1, 20, 40},
			Places: []SamplePlace{
				{Number: 1, Feature: "C1", Rule: "hole-reach", X: 30, Y: 40, Measured: 2.55, Limit: 2.4, Unit: "mm", Filament: 0.8, Chance: 0.62, BurrLow: 0, BurrHigh: 0.05, BurrKnown: true},
				{Number: 2, Feature: "W3", Rule: "web-thickness", X: 120, Y: 40, Measured: 2, Limit: 1, Unit: "x thickness", Chance: 0.996, Control: true},
			}},
		{File: "bare.dxf", Line: "belt-and-drum-brush", Part: drawn("P2", 60, 60), Pieces: 1, Take: []int{1},
			Places: []SamplePlace{{Number: 1, Feature: "K1", Rule: "corner-reach", X: -0.00000001, Y: 60, Measured: 0.5, Limit: 1.5, Unit: "mm", Chance: 0.99, Control: true}}},
	}}
}

// A form that is filled in is what the reader of samples reads: every row, with
// what was forecast; rows left blank are waiting.
func TestFormIsReadBack(t *testing.T) {
	dir := t.TempDir()
	form := formFixture()
	if err := WriteSampleForm(dir, form, nil); err != nil {
		t.Fatal(err)
	}
	if form.Rows() != 7 {
		t.Fatalf("%d rows", form.Rows())
	}
	name := filepath.Join(dir, FormBook)
	f, err := excelize.OpenFile(name)
	if err != nil {
		t.Fatal(err)
	}
	fill := func(row int, cells map[string]any) {
		for header, v := range cells {
			if err := f.SetCellValue(sampleSheet, cellName(columnOf(header), row), v); err != nil {
				t.Fatal(err)
			}
		}
	}
	fill(2, map[string]any{"Outcome": "clean", "Burr as cut, mm": 0.03, "Date": time.Date(2026, 3, 31, 0, 0, 0, 0, time.UTC), "Order": "A 17"})
	fill(3, map[string]any{"Outcome": "burr", "Burr left, mm": "0,08", "Date": "31.3.2026", "Remarks": "on the rim"})
	if v, err := f.GetDataValidations(sampleSheet); err != nil || len(v) != 1 || !strings.Contains(v[0].Formula1, "clean,burr") || v[0].Sqref != "T2:T8" {
		t.Errorf("the outcome's choice: %+v %v", v, err)
	}
	var b bytes.Buffer
	if err := f.Write(&b); err != nil {
		t.Fatal(err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	sheets, err := ReadSheets(b.Bytes())
	if err != nil || len(sheets) != 2 || sheets[0].Name != sampleSheet {
		t.Fatalf("%+v %v", sheets, err)
	}
	rows := make([]samples.Row, len(sheets[0].Rows))
	for i, cells := range sheets[0].Rows {
		rows[i] = samples.Row{N: i + 1, Cells: cells}
	}
	got := samples.ReadRows("f.xlsx", rows, samples.Context{Shop: rules.DefaultShop()})
	if len(got.Problems) > 0 || len(got.Samples) != 2 || len(got.Waiting) != 5 || len(got.Unused) > 0 {
		t.Fatalf("%+v", got)
	}
	s := got.Samples[0]
	if s.Drawing != "plates/=plate <1>.dxf" || s.Part != "P1" || s.Piece != "1" || s.Order != "A 17" || s.Place != "C1" || s.Rule != "hole-reach" || s.Line != "belt-and-drum-brush" ||
		s.Measured != 2.55 || s.Filament != 0.8 || s.Chance.V != 0.62 || !s.Burr[1].Known || s.Burr[1].V != 0.05 || s.Thickness.V != 2 || s.Process != "laser-n2" || s.Family != "steel" ||
		!s.Clean || s.Cut.V != 0.03 || s.Date.Format(time.DateOnly) != "2026-03-31" || s.X.V != 30 {
		t.Errorf("%+v", s)
	}
	if s := got.Samples[1]; s.Clean || s.Left.V != 0.08 || s.Piece != "20" || s.Date.Format(time.DateOnly) != "2026-03-31" || s.Remarks != "on the rim" {
		t.Errorf("%+v", s)
	}
	if s := got.Waiting[4]; s.Drawing != "bare.dxf" || math.Signbit(s.X.V) || s.Remarks != "control: a clear case" {
		t.Errorf("%+v", s)
	}
}

// A form that may have been filled in is never written over, nor is an input.
func TestFormIsNotWrittenOver(t *testing.T) {
	dir := t.TempDir()
	if err := WriteSampleForm(dir, formFixture(), nil); err != nil {
		t.Fatal(err)
	}
	before, err := os.ReadFile(filepath.Join(dir, FormBook))
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Remove(filepath.Join(dir, FormPage)); err != nil {
		t.Fatal(err)
	}
	err = WriteSampleForm(dir, formFixture(), nil)
	if err == nil || !strings.Contains(err.Error(), "may have been filled in") {
		t.Errorf("written over: %v", err)
	}
	after, err := os.ReadFile(filepath.Join(dir, FormBook))
	if err != nil || !bytes.Equal(before, after) {
		t.Errorf("changed: %v", err)
	}
	if _, err := os.Stat(filepath.Join(dir, FormPage)); err == nil {
		t.Error("half a form was written")
	}
	other := filepath.Join(t.TempDir(), "new")
	if err := WriteSampleForm(other, formFixture(), []string{filepath.Join(other, FormPage)}); err == nil {
		t.Error("an input was written over")
	}
	if _, err := os.Stat(other); err == nil {
		t.Error("a folder stays behind")
	}
}

// The page does not tell the inspector what to find, and takes no file name for
// markup.
func TestFormPage(t *testing.T) {
	var b bytes.Buffer
	if err := writeFormPage(&b, formFixture()); err != nil {
		t.Fatal(err)
	}
	page := b.String()
	for _, want := range []string{"7 rows to fill in on 2 parts", "=plate &lt;1&gt;.dxf P1", "pieces 1, 20, 40 of 40", "the one piece", "hole, 2.55 mm", "web, 4 mm (2 x thickness)",
		"inside corner, 0.5 mm left by the brush", "not known, write into the workbook: material and thickness and process", "over line belt-and-drum-brush"} {
		if !strings.Contains(page, want) {
			t.Errorf("no %q", want)
		}
	}
	for _, bad := range []string{"62 %", "0.62", "control: a clear", "NaN", "%!", "<1>"} {
		if strings.Contains(page, bad) {
			t.Errorf("the page holds %q", bad)
		}
	}
	if n := strings.Count(page, `class="look"`); n != 3 {
		t.Errorf("%d marks", n)
	}
	if n := strings.Count(page, `<span class="box"></span>clean`); n != 7 {
		t.Errorf("%d rows", n)
	}
}

func TestReadSheetsOfOtherThings(t *testing.T) {
	for _, data := range [][]byte{nil, []byte("a,b\n"), []byte("PK\x03\x04 and no more")} {
		if s, err := ReadSheets(data); err == nil {
			t.Errorf("%q: %v", data, s)
		}
	}
}
