package report

import (
	"archive/zip"
	"bytes"
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"
)

// bookOf renders a report as a workbook.
func bookOf(t *testing.T, r *Report) []byte {
	t.Helper()
	var b bytes.Buffer
	out := newBookRenderer(&b, "")
	for i := range r.Drawings {
		if err := out.Drawing(&r.Drawings[i]); err != nil {
			t.Fatal(err)
		}
	}
	if err := out.Close(r.tail()); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func openBook(t *testing.T, data []byte) *excelize.File {
	t.Helper()
	f, err := excelize.OpenReader(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { f.Close() })
	return f
}

// compared is the fixture with a comparison of two lines.
func compared() *Report {
	r := fixture()
	r.Comparison = &Comparison{Currency: "EUR", Best: "belt-and-brush", Judged: "belt", Why: "cheapest for the mix",
		Lines: []LineWork{
			{Line: "belt-and-brush", Title: "a belt, then brushes", Pieces: 18, By: ByTreatment{Line: 5, Hand: 12, Ask: 1}, LineTime: Range{120, 240}, Hand: Range{600, 1200}, Abrasive: Range{1, 2}, Cost: Range{20, 40}},
			{Line: "belt", Title: "a belt alone", Pieces: 18, By: ByTreatment{Hand: 17, Ask: 1}, Never: 3, LineTime: Range{60, 120}, Hand: Range{1800, 3600}, Abrasive: Range{1, 3}, Cost: Range{50, 90}},
		},
		Differences: []Difference{{File: "parts/rake.dxf", Part: "P1", Pieces: 12, Best: "belt-and-brush", Worst: "belt", Extra: Range{30, 50},
			By: []OnALine{{Line: "belt-and-brush", Treatment: "line"}, {Line: "belt", Treatment: "hand", Rule: "belt-rolls-burr"}}}},
		Next: []Difference{{File: "parts/rake.dxf", Part: "P1", Pieces: 12, Best: "belt-and-brush", Worst: "belt", Extra: Range{20, 30},
			By: []OnALine{{Line: "belt-and-brush", Treatment: "line"}, {Line: "belt", Treatment: "hand"}}}},
	}
	return r
}

// The golden file lists every cell of every sheet: its value, and its formula.
func TestBookGolden(t *testing.T) {
	f := openBook(t, bookOf(t, compared()))
	var out strings.Builder
	for _, sheet := range f.GetSheetList() {
		fmt.Fprintf(&out, "== %s\n", sheet)
		rows, err := f.GetRows(sheet, excelize.Options{RawCellValue: true})
		if err != nil {
			t.Fatal(err)
		}
		for i, row := range rows {
			for k, v := range row {
				if v == "" {
					continue
				}
				cell := cellName(k+1, i+1)
				kind, err := f.GetCellType(sheet, cell)
				if err != nil {
					t.Fatal(err)
				}
				mark := "'"
				if kind == excelize.CellTypeUnset || kind == excelize.CellTypeNumber {
					mark = ""
				}
				fmt.Fprintf(&out, "%s %s%s", cell, mark, v)
				if formula, _ := f.GetCellFormula(sheet, cell); formula != "" {
					fmt.Fprintf(&out, "  =%s", formula)
				}
				out.WriteByte('\n')
			}
		}
	}
	golden(t, "fixture.xlsx.txt", []byte(out.String()))
}

// Header and filter stay in sight, formulas carry the values that they have,
// and these are the report's.
func TestBook(t *testing.T) {
	r := compared()
	f := openBook(t, bookOf(t, r))
	for _, sheet := range f.GetSheetList() {
		panes, err := f.GetPanes(sheet)
		if err != nil || !panes.Freeze || panes.YSplit < 1 {
			t.Errorf("%s: the header does not stay in sight: %+v, %v", sheet, panes, err)
		}
		tables, err := f.GetTables(sheet)
		if err != nil || len(tables) != 1 {
			t.Errorf("%s: %d tables, %v", sheet, len(tables), err)
		}
	}
	// The cost of every line is the report's, by formula and as stated.
	for i, want := range quotesOf(r) {
		for k := range 2 {
			cell := cellName(colCost+k, i+3)
			stated, _ := f.GetCellValue(quoteSheet, cell, excelize.Options{RawCellValue: true})
			computed, err := f.CalcCellValue(quoteSheet, cell, excelize.Options{RawCellValue: true})
			if err != nil {
				t.Fatal(err)
			}
			for _, s := range []string{stated, computed} {
				if got, err := strconv.ParseFloat(s, 64); err != nil || math.Abs(got-float64(want.Cost[k])) > 1e-9 {
					t.Errorf("%s: %s, want %v", cell, s, want.Cost[k])
				}
			}
		}
	}
}

// quotesOf are the parts in the order of the quote lines.
func quotesOf(r *Report) (out []Part) {
	for _, d := range r.Drawings {
		out = append(out, d.Parts...)
	}
	return out
}

// No text that comes from outside starts what a spreadsheet takes for a formula.
func TestBookStartsNoFormula(t *testing.T) {
	for _, evil := range []string{`=HYPERLINK("x","y")`, "+1+1", "-2+3", "@SUM(A1)", "\t=1", "\r=1", `=cmd|' /C calc'!A0`} {
		f := openBook(t, bookOf(t, hostile(evil)))
		seen := false
		for _, sheet := range f.GetSheetList() {
			rows, err := f.GetRows(sheet, excelize.Options{RawCellValue: true})
			if err != nil {
				t.Fatal(err)
			}
			for i, row := range rows {
				for k, v := range row {
					cell := cellName(k+1, i+1)
					formula, _ := f.GetCellFormula(sheet, cell)
					if strings.Contains(formula, "HYPERLINK") || strings.Contains(formula, "cmd") {
						t.Errorf("%s!%s computes %s", sheet, cell, formula)
					}
					if _, err := strconv.ParseFloat(v, 64); err != nil && v != "" && strings.ContainsRune("=+-@\t\r", rune(v[0])) {
						t.Errorf("%s!%s starts a formula: %q", sheet, cell, v)
					}
					seen = seen || strings.Contains(v, strings.TrimSpace(evil))
				}
			}
		}
		if !seen {
			t.Errorf("%q is nowhere in the workbook", evil)
		}
	}
}

// An office program opens the workbook, computes its formulas from nothing but
// the numbers, and comes to the report's totals; with other prices, to others.
func TestBookInAnOfficeProgram(t *testing.T) {
	if testing.Short() {
		t.Skip("starts an office program")
	}
	office := witness(t, "soffice", "libreoffice")
	r := compared()
	plain := totalsByOffice(t, office, bookOf(t, r))
	var want [2]float64
	for _, p := range quotesOf(r) {
		for k := range 2 {
			want[k] += float64(p.Quantity) * float64(p.Cost[k])
		}
	}
	for i, w := range []float64{float64(r.Totals.Pieces), float64(r.Totals.Line[0]) / 60, float64(r.Totals.Line[1]) / 60,
		float64(r.Totals.Hand[0]) / 60, float64(r.Totals.Hand[1]) / 60, want[0], want[1]} {
		if math.Abs(plain[i]-w) > 1e-6*math.Max(1, w) {
			t.Errorf("total %d is %v, the report says %v", i, plain[i], w)
		}
	}
	f := openBook(t, bookOf(t, r))
	for cell, v := range map[string]float64{"B2": 2 * float64(r.Rates.Line[0]), "C2": 2 * float64(r.Rates.Line[1])} {
		if err := f.SetCellValue(assumedSheet, cell, v); err != nil {
			t.Fatal(err)
		}
	}
	var changed bytes.Buffer
	if err := f.Write(&changed); err != nil {
		t.Fatal(err)
	}
	dearer := totalsByOffice(t, office, changed.Bytes())
	for k := range 2 {
		more := float64(r.Totals.Line[k]) / 3600 * float64(r.Rates.Line[k])
		if got := dearer[5+k] - plain[5+k]; math.Abs(got-more) > 1e-6 {
			t.Errorf("at twice the line's price the job costs %v more, want %v", got, more)
		}
	}
}

// totalsByOffice are the totals above the quote lines, after the values that
// formulas carry were taken out.
func totalsByOffice(t *testing.T, office string, data []byte) (out []float64) {
	t.Helper()
	dir := t.TempDir()
	book := filepath.Join(dir, "book.xlsx")
	if err := os.WriteFile(book, withoutValues(t, data), 0o644); err != nil {
		t.Fatal(err)
	}
	profile := filepath.ToSlash(filepath.Join(dir, "profile"))
	cmd := exec.CommandContext(t.Context(), office, "--headless", "-env:UserInstallation=file://"+profile, "--convert-to", "csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,false,false,false,false,1", "--outdir", dir, book)
	if said, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, said)
	}
	found, err := filepath.Glob(filepath.Join(dir, "*.csv"))
	if err != nil || len(found) != 1 {
		t.Fatalf("%v, %v", found, err)
	}
	text, err := os.Open(found[0])
	if err != nil {
		t.Fatal(err)
	}
	defer text.Close()
	rows, err := csv.NewReader(text).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, col := range []int{colPieces, colLineAll, colLineAll + 1, colHandAll, colHandAll + 1, colCostAll, colCostAll + 1} {
		v, err := strconv.ParseFloat(rows[0][col-1], 64)
		if err != nil {
			t.Fatalf("column %d: %v", col, err)
		}
		out = append(out, v)
	}
	return out
}

// withoutValues takes the values of formulas out of a workbook.
func withoutValues(t *testing.T, data []byte) []byte {
	t.Helper()
	in, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	out := zip.NewWriter(&b)
	taken := 0
	value := regexp.MustCompile(`</f><v>[^<]*</v>`)
	for _, file := range in.File {
		r, err := file.Open()
		if err != nil {
			t.Fatal(err)
		}
		text, err := io.ReadAll(r)
		r.Close()
		if err != nil {
			t.Fatal(err)
		}
		if strings.HasPrefix(file.Name, "xl/worksheets/") {
			taken += len(value.FindAll(text, -1))
			text = value.ReplaceAll(text, []byte("</f>"))
		}
		w, err := out.Create(file.Name)
		if err == nil {
			_, err = w.Write(text)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	if err := out.Close(); err != nil {
		t.Fatal(err)
	}
	if taken < 20 {
		t.Fatalf("%d formulas carry a value", taken)
	}
	return b.Bytes()
}
