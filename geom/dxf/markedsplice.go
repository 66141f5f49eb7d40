package dxf

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/yofu/dxf/color"
	"github.com/yofu/dxf/table"
)

// edit replaces a piece of a file.
type edit struct {
	span
	with []byte
}

// splice returns the file with marks in it, or says why it cannot. Everything
// but what edits name is copied:
//
//  1. our entities of an earlier run go;
//  2. the layer table gets a row for each of our layers that it lacks; a file
//     without the table or the section gets one;
//  3. our entities follow the last entity;
//  4. the header's next free handle moves on.
func (l *layout) splice(data []byte, d *Drawing, m Marks) (out []byte, why string) {
	if l.broken || l.entities < 0 && l.objects < 0 {
		return nil, "its sections do not hold together"
	}
	a := &adder{l: l, next: l.most + 1}
	if l.most > math.MaxInt64/2 {
		return nil, "its handles are used up"
	}
	if slices.ContainsFunc(d.Repairs, func(r Repair) bool { return r.Code == "paper-space-read" }) {
		if a.sheet = true; !l.onSheet {
			return nil, "the drawing lies on a sheet that is put away, and what else model space holds is left out"
		}
	}
	var edits []edit
	for _, s := range l.ours {
		edits = append(edits, edit{span: s})
	}
	edits = append(edits, a.layers()...)
	edits = append(edits, a.entities(d, m))
	if l.seed.end > l.seed.start {
		edits = append(edits, edit{l.seed, []byte(hex(a.next))})
	}
	slices.SortStableFunc(edits, func(a, b edit) int { return a.start - b.start })
	at := 0
	for _, e := range edits {
		out = append(append(out, data[at:e.start]...), e.with...)
		at = e.end
	}
	return append(out, data[at:]...), ""
}

// adder writes what is added to a file.
type adder struct {
	l    *layout
	next uint64 // free handle

	sheet bool // marks belong on the sheet beside model space
}

func (a *adder) handle() string {
	a.next++
	return hex(a.next - 1)
}

func hex(n uint64) string { return strings.ToUpper(strconv.FormatUint(n, 16)) }

// tags is an empty run of tags in the file's form.
func (a *adder) tags() *tagRun {
	return &tagRun{binary: a.l.s.binary, wide: a.l.s.wide, eol: a.l.eol()}
}

// eol is how lines of the file end.
func (l *layout) eol() string {
	if l.s.eol == '\r' {
		return "\r"
	}
	if i := slices.Index(l.s.data, '\n'); i > 0 && l.s.data[i-1] == '\r' {
		return "\r\n"
	}
	return "\n"
}

// layers adds our layers to the table.
func (a *adder) layers() []edit {
	l := a.l
	t := a.tags()
	at := l.layers.end
	switch {
	case at >= 0:
		n := a.rows(t, l.layers.handle)
		edits := []edit{{span{at, at}, t.b}}
		if was, err := strconv.Atoi(strings.TrimSpace(string(l.s.data[l.layers.count.start:l.layers.count.end]))); err == nil && was > 0 && n > 0 {
			edits = append(edits, edit{l.layers.count, []byte(strconv.Itoa(was + n))})
		}
		return edits
	case l.tables >= 0:
		at = l.tables
		a.table(t)
	default:
		at = l.body
		t.text(0, "SECTION")
		t.text(2, "TABLES")
		a.table(t)
		t.text(0, "ENDSEC")
	}
	return []edit{{span{at, at}, t.b}}
}

// table adds the table of layers.
func (a *adder) table(t *tagRun) {
	handle := ""
	t.text(0, "TABLE")
	t.text(2, "LAYER")
	if a.l.modern {
		handle = a.handle()
		t.text(5, handle)
		t.text(330, "0")
		t.text(100, "AcDbSymbolTable")
	}
	t.integer(70, len(ourLayers))
	a.rows(t, handle)
	t.text(0, "ENDTAB")
}

// rows adds the rows of our layers that the table lacks, after the pattern of
// its first row: a row of R2007 names things that one of R12 does not have.
func (a *adder) rows(t *tagRun, table string) (n int) {
	row := a.l.layers.row
	if row == nil {
		row = []layerTag{{code: 2}, {code: 70}, {code: 62}, {code: 6}}
		if a.l.modern {
			row = slices.Concat([]layerTag{{code: 5}, {330, table}, {100, "AcDbSymbolTableRecord"}, {100, "AcDbLayerTableRecord"}}, row)
		}
	}
	for _, code := range []int{2, 70, 62, 6} {
		if !slices.ContainsFunc(row, func(t layerTag) bool { return t.code == code }) {
			row = append(row[:len(row):len(row)], layerTag{code: code})
		}
	}
	for _, name := range ourLayers {
		if a.l.layers.names[name] {
			continue
		}
		n++
		t.text(0, "LAYER")
		for _, tag := range row {
			switch tag.code {
			case 5:
				t.text(5, a.handle())
			case 330, 100, 390, 347, 348:
				t.text(tag.code, tag.val)
			case 2:
				t.text(2, name)
			case 70:
				t.integer(70, 0)
			case 62:
				t.integer(62, layerColors[name])
			case 6:
				t.text(6, "CONTINUOUS")
			case 370:
				t.integer(370, -3) // the default weight
			}
		}
	}
	return n
}

// entities adds the marks behind the last entity.
func (a *adder) entities(d *Drawing, m Marks) edit {
	at := a.l.entities
	t := a.tags()
	if at < 0 {
		at = a.l.objects
		t.text(0, "SECTION")
		t.text(2, "ENTITIES")
	}
	p := &pen{tagRun: t, a: a, style: a.style()}
	writing.Lock()
	for _, e := range m.additions(d, d.Units.Millimetres) {
		p.color = 0
		if e.color != layerColors[e.layer] {
			p.color = e.color
		}
		e.SetLayer(table.NewLayer(e.layer, color.ColorNumber(layerColors[e.layer]), table.LT_CONTINUOUS))
		e.Format(p)
	}
	writing.Unlock()
	if a.l.entities < 0 {
		t.text(0, "ENDSEC")
	}
	return edit{span{at, at}, t.b}
}

// style is the text style to name, none for the one that texts have anyway.
func (a *adder) style() string {
	if len(a.l.styles) == 0 || slices.ContainsFunc(a.l.styles, func(s string) bool { return strings.EqualFold(s, "STANDARD") }) {
		return ""
	}
	return a.l.styles[0]
}
