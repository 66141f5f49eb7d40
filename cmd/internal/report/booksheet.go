package report

import (
	"encoding/json"
	"math"

	"github.com/xuri/excelize/v2"
)

// book is a workbook being written with its styles.
type book struct {
	file  *excelize.File
	first bool // no sheet is named yet

	head, total, totalWhole, totalNumber   int
	whole, tenth, hundredth, fine, wrapped int
	input, answer                          int
}

// bookColumn is one column of a sheet: its header with the unit, its width in
// characters, and the style of its cells, 0 for plain.
type bookColumn struct {
	header string
	width  float64
	style  int
}

func newBook() (*book, error) {
	b := &book{file: excelize.NewFile(), first: true}
	format := func(f string) *string { return &f }
	line := []excelize.Border{{Type: "bottom", Color: "444444", Style: 1}}
	pale := excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{"FFF6D6"}}
	top := &excelize.Alignment{Vertical: "top"}
	for _, s := range []struct {
		id    *int
		style excelize.Style
	}{
		{&b.head, excelize.Style{Font: &excelize.Font{Bold: true}, Border: line, Alignment: &excelize.Alignment{WrapText: true, Vertical: "bottom"}}},
		{&b.total, excelize.Style{Font: &excelize.Font{Bold: true}}},
		{&b.totalWhole, excelize.Style{Font: &excelize.Font{Bold: true}, CustomNumFmt: format("#,##0")}},
		{&b.totalNumber, excelize.Style{Font: &excelize.Font{Bold: true}, CustomNumFmt: format("#,##0.0")}},
		{&b.whole, excelize.Style{CustomNumFmt: format("#,##0"), Alignment: top}},
		{&b.tenth, excelize.Style{CustomNumFmt: format("#,##0.0"), Alignment: top}},
		{&b.hundredth, excelize.Style{CustomNumFmt: format("#,##0.00"), Alignment: top}},
		{&b.fine, excelize.Style{CustomNumFmt: format("#,##0.0000"), Alignment: top}},
		{&b.wrapped, excelize.Style{Alignment: &excelize.Alignment{WrapText: true, Vertical: "top"}}},
		{&b.input, excelize.Style{CustomNumFmt: format("#,##0.00"), Fill: pale, Border: line}},
		{&b.answer, excelize.Style{Fill: pale, Alignment: &excelize.Alignment{WrapText: true, Vertical: "top"}}},
	} {
		id, err := b.file.NewStyle(&s.style)
		if err != nil {
			return nil, err
		}
		*s.id = id
	}
	// Programs that compute do so at once, whatever values the cells carry.
	yes := true
	if err := b.file.SetCalcProps(&excelize.CalcPropsOptions{FullCalcOnLoad: &yes}); err != nil {
		return nil, err
	}
	return b, nil
}

// height is room for the longest wrapped text of a row, in points: programs do
// not fit rows to texts when they open a file.
func (b *book) height(cols []bookColumn, row []any) float64 {
	const line, most = 14.0, 12
	lines := 1
	for k, v := range row {
		if s, ok := v.(string); ok && k < len(cols) && (cols[k].style == b.wrapped || cols[k].style == b.answer) {
			lines = max(lines, int(math.Ceil(1.05*float64(width(s))/cols[k].width)))
		}
	}
	return line * float64(min(lines, most))
}

// name makes a sheet, behind those that there are.
func (b *book) name(name string) error {
	if b.first {
		b.first = false
		return b.file.SetSheetName("Sheet1", name)
	}
	_, err := b.file.NewSheet(name)
	return err
}

// bookSheet is a sheet being written, row by row: rows above the header, the
// header, and the rows as a table with a filter. What stands above and the
// header stay in sight.
type bookSheet struct {
	b    *book
	w    *excelize.StreamWriter
	cols []bookColumn
	head int // row of the header
	rows int // below it
}

// open begins a sheet that has its name already.
func (b *book) open(name string, cols []bookColumn, above [][]any) (*bookSheet, error) {
	wide, landscape, one, tall := true, "landscape", 1, 0
	if err := b.file.SetSheetProps(name, &excelize.SheetPropsOptions{FitToPage: &wide}); err != nil {
		return nil, err
	}
	if err := b.file.SetPageLayout(name, &excelize.PageLayoutOptions{Orientation: &landscape, FitToWidth: &one, FitToHeight: &tall}); err != nil {
		return nil, err
	}
	w, err := b.file.NewStreamWriter(name)
	if err != nil {
		return nil, err
	}
	for i, c := range cols {
		if err := w.SetColWidth(i+1, i+1, c.width); err != nil {
			return nil, err
		}
	}
	s := &bookSheet{b: b, w: w, cols: cols, head: len(above) + 1}
	if err := w.SetPanes(&excelize.Panes{Freeze: true, YSplit: s.head, TopLeftCell: cellName(1, s.head+1), ActivePane: "bottomLeft"}); err != nil {
		return nil, err
	}
	for i, row := range above {
		if err := w.SetRow(cellName(1, i+1), row); err != nil {
			return nil, err
		}
	}
	titles := make([]any, len(cols))
	for i, c := range cols {
		titles[i] = excelize.Cell{StyleID: b.head, Value: c.header}
	}
	return s, w.SetRow(cellName(1, s.head), titles, excelize.RowOpts{Height: 48})
}

// row adds a row.
func (s *bookSheet) row(row []any) error {
	cells := make([]any, len(row))
	for k, v := range row {
		if _, styled := v.(excelize.Cell); !styled && k < len(s.cols) && s.cols[k].style > 0 {
			v = excelize.Cell{StyleID: s.cols[k].style, Value: v}
		}
		cells[k] = v
	}
	s.rows++
	return s.w.SetRow(cellName(1, s.head+s.rows), cells, excelize.RowOpts{Height: s.b.height(s.cols, row)})
}

// close finishes the sheet.
func (s *bookSheet) close() error {
	// A table has one row at least.
	if err := s.w.AddTable(&excelize.Table{Range: cellName(1, s.head) + ":" + cellName(len(s.cols), s.head+max(s.rows, 1)),
		StyleName: "TableStyleLight1"}); err != nil {
		return err
	}
	return s.w.Flush()
}

// sheet writes a whole sheet.
func (b *book) sheet(name string, cols []bookColumn, above, rows [][]any) error {
	if err := b.name(name); err != nil {
		return err
	}
	s, err := b.open(name, cols, above)
	if err != nil {
		return err
	}
	for _, row := range rows {
		if err := s.row(row); err != nil {
			return err
		}
	}
	return s.close()
}

// rowSpool keeps rows that have to wait, out of memory.
type rowSpool struct {
	spool
	n int
}

func (s *rowSpool) add(row []any) error {
	text, err := json.Marshal(row)
	if err != nil {
		return err
	}
	s.n++
	_, err = s.Write(append(text, '\n'))
	return err
}

// each hands the rows on, in order; numbers are float64.
func (s *rowSpool) each(f func(row []any) error) error {
	in, err := s.reader()
	if err != nil {
		return err
	}
	d := json.NewDecoder(in)
	for range s.n {
		var row []any
		if err := d.Decode(&row); err != nil {
			return err
		}
		if err := f(row); err != nil {
			return err
		}
	}
	return nil
}
