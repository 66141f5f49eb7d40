package dxf

import "strings"

// readHeader reads the header variables that the reader uses.
func (p *parser) readHeader() {
	const (
		none = iota
		version
		codePage
		insUnits
		measurement
	)
	which := none
	for p.ok && !p.atFrame() {
		switch p.s.code {
		case 9:
			switch string(trim(p.s.val())) {
			case "$ACADVER":
				which = version
			case "$DWGCODEPAGE":
				which = codePage
			case "$INSUNITS":
				which = insUnits
			case "$MEASUREMENT":
				which = measurement
			default:
				which = none
			}
		case 1, 3:
			switch which {
			case version:
				p.header.version = string(trim(p.s.val()))
			case codePage:
				p.header.codePage = string(trim(p.s.val()))
			}
		case 70:
			if which != insUnits && which != measurement {
				break
			}
			n, _, ok := p.s.int()
			if !ok {
				p.note("bad-number", p.s.line+1, "%s is no integer; header variable left out", quote(p.s.val()))
				break
			}
			if which == insUnits {
				p.header.insUnits, p.header.hasUnits, p.header.unitsLine = n, true, p.s.line
			} else {
				p.header.measurement, p.header.hasMeasure, p.header.measureLine = n, true, p.s.line
			}
		}
		p.next()
	}
}

// readTables reads the rows of the layer table; other tables are passed over.
func (p *parser) readTables() {
	for p.ok && !p.atFrame() {
		if p.s.code == 0 && strings.EqualFold(string(trim(p.s.val())), "LAYER") {
			p.readLayer()
			continue
		}
		p.next()
	}
}

func (p *parser) readLayer() {
	l := rawLayer{color: 7}
	for p.next() && p.s.code != 0 {
		switch p.s.code {
		case 2:
			l.name = p.names.id(trim(p.s.val()))
		case 6:
			l.ltype = p.names.id(trim(p.s.val()))
		case 62, 70, 290:
			n, _, ok := p.s.int()
			if !ok {
				p.note("bad-number", p.s.line+1, "%s is no integer; layer property left out", quote(p.s.val()))
				continue
			}
			switch p.s.code {
			case 62:
				l.off = n < 0
				l.color = max(n, -n)
			case 70:
				l.frozen = n&1 != 0
			case 290:
				l.np = n == 0
			}
		case 102, 1001:
			// Application data: its codes mean something else.
			p.skipEntity()
			p.addLayer(l)
			return
		}
	}
	p.addLayer(l)
}

func (p *parser) addLayer(l rawLayer) {
	if l.name != 0 {
		p.layers = append(p.layers, l)
	}
}

// readBlocks reads the BLOCKS section.
func (p *parser) readBlocks() {
	for p.ok && !p.atFrame() {
		if p.s.code == 0 && word(p.s.val()) == kindBlock {
			p.readBlock()
			continue
		}
		if p.s.code == 0 && word(p.s.val()) != kindEndblk {
			p.note("outside-block", p.s.line, "%s between two blocks", quote(p.s.val()))
		}
		p.next()
		p.skipEntity()
	}
}

func (p *parser) readBlock() {
	b := block{line: p.s.line}
	paper := false
	for p.next() && p.s.code != 0 {
		switch p.s.code {
		case 2:
			b.name = p.names.id(trim(p.s.val()))
		case 1:
			b.path = string(trim(p.s.val()))
		case 67:
			n, _, _ := p.s.int()
			paper = n == 1
		case 70:
			n, _, _ := p.s.int()
			b.external = n&(4|8) != 0
		case 10, 20, 30:
			v, ok := p.s.float()
			if !ok {
				p.note("bad-number", p.s.line+1, "%s is no number; base point of block", quote(p.s.val()))
				b.base[p.s.code/10-1] = nan
				continue
			}
			b.base[p.s.code/10-1] = v
		}
	}
	b.start = len(p.ents)
	for p.ok && !p.atFrame() {
		k := word(p.s.val())
		if k == kindBlock || k == kindEndblk {
			break
		}
		p.entity(k)
	}
	b.end = len(p.ents)
	p.truncated(b.start)
	switch {
	case p.ok && word(p.s.val()) == kindEndblk:
		p.next()
		p.skipEntity()
	default:
		p.note("missing-endblk", b.line, "block %s has no ENDBLK", quote([]byte(p.names.names[b.name])))
	}
	// Model and paper space are blocks too; some files keep entities there.
	name := strings.ToUpper(p.names.names[b.name])
	s := span{b.start, b.end}
	switch {
	case name == "*MODEL_SPACE" || name == "$MODEL_SPACE":
		if b.end > b.start {
			p.model = append(p.model, s)
		}
	case paper || strings.HasPrefix(name, "*PAPER_SPACE") || strings.HasPrefix(name, "$PAPER_SPACE"):
		if b.end > b.start {
			p.paper = append(p.paper, s)
		}
	default:
		p.blocks = append(p.blocks, b)
	}
}
