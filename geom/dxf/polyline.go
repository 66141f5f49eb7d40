package dxf

// Bits of group code 70 of a POLYLINE.
const (
	polyClosed   = 1
	polySpatial  = 8
	polyMesh     = 16
	polyPolyface = 64
)

// Bit of group code 70 of a VERTEX: a control point of the frame that a
// spline-fit polyline was made from, not a point of the curve.
const vertexFrame = 16

// lwGroup reads a number of an LWPOLYLINE. Laid out as: elevation, then x y
// bulge of every vertex. Some writers put y before x; then y opens a vertex.
func (p *parser) lwGroup(e *entity, c int) {
	switch c {
	case 10, 20, 42, 38:
	case 40, 41, 43:
		p.width()
		return
	default:
		return
	}
	v, ok := p.coordinate(e)
	if !ok {
		return
	}
	if c == 38 {
		p.nums[e.off] = v
		return
	}
	first := len(p.nums) == e.off+1
	if first && c == 20 {
		p.swapped = true
		p.noteEntity(e, "swapped-xy", p.s.line, false, "y stands before x")
	}
	last := len(p.nums) - 3
	switch {
	case c == 10 && !p.swapped:
		p.nums = append(p.nums, v, nan, 0)
	case c == 20 && p.swapped:
		p.nums = append(p.nums, nan, v, 0)
	case first:
		// A bulge before any vertex belongs to nothing.
	case c == 10:
		p.nums[last] = v
	case c == 20:
		p.nums[last+1] = v
	default:
		p.nums[last+2] = v
	}
}

// width notes a polyline that is drawn as a band. Its middle line is what is
// read: the width of a pen is no cut.
func (p *parser) width() {
	if v, ok := p.s.float(); ok && v != 0 {
		p.wide = true
	}
}

// toldWidth records that the polyline read last has a width; the first one
// stands for all.
func (p *parser) toldWidth(e *entity) {
	if p.wide && p.bands == 0 {
		p.noteEntity(e, "width-ignored", e.line, false, "drawn with a width: its middle line is read")
	}
	if p.wide {
		p.bands++
	}
	p.wide = false
}

// finishLW checks the vertices of an LWPOLYLINE.
func (p *parser) finishLW(e *entity) {
	if e.flags&flagRejected != 0 {
		return
	}
	if p.g.int(70, 0)&polyClosed != 0 {
		e.flags |= flagClosed
	}
	p.toldWidth(e)
	v := p.nums[e.off+1 : e.off+e.n]
	for i := 0; i < len(v); i += 3 {
		if v[i] != v[i] || v[i+1] != v[i+1] {
			p.noteEntity(e, "missing-number", e.line, true, "vertex %d lacks a coordinate", i/3+1)
			return
		}
	}
	if n, ok := p.g.i[90], p.g.has(90); ok && n != len(v)/3 {
		p.noteEntity(e, "vertex-count", e.line, false, "%d vertices announced, %d present", n, len(v)/3)
	}
}

// polyline reads a POLYLINE with its vertices up to SEQEND. Laid out as x y z
// bulge of every vertex; a flat one has the polyline's elevation as z.
func (p *parser) polyline() {
	var e, v entity
	p.fields(kindPolyline, &e)
	form := p.g.int(70, 0)
	elevation := p.g.real(30, 0)
	if form&polyClosed != 0 {
		e.flags |= flagClosed
	}
	if form&polySpatial != 0 {
		e.flags |= flagSpatial
	}
	if form&(polyMesh|polyPolyface) != 0 {
		p.mesh(&e, form)
		return
	}
	off := len(p.nums)
	for p.ok && word(p.s.val()) == kindVertex {
		p.fields(kindVertex, &v)
		if v.axis >= 0 {
			// The polyline's own direction counts.
			p.nums = p.nums[:v.axis]
		}
		switch {
		case v.flags&flagRejected != 0 || !p.need(&v, 10, 20):
			if e.flags&flagRejected == 0 {
				p.noteEntity(&e, "bad-vertex", e.line, true, "the vertex on line %d is rejected", v.line)
			}
			continue
		case p.g.int(70, 0)&vertexFrame != 0:
			continue
		}
		z := elevation
		if form&polySpatial != 0 {
			z = p.g.real(30, 0)
		}
		p.nums = append(p.nums, p.g.f[10], p.g.f[20], z, p.g.real(42, 0))
	}
	e.off, e.n = off, len(p.nums)-off
	p.toldWidth(&e)
	p.endSequence(&e)
	p.ents = append(p.ents, e)
}

// endSequence reads the SEQEND behind vertices or attributes.
func (p *parser) endSequence(e *entity) {
	if p.ok && word(p.s.val()) == kindSeqend {
		p.next()
		p.skipEntity()
		return
	}
	// An end of file here may have swallowed vertices.
	rejected := !p.ok && e.flags&flagRejected == 0
	p.noteEntity(e, "missing-seqend", e.line, rejected, "%s has no SEQEND", p.names.names[e.typ])
}

// insert reads an INSERT with its attributes. Laid out as: x y z, scales x y z,
// rotation in degrees, columns, rows, column and row spacing.
func (p *parser) insert() {
	var e entity
	p.fields(kindInsert, &e)
	g := &p.g
	if p.need(&e, 10, 20) {
		p.put(&e, g.f[10], g.f[20], g.real(30, 0),
			g.real(41, 1), g.real(42, 1), g.real(43, 1), g.real(50, 0),
			float64(max(1, g.int(70, 1))), float64(max(1, g.int(71, 1))),
			g.real(44, 0), g.real(45, 0))
	}
	follow := g.int(66, 0) != 0
	p.ents = append(p.ents, e)
	at := len(p.ents) - 1
	attributes := false
	for p.ok && word(p.s.val()) == kindAttrib {
		attributes = true
		p.entity(kindAttrib)
	}
	switch {
	case attributes:
		p.endSequence(&p.ents[at])
	case follow && p.ok && word(p.s.val()) == kindSeqend:
		p.next()
		p.skipEntity()
	}
}
