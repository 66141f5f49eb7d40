package dxf

import (
	"bytes"
	"fmt"
	"strings"

	"golang.org/x/text/encoding"
)

// parser collects what one pass over the tags finds, in drawing units and in
// file order. It knows the frame of a drawing: sections, tables and blocks.
type parser struct {
	s   scanner
	ok  bool // the scanner stands on a tag
	opt Options

	header header
	layers []rawLayer
	blocks []block
	ents   []entity
	nums   []float64
	texts  [][]byte
	names  interner
	model  []span
	paper  []span // contents of paper space blocks
	g      groups
	sp     splineGroups

	repairs  []repairRecord
	more     int  // repairs beyond Options.MaxRepairs
	swapped  bool // y stands before x in the polyline being read
	wide     bool // the polyline being read has a width
	bands    int  // polylines with a width so far
	ownText  bool // the last text is no piece of the file
	strays   int  // lines that should be group codes, in the entity being read
	astray   int  // the same in the whole file
	sections int
	enc      encoding.Encoding
	rgb      int32 // the true colour met last, plus one
	index    int16 // the index nearest to it
	handles  strings.Builder
	scratch  *scratch

	types                   [kindEOF + 1]int32 // names of kinds, as met
	lastLayer, lastLineType int32
}

// header is what is used of the HEADER section.
type header struct {
	version, codePage      string
	insUnits, measurement  int
	hasUnits, hasMeasure   bool
	unitsLine, measureLine int
}

// rawLayer is a row of the layer table.
type rawLayer struct {
	name, ltype     int32
	color           int
	off, frozen, np bool
}

func (p *parser) next() bool {
	p.ok = p.s.next()
	return p.ok
}

// note records a mended place.
func (p *parser) note(code string, line int, format string, args ...any) {
	if len(p.repairs) >= p.opt.MaxRepairs {
		p.more++
		return
	}
	p.repairs = append(p.repairs, repairRecord{Repair: Repair{
		Code: code, Line: line, Text: fmt.Sprintf(format, args...),
	}})
}

// noteEntity records a mended place of an entity, or its rejection.
func (p *parser) noteEntity(e *entity, code string, line int, rejected bool, format string, args ...any) {
	if rejected {
		e.flags |= flagRejected
	}
	if len(p.repairs) >= p.opt.MaxRepairs {
		p.more++
		return
	}
	p.repairs = append(p.repairs, repairRecord{
		Repair: Repair{
			Code: code, Line: line, Entity: p.names.names[e.typ], Handle: e.handle,
			Text: fmt.Sprintf(format, args...), Rejected: rejected,
		},
		layer: e.layer,
	})
}

// hopeless is the number of lines without a group code, in a file without a
// section so far, after which reading ends.
const hopeless = 10000

// stray is told of lines that stand where a group code must be.
func (p *parser) stray(line int, text []byte) {
	if len(trim(text)) == 0 {
		p.note("blank-line", line, "blank line where a group code is due")
		return
	}
	p.strays++
	if p.astray++; p.sections == 0 && p.astray > hopeless {
		p.s.pos = len(p.s.data)
	}
	p.note("bad-code", line, "%s is no group code", quote(text))
}

// quote shows a piece of the file, cut to a readable length.
func quote(b []byte) string {
	const most = 40
	b = trim(b)
	if len(b) > most {
		return fmt.Sprintf("%q...", b[:most])
	}
	return fmt.Sprintf("%q", b)
}

// word returns the kind of a (0, word) tag.
func word(val []byte) kind {
	switch string(val) {
	case "LINE":
		return kindLine
	case "ARC":
		return kindArc
	case "CIRCLE":
		return kindCircle
	case "LWPOLYLINE":
		return kindLWPolyline
	case "VERTEX":
		return kindVertex
	}
	if k, ok := kinds[string(val)]; ok {
		return k
	}
	val = trim(val)
	if len(val) > 32 {
		return kindOther
	}
	return kinds[string(bytes.ToUpper(val))]
}

// run reads the whole file.
func (p *parser) run() {
	p.next()
	for p.ok {
		if p.s.code != 0 {
			p.note("outside-section", p.s.line, "tags outside any section")
			p.skipEntity()
			continue
		}
		switch word(p.s.val()) {
		case kindSection:
			p.section()
		case kindEndsec:
			p.note("stray-endsec", p.s.line, "ENDSEC without a section")
			p.next()
		case kindEOF:
			p.junk()
			return
		case kindEndblk, kindBlock:
			p.note("outside-section", p.s.line, "block outside the BLOCKS section")
			p.next()
			p.skipEntity()
		default:
			p.note("outside-section", p.s.line, "entities outside any section")
			p.entities(&p.model)
		}
	}
	p.note("missing-eof", p.s.lines, "the file ends without EOF")
}

// junk reports what stands behind EOF.
func (p *parser) junk() {
	rest := p.s.data[p.s.pos:]
	for _, c := range rest {
		if !isBlank(c) && c != '\n' && c != 0 && c != 0x1a {
			line := p.s.lines + 1
			if p.s.binary {
				line = p.s.pos
			}
			p.note("junk-after-eof", line, "%d bytes behind EOF", len(rest))
			return
		}
	}
}

// skipEntity moves to the next tag with group code 0.
func (p *parser) skipEntity() {
	for p.ok && p.s.code != 0 {
		p.next()
	}
}

// section reads one section; the scanner stands on (0, SECTION).
func (p *parser) section() {
	p.sections++
	line := p.s.line
	name := ""
	if p.next() && p.s.code == 2 {
		name = strings.ToUpper(string(trim(p.s.val())))
		p.next()
	} else if p.ok {
		p.note("unnamed-section", line, "section without a name")
	}
	switch name {
	case "HEADER":
		p.readHeader()
	case "TABLES":
		p.readTables()
	case "BLOCKS":
		p.readBlocks()
	case "ENTITIES":
		p.skipEntity()
		p.entities(&p.model)
	default:
		p.skipSection()
	}
	switch {
	case p.ok && word(p.s.val()) == kindEndsec:
		p.next()
	case p.ok:
		p.note("missing-endsec", p.s.line, "section %s has no ENDSEC", name)
	default:
		p.note("missing-endsec", p.s.lines, "section %s has no ENDSEC", name)
	}
}

// atFrame reports whether the scanner stands on a word that ends a section.
func (p *parser) atFrame() bool {
	if p.s.code != 0 {
		return false
	}
	k := word(p.s.val())
	return k == kindEndsec || k == kindSection || k == kindEOF
}

func (p *parser) skipSection() {
	for p.ok && !p.atFrame() {
		p.next()
		p.skipEntity()
	}
}

// entities reads entities up to a word of the file's frame and adds them to space.
func (p *parser) entities(space *[]span) {
	start := len(p.ents)
	for p.ok {
		k := word(p.s.val())
		switch k {
		case kindSection, kindEndsec, kindEOF, kindBlock, kindEndblk:
			if end := len(p.ents); end > start {
				*space = append(*space, span{start, end})
			}
			if k == kindBlock || k == kindEndblk {
				p.note("outside-section", p.s.line, "block outside the BLOCKS section")
				p.next()
				p.skipEntity()
				start = len(p.ents)
				continue
			}
			return
		}
		p.entity(k)
	}
	if end := len(p.ents); end > start {
		*space = append(*space, span{start, end})
	}
	p.truncated(start)
}

// truncated rejects the last entity of a file that ends inside a tag: its last
// number may have lost digits.
func (p *parser) truncated(start int) {
	if !p.s.cut || len(p.ents) <= start {
		return
	}
	e := &p.ents[len(p.ents)-1]
	if e.flags&flagRejected == 0 {
		p.noteEntity(e, "truncated", p.s.lines, true, "the file ends inside this entity")
	}
}
