package report

import (
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

// sheet writes one sheet: rows above the header, the header, and the rows as a
// table with a filter. What stands above and the header stay in sight.
func (b *book) sheet(name string, cols []bookColumn, above, rows [][]any) error {
	if b.first {
		b.first = false
		if err := b.file.SetSheetName("Sheet1", name); err != nil {
			return err
		}
	} else if _, err := b.file.NewSheet(name); err != nil {
		return err
	}
	wide, landscape, one, tall := true, "landscape", 1, 0
	if err := b.file.SetSheetProps(name, &excelize.SheetPropsOptions{FitToPage: &wide}); err != nil {
		return err
	}
	if err := b.file.SetPageLayout(name, &excelize.PageLayoutOptions{Orientation: &landscape, FitToWidth: &one, FitToHeight: &tall}); err != nil {
		return err
	}
	w, err := b.file.NewStreamWriter(name)
	if err != nil {
		return err
	}
	for i, c := range cols {
		if err := w.SetColWidth(i+1, i+1, c.width); err != nil {
			return err
		}
	}
	head := len(above) + 1
	if err := w.SetPanes(&excelize.Panes{Freeze: true, YSplit: head, TopLeftCell: cellName(1, head+1), ActivePane: "bottomLeft"}); err != nil {
		return err
	}
	for i, row := range above {
		if err := w.SetRow(cellName(1, i+1), row); err != nil {
			return err
		}
	}
	titles := make([]any, len(cols))
	for i, c := range cols {
		titles[i] = excelize.Cell{StyleID: b.head, Value: c.header}
	}
	if err := w.SetRow(cellName(1, head), titles, excelize.RowOpts{Height: 48}); err != nil {
		return err
	}
	for i, row := range rows {
		cells := make([]any, len(row))
		for k, v := range row {
			if _, styled := v.(excelize.Cell); !styled && k < len(cols) && cols[k].style > 0 {
				v = excelize.Cell{StyleID: cols[k].style, Value: v}
			}
			cells[k] = v
		}
		if err := w.SetRow(cellName(1, head+1+i), cells, excelize.RowOpts{Height: b.height(cols, row)}); err != nil {
			return err
		}
	}
	// A table has one row at least.
	if err := w.AddTable(&excelize.Table{Range: cellName(1, head) + ":" + cellName(len(cols), head+max(len(rows), 1)),
		StyleName: "TableStyleLight1"}); err != nil {
		return err
	}
	return w.Flush()
}
