package report

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"
)

// The workbook is for estimators: numbers are numbers, units stand in the
// headers, and what depends on a price is a formula over the prices on the
// sheet of assumptions, so that another price gives another quote. Formulas
// carry the values that they have now, for programs that do not compute.

// Sheets of the workbook.
const (
	quoteSheet    = "Quote lines"
	findingSheet  = "Findings"
	questionSheet = "Questions"
	lineSheet     = "Lines compared"
	partSheet     = "Where lines differ"
	assumedSheet  = "Assumptions"
)

// mostRows is what one sheet of a workbook can hold, less the rows above and a
// word on what is left out.
const mostRows = 1_048_576 - 4

// bookRenderer writes findings as they come. Quote lines wait in a spool, since
// totals stand above them and formulas need the prices, and so do questions about
// single drawings, which stand below those about all.
type bookRenderer struct {
	w        io.Writer
	b        *book
	findings *bookSheet
	quotes   rowSpool
	asks     rowSpool
	assumed  [][]any
	leftOut  int // findings beyond what a sheet holds
}

// newBookRenderer keeps what has to wait in files of a folder.
func newBookRenderer(w io.Writer, dir string) *bookRenderer {
	return &bookRenderer{w: w, quotes: rowSpool{spool: spool{dir: dir}}, asks: rowSpool{spool: spool{dir: dir}}}
}

// begin makes the book with the sheets that stand in front.
func (r *bookRenderer) begin() (err error) {
	if r.b != nil {
		return nil
	}
	if r.b, err = newBook(); err != nil {
		return err
	}
	for _, name := range []string{quoteSheet, findingSheet} {
		if err := r.b.name(name); err != nil {
			return err
		}
	}
	r.findings, err = r.b.open(findingSheet, []bookColumn{
		{"Drawing", 34, 0}, {"Part", 7, 0}, {"Pieces", 8, r.b.whole}, {"Treatment", 11, 0}, {"Rule", 18, 0}, {"Feature", 9, 0},
		{"X, mm", 10, r.b.hundredth}, {"Y, mm", 10, r.b.hundredth}, {"Measured", 11, r.b.hundredth}, {"Limit", 11, r.b.hundredth}, {"Unit of both", 13, 0},
		{"Why", 60, r.b.wrapped}, {"What to do", 60, r.b.wrapped}, {"Source", 40, r.b.wrapped}, {"Kind of source", 17, 0},
	}, nil)
	return err
}

// drop gives up what waits, and the book's own temporary files.
func (r *bookRenderer) drop() {
	r.quotes.drop()
	r.asks.drop()
	if r.b != nil {
		r.b.file.Close() // what it held is written or lost with the run
		r.b = nil
	}
}

// Columns of the quote lines, from 1, that formulas name.
const (
	colPieces   = 3
	colLine     = 10 // low, high, a piece, minutes
	colHand     = 12
	colWear     = 14
	colLineAll  = 16 // formulas from here
	colHandAll  = 18
	colCost     = 20
	colCostAll  = 22
	colWhy      = 24
	colMessages = 25
)

// Names of the prices.
var priceNames = [...][2]string{{"line_hour_low", "line_hour_high"}, {"bench_hour_low", "bench_hour_high"}}

func (r *bookRenderer) Drawing(d *Drawing) error {
	if err := r.begin(); err != nil {
		return err
	}
	for _, in := range d.Inputs {
		if in.Value == "" || !in.common() {
			continue
		}
		row := []any{cellText(in.Name), cellValue(in.Value), nil, "", cellText(in.Source)}
		if !slices.ContainsFunc(r.assumed, func(have []any) bool { return slices.Equal(have, row) }) {
			r.assumed = append(r.assumed, row)
		}
	}
	var told []string
	for _, m := range d.Messages {
		if m.Code != InputCode && m.Code != QuestionCode {
			told = append(told, m.Text)
		}
	}
	if words := d.markedAnew(); words != "" {
		told = append(told, words)
	}
	// A cell holds 32,767 characters; nobody reads a tenth of it.
	messages := cellText(shorten(strings.Join(told, "; "), 2000))
	if len(d.Parts) == 0 {
		if err := r.quotes.add([]any{cellText(d.File), "", 0, unread, nil, nil, nil, nil, nil,
			nil, nil, nil, nil, nil, nil, nil, nil, nil, nil, nil, nil, nil, nil, "could not be measured", messages}); err != nil {
			return err
		}
		return r.asks.add([]any{cellText(d.File), "", "drawing", messages, "", nil, ""})
	}
	for i := range d.Parts {
		if i > 0 {
			messages = ""
		}
		if err := r.part(d, &d.Parts[i], messages); err != nil {
			return err
		}
	}
	return nil
}

func (r *bookRenderer) part(d *Drawing, p *Part, messages string) error {
	groups := byRule(p.Findings)
	var why []string
	for _, g := range groups {
		s := g[0].Rule
		if len(g) > 1 {
			s += fmt.Sprintf(" (%d)", len(g))
		}
		why = append(why, s+": "+strings.TrimSuffix(g[0].Why, "."))
	}
	if err := r.quotes.add([]any{cellText(d.File), cellText(p.ID), p.Quantity, string(p.Treatment),
		cellText(d.Input("material").Value), cellValue(d.Input("thickness").Value), cellText(d.Input("process").Value),
		float64(p.BBox[0]), float64(p.BBox[1]),
		float64(p.Time.Line[0]) / 60, float64(p.Time.Line[1]) / 60, float64(p.Time.Hand[0]) / 60, float64(p.Time.Hand[1]) / 60,
		float64(p.Cost[0]), float64(p.Cost[1]), // become the abrasive's share once the prices are known
		nil, nil, nil, nil, nil, nil, nil, nil, cellText(strings.Join(why, "; ")), messages}); err != nil {
		return err
	}
	for _, g := range groups {
		for i := range g {
			f := &g[i]
			if r.findings.rows >= mostRows {
				r.leftOut++
				continue
			}
			row := []any{cellText(d.File), cellText(p.ID), p.Quantity, string(f.Treatment), cellText(f.Rule), cellText(f.Feature)}
			if placed(f) {
				row = append(row, float64(f.X), float64(f.Y))
			} else {
				row = append(row, nil, nil)
			}
			row = append(row, number(f.Measured), number(f.Limit), cellText(f.Unit), cellText(f.Why), cellText(f.Do), cellText(f.Source), cellText(f.Provenance))
			if err := r.findings.row(row); err != nil {
				return err
			}
			if f.Treatment == "ask" && i == 0 {
				if err := r.asks.add([]any{cellText(d.File), cellText(p.ID), cellText(f.Rule), cellText(f.Why), cellText(f.Do), nil, ""}); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

// cellText is a text that no spreadsheet takes for a formula.
func cellText(s string) string { return harmless(clean(s)) }

// cellValue is a number where a text is one.
func cellValue(s string) any {
	if v, err := strconv.ParseFloat(s, 64); err == nil && !math.IsNaN(v) && !math.IsInf(v, 0) {
		return v
	}
	return cellText(s)
}

func shorten(s string, most int) string {
	if width(s) <= most {
		return s
	}
	return s[:prefix(s, most)] + " ..."
}

func number(n *Num) any {
	if n == nil {
		return nil
	}
	return float64(*n)
}

func (r *bookRenderer) Close(t Tail) error {
	defer r.drop()
	if err := r.begin(); err != nil {
		return err
	}
	b := r.b
	steps := []func() error{
		func() error { return r.quoteLines(b, t) },
		func() error { return r.lastFindings() },
		func() error { return r.questions(b, t) },
		func() error { return linesCompared(b, t.Comparison) },
		func() error { return linesDiffer(b, t.Comparison) },
		func() error { return changed(b, t.Changes) },
		func() error { return r.assumptions(b, t) },
	}
	for _, step := range steps {
		if err := step(); err != nil {
			return err
		}
	}
	_, err := b.file.WriteTo(r.w)
	return err
}

// quoteLines writes one row a part: times, then formulas for money.
func (r *bookRenderer) quoteLines(b *book, t Tail) error {
	money := strings.TrimSpace(cellText(t.Rates.Currency))
	if money == "" {
		money = "money"
	}
	cols := []bookColumn{
		{"Drawing", 34, 0}, {"Part", 7, 0}, {"Pieces", 8, b.whole}, {"Treatment", 11, 0}, {"Material", 12, 0}, {"Thickness, mm", 11, 0}, {"Process", 11, 0},
		{"Length X, mm", 10, b.tenth}, {"Width Y, mm", 10, b.tenth},
		{"Line a piece, min, low", 10, b.hundredth}, {"Line a piece, min, high", 10, b.hundredth},
		{"Bench a piece, min, low", 10, b.hundredth}, {"Bench a piece, min, high", 10, b.hundredth},
		{"Abrasive a piece, " + money + ", low", 11, b.fine}, {"Abrasive a piece, " + money + ", high", 11, b.fine},
		{"Line in all, min, low", 10, b.tenth}, {"Line in all, min, high", 10, b.tenth},
		{"Bench in all, min, low", 10, b.tenth}, {"Bench in all, min, high", 10, b.tenth},
		{"Cost a piece, " + money + ", low", 11, b.hundredth}, {"Cost a piece, " + money + ", high", 11, b.hundredth},
		{"Cost in all, " + money + ", low", 12, b.hundredth}, {"Cost in all, " + money + ", high", 12, b.hundredth},
		{"Why", 70, b.wrapped}, {"About the drawing", 50, b.wrapped},
	}
	// Once for the total, which stands first, and once for the rows.
	var sum [colMessages + 1]float64
	err := r.quotes.each(func(row []any) error {
		priced(row, 0, t.Rates, cols, &sum)
		return nil
	})
	if err != nil {
		return err
	}
	last := max(r.quotes.n, 1) + 2
	total := make([]any, colMessages)
	total[0] = excelize.Cell{StyleID: b.total, Value: "Total of the rows shown"}
	for _, col := range []int{colPieces, colLineAll, colLineAll + 1, colHandAll, colHandAll + 1, colCostAll, colCostAll + 1} {
		style := b.totalNumber
		if col == colPieces {
			style = b.totalWhole
		}
		total[col-1] = excelize.Cell{StyleID: style, Value: sum[col],
			Formula: fmt.Sprintf("SUBTOTAL(109,%s:%s)", cellName(col, 3), cellName(col, last))}
	}
	s, err := b.open(quoteSheet, cols, [][]any{total})
	if err != nil {
		return err
	}
	err = r.quotes.each(func(row []any) error {
		priced(row, s.head+s.rows+1, t.Rates, cols, &sum)
		return s.row(row)
	})
	if err != nil {
		return err
	}
	return s.close()
}

// priced fills in the formulas of the quote line in row n of the sheet, and the
// values that they have now, which it adds up.
func priced(row []any, n int, rates Rates, cols []bookColumn, sum *[colMessages + 1]float64) {
	value := func(col int) float64 { v, _ := row[col-1].(float64); return v }
	pieces := value(colPieces)
	if pieces == 0 {
		return
	}
	sum[colPieces] += pieces
	for k := range 2 {
		line, bench := value(colLine+k), value(colHand+k)
		priceLine, priceBench := float64(rates.Line[k])/60, float64(rates.Bench[k])/60
		wear := max(0, value(colWear+k)-line*priceLine-bench*priceBench)
		row[colWear-1+k] = wear
		each := line*priceLine + bench*priceBench + wear
		put := func(col int, value float64, formula func() string) {
			sum[col+k] += value
			if n > 0 {
				row[col-1+k] = excelize.Cell{StyleID: cols[col-1+k].style, Formula: formula(), Value: value}
			}
		}
		times := func(col int) func() string {
			return func() string { return cellName(colPieces, n) + "*" + cellName(col+k, n) }
		}
		put(colLineAll, pieces*line, times(colLine))
		put(colHandAll, pieces*bench, times(colHand))
		put(colCost, each, func() string {
			return fmt.Sprintf("%s/60*%s+%s/60*%s+%s", cellName(colLine+k, n), priceNames[0][k], cellName(colHand+k, n), priceNames[1][k], cellName(colWear+k, n))
		})
		put(colCostAll, pieces*each, times(colCost))
	}
}

// lastFindings finishes the findings.
func (r *bookRenderer) lastFindings() error {
	if r.leftOut > 0 {
		if err := r.findings.row([]any{fmt.Sprintf("%d more findings do not fit a sheet; they are in %s", r.leftOut, ProgramFile)}); err != nil {
			return err
		}
	}
	return r.findings.close()
}

func (r *bookRenderer) questions(b *book, t Tail) error {
	var rows [][]any
	for _, q := range t.Questions {
		rows = append(rows, []any{"all drawings", "", cellText(q.Input), cellText(q.Text), cellText("Not judged without it: " + strings.Join(q.Unjudged, ", ")), q.Drawings, ""})
	}
	if err := b.name(questionSheet); err != nil {
		return err
	}
	s, err := b.open(questionSheet, []bookColumn{
		{"Drawing", 34, 0}, {"Part", 7, 0}, {"About", 18, 0}, {"Question or contradiction", 80, b.wrapped}, {"Why it matters, or what to do", 60, b.wrapped},
		{"Open in, drawings", 10, b.whole}, {"Answer", 40, b.answer},
	}, nil)
	if err != nil {
		return err
	}
	for _, row := range rows {
		if err := s.row(row); err != nil {
			return err
		}
	}
	if err := r.asks.each(s.row); err != nil {
		return err
	}
	return s.close()
}

// linesCompared writes how the whole mix does on every line.
func linesCompared(b *book, c *Comparison) error {
	if c == nil {
		return nil
	}
	money := cellText(c.Currency)
	var rows [][]any
	for _, l := range c.Lines {
		row := []any{cellText(l.Line), cellText(l.Title), l.Pieces, l.By.Line, l.By.Brush, l.By.Fixture, l.By.Hand, l.By.Ask, l.Never}
		for _, v := range []struct {
			r  Range
			by float64
		}{{l.LineTime, 60}, {l.Hand, 60}, {l.Abrasive, 1}, {l.Cost, 1}} {
			row = append(row, float64(v.r[0])/v.by, float64(v.r[1])/v.by)
		}
		note := ""
		if l.Line == c.Best {
			note = cellText("best for this mix: " + c.Why)
		}
		if l.Line == c.Judged {
			note = strings.TrimPrefix(note+"; the other sheets are judged on this line", "; ")
		}
		rows = append(rows, append(row, note))
	}
	return b.sheet(lineSheet, []bookColumn{
		{"Line", 24, 0}, {"What it is", 40, b.wrapped}, {"Pieces", 8, b.whole}, {"Run as they are", 9, b.whole}, {"Need a brush", 9, b.whole}, {"Need holding", 9, b.whole},
		{"Bench work", 9, b.whole}, {"Answer first", 9, b.whole}, {"Not taken", 9, b.whole},
		{"Line, min, low", 10, b.tenth}, {"Line, min, high", 10, b.tenth}, {"Bench, min, low", 10, b.tenth}, {"Bench, min, high", 10, b.tenth},
		{"Abrasive, " + money + ", low", 11, b.hundredth}, {"Abrasive, " + money + ", high", 11, b.hundredth},
		{"Cost, " + money + ", low", 12, b.hundredth}, {"Cost, " + money + ", high", 12, b.hundredth}, {"Note", 60, b.wrapped},
	}, nil, rows)
}

// linesDiffer writes the parts that lines treat differently: between the best
// line and the next, then among all.
func linesDiffer(b *book, c *Comparison) error {
	if c == nil || len(c.Next)+len(c.Differences) == 0 {
		return nil
	}
	var rows [][]any
	for _, list := range []struct {
		among string
		parts []Difference
	}{{"best and next: " + c.Best + ", " + c.Second(), c.Next}, {"all lines", c.Differences}} {
		for _, d := range list.parts {
			words := make([]string, len(d.By))
			for i, w := range d.By {
				words[i] = strings.TrimSpace(w.Line + " " + string(w.Treatment) + " " + w.Rule)
			}
			rows = append(rows, []any{cellText(list.among), cellText(d.File), cellText(d.Part), d.Pieces, cellText(d.Best), cellText(d.Worst),
				float64(d.Extra[0]), float64(d.Extra[1]), cellText(strings.Join(words, "; "))})
		}
	}
	if c.Others > 0 {
		rows = append(rows, []any{cellText(plural(c.Others, "part") + " more")})
	}
	money := cellText(c.Currency)
	return b.sheet(partSheet, []bookColumn{
		{"Among", 26, b.wrapped}, {"Drawing", 34, 0}, {"Part", 7, 0}, {"Pieces", 8, b.whole}, {"Cheapest on", 22, 0}, {"Dearest on", 22, 0},
		{"Dearer by, " + money + ", low", 12, b.hundredth}, {"Dearer by, " + money + ", high", 12, b.hundredth}, {"Treatment on each line, and the rule", 80, b.wrapped},
	}, nil, rows)
}

// assumptions holds the prices, which may be changed, and what was taken for
// granted.
func (r *bookRenderer) assumptions(b *book, t Tail) error {
	price := func(name string, v Range, what string) []any {
		return []any{name, excelize.Cell{StyleID: b.input, Value: float64(v[0])}, excelize.Cell{StyleID: b.input, Value: float64(v[1])},
			cellText(strings.TrimSpace(t.Rates.Currency + " an hour")), what}
	}
	rows := [][]any{
		price("line", t.Rates.Line, "price of an hour of the line; change it here and the quote lines follow"),
		price("bench", t.Rates.Bench, "price of an hour at the bench; change it here and the quote lines follow"),
	}
	for i := range priceNames {
		for k, name := range priceNames[i] {
			at, err := excelize.CoordinatesToCellName(2+k, 2+i, true)
			if err != nil {
				return err
			}
			if err := b.file.SetDefinedName(&excelize.DefinedName{Name: name, RefersTo: assumedSheet + "!" + at}); err != nil {
				return err
			}
		}
	}
	rows = append(rows, r.assumed...)
	rows = append(rows, []any{"times", "", nil, "min", "low and high are a forecast; samples of the shop's own prove or replace it"})
	for _, m := range t.Messages {
		rows = append(rows, []any{"message", "", nil, "", cellText(sentence(m.Text))})
	}
	for _, n := range t.Notes {
		rows = append(rows, []any{"note", "", nil, "", cellText(sentence(n))})
	}
	return b.sheet(assumedSheet, []bookColumn{{"What", 18, 0}, {"Value or low", 24, 0}, {"High", 12, 0}, {"Unit", 16, 0}, {"Source or remark", 90, b.wrapped}}, nil, rows)
}

// cellName is the name of a cell; row and column count from 1.
func cellName(col, row int) string {
	name, err := excelize.CoordinatesToCellName(col, row)
	if err != nil {
		panic("implementation error: " + err.Error())
	}
	return name
}
