package dxf

import (
	"math"

	"burrcast/geom"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"
	yofu "github.com/yofu/dxf/entity"
)

// layerColors are the colour indices of our layers, each added to a drawing in
// this order.
var (
	ourLayers   = [...]string{MarkLayer, EdgeLayer, NumberLayer, LegendLayer}
	layerColors = map[string]int{MarkLayer: 7, EdgeLayer: 30, NumberLayer: 7, LegendLayer: 7} // edges are orange
)

// addition is an entity of ours.
type addition struct {
	yofu.Entity
	layer string
	color int
}

// additions are the marks as entities, for a drawing in units of so many mm.
func (m Marks) additions(d *Drawing, unit float64) []addition {
	var out []addition
	add := func(e yofu.Entity, layer string, color int) { out = append(out, addition{e, layer, color}) }
	box := around(d)
	size := box.Size().Norm()
	for _, c := range m.Edges {
		add(entityOf([]geom.Curve{c}, unit), EdgeLayer, layerColors[EdgeLayer])
	}
	height := max(size/90, 0.01)
	for _, p := range m.Places {
		r := p.Radius
		if !(r > 0) {
			r = height
		}
		circle := yofu.NewCircle()
		circle.Center, circle.Radius = xyz(p.At, unit), r/unit
		add(circle, MarkLayer, sound(p.Color))
		side := r * math.Sqrt2 / 2
		add(textOf(p.Label, p.At.Add(r2.Point{X: side + height/4, Y: side}), height, unit), NumberLayer, layerColors[NumberLayer])
	}
	at := r2.Point{X: box.X.Lo, Y: box.Y.Lo - 4*height}
	for _, line := range m.Legend {
		add(textOf(line, at, height, unit), LegendLayer, layerColors[LegendLayer])
		at.Y -= 1.7 * height
	}
	return out
}

// around is the box round what is drawn and written, but for our marks; a legend
// stands below it.
func around(d *Drawing) r2.Rect {
	box := r2.EmptyRect()
	for i := range d.Paths {
		if p := &d.Paths[i]; !own(p.Layer) && len(p.Curves) > 0 {
			box = box.Union(geom.LoopBounds(p.Curves))
		}
	}
	if box.IsEmpty() {
		return r2.RectFromPoints(r2.Point{}, r2.Point{X: 100, Y: 100})
	}
	// A text that stands far away keeps to itself.
	near := box.ExpandedByMargin(box.Size().Norm())
	for _, n := range d.Notes {
		if !own(n.Layer) && !n.Paper && near.ContainsPoint(n.At) {
			box = box.AddPoint(n.At)
		}
	}
	return box
}

func xyz(p r2.Point, unit float64) []float64 { return []float64{p.X / unit, p.Y / unit, 0} }

// entityOf is the entity that draws connected curves, in units of so many mm.
func entityOf(curves []geom.Curve, unit float64) yofu.Entity {
	if c := curves[0]; len(curves) == 1 {
		if !c.IsArc() {
			l := yofu.NewLine()
			l.Start, l.End = xyz(c.Start, unit), xyz(c.End, unit)
			return l
		}
		circle := yofu.NewCircle()
		circle.Center, circle.Radius = xyz(c.Center, unit), c.Radius/unit
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
		line.Vertices[i] = xyz(c.Start, unit)[:2]
		if c.IsArc() {
			line.Bulges[i] = math.Tan(float64(c.Sweep) / 4)
		}
	}
	if !closed {
		line.Vertices[n-1] = xyz(curves[n-2].End, unit)[:2]
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

// textOf is one line of text, its height in mm or unknown.
func textOf(s string, at r2.Point, height, unit float64) *yofu.Text {
	if !(height > 0) {
		height = 2.5
	}
	t := yofu.NewText()
	t.Coord1, t.Height, t.Value, t.WidthFactor = xyz(at, unit), height/unit, oneLine(s), 1
	return t
}
