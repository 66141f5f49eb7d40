package dxf

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"burrcast/geom"

	"github.com/golang/geo/r2"
)

// expander turns the entities of a space into paths in mm. Blocks are expanded
// where they are inserted.
type expander struct {
	p   *parser
	d   *Drawing
	opt Options

	names    []string         // decoded, by interned number
	layerOf  []int32          // index in d.Layers by interned name, plus one
	byName   map[string]int   // the same by folded name
	blocks   map[string]int   // index in p.blocks by folded name
	upper    []string         // line type names, upper case, by interned name; empty until asked for
	texts    map[int32]string // plain, by index in parser.texts
	skipped  map[skipKey]int
	told     map[skipKey]bool // repairs already recorded, by code and line
	slab     []geom.Curve     // paths are cut from it
	chunk    int              // curves in the next one
	visits   int
	curves   int
	depth    int
	more     int  // repairs beyond Options.MaxRepairs
	unflat   int  // curves that do not lie flat
	gather   bool // keep corners instead of paths
	corners  []vec
	what     part
	sawCurve bool // the space holds something that draws
	refit    refits
	faces    []faceGroup
	faceOf   map[faceKey]int
	sheet    bool // only texts are wanted: what else there is has been counted
	err      error
}

type skipKey struct {
	typ, layer, why string
	line            int // for told only
}

// context is what an insert hands down to the contents of its block.
type context struct {
	layer int // index in Drawing.Layers, -1 outside any block
	color int
	ltype string
}

// walk adds the paths and notes of entities seen through f.
func (x *expander) walk(ents []entity, f *frame, ctx context) {
	for i := range ents {
		if x.err != nil {
			return
		}
		e := &ents[i]
		if x.depth > 0 {
			if x.visits += 1 + e.n/8; x.visits > x.opt.MaxEntities {
				x.fail(e.line, "more than %d entities once blocks are expanded", x.opt.MaxEntities)
				return
			}
		}
		x.entity(e, f, ctx)
	}
}

func (x *expander) fail(line int, format string, args ...any) {
	x.err = &Error{Code: CodeLimit, Line: line, Text: fmt.Sprintf(format, args...)}
}

// entity adds what one entity draws.
func (x *expander) entity(e *entity, f *frame, ctx context) {
	layer := x.layer(e.layer)
	if ctx.layer >= 0 && x.d.Layers[layer].Name == "0" {
		layer = ctx.layer
	}
	why := ""
	l := &x.d.Layers[layer]
	switch {
	case l.Frozen:
		why = "layer frozen"
	case l.Off && e.kind != kindInsert:
		// The contents of a block may lie on other layers.
		why = "layer off"
	case e.flags&flagInvisible != 0:
		why = "invisible"
	case e.kind == kindOther:
		why = reason(x.names[e.typ])
	}
	if why != "" {
		if !x.sheet {
			x.skip(e, l.Name, why)
		}
		return
	}
	if x.sheet && e.kind.draws() && e.kind != kindInsert {
		return
	}
	if e.kind.draws() && !x.sheet {
		x.sawCurve = true
	}
	if e.flags&flagRejected != 0 {
		if x.sheet {
			return
		}
		x.d.Partial = x.d.Partial || e.kind.draws()
		return
	}
	if e.kind == kindInsert {
		x.insert(e, f, layer, ctx)
		return
	}
	g := f
	if e.axis >= 0 && e.objectCoordinates() {
		turned := f.of(objectFrame(vec(x.p.nums[e.axis : e.axis+3])))
		g = &turned
	}
	if !e.kind.draws() {
		x.text(e, g, l.Name)
		return
	}
	if e.kind == kindFace && !x.gather {
		x.face(e, f, layer, ctx)
		return
	}
	d := draft{x: x, e: e, nums: x.p.nums[e.off : e.off+e.n]}
	if x.gather {
		x.corners = append(x.corners, d.corners(g)...)
		if x.curves = len(x.corners); x.curves > x.opt.MaxCurves {
			x.fail(e.line, "more than %d points in space", x.opt.MaxCurves)
		}
		return
	}
	d.draw(g)
	if x.depth > 0 {
		// Fitting is work, too, in vain or not.
		arcs := len(d.curves)
		if d.code == "too-many-arcs" {
			arcs = mostArcs
		}
		x.visits += arcs / 8
	}
	if d.code != "" {
		x.reject(e, l.Name, d.code, d.text)
		return
	}
	if len(d.curves) == 0 {
		x.skip(e, l.Name, "no length")
		return
	}
	if !bearable(d.curves) {
		x.reject(e, l.Name, "huge-number", fmt.Sprintf("farther than %g mm from the origin", largestPlace))
		return
	}
	chords := x.refitChords(&d, l.Name)
	if x.curves += len(d.curves); x.curves > x.opt.MaxCurves {
		x.fail(e.line, "more than %d lines and arcs", x.opt.MaxCurves)
		return
	}
	x.d.Paths = append(x.d.Paths, Path{
		Curves: d.curves, Closed: d.closed,
		Layer: l.Name, LineType: x.lineType(e, layer, ctx), Color: x.color(e, layer, ctx),
		Entity: x.names[e.typ], Handle: e.handle, Line: e.line, Chords: chords, Error: d.error,
	})
}

// objectCoordinates tells whether the numbers of e are in the object coordinate
// system of its extrusion direction.
func (e *entity) objectCoordinates() bool {
	switch e.kind {
	case kindArc, kindCircle, kindLWPolyline, kindInsert, kindText, kindAttrib:
		return true
	case kindPolyline:
		return e.flags&flagSpatial == 0
	}
	return false
}

// largestPlace bounds the coordinates of paths, in mm.
const largestPlace = 1e9

func bearable(curves []geom.Curve) bool {
	for i := range curves {
		c := &curves[i]
		if !(math.Abs(c.Start.X) <= largestPlace && math.Abs(c.Start.Y) <= largestPlace &&
			math.Abs(c.End.X) <= largestPlace && math.Abs(c.End.Y) <= largestPlace) || !c.Finite() {
			return false
		}
	}
	return true
}

// layer returns the index in Drawing.Layers of an interned name and adds the
// layer if the table lacks it. Names differ by more than case.
func (x *expander) layer(name int32) int {
	if i := x.layerOf[name]; i > 0 {
		return int(i - 1)
	}
	s := x.names[name]
	if s == "" {
		s = "0"
	}
	fold := strings.ToUpper(s)
	i, ok := x.byName[fold]
	if !ok {
		i = len(x.d.Layers)
		x.d.Layers = append(x.d.Layers, Layer{Name: s, Color: 7, LineType: continuous})
		x.byName[fold] = i
	}
	x.layerOf[name] = int32(i + 1)
	return i
}

const continuous = "CONTINUOUS"

func (x *expander) lineType(e *entity, layer int, ctx context) string {
	if e.ltype == 0 {
		return x.d.Layers[layer].LineType
	}
	s := x.upper[e.ltype]
	if s == "" {
		s = strings.ToUpper(x.names[e.ltype])
		x.upper[e.ltype] = s
	}
	switch s {
	case "BYLAYER":
		return x.d.Layers[layer].LineType
	case "BYBLOCK":
		return ctx.ltype
	}
	return s
}

func (x *expander) color(e *entity, layer int, ctx context) int {
	switch {
	case e.color == colorByBlock:
		return ctx.color
	case e.color > 0 && e.color < colorByLayer:
		return int(e.color)
	}
	return x.d.Layers[layer].Color
}

func (x *expander) skip(e *entity, layer, why string) {
	x.skipped[skipKey{typ: x.names[e.typ], layer: layer, why: why}]++
}

// reject leaves out an entity while blocks are expanded; one record stands for
// all its copies.
func (x *expander) reject(e *entity, layer, code, text string) {
	if x.sheet {
		return
	}
	x.d.Partial = x.d.Partial || e.kind.draws()
	x.record(e, layer, code, text, true)
}

// mend records what was mended in an entity while it was drawn.
func (x *expander) mend(e *entity, code, format string, args ...any) {
	x.record(e, x.d.Layers[x.layer(e.layer)].Name, code, fmt.Sprintf(format, args...), false)
}

func (x *expander) record(e *entity, layer, code, text string, rejected bool) {
	key := skipKey{why: code, line: e.line}
	if x.told[key] {
		return
	}
	x.told[key] = true
	if len(x.told) > x.opt.MaxRepairs {
		x.more++
		return
	}
	x.d.Repairs = append(x.d.Repairs, Repair{
		Code: code, Line: e.line, Entity: x.names[e.typ], Handle: e.handle,
		Layer: layer, Text: text, Rejected: rejected,
	})
}

// finish sorts what was counted into the drawing.
func (x *expander) finish() {
	x.d.Skipped = x.d.Skipped[:0]
	for k, n := range x.skipped {
		x.d.Skipped = append(x.d.Skipped, Skipped{Type: k.typ, Layer: k.layer, Why: k.why, Count: n})
	}
	sort.Slice(x.d.Skipped, func(i, j int) bool {
		a, b := &x.d.Skipped[i], &x.d.Skipped[j]
		if a.Type != b.Type {
			return a.Type < b.Type
		}
		if a.Layer != b.Layer {
			return a.Layer < b.Layer
		}
		return a.Why < b.Why
	})
	sort.SliceStable(x.d.Repairs, func(i, j int) bool { return x.d.Repairs[i].Line < x.d.Repairs[j].Line })
}

// room returns an empty slice with room for n curves, cut from shared memory.
func (x *expander) room(n int) []geom.Curve {
	const most = 4096
	if cap(x.slab)-len(x.slab) < n {
		x.slab = make([]geom.Curve, 0, max(n, x.chunk))
		x.chunk = min(2*x.chunk, most)
	}
	at := len(x.slab)
	return x.slab[at:at:min(at+n, cap(x.slab))]
}

// keep marks the room that curves use as taken, if it was cut from the slab.
func (x *expander) keep(curves []geom.Curve) {
	if at := len(x.slab); cap(x.slab)-at >= len(curves) && len(curves) > 0 &&
		&x.slab[:at+1][at] == &curves[0] {
		x.slab = x.slab[:at+len(curves)]
	}
}

// reason says why a type of entity draws no path.
func reason(typ string) string {
	switch strings.ToUpper(typ) {
	case "3DSOLID", "BODY", "REGION", "SURFACE", "EXTRUDEDSURFACE", "LOFTEDSURFACE",
		"REVOLVEDSURFACE", "SWEPTSURFACE", "PLANESURFACE", "NURBSURFACE":
		return "solid model, not a curve"
	case "3DFACE", "MESH", "POLYLINE", "PFACE":
		return "faces, not a curve"
	case "SOLID", "TRACE", "HATCH", "MPOLYGON", "WIPEOUT":
		return "filled area, not a curve"
	case "DIMENSION", "ARC_DIMENSION", "LARGE_RADIAL_DIMENSION", "LEADER", "MLEADER", "MULTILEADER", "TOLERANCE":
		return "dimension or callout"
	case "IMAGE", "OLEFRAME", "OLE2FRAME", "PDFUNDERLAY", "DGNUNDERLAY", "DWFUNDERLAY":
		return "picture"
	case "VIEWPORT":
		return "view of the sheet"
	case "POINT":
		return "a point, not a curve"
	case "XLINE", "RAY":
		return "endless construction line"
	case "ATTDEF":
		return "template of a text"
	}
	return "not a curve that is read"
}

// point2 drops the height.
func point2(v vec) r2.Point { return r2.Point{X: v[0], Y: v[1]} }
