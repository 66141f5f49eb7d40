package main

import (
	"bytes"
	"fmt"
	"math"
	"strconv"

	"burrcast/testdata/generate"
)

// Versions of the format that the demo writes.
const (
	r12   = "AC1009"
	r2000 = "AC1015"
)

// Header values of $INSUNITS.
const (
	inch       = 1
	millimetre = 4
)

// drawing collects entities and blocks and writes them as one DXF file.
type drawing struct {
	name    string
	version string
	units   int
	crlf    bool // line ends of a DOS program
	layers  []layer
	blocks  []*block
	model   block
}

type layer struct {
	name, linetype string
	color          int
}

// block is a run of entities; model space is the one without a name.
type block struct {
	name string
	body []tag
}

// tag is one pair of lines. Entities are built without handles and owners,
// which only the newer style has: they go in when the file is written.
type tag struct {
	code  int
	value string
}

func newDrawing(name, version string, units int) *drawing {
	return &drawing{name: name, version: version, units: units, layers: []layer{
		{"0", "CONTINUOUS", 7},
		{"CUT", "CONTINUOUS", 7},
		{"NOTES", "CONTINUOUS", 3},
	}}
}

func (d *drawing) layer(name, linetype string, color int) {
	d.layers = append(d.layers, layer{name, linetype, color})
}

func (d *drawing) block(name string) *block {
	b := &block{name: name}
	d.blocks = append(d.blocks, b)
	return b
}

// point is a place in drawing units; as a polyline's vertex it carries the
// bulge of the stretch that follows: the tangent of a quarter of its sweep.
type point struct{ x, y, bulge float64 }

func (b *block) add(code int, value any) {
	switch v := value.(type) {
	case string:
		b.body = append(b.body, tag{code, v})
	case int:
		b.body = append(b.body, tag{code, strconv.Itoa(v)})
	case float64:
		b.body = append(b.body, tag{code, generate.Number(v)})
	default:
		panic(fmt.Sprintf("implementation error: a tag of %T", value))
	}
}

// entity starts an entity. The subclass names are dropped from the old style.
func (b *block) entity(kind, layer, subclass string) {
	b.add(0, kind)
	b.add(100, "AcDbEntity")
	b.add(8, layer)
	b.add(100, subclass)
}

func (b *block) xy(code int, x, y float64) {
	b.add(code, x)
	b.add(code+10, y)
	b.add(code+20, 0.0)
}

func (b *block) line(layer string, x0, y0, x1, y1 float64) {
	b.entity("LINE", layer, "AcDbLine")
	b.xy(10, x0, y0)
	b.xy(11, x1, y1)
}

func (b *block) circle(layer string, x, y, diameter float64) {
	b.entity("CIRCLE", layer, "AcDbCircle")
	b.xy(10, x, y)
	b.add(40, diameter/2)
}

// arc runs counter-clockwise between two angles in degrees.
func (b *block) arc(layer string, x, y, radius, from, to float64) {
	b.entity("ARC", layer, "AcDbCircle")
	b.xy(10, x, y)
	b.add(40, radius)
	b.add(100, "AcDbArc")
	b.add(50, from)
	b.add(51, to)
}

// loop is a closed polyline, in the style of the file's version.
func (d *drawing) loop(b *block, layer string, pts []point) {
	if d.version == r12 {
		b.entity("POLYLINE", layer, "")
		b.add(66, 1)
		b.xy(10, 0, 0)
		b.add(70, 1)
		for _, p := range pts {
			b.entity("VERTEX", layer, "")
			b.xy(10, p.x, p.y)
			if p.bulge != 0 {
				b.add(42, p.bulge)
			}
		}
		b.entity("SEQEND", layer, "")
		return
	}
	b.entity("LWPOLYLINE", layer, "AcDbPolyline")
	b.add(90, len(pts))
	b.add(70, 1)
	for _, p := range pts {
		b.add(10, p.x)
		b.add(20, p.y)
		if p.bulge != 0 {
			b.add(42, p.bulge)
		}
	}
}

// strokes draws the same shape as loose lines and arcs, the way that old
// programs explode it.
func (b *block) strokes(layer string, pts []point) {
	for i, p := range pts {
		q := pts[(i+1)%len(pts)]
		if p.bulge == 0 {
			b.line(layer, p.x, p.y, q.x, q.y)
			continue
		}
		k := (1/p.bulge - p.bulge) / 4
		cx := (p.x+q.x)/2 - k*(q.y-p.y)
		cy := (p.y+q.y)/2 + k*(q.x-p.x)
		from := degrees(math.Atan2(p.y-cy, p.x-cx))
		to := degrees(math.Atan2(q.y-cy, q.x-cx))
		if p.bulge < 0 {
			from, to = to, from
		}
		b.arc(layer, cx, cy, math.Hypot(p.x-cx, p.y-cy), from, to)
	}
}

// ellipse is a whole one; its major axis lies along X.
func (b *block) ellipse(layer string, x, y, width, height float64) {
	b.entity("ELLIPSE", layer, "AcDbEllipse")
	b.xy(10, x, y)
	b.xy(11, width/2, 0)
	b.add(40, height/width)
	b.add(41, 0.0)
	b.add(42, 2*math.Pi)
}

// spline is a clamped cubic with evenly spaced knots.
func (b *block) spline(layer string, control []point) {
	const degree = 3
	b.entity("SPLINE", layer, "AcDbSpline")
	b.add(70, 8) // planar
	b.add(71, degree)
	b.add(72, len(control)+degree+1)
	b.add(73, len(control))
	b.add(74, 0)
	for i := range len(control) + degree + 1 {
		b.add(40, float64(min(max(i-degree, 0), len(control)-degree)))
	}
	for _, p := range control {
		b.xy(10, p.x, p.y)
	}
}

func (b *block) text(layer string, x, y, height float64, text string) {
	b.entity("TEXT", layer, "AcDbText")
	b.xy(10, x, y)
	b.add(40, height)
	b.add(1, text)
	b.add(100, "AcDbText")
}

// place says where, how large, how turned and how often a block is inserted.
type place struct {
	x, y, sx, sy, angle float64
	columns, rows       int
	dx, dy              float64
}

func (b *block) insert(layer, name string, p place) {
	b.entity("INSERT", layer, "AcDbBlockReference")
	b.add(2, name)
	b.xy(10, p.x, p.y)
	if p.sx != 0 {
		b.add(41, p.sx)
		b.add(42, p.sy)
	}
	if p.angle != 0 {
		b.add(50, p.angle)
	}
	if p.columns > 0 {
		b.add(70, p.columns)
		b.add(71, p.rows)
		b.add(44, p.dx)
		b.add(45, p.dy)
	}
}

func degrees(radians float64) float64 {
	a := radians * 180 / math.Pi
	if a < 0 {
		a += 360
	}
	return a
}

// bytes is the whole file.
func (d *drawing) bytes() []byte {
	f := &file{old: d.version == r12, end: "\n"}
	if d.crlf {
		f.end = "\r\n"
	}
	if f.old {
		d.writeOld(f)
	} else {
		d.writeNew(f)
	}
	return f.Bytes()
}

// file is the text being written. Handles are counted from 0x100, so that the
// fixed ones of tables and owners keep clear of them.
type file struct {
	bytes.Buffer
	old    bool
	end    string
	handle int
}

// put writes pairs of a code and a value.
func (f *file) put(pairs ...any) {
	for i := 0; i < len(pairs); i += 2 {
		fmt.Fprintf(f, "%3d%s%v%s", pairs[i], f.end, pairs[i+1], f.end)
	}
}

func (f *file) next() string {
	f.handle++
	return fmt.Sprintf("%X", 0xff+f.handle)
}

// entities writes a block's body with the marks of the file's style.
func (f *file) entities(body []tag, owner string) {
	for _, t := range body {
		switch {
		case t.code == 100 && f.old:
		case t.code == 0 && !f.old:
			f.put(0, t.value, 5, f.next(), 330, owner)
		default:
			f.put(t.code, t.value)
		}
	}
}
