package samples

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"burrcast/analyze/measure"
	"burrcast/rules"

	"golang.org/x/text/encoding/charmap"
	textunicode "golang.org/x/text/encoding/unicode"
)

// Sample is one inspected place on a finished piece.
type Sample struct {
	File string // where it was read
	Row  int    // there; lines of a text count from 1, rows of a sheet, too

	Drawing, Part, Order, Piece, Place string
	X, Y                               measure.Value // mm in the drawing
	Rule, Line                         string        // names as rules and shop file have them
	Material                           string        // as written
	Family                             string        // of the material; "" unknown
	Process                            string        // key of the shop file; "" unknown
	Thickness                          measure.Value // mm
	Measured                           float64       // in the rule's unit
	Filament                           float64       // mm, of the brush that worked it; 0 not written
	Chance                             measure.Value // forecast of clean, 0 to 1, as made before it was inspected
	Burr                               [2]measure.Value
	Clean                              bool
	Cut, Left                          measure.Value // burr height as cut, and left after the line, mm
	Radius                             measure.Value // of the edge, mm
	Date                               time.Time     // zero if not written
	Remarks                            string
}

// Problem is a row, or a file, that cannot be used.
type Problem struct {
	File   string
	Row    int    // 0: the file as a whole
	Column string // "": the row as a whole
	Reason string
}

// Table is what one file of samples says.
type Table struct {
	File     string
	Samples  []Sample
	Waiting  []Sample // places of a form that nobody has inspected yet
	Problems []Problem
	Rows     int      // below the header, blank ones left out
	Unused   []string // headers that mean nothing here
}

// Row is one row of cells with its number in the file.
type Row struct {
	N     int
	Cells []string
}

// Context is what rows are checked against.
type Context struct {
	Shop  rules.Shop
	Today time.Time // no sample was inspected after it; zero: any day will do

	Places *Places // of drawings that say what a row leaves blank; nil: none
}

// ReadCSV reads samples from text with commas, semicolons or tabs between cells,
// in UTF-8, UTF-16 with its mark, or the code page of western office programs.
func ReadCSV(file string, data []byte, ctx Context) Table {
	text, err := decode(data)
	if err != nil {
		return Table{File: file, Problems: []Problem{{File: file, Reason: err.Error()}}}
	}
	first, rest := "", text
	if line, after, _ := strings.Cut(text, "\n"); strings.HasPrefix(strings.ToLower(line), "sep=") {
		first, rest = strings.TrimSpace(line[4:]), after
	}
	r := csv.NewReader(strings.NewReader(rest))
	r.FieldsPerRecord, r.LazyQuotes = -1, true
	r.Comma = separator(rest)
	skipped := 0
	if first != "" {
		c, _ := utf8.DecodeRuneInString(first)
		r.Comma, skipped = c, 1
	}
	var rows []Row
	var broken []Problem
	for {
		cells, err := r.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			var p *csv.ParseError
			n := 0
			if errors.As(err, &p) {
				n = p.StartLine + skipped
				err = p.Err
			}
			broken = append(broken, Problem{File: file, Row: n, Reason: "cannot be read on from here: " + err.Error()})
			break
		}
		line, _ := r.FieldPos(0)
		rows = append(rows, Row{line + skipped, cells})
	}
	t := ReadRows(file, rows, ctx)
	t.Problems = append(t.Problems, broken...)
	return t
}

// decode turns text of any of the usual encodings into UTF-8.
func decode(data []byte) (string, error) {
	switch {
	case bytes.HasPrefix(data, []byte("\xef\xbb\xbf")):
		data = data[3:]
	case bytes.HasPrefix(data, []byte("\xff\xfe")), bytes.HasPrefix(data, []byte("\xfe\xff")):
		out, err := textunicode.UTF16(textunicode.LittleEndian, textunicode.ExpectBOM).NewDecoder().Bytes(data)
		if err != nil {
			return "", errors.New("not text: UTF-16 that is not whole")
		}
		data = out
	}
	if bytes.IndexByte(data, 0) >= 0 {
		return "", errors.New("not text: it holds zero bytes")
	}
	if !utf8.Valid(data) {
		out, err := charmap.Windows1252.NewDecoder().Bytes(data)
		if err != nil {
			return "", errors.New("not text in an encoding that is known here")
		}
		data = out
	}
	s := strings.ReplaceAll(string(data), "\r\n", "\n")
	return strings.ReplaceAll(s, "\r", "\n"), nil
}

// separator is the mark that stands most often in the line that names columns.
func separator(text string) rune {
	best, most := ',', 0
	n := 0
	for line := range strings.Lines(text) {
		if n++; n > headRows {
			break
		}
		for _, c := range []rune{',', ';', '\t'} {
			known := 0
			for cell := range strings.SplitSeq(line, string(c)) {
				if column(strings.Trim(strings.TrimSpace(cell), `"`)) != "" {
					known++
				}
			}
			if known > most {
				best, most = c, known
			}
		}
	}
	return best
}

// headRows is how many rows may stand above the one that names the columns.
const headRows = 30

// ReadRows reads samples from rows of cells. The first row that names the
// columns required is the header. Every row that cannot be used is named with
// the column and the reason, and left out.
func ReadRows(file string, rows []Row, ctx Context) Table {
	t := Table{File: file}
	want := required
	if ctx.Places != nil {
		want = joined
	}
	at, head := header(rows, want)
	if at < 0 {
		missing := want
		if head != nil {
			missing = nil
			for _, c := range want {
				if _, ok := head[c]; !ok {
					missing = append(missing, c)
				}
			}
		}
		t.Problems = append(t.Problems, Problem{File: file, Reason: "no row names the columns: " + strings.Join(missing, ", ") + " not found"})
		return t
	}
	for _, h := range rows[at].Cells {
		if h = strings.TrimSpace(h); h != "" && column(h) == "" {
			t.Unused = append(t.Unused, h)
		}
	}
	for _, row := range rows[at+1:] {
		if !slices.ContainsFunc(row.Cells, func(c string) bool { return strings.TrimSpace(c) != "" }) {
			continue
		}
		t.Rows++
		r := reader{row: row, head: head, ctx: &ctx}
		s := r.sample()
		s.File, s.Row = file, row.N
		switch {
		case r.reason != "":
			t.Problems = append(t.Problems, Problem{file, row.N, r.column, r.reason})
		case r.waiting:
			t.Waiting = append(t.Waiting, s)
		default:
			t.Samples = append(t.Samples, s)
		}
	}
	return t
}

// header finds the row that names the columns: column -> index of the cell.
// Where there is none it returns -1 and the row that comes nearest.
func header(rows []Row, want []string) (int, map[string]int) {
	var near map[string]int
	for i, row := range rows[:min(len(rows), headRows)] {
		head := map[string]int{}
		for k, cell := range row.Cells {
			if c := column(cell); c != "" {
				if _, twice := head[c]; !twice {
					head[c] = k
				}
			}
		}
		if !slices.ContainsFunc(want, func(c string) bool { _, ok := head[c]; return !ok }) {
			return i, head
		}
		if len(head) > len(near) {
			near = head
		}
	}
	return -1, near
}

// reader reads one row. The first thing that is wrong is its reason.
type reader struct {
	row            Row
	head           map[string]int
	ctx            *Context
	column, reason string
	waiting        bool
}

func (r *reader) bad(column, format string, args ...any) {
	if r.reason == "" {
		r.column, r.reason = column, fmt.Sprintf(format, args...)
	}
}

// cell is the text in a column, "" where the row or the sheet has none.
func (r *reader) cell(column string) string {
	k, ok := r.head[column]
	if !ok || k >= len(r.row.Cells) {
		return ""
	}
	return strings.TrimSpace(r.row.Cells[k])
}

// name is the text in a column that must not be blank.
func (r *reader) name(column string) string {
	s := r.cell(column)
	if s == "" {
		r.bad(column, "is blank")
	}
	return s
}

// value is a number between bounds, or not known where the cell is blank.
func (r *reader) value(column string, low, high float64) measure.Value {
	s := r.cell(column)
	if s == "" {
		return measure.Value{}
	}
	v, err := number(s)
	if err != nil {
		r.bad(column, "%v", err)
		return measure.Value{}
	}
	if v < low || v > high {
		r.bad(column, "%g is not between %g and %g", v, low, high)
	}
	return measure.Of(v, 0)
}

// Bounds of what a row may say, mm: beyond them it is a slip of the pen.
const (
	farthest  = 1e6
	widest    = 10000
	thickest  = 300
	highest   = 20
	roundest  = 20
	thickHair = 20
)

func (r *reader) sample() Sample {
	s := Sample{
		Drawing: r.name(ColDrawing), Part: r.name(ColPart), Place: r.name(ColPlace),
		Order: r.cell(ColOrder), Piece: r.cell(ColPiece), Remarks: r.cell(ColRemarks),
		X: r.value(ColX, -farthest, farthest), Y: r.value(ColY, -farthest, farthest),
		Thickness: r.value(ColThickness, 1e-3, thickest),
		Cut:       r.value(ColCut, 0, highest), Left: r.value(ColLeft, 0, highest), Radius: r.value(ColRadius, 0, roundest),
		Burr:     [2]measure.Value{r.value(ColBurrLow, 0, highest), r.value(ColBurrHigh, 0, highest)},
		Filament: r.value(ColFilament, 1e-3, thickHair).V,
	}
	r.words(&s)
	s.Measured = r.value(ColMeasured, 1e-6, widest).V
	if c := r.cell(ColChance); c != "" {
		v, err := chance(c)
		if err != nil {
			r.bad(ColChance, "%v", err)
		}
		s.Chance = measure.Of(v, 0)
	}
	if d := r.cell(ColDate); d != "" {
		v, err := day(d, r.ctx.Today)
		if err != nil {
			r.bad(ColDate, "%v", err)
		}
		s.Date = v
	}
	r.outcome(&s)
	r.join(&s)
	for _, c := range []struct {
		column string
		blank  bool
	}{{ColRule, s.Rule == ""}, {ColLine, s.Line == ""}, {ColMeasured, s.Measured == 0}} {
		if c.blank && r.ctx.Places != nil {
			r.bad(c.column, "is blank, and no drawing given has this place on this line")
		} else if c.blank {
			r.bad(c.column, "is blank")
		}
	}
	return s
}

// words looks up what the shop has names for.
func (r *reader) words(s *Sample) {
	shop := r.ctx.Shop
	s.Rule = strings.ToLower(r.cell(ColRule))
	if k := kindOf(s.Rule); k == nil && s.Rule != "" {
		if _, ok := rules.Lookup(s.Rule); ok {
			r.bad(ColRule, "%s is not a rule that places are sampled for", s.Rule)
		} else {
			r.bad(ColRule, "no rule %q", s.Rule)
		}
	} else if rule, _ := rules.Lookup(s.Rule); k != nil {
		if u := strings.ToLower(r.cell(ColUnit)); u != "" && u != rule.Unit {
			r.bad(ColUnit, "%q, but %s is measured in %s", u, s.Rule, rule.Unit)
		}
	}
	if line := r.cell(ColLine); line != "" {
		if _, err := shop.Line(line); err != nil {
			r.bad(ColLine, "%v", err)
		}
		s.Line = shop.LineName(line)
	}
	if s.Material = r.cell(ColMaterial); s.Material != "" {
		m, err := shop.Material(s.Material)
		if err != nil {
			r.bad(ColMaterial, "%v", err)
		}
		s.Family = m.Family
	}
	if p := r.cell(ColProcess); p != "" {
		key, _, err := shop.Process(p)
		if err != nil {
			r.bad(ColProcess, "%v", err)
		}
		s.Process = key
	}
}

func (r *reader) outcome(s *Sample) {
	word := r.cell(ColOutcome)
	if word == "" {
		r.waiting = true
		if s.Left.Known || s.Radius.Known {
			r.bad(ColOutcome, "is blank, but something was measured after the line: write clean or burr")
		}
		return
	}
	clean, ok := outcomes[strings.ToLower(word)]
	if !ok {
		r.bad(ColOutcome, "%q is neither clean nor burr", word)
	}
	s.Clean = clean
	if !clean && s.Left.Known && s.Left.V == 0 {
		r.bad(ColLeft, "burr is left, and its height is 0")
	}
	if low, high := s.Burr[0], s.Burr[1]; low.Known && high.Known && low.V > high.V {
		r.bad(ColBurrHigh, "the forecast's high end %g is below its low end %g", high.V, low.V)
	}
}
