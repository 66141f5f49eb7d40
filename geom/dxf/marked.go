package dxf

import (
	"io"
	"math"
	"slices"
	"strings"
	"sync"

	"burrcast/geom"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"
	blocks "github.com/yofu/dxf/block"
	"github.com/yofu/dxf/color"
	"github.com/yofu/dxf/drawing"
	yofu "github.com/yofu/dxf/entity"
	"github.com/yofu/dxf/format"
	"github.com/yofu/dxf/insunit"
	"github.com/yofu/dxf/object"
	"github.com/yofu/dxf/table"
)

// Layers of our own in a marked drawing. Everything else in it is the drawing's.
const (
	MarkLayer   = "BURRCAST_MARK"   // a circle round every place
	EdgeLayer   = "BURRCAST_EDGE"   // stretches of edge, drawn over the edge
	NumberLayer = "BURRCAST_NUMBER" // the numbers beside the circles
	LegendLayer = "BURRCAST_LEGEND" // what the numbers mean, below the drawing
)

// ownPrefix starts the names of all our layers.
const ownPrefix = "BURRCAST_"

// Mark is one place to mark.
type Mark struct {
	At     r2.Point // mm
	Radius float64  // mm of the circle; 0 for one that suits the drawing
	Label  string
	Color  int // colour index
}

// Marks is what is drawn over a drawing. Lengths are mm.
type Marks struct {
	Places []Mark
	Edges  []geom.Curve
	Legend []string // one line each, below the drawing
}

// Colour indices of our layers.
const (
	edgeColor   = 30 // orange
	numberColor = 7
)

// writing guards the library that writes: it keeps layer 0, its text style and
// its line types in variables of its own, for all drawings at once.
var writing sync.Mutex

// WriteMarked writes a drawing again, each path as it was read on its layer
// with its colour and line type, and the marks on layers of our own. Lengths are
// in the drawing's own unit; where the format has no number for that, in mm.
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
	box := r2.EmptyRect()
	for i := range d.Paths {
		p := &d.Paths[i]
		if own(p.Layer) || len(p.Curves) == 0 {
			continue
		}
		box = box.Union(geom.LoopBounds(p.Curves))
		out.path(p)
	}
	for _, n := range d.Notes {
		if !own(n.Layer) && !n.Paper {
			out.text(n.Text, n.At, n.Height, out.layer(n.Layer, numberColor))
		}
	}
	out.marks(m, box)
	_, err := out.d.WriteTo(w)
	return err
}

// WithoutMarks is a drawing without what an earlier run marked in it.
func WithoutMarks(d *Drawing) *Drawing {
	marked := slices.ContainsFunc(d.Paths, func(p Path) bool { return own(p.Layer) }) ||
		slices.ContainsFunc(d.Notes, func(n Note) bool { return own(n.Layer) })
	if !marked {
		return d
	}
	c := *d
	c.Paths = slices.DeleteFunc(slices.Clone(d.Paths), func(p Path) bool { return own(p.Layer) })
	c.Notes = slices.DeleteFunc(slices.Clone(d.Notes), func(n Note) bool { return own(n.Layer) })
	return &c
}

func own(layer string) bool {
	return len(layer) >= len(ownPrefix) && strings.EqualFold(layer[:len(ownPrefix)], ownPrefix)
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

func (w *writer) xyz(p r2.Point) []float64 { return []float64{p.X / w.unit, p.Y / w.unit, 0} }

func (w *writer) path(p *Path) {
	w.add(w.curves(p.Curves), w.layer(p.Layer, p.Color), p.Color, p.LineType)
}

// curves is the entity that draws connected curves.
func (w *writer) curves(curves []geom.Curve) yofu.Entity {
	if c := curves[0]; len(curves) == 1 {
		if !c.IsArc() {
			l := yofu.NewLine()
			l.Start, l.End = w.xyz(c.Start), w.xyz(c.End)
			return l
		}
		circle := yofu.NewCircle()
		circle.Center, circle.Radius = w.xyz(c.Center), c.Radius/w.unit
		if c.IsCircle() {
			return circle
		}
		arc := yofu.NewArc(circle)
		if c.Sweep < 0 {
			c = c.Reversed()
		}
		arc.Angle = []float64{degrees(c.From), degrees(c.From + c.Sweep)}
		return arc
	}
	closed := curves[0].Start == curves[len(curves)-1].End
	n := len(curves)
	if !closed {
		n++
	}
	line := yofu.NewLwPolyline(n)
	line.Closed = closed
	for i, c := range curves {
		line.Vertices[i] = w.xyz(c.Start)[:2]
		if c.IsArc() {
			line.Bulges[i] = math.Tan(float64(c.Sweep) / 4)
		}
	}
	if !closed {
		line.Vertices[n-1] = w.xyz(curves[n-2].End)[:2]
	}
	return line
}

func degrees(a s1.Angle) float64 {
	d := math.Mod(a.Degrees(), 360)
	if d < 0 {
		d += 360
	}
	return d
}

func (w *writer) text(s string, at r2.Point, height float64, l *table.Layer) {
	if !(height > 0) {
		height = 2.5
	}
	t := yofu.NewText()
	t.Coord1, t.Height, t.Value, t.WidthFactor = w.xyz(at), height/w.unit, oneLine(s), 1
	t.SetLayer(l)
	w.d.AddEntity(t)
}

// marks draws on layers of our own.
func (w *writer) marks(m Marks, box r2.Rect) {
	if box.IsEmpty() {
		box = r2.RectFromPoints(r2.Point{}, r2.Point{X: 100, Y: 100})
	}
	size := box.Size().Norm()
	for _, c := range m.Edges {
		w.add(w.curves([]geom.Curve{c}), w.layer(EdgeLayer, edgeColor), edgeColor, "")
	}
	height := max(size/90, 0.01)
	for _, p := range m.Places {
		r := p.Radius
		if !(r > 0) {
			r = height
		}
		circle := yofu.NewCircle()
		circle.Center, circle.Radius = w.xyz(p.At), r/w.unit
		w.add(circle, w.layer(MarkLayer, numberColor), p.Color, "")
		side := r * math.Sqrt2 / 2
		w.text(p.Label, p.At.Add(r2.Point{X: side + height/4, Y: side}), height, w.layer(NumberLayer, numberColor))
	}
	at := r2.Point{X: box.X.Lo, Y: box.Y.Lo - 4*height}
	for _, line := range m.Legend {
		w.text(line, at, height, w.layer(LegendLayer, numberColor))
		at.Y -= 1.7 * height
	}
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
