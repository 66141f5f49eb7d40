package cli

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"burrcast/rules"

	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
	"golang.org/x/text/transform"
)

// jobTable says what is known of each drawing's order, one row a drawing or a
// pattern.
type jobTable struct {
	name    string // of the file, with "/"
	columns map[string]int
	rows    []jobRow
	latin   bool // not UTF-8: read as Windows-1252

	plain  map[string][]int // rows by the last step of their drawing, folded
	wild   map[string][]int // rows with wild cards by what stands before the first in that step
	rooted bool             // a row names its drawing from the root on
}

// jobRow is one row. An empty value says nothing.
type jobRow struct {
	line    int    // in the file
	drawing string // as written
	pattern pattern
	values  map[string]string // by column
	pieces  int               // 0 for as drawn
}

// jobColumns are the columns that a table may have, in the order of help.
var jobColumns = []string{"drawing", "quantity", "material", "thickness", "process", "edge", "line"}

// mistakesTold bounds how many mistakes of one table are told.
const mistakesTold = 20

// loadJobs reads the job table, or nothing without one.
func (f *checkFlags) loadJobs(shop rules.Shop) (*jobTable, error) {
	if f.jobs == "" {
		return nil, nil
	}
	data, err := os.ReadFile(f.jobs)
	if err != nil {
		return nil, fmt.Errorf("job table %s: %w", f.jobs, plain(err))
	}
	return readJobs(filepath.ToSlash(f.jobs), data, shop)
}

// readJobs reads a table and looks up every value. The error names all mistakes
// that were found, each with its line.
func readJobs(name string, data []byte, shop rules.Shop) (*jobTable, error) {
	t := &jobTable{name: name, plain: map[string][]int{}, wild: map[string][]int{}}
	text, err := t.decode(data)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	in := csv.NewReader(bytes.NewReader(text))
	in.Comma = separatorOf(text)
	in.FieldsPerRecord = -1
	head, err := in.Read()
	switch {
	case errors.Is(err, io.EOF):
		return nil, fmt.Errorf("%s: the job table is empty", name)
	case err != nil:
		return nil, t.broken(err)
	}
	line, _ := in.FieldPos(0)
	if err := t.head(head, line); err != nil {
		return nil, err
	}
	var mistakes []error
	for {
		cells, err := in.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			mistakes = append(mistakes, t.broken(err))
			break // what follows a broken quote is anybody's guess
		}
		line, _ := in.FieldPos(0)
		mistakes = append(mistakes, t.row(cells, line, len(head), in.Comma, shop)...)
	}
	if n := len(mistakes); n > mistakesTold {
		mistakes = append(mistakes[:mistakesTold], fmt.Errorf("%s: and %d more mistakes", name, n-mistakesTold))
	}
	return t, errors.Join(mistakes...)
}

// decode makes the table UTF-8. Spreadsheets on older systems write the code
// page of western Europe; which one a file is in, only its bytes can tell.
func (t *jobTable) decode(data []byte) ([]byte, error) {
	if bytes.HasPrefix(data, []byte{0xff, 0xfe}) || bytes.HasPrefix(data, []byte{0xfe, 0xff}) {
		data, _, err := transform.Bytes(unicode.UTF16(unicode.LittleEndian, unicode.ExpectBOM).NewDecoder(), data)
		return data, err
	}
	data = bytes.TrimPrefix(data, []byte("\ufeff"))
	if !utf8.Valid(data) {
		t.latin = true
		var err error
		if data, err = charmap.Windows1252.NewDecoder().Bytes(data); err != nil {
			return nil, err
		}
	}
	if i := bytes.IndexByte(data, 0); i >= 0 {
		return nil, fmt.Errorf("byte %d is zero: this is no table in text (CSV)", i+1)
	}
	return data, nil
}

// separatorOf finds what stands between cells: that under which the first line
// holds the most columns known, and of equal ones the most cells.
func separatorOf(text []byte) rune {
	best, most := ',', -1
	for _, sep := range []rune{',', ';', '\t'} {
		in := csv.NewReader(bytes.NewReader(text))
		in.Comma = sep
		head, err := in.Read()
		if err != nil {
			continue
		}
		known := 0
		for _, cell := range head {
			if slices.Contains(jobColumns, columnName(cell)) {
				known++
			}
		}
		if n := 1000*known + min(len(head), 999); n > most {
			best, most = sep, n
		}
	}
	return best
}

func columnName(cell string) string { return strings.ToLower(strings.TrimSpace(cell)) }

// head takes the names of the columns.
func (t *jobTable) head(cells []string, line int) error {
	t.columns = map[string]int{}
	for i, cell := range cells {
		name := columnName(cell)
		_, twice := t.columns[name]
		switch {
		case name == "":
			continue // spreadsheets leave empty columns at the end
		case !slices.Contains(jobColumns, name):
			hint := ": the columns are " + strings.Join(jobColumns, ", ")
			if near := nearest(name, jobColumns); near != "" {
				hint = fmt.Sprintf(", did you mean %q?", near)
			}
			return fmt.Errorf("%s:%d: unknown column %q%s", t.name, line, strings.TrimSpace(cell), hint)
		case twice:
			return fmt.Errorf("%s:%d: column %q stands here twice", t.name, line, name)
		}
		t.columns[name] = i
	}
	if _, ok := t.columns["drawing"]; !ok {
		return fmt.Errorf("%s:%d: no column \"drawing\": the first line names the columns, and a row names its drawing", t.name, line)
	}
	return nil
}

// row takes one row and returns what is wrong with it.
func (t *jobTable) row(cells []string, line, width int, comma rune, shop rules.Shop) (wrong []error) {
	fail := func(format string, args ...any) {
		wrong = append(wrong, fmt.Errorf("%s:%d: %w", t.name, line, fmt.Errorf(format, args...)))
	}
	if !slices.ContainsFunc(cells, func(c string) bool { return strings.TrimSpace(c) != "" }) {
		return nil
	}
	if len(cells) != width {
		hint := ""
		if comma == ',' && len(cells) > width {
			hint = " (a comma inside a cell needs quotes round the cell)"
		}
		fail("%d cells under %d columns%s", len(cells), width, hint)
		return wrong
	}
	r := jobRow{line: line, values: map[string]string{}}
	named := map[int]bool{}
	for name, i := range t.columns {
		named[i] = true
		if v := strings.TrimSpace(cells[i]); v != "" {
			r.values[name] = v
		}
	}
	if v := r.values["thickness"]; strings.Count(v, ",") == 1 && !strings.Contains(v, ".") {
		r.values["thickness"] = strings.Replace(v, ",", ".", 1) // the report has points
	}
	for i, cell := range cells {
		if !named[i] && strings.TrimSpace(cell) != "" {
			fail("%q stands under a column without a name", cell)
		}
	}
	if r.drawing = r.values["drawing"]; r.drawing == "" {
		fail("the row names no drawing")
	} else {
		var err error
		if r.pattern, err = newPattern(r.drawing); err != nil {
			fail("drawing %q: %w", r.drawing, err)
		}
	}
	if v, ok := r.values["quantity"]; ok {
		n, err := strconv.Atoi(v)
		if err != nil || n < 1 || n > mostPieces {
			fail("quantity %q: not a number of pieces", v)
		}
		r.pieces = n
	}
	for _, in := range lookups(shop) {
		if v := r.values[in.name]; v != "" {
			if err := in.look(v); err != nil {
				fail("%s: %w", in.name, err)
			}
		}
	}
	if len(wrong) == 0 {
		t.add(r)
	}
	return wrong
}

// broken is an error of the table's form, with its line.
func (t *jobTable) broken(err error) error {
	var p *csv.ParseError
	if errors.As(err, &p) {
		text := "a quote stands inside a cell that has none round it, or is not closed"
		return fmt.Errorf("%s:%d: %s", t.name, p.Line, text)
	}
	return fmt.Errorf("%s: %w", t.name, err)
}

// source names a row as the source of an input.
func (t *jobTable) source(row int) string {
	return fmt.Sprintf("job table %s, line %d", t.name, t.rows[row].line)
}

// hints are what a row says, as notes and names say it.
func (t *jobTable) hints(row int) []rules.Hint {
	r := &t.rows[row]
	var out []rules.Hint
	for _, name := range []string{"material", "thickness", "process", "edge"} {
		if v := r.values[name]; v != "" {
			out = append(out, rules.Hint{Input: name, Value: v, Text: v, Source: t.source(row)})
		}
	}
	return out
}

// given is one value of a row as an input.
func (t *jobTable) given(row int, column string) rules.Given {
	if v := t.rows[row].values[column]; v != "" {
		return rules.Given{Value: v, Source: t.source(row)}
	}
	return rules.Given{}
}
