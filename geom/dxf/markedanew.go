package dxf

import (
	"io"
	"strings"
	"sync"

	"github.com/golang/geo/r2"
	blocks "github.com/yofu/dxf/block"
	"github.com/yofu/dxf/color"
	"github.com/yofu/dxf/drawing"
	yofu "github.com/yofu/dxf/entity"
	"github.com/yofu/dxf/format"
	"github.com/yofu/dxf/insunit"
	"github.com/yofu/dxf/object"
	"github.com/yofu/dxf/table"
)

// writing guards the library that writes: it keeps layer 0, its text style and
// its line types in variables of its own, for all drawings at once.
var writing sync.Mutex

// WriteMarked writes a drawing anew, each path as it was read on its layer with
// its colour and line type, and the marks on layers of our own. Lengths are in
// the drawing's own unit; where the format has no number for that, in mm. It is
// for drawings whose own bytes cannot be kept; see Marked.
//
//  1. A path of one curve becomes a line, an arc or a circle, one of several a
//     polyline with bulges: corners that were shared stay shared. Ellipses and
//     splines stand as the arcs that they were read as.
//  2. Texts are written as they were understood, one line each.
//  3. Marks of an earlier run are left out.
//
// What the reader skipped (d.Skipped) is not in it.
func WriteMarked(w io.Writer, d *Drawing, m Marks) error {
	writing.Lock()
	defer writing.Unlock()
	out := newWriter(d)
	for i := range d.Paths {
		if p := &d.Paths[i]; !own(p.Layer) && len(p.Curves) > 0 {
			out.path(p)
		}
	}
	for _, n := range d.Notes {
		if !own(n.Layer) && !n.Paper {
			out.text(n.Text, n.At, n.Height, out.layer(n.Layer, layerColors[NumberLayer]))
		}
	}
	for _, a := range m.additions(d, out.unit) {
		out.add(a.Entity, out.layer(a.layer, layerColors[a.layer]), a.color, "")
	}
	_, err := out.d.WriteTo(w)
	return err
}

// writer is a drawing being written.
type writer struct {
	d      *drawing.Drawing
	unit   float64                 // mm
	layers map[string]*table.Layer // by name in capitals
	types  map[string]*table.LineType
}

func newWriter(src *Drawing) *writer {
	w := &writer{d: drawing.New(), unit: 1, layers: map[string]*table.Layer{}, types: map[string]*table.LineType{}}
	mend(w.d)
	h := w.d.Header()
	h.Version = "AC1021" // the first whose texts are UTF-8
	h.InsUnit = insunit.Millimeters
	for code, u := range headerUnits {
		// Of two units of one name and length there are none.
		if u.name == src.Units.Name && u.mm == src.Units.Millimetres {
			h.InsUnit, w.unit = insunit.Unit(code), u.mm
		}
	}
	zero := w.d.Layers["0"]
	zero.Color = color.White
	w.layers["0"] = zero
	for _, l := range []*table.LineType{table.LT_CONTINUOUS, table.LT_BYLAYER, table.LT_BYBLOCK, table.LT_HIDDEN, table.LT_DASHDOT} {
		w.types[strings.ToUpper(l.Name())] = l
	}
	for _, l := range src.Layers {
		if own(l.Name) {
			continue
		}
		t := w.layer(l.Name, l.Color)
		if t == zero {
			zero.Color = color.ColorNumber(sound(l.Color))
		} else {
			t.LineType = w.lineType(l.LineType)
		}
	}
	return w
}

// mend makes up for what the library's empty drawing lacks in the eyes of
// stricter programs: a paper space too many goes, since no layout names it, and
// the dictionary of groups says whose it is.
func mend(d *drawing.Drawing) {
	tables := d.Sections[drawing.TABLES].(table.Tables)
	records := table.NewTable("BLOCK_RECORD")
	records.Add(table.NewBlockRecord("*Model_Space"))
	records.Add(table.NewBlockRecord("*Paper_Space"))
	tables[table.BLOCK_RECORD] = records
	d.Sections[drawing.BLOCKS] = d.Sections[drawing.BLOCKS].(blocks.Blocks)[:2]
	objects := d.Sections[drawing.OBJECTS].(object.Objects)
	root := objects[0]
	for i, o := range objects {
		if dictionary, ok := o.(*object.Dictionary); ok && i > 0 {
			objects[i] = owned{dictionary, root}
		}
	}
}

// owned is an object that says whose it is.
type owned struct {
	object.Object
	owner object.Object
}

func (o owned) Format(f format.Formatter) { o.Object.Format(&owner{Formatter: f, of: o.owner}) }

// owner adds it behind the object's own handle.
type owner struct {
	format.Formatter
	of object.Object
}

func (f *owner) WriteHex(code, v int) {
	f.Formatter.WriteHex(code, v)
	if code == 5 {
		f.Formatter.WriteHex(330, f.of.Handle())
	}
}

// sound is a colour index that a layer or entity may have.
func sound(c int) int {
	if c < 0 {
		c = -c // the layer is off
	}
	if c < 1 || c > 255 {
		return 7
	}
	return c
}

func (w *writer) layer(name string, c int) *table.Layer {
	if name = symbol(name); name == "" {
		name = "0"
	}
	key := strings.ToUpper(name)
	if l, ok := w.layers[key]; ok {
		return l
	}
	l, _ := w.d.AddLayer(name, color.ColorNumber(sound(c)), table.LT_CONTINUOUS, false)
	w.layers[key] = l
	return l
}

// lineType is a line type by name. Its pattern does not matter to what is cut,
// so that all but the library's own get the same dashes.
func (w *writer) lineType(name string) *table.LineType {
	if name = symbol(name); name == "" {
		return table.LT_CONTINUOUS
	}
	key := strings.ToUpper(name)
	if t, ok := w.types[key]; ok {
		return t
	}
	t, _ := w.d.AddLineType(name, "", 6, -3)
	w.types[key] = t
	return t
}

// styled is an entity with a colour and a line type of its own, which the
// library's entities do not have.
type styled struct {
	yofu.Entity
	color    int
	lineType string // empty for the layer's
}

func (s styled) Format(f format.Formatter) { s.Entity.Format(&styler{Formatter: f, s: s}) }

// styler adds them behind the layer's name.
type styler struct {
	format.Formatter
	s styled
}

func (f *styler) WriteString(code int, v string) {
	f.Formatter.WriteString(code, v)
	if code != 8 {
		return
	}
	if f.s.lineType != "" {
		f.Formatter.WriteString(6, f.s.lineType)
	}
	if f.s.color > 0 {
		f.Formatter.WriteInt(62, f.s.color)
	}
}

func (w *writer) add(e yofu.Entity, l *table.Layer, c int, lineType string) {
	e.SetLayer(l)
	s := styled{Entity: e}
	if c = sound(c); c != int(l.Color) {
		s.color = c
	}
	if lineType != "" && !strings.EqualFold(lineType, l.LineType.Name()) {
		s.lineType = w.lineType(lineType).Name()
	}
	w.d.AddEntity(s)
}

func (w *writer) path(p *Path) {
	w.add(entityOf(p.Curves, w.unit), w.layer(p.Layer, p.Color), p.Color, p.LineType)
}

func (w *writer) text(s string, at r2.Point, height float64, l *table.Layer) {
	t := textOf(s, at, height, w.unit)
	t.SetLayer(l)
	w.d.AddEntity(t)
}

// oneLine writes a text in one line, since a line's end ends it.
func oneLine(s string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f {
			return ' '
		}
		return r
	}, s)
}

// symbol is the name of a layer or line type without the characters that names
// may not have.
func symbol(s string) string {
	return strings.Map(func(r rune) rune {
		if strings.ContainsRune(`<>/\":;?*|=`+"`", r) {
			return '_'
		}
		return r
	}, oneLine(s))
}
