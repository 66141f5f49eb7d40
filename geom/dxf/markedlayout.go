package dxf

import (
	"strconv"
	"strings"
)

// layout is where things stand in a file that marks go into: byte offsets of
// tags, -1 for what it lacks.
type layout struct {
	s      scanner // as it began, for the form of the file
	broken bool    // a line that is no tag, or an end that is missing

	version string
	modern  bool // R13 and later: subclass markers, owners
	handles bool // entities have them
	most    uint64
	seed    span // the value of $HANDSEED

	body     int // the first section behind HEADER and CLASSES
	tables   int // ENDSEC of TABLES
	entities int // ENDSEC of ENTITIES
	objects  int // the first section behind ENTITIES' place
	layers   layerTable
	styles   []string // text styles
	model    string   // handle of model space
	paper    string   // and of the sheet beside it
	onSheet  bool     // something is drawn there
	ours     []span   // entities of an earlier run
}

// layerTable is the table of layers.
type layerTable struct {
	end    int // ENDTAB
	count  span
	handle string
	names  map[string]bool // in capitals
	row    []layerTag      // the first row, the pattern for ours
}

type layerTag struct {
	code int
	val  string
}

// locate walks a file once. The scanner stands at its beginning.
func locate(s scanner) *layout {
	l := &layout{s: s, body: -1, tables: -1, entities: -1, objects: -1,
		layers: layerTable{end: -1, names: map[string]bool{}}}
	w := &walk{scanner: s, l: l}
	w.stray = func(int, []byte) { l.broken = true }
	w.file()
	if l.version > "AC1009" && strings.HasPrefix(l.version, "AC") {
		l.modern = true
	}
	l.handles = l.handles || l.modern
	return l
}

// walk is one pass over a file.
type walk struct {
	scanner
	l  *layout
	at int // where the current tag begins
	ok bool
}

func (w *walk) step() bool {
	w.at = w.pos
	w.ok = w.next()
	return w.ok
}

// is reports a tag (0, word).
func (w *walk) is(name string) bool {
	return w.code == 0 && strings.EqualFold(string(trim(w.val())), name)
}

// text is the current value where it is one.
func (w *walk) text() string { return string(trim(w.val())) }

// where is the place of the current value in the file, if it is text.
func (w *walk) where() span {
	return span{w.from, w.to}
}

// file walks all sections up to EOF.
func (w *walk) file() {
	w.step()
	for w.ok && !w.is("EOF") {
		if !w.is("SECTION") {
			w.step()
			continue
		}
		start := w.at
		name := ""
		if w.step() && w.code == 2 {
			name = strings.ToUpper(w.text())
			w.step()
		}
		if w.l.body < 0 && name != "HEADER" && name != "CLASSES" {
			w.l.body = start
		}
		if w.l.objects < 0 && (name == "OBJECTS" || name == "THUMBNAILIMAGE" || name == "ACDSDATA") {
			w.l.objects = start
		}
		switch name {
		case "HEADER":
			w.header()
		case "TABLES":
			w.tables()
		case "ENTITIES":
			w.entities()
		default:
			w.rest()
		}
		if !w.is("ENDSEC") {
			w.l.broken = true
		}
	}
	if !w.ok {
		w.l.broken = true
	}
	if w.l.objects < 0 {
		w.l.objects = w.at // EOF
	}
	if w.l.body < 0 {
		w.l.body = w.at
	}
}

// ends reports a word that a section ends at.
func (w *walk) ends() bool { return !w.ok || w.is("ENDSEC") || w.is("SECTION") || w.is("EOF") }

// handle notes the current tag's handle, if it is one.
func (w *walk) handle() {
	if w.code != 5 && w.code != 105 || w.isNum {
		return
	}
	if n, err := strconv.ParseUint(w.text(), 16, 64); err == nil {
		w.l.most = max(w.l.most, n)
	}
}

func (w *walk) rest() {
	for ; !w.ends(); w.step() {
		w.handle()
	}
}

func (w *walk) header() {
	name := ""
	for ; !w.ends(); w.step() {
		switch {
		case w.code == 9:
			name = strings.ToUpper(w.text())
		case w.code == 1 && name == "$ACADVER":
			w.l.version = strings.ToUpper(w.text())
		case w.code == 5 && name == "$HANDSEED" && !w.isNum:
			w.handle() // the seed is free itself; one more is lost
			w.l.seed = w.where()
		}
	}
}

func (w *walk) tables() {
	table, head := "", false
	for !w.ends() {
		switch {
		case w.is("TABLE"):
			table, head = "", true
		case w.code == 0:
			head = false
			if w.is("ENDTAB") && table == "LAYER" && w.l.layers.end < 0 {
				w.l.layers.end = w.at
			}
			if !w.is("ENDTAB") && table != "" && w.is(table) {
				w.row(table)
				continue
			}
		case head && w.code == 2:
			table = strings.ToUpper(w.text())
		case head && w.code == 5 && table == "LAYER":
			w.l.layers.handle = w.text()
		case head && w.code == 70 && table == "LAYER" && !w.isNum:
			w.l.layers.count = w.where()
		}
		w.handle()
		w.step()
	}
	if w.is("ENDSEC") && w.l.tables < 0 {
		w.l.tables = w.at
	}
}

// row reads a row of a table; the walk ends behind it.
func (w *walk) row(table string) {
	var row []layerTag
	name, handle := "", ""
	group := false // of an application
	for w.step() && w.code != 0 {
		w.handle()
		switch {
		case w.code == 102 || w.code >= 1000:
			group = strings.HasPrefix(w.text(), "{") || w.code >= 1000
		case group:
		case w.code == 2:
			name = w.text()
		case w.code == 5:
			handle = w.text()
		}
		if !group && !w.isNum {
			row = append(row, layerTag{w.code, w.text()})
		} else if !group {
			row = append(row, layerTag{w.code, ""})
		}
	}
	switch table {
	case "LAYER":
		w.l.layers.names[strings.ToUpper(name)] = true
		if w.l.layers.row == nil {
			w.l.layers.row = row
		}
	case "STYLE":
		if name != "" {
			w.l.styles = append(w.l.styles, name)
		}
	case "BLOCK_RECORD":
		switch strings.ToUpper(name) {
		case "*MODEL_SPACE":
			w.l.model = handle
		case "*PAPER_SPACE":
			w.l.paper = handle
		}
	}
}

// entities notes where entities end and which are ours.
func (w *walk) entities() {
	for !w.ends() {
		if w.code != 0 {
			w.step()
			continue
		}
		start := w.at
		simple := w.is("CIRCLE") || w.is("ARC") || w.is("LINE") || w.is("TEXT")
		layer, named, draws := "", false, word(w.val()).draws()
		for w.step() && w.code != 0 {
			w.handle()
			switch {
			case w.code == 8 && !named:
				layer, named = w.text(), true
			case w.code == 5:
				w.l.handles = true
			case w.code == 100:
				w.l.modern = true
			case w.code == 67 && draws:
				n, _, _ := w.int()
				w.l.onSheet = w.l.onSheet || n == 1
			}
		}
		if simple && own(layer) {
			w.l.ours = append(w.l.ours, span{start, w.at})
		}
	}
	if w.is("ENDSEC") && w.l.entities < 0 {
		w.l.entities = w.at
	}
}
