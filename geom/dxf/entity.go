package dxf

import (
	"bytes"
	"math"
)

var nan = math.NaN()

// Numbers beyond this size, in drawing units, are refused as coordinates.
const largestNumber = 1e15

// groups holds the numbers of an entity by group code, for codes that occur once.
type groups struct {
	f    [60]float64 // group codes 10 to 59
	i    [100]int    // group codes 60 to 99
	seen [2]uint64   // one bit a group code
}

func (g *groups) reset()            { g.seen = [2]uint64{} }
func (g *groups) has(code int) bool { return g.seen[code>>6]>>(code&63)&1 != 0 }
func (g *groups) mark(code int)     { g.seen[code>>6] |= 1 << (code & 63) }

// real returns the number of a group code, or def if the entity has none.
func (g *groups) real(code int, def float64) float64 {
	if g.has(code) {
		return g.f[code]
	}
	return def
}

func (g *groups) int(code, def int) int {
	if g.has(code) {
		return g.i[code]
	}
	return def
}

// wanted names the group codes below 60 that each kind uses as numbers. Others
// may be unreadable without harm.
var wanted = [...]uint64{
	kindLine:     codes(10, 20, 30, 11, 21, 31),
	kindArc:      codes(10, 20, 30, 40, 50, 51),
	kindCircle:   codes(10, 20, 30, 40),
	kindEllipse:  codes(10, 20, 30, 11, 21, 31, 40, 41, 42),
	kindFace:     codes(10, 20, 30, 11, 21, 31, 12, 22, 32, 13, 23, 33),
	kindPolyline: codes(30),
	kindVertex:   codes(10, 20, 30, 42),
	kindInsert:   codes(10, 20, 30, 41, 42, 43, 44, 45, 50),
	kindText:     codes(10, 20, 30, 40),
	kindMText:    codes(10, 20, 30, 40),
	kindAttrib:   codes(10, 20, 30, 40),
	kindEOF:      0,
}

func codes(list ...int) uint64 {
	m := uint64(0)
	for _, c := range list {
		m |= 1 << c
	}
	return m
}

// entity reads one entity with the parts that follow it; the scanner stands on
// its (0, type) tag, whose kind is k.
func (p *parser) entity(k kind) {
	switch k {
	case kindPolyline:
		p.polyline()
	case kindInsert:
		p.insert()
	case kindVertex, kindSeqend:
		p.orphan(k)
	default:
		p.ents = append(p.ents, entity{})
		e := &p.ents[len(p.ents)-1]
		p.fields(k, e)
		p.finish(e)
	}
}

// orphan passes over a vertex or an end mark without its polyline. Lost
// vertices may have been a cut, so the drawing is partial.
func (p *parser) orphan(k kind) {
	var e entity
	p.fields(k, &e)
	if k == kindSeqend {
		p.noteEntity(&e, "orphan-seqend", e.line, false, "SEQEND without a polyline or insert")
		return
	}
	e.kind = kindPolyline
	p.noteEntity(&e, "orphan-vertex", e.line, true, "vertex without a polyline")
	p.ents = append(p.ents, e)
}

// fields reads the tags of one entity into e, up to the next group code 0.
func (p *parser) fields(k kind, e *entity) {
	*e = entity{
		kind: k, color: colorByLayer, axis: -1, text: -1,
		typ: p.typeName(k), line: p.s.line, off: len(p.nums),
	}
	numbers := wanted[k]
	g := &p.g
	g.reset()
	p.strays = 0
	switch k {
	case kindSpline:
		p.sp.reset()
	case kindLWPolyline:
		p.nums = append(p.nums, 0) // elevation
		p.swapped, p.wide = false, false
	case kindPolyline:
		p.wide = false
	}
	var axis [3]float64
	hasAxis, group, trueColor := false, false, false
	for p.next() && p.s.code != 0 {
		c := p.s.code
		if group {
			group = c != 102 || !bytes.HasPrefix(trim(p.s.val()), []byte("}"))
			continue
		}
		switch {
		case c >= 10 && c < 60:
			if numbers>>c&1 == 0 {
				p.numberGroup(e, c)
			} else if v, ok := p.coordinate(e); ok {
				g.f[c] = v
				g.mark(c)
			}
		case c == 100 || c == 330 || c == 370:
			// Subclass, owner and line weight, which every entity has: nothing to read.
		case c == 8:
			e.layer = p.names.again(p.s.val(), &p.lastLayer)
		case c == 5:
			e.handle = p.handle(trim(p.s.val()))
		case c == 6:
			e.ltype = p.names.again(p.s.val(), &p.lastLineType)
		case c == 62:
			if n, ok := p.intGroup(e, c); ok && !trueColor {
				e.color = int16(max(-1, min(n, 257)))
			}
		case c == 420:
			// Says more than the index, whichever comes first.
			if n, _, ok := p.s.int(); ok && n >= 0 && n <= 0xffffff {
				e.color, trueColor = p.nearestColor(n), true
			}
		case c == 60:
			if n, ok := p.intGroup(e, c); ok && n&1 != 0 {
				e.flags |= flagInvisible
			}
		case c == 67:
			if n, ok := p.intGroup(e, c); ok && n == 1 {
				e.flags |= flagPaper
			}
		case c == 410:
			if name := trim(p.s.val()); len(name) > 0 && !equalFold(name, "MODEL") {
				e.flags |= flagPaper
			}
		case c >= 66 && c < 80:
			if k != kindOther {
				p.intGroup(e, c)
			}
		case c == 90:
			if k == kindLWPolyline {
				p.intGroup(e, c)
			}
		case c == 210 || c == 220 || c == 230:
			v, ok := p.s.float()
			if !ok || math.Abs(v) > largestNumber {
				p.badNumber(e)
				continue
			}
			axis[c/10-21], hasAxis = v, true
		case c == 1 || c == 3:
			if k == kindText || k == kindMText || k == kindAttrib {
				p.addText(e, c)
			}
		case c == 2:
			if k == kindInsert {
				e.name = p.names.id(trim(p.s.val()))
			}
		case c == 102:
			group = bytes.HasPrefix(trim(p.s.val()), []byte("{"))
		case c == 101:
			// An embedded object follows; its codes are not the entity's.
			p.skipEntity()
			p.setAxis(e, axis, hasAxis)
			return
		}
	}
	p.setAxis(e, axis, hasAxis)
}

func equalFold(b []byte, upper string) bool {
	if len(b) != len(upper) {
		return false
	}
	for i, c := range b {
		if 'a' <= c && c <= 'z' {
			c -= 'a' - 'A'
		}
		if c != upper[i] {
			return false
		}
	}
	return true
}

// typeName returns the number of the current (0, type) tag's type, in capitals;
// types that are read have one name each.
func (p *parser) typeName(k kind) int32 {
	if k == kindOther {
		return p.typeID()
	}
	if p.types[k] == 0 {
		p.types[k] = p.typeID()
	}
	return p.types[k]
}

func (p *parser) typeID() int32 {
	v := trim(p.s.val())
	if len(v) > 64 {
		v = v[:64]
	}
	for _, c := range v {
		if 'a' <= c && c <= 'z' {
			v = bytes.ToUpper(v)
			break
		}
	}
	return p.names.id(v)
}

// handle keeps a handle in a shared buffer: one allocation for thousands.
func (p *parser) handle(b []byte) string {
	if len(b) == 0 || len(b) > 64 {
		return ""
	}
	if p.handles.Cap()-p.handles.Len() < len(b) {
		p.handles.Reset()
		p.handles.Grow(1 << 14)
	}
	start := p.handles.Len()
	p.handles.Write(b)
	return p.handles.String()[start:]
}

// addText keeps a piece of text. MTEXT pieces (group code 3, the last one 1)
// follow each other; they are gathered in memory of their own.
func (p *parser) addText(e *entity, code int) {
	switch {
	case e.text < 0:
		e.text = int32(len(p.texts))
		p.texts = append(p.texts, p.s.val())
		p.ownText = false
	case e.kind == kindMText:
		t := p.texts[e.text]
		if !p.ownText {
			t = append(make([]byte, 0, 2*len(t)+len(p.s.val())), t...)
			p.ownText = true
		}
		p.texts[e.text] = append(t, p.s.val()...)
	case code == 1:
		p.texts[e.text] = p.s.val()
	}
}

// numberGroup reads a number with a group code from 10 to 59 that may occur
// often or is not wanted.
func (p *parser) numberGroup(e *entity, c int) {
	switch e.kind {
	case kindLWPolyline:
		p.lwGroup(e, c)
	case kindSpline:
		p.splineGroup(e, c)
	case kindPolyline, kindVertex:
		if c == 40 || c == 41 {
			p.width()
		}
	}
}

// coordinate reads the current value as a number of bearable size, or rejects e.
func (p *parser) coordinate(e *entity) (float64, bool) {
	v, ok := p.s.float()
	if !ok {
		p.badNumber(e)
		return 0, false
	}
	// A bulge may be of any size: near infinity it is a full circle.
	if (v > largestNumber || v < -largestNumber) && p.s.code != 42 {
		if e.flags&flagRejected == 0 {
			p.noteEntity(e, "huge-number", p.s.line+1, true, "group %d: %g is beyond %g", p.s.code, v, largestNumber)
		}
		return 0, false
	}
	return v, true
}

// badNumber rejects e for the current tag's value; the first one is told.
func (p *parser) badNumber(e *entity) {
	if e.flags&flagRejected != 0 {
		return
	}
	line := p.s.line + 1
	shown := quote(p.s.val())
	if p.s.binary {
		line, shown = p.s.line, "value"
	}
	p.noteEntity(e, "bad-number", line, true, "group %d: %s is no number", p.s.code, shown)
}

// intGroup reads an integer with a group code from 60 to 99.
func (p *parser) intGroup(e *entity, c int) (int, bool) {
	n, real, ok := p.s.int()
	if !ok {
		p.badNumber(e)
		return 0, false
	}
	if real {
		p.noteEntity(e, "real-for-integer", p.s.line+1, false, "group %d: %s read as %d", c, quote(p.s.val()), n)
	}
	p.g.i[c] = n
	p.g.mark(c)
	return n, true
}

// setAxis keeps an extrusion direction other than +Z.
func (p *parser) setAxis(e *entity, axis [3]float64, has bool) {
	if p.strays > 0 && e.kind.draws() && e.flags&flagRejected == 0 {
		p.noteEntity(e, "broken-entity", e.line, true, "group codes of this entity are broken")
	}
	if e.kind == kindLWPolyline {
		e.n = len(p.nums) - e.off
	}
	if !has || axis == [3]float64{0, 0, 1} {
		return
	}
	if axis == [3]float64{} {
		if e.objectCoordinates() {
			p.noteEntity(e, "zero-extrusion", e.line, false, "extrusion direction 0,0,0 read as 0,0,1")
		}
		return
	}
	e.axis = int32(len(p.nums))
	p.nums = append(p.nums, axis[:]...)
	if e.kind != kindLWPolyline {
		e.off = len(p.nums)
	}
}

// need rejects e when it lacks one of the numbers.
func (p *parser) need(e *entity, list ...int) bool {
	if e.flags&flagRejected != 0 {
		return false
	}
	for _, c := range list {
		if !p.g.has(c) {
			p.noteEntity(e, "missing-number", e.line, true, "group %d is missing", c)
			return false
		}
	}
	return true
}

// finish lays out the numbers of an entity that stands for itself:
//
//	LINE      x y z x y z
//	CIRCLE    x y z radius
//	ARC       x y z radius, start and end angle in degrees
//	ELLIPSE   x y z, major axis x y z, ratio, start and end parameter
//	texts     x y z height
//
// LWPOLYLINE and SPLINE are laid out where they are read.
func (p *parser) finish(e *entity) {
	g := &p.g
	switch e.kind {
	case kindLine:
		if p.need(e, 10, 20, 11, 21) {
			p.put(e, g.f[10], g.f[20], g.real(30, 0), g.f[11], g.f[21], g.real(31, 0))
		}
	case kindCircle:
		if p.need(e, 10, 20, 40) {
			p.put(e, g.f[10], g.f[20], g.real(30, 0), g.f[40])
		}
	case kindArc:
		if p.need(e, 10, 20, 40, 50, 51) {
			p.put(e, g.f[10], g.f[20], g.real(30, 0), g.f[40], g.f[50], g.f[51])
		}
	case kindEllipse:
		if p.need(e, 10, 20, 11, 21, 40) {
			p.put(e, g.f[10], g.f[20], g.real(30, 0), g.f[11], g.f[21], g.real(31, 0),
				g.f[40], g.real(41, 0), g.real(42, 2*math.Pi))
		}
	case kindText, kindMText, kindAttrib:
		if p.need(e, 10, 20) {
			p.put(e, g.f[10], g.f[20], g.real(30, 0), g.real(40, 0))
		}
	case kindFace:
		p.finishFace(e)
	case kindLWPolyline:
		p.finishLW(e)
	case kindSpline:
		p.finishSpline(e)
	}
}

func (p *parser) put(e *entity, v ...float64) {
	e.off = len(p.nums)
	p.nums = append(p.nums, v...)
	e.n = len(v)
}
