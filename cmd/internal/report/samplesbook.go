package report

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"

	"github.com/xuri/excelize/v2"
)

// sampleSheet is the sheet that is filled in and read back.
const sampleSheet = "Samples"

// formColumns are the columns of that sheet. Their headers are what the reader
// of samples knows.
var formColumns = []struct {
	header string
	width  float64
	fill   bool // by the inspector
}{
	{"Drawing", 30, false}, {"Part", 6, false}, {"Order", 10, true}, {"Piece", 7, false}, {"No.", 5, false}, {"Place", 7, false},
	{"X, mm", 9, false}, {"Y, mm", 9, false}, {"Rule", 16, false}, {"Line", 22, false}, {"Material", 12, false}, {"Thickness, mm", 10, false}, {"Process", 11, false},
	{"Measured", 10, false}, {"Unit", 11, false}, {"Filament, mm", 9, false}, {"Chance of clean", 9, false}, {"Forecast burr low, mm", 9, false}, {"Forecast burr high, mm", 9, false},
	{"Outcome", 10, true}, {"Burr as cut, mm", 9, true}, {"Burr left, mm", 9, true}, {"Edge radius, mm", 9, true}, {"Date", 12, true}, {"Remarks", 40, true},
}

func columnOf(header string) int {
	for i, c := range formColumns {
		if c.header == header {
			return i + 1
		}
	}
	panic("implementation error: no column " + header)
}

// writeFormBook writes the workbook of a form: one row a place and piece, what
// is to be filled in tinted, the outcome to be chosen.
func writeFormBook(w io.Writer, form *SampleForm) (err error) {
	b, err := newBook()
	if err != nil {
		return err
	}
	defer func() {
		if closing := b.file.Close(); err == nil {
			err = closing
		}
	}()
	f := b.file
	if err := f.SetSheetName("Sheet1", sampleSheet); err != nil {
		return err
	}
	for i, c := range formColumns {
		name, err := excelize.ColumnNumberToName(i + 1)
		if err != nil {
			return err
		}
		if err := f.SetColWidth(sampleSheet, name, name, c.width); err != nil {
			return err
		}
		if err := f.SetCellValue(sampleSheet, cellName(i+1, 1), c.header); err != nil {
			return err
		}
	}
	if err := f.SetCellStyle(sampleSheet, cellName(1, 1), cellName(len(formColumns), 1), b.head); err != nil {
		return err
	}
	row := 1
	for i := range form.Parts {
		p := &form.Parts[i]
		for _, s := range p.Places {
			for _, piece := range p.Take {
				row++
				if err := f.SetSheetRow(sampleSheet, cellName(1, row), formCells(p, s, piece)); err != nil {
					return err
				}
			}
		}
	}
	last := max(row, 2)
	for i, c := range formColumns {
		if !c.fill {
			continue
		}
		if err := f.SetCellStyle(sampleSheet, cellName(i+1, 2), cellName(i+1, last), b.answer); err != nil {
			return err
		}
	}
	day := "yyyy-mm-dd"
	style, err := f.NewStyle(&excelize.Style{CustomNumFmt: &day, Fill: excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{"FFF6D6"}}})
	if err != nil {
		return err
	}
	if err := f.SetCellStyle(sampleSheet, cellName(columnOf("Date"), 2), cellName(columnOf("Date"), last), style); err != nil {
		return err
	}
	choice := excelize.NewDataValidation(true)
	choice.SetSqref(cellName(columnOf("Outcome"), 2) + ":" + cellName(columnOf("Outcome"), last))
	if err := choice.SetDropList([]string{"clean", "burr"}); err != nil {
		return err
	}
	choice.SetError(excelize.DataValidationErrorStyleStop, "Outcome", "clean or burr; blank: not inspected")
	if err := f.AddDataValidation(sampleSheet, choice); err != nil {
		return err
	}
	if err := f.SetPanes(sampleSheet, &excelize.Panes{Freeze: true, YSplit: 1, XSplit: 6, TopLeftCell: "G2", ActivePane: "bottomRight"}); err != nil {
		return err
	}
	if err := f.AutoFilter(sampleSheet, cellName(1, 1)+":"+cellName(len(formColumns), last), nil); err != nil {
		return err
	}
	wide, landscape, one, tall := true, "landscape", 1, 0
	if err := f.SetSheetProps(sampleSheet, &excelize.SheetPropsOptions{FitToPage: &wide}); err != nil {
		return err
	}
	if err := f.SetPageLayout(sampleSheet, &excelize.PageLayoutOptions{Orientation: &landscape, FitToWidth: &one, FitToHeight: &tall}); err != nil {
		return err
	}
	var how [][]any
	for i, s := range formSteps {
		how = append(how, []any{i + 1, s})
	}
	if err := b.sheetAfter("How to", how); err != nil {
		return err
	}
	_, err = f.WriteTo(w)
	return err
}

// formCells is one row of the sheet.
func formCells(p *SamplePart, s SamplePlace, piece int) *[]any {
	row := make([]any, len(formColumns))
	put := func(header string, v any) { row[columnOf(header)-1] = v }
	put("Drawing", cellText(p.File))
	put("Part", p.Part.ID)
	put("Piece", piece)
	put("No.", s.Number)
	put("Place", s.Feature)
	put("X, mm", rounded(s.X, 1e4))
	put("Y, mm", rounded(s.Y, 1e4))
	put("Rule", s.Rule)
	put("Line", cellText(p.Line))
	put("Material", cellText(p.Material))
	if p.Thickness > 0 {
		put("Thickness, mm", p.Thickness)
	}
	put("Process", cellText(p.Process))
	put("Measured", rounded(s.Measured, 1e6))
	put("Unit", s.Unit)
	if s.Filament > 0 {
		put("Filament, mm", s.Filament)
	}
	put("Chance of clean", rounded(s.Chance, 1e4))
	if s.BurrKnown {
		put("Forecast burr low, mm", rounded(s.BurrLow, 1e6))
		put("Forecast burr high, mm", rounded(s.BurrHigh, 1e6))
	}
	if s.Control {
		put("Remarks", "control: a clear case")
	}
	return &row
}

// rounded keeps what a sheet needs of a number; by is a power of ten.
func rounded(v, by float64) float64 { return math.Round(v*by)/by + 0 } // +0: no "-0"

// sheetAfter adds a sheet of two columns, a number and a text.
func (b *book) sheetAfter(name string, rows [][]any) error {
	if _, err := b.file.NewSheet(name); err != nil {
		return err
	}
	if err := b.file.SetColWidth(name, "B", "B", 110); err != nil {
		return err
	}
	for i, row := range rows {
		if err := b.file.SetSheetRow(name, cellName(1, i+1), &row); err != nil {
			return err
		}
		if err := b.file.SetCellStyle(name, cellName(2, i+1), cellName(2, i+1), b.wrapped); err != nil {
			return err
		}
	}
	return nil
}

// CellSheet is one sheet of a workbook as rows of cells. Row i stands in line i+1.
type CellSheet struct {
	Name string
	Rows [][]string
}

// largestBook bounds what a workbook may unpack to, against bombs.
const largestBook = 256 << 20

// ReadSheets reads the cells of a workbook: numbers as they are stored, not as
// they are shown, and of formulas the value that was computed last.
func ReadSheets(data []byte) (sheets []CellSheet, err error) {
	f, err := excelize.OpenReader(bytes.NewReader(data), excelize.Options{UnzipSizeLimit: largestBook, UnzipXMLSizeLimit: largestBook, RawCellValue: true})
	if err != nil {
		return nil, bookError(err)
	}
	defer func() {
		if closing := f.Close(); err == nil {
			err = closing
		}
	}()
	for _, name := range f.GetSheetList() {
		rows, err := f.GetRows(name, excelize.Options{RawCellValue: true})
		if err != nil {
			return nil, fmt.Errorf("sheet %q cannot be read: %w", name, err)
		}
		for _, row := range rows {
			for k, cell := range row {
				row[k] = strings.TrimPrefix(cell, "'") // what keeps a text from being a formula
			}
		}
		sheets = append(sheets, CellSheet{name, rows})
	}
	return sheets, nil
}

// bookError says in our words why a workbook cannot be read.
func bookError(err error) error {
	switch {
	case errors.Is(err, excelize.ErrWorkbookFileFormat):
		return errors.New("not a workbook (.xlsx)")
	case errors.Is(err, excelize.ErrWorkbookPassword):
		return errors.New("the workbook is locked with a password")
	}
	return fmt.Errorf("the workbook cannot be read: %w", err)
}
