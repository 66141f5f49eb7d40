package report

import (
	"fmt"
	"html"
	"math"
	"strconv"
	"strings"

	"burrcast/geom"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"
)

// PartDrawing is what a part looks like, in drawing coordinates, mm. It stays out
// of every format for programs.
type PartDrawing struct {
	Contours [][]geom.Curve // the outline first, then the cut-outs
	Bends    []geom.Curve
	Etch     []geom.Curve
	Joints   []geom.Curve // lines over the gaps left in contours
	Forms    []r2.Rect    // what stands out of the sheet
	Burred   []geom.Curve // stretches of edge on which burr stays after the line
}

// SVGOptions says how a picture is laid out. The zero value of a field asks for
// its default.
type SVGOptions struct {
	Width  float64 // of the picture, px; default 960
	Height float64 // most for the part itself, px; default 560
	Title  string  // default "part" and its id
	Bare   bool    // no legend below: the page around it has one
}

// Measures of the layout, px.
const (
	svgMargin = 40  // round the part: a mark fits into it
	svgBand   = 74  // below the part: scale and feed
	baseline  = 4.5 // from the middle of a line of text down to its foot
	svgRow    = 21  // of the legend
	markSize  = 9   // half the height of a mark
	leader    = 22  // from a place to the middle of its mark
)

// ink is the colour of a treatment in pictures. The colours are those of a
// palette made for colour-blind readers (Okabe and Ito, 2008), darkened where
// needed to stand out from white at 3 to 1; the shape says the same again.
var ink = map[Treatment]string{
	"ask": "#a8467d", "hand": "#c44f00", "fixture": "#8a6500", "brush": "#0072b2", "line": "#00795a",
}

// markShapes are the outlines of marks for half height 1, y down: corners of a
// polygon; a circle has none.
var markShapes = map[Treatment][]r2.Point{
	"ask":     {{X: 0, Y: -1.3}, {X: 1.3, Y: 0}, {X: 0, Y: 1.3}, {X: -1.3, Y: 0}},
	"hand":    {{X: 0, Y: -1.45}, {X: 1.35, Y: 0.9}, {X: -1.35, Y: 0.9}},
	"fixture": {{X: -1.4, Y: -0.8}, {X: 1.4, Y: -0.8}, {X: 0.9, Y: 0.95}, {X: -0.9, Y: 0.95}},
	"brush":   {{X: -0.95, Y: -0.95}, {X: 0.95, Y: -0.95}, {X: 0.95, Y: 0.95}, {X: -0.95, Y: 0.95}},
}

// PartSVG draws one part to scale as a picture that stands alone: contours with
// true arcs, bends dashed, etched lines dotted, joints as gaps between two
// ticks, a mark at every place of a finding, numbered by rule, the feed as an
// arrow, and a legend. The same part gives the same bytes. It is empty where
// there is no outline to draw.
//
//  1. The scale fits the part's box into the width and the height.
//  2. Curves are written in px, y down; an arc stays one, in two halves if it
//     turns by more than 180 degrees.
//  3. Marks stand beside their places where there is room (svgmarks.go).
//  4. Rules are numbered in the order of the legend, the most severe first.
func PartSVG(p *Part, drawing PartDrawing, opt SVGOptions) string {
	if opt.Width <= 0 {
		opt.Width = 960
	}
	if opt.Height <= 0 {
		opt.Height = 560
	}
	if opt.Title == "" {
		opt.Title = "part " + p.ID
	}
	if len(drawing.Contours) == 0 {
		return ""
	}
	box := geom.LoopBounds(drawing.Contours[0])
	size := box.Size()
	if box.IsEmpty() || !(size.X > 0 && size.Y > 0) || math.IsInf(size.X, 1) || math.IsInf(size.Y, 1) {
		return ""
	}
	s := &svg{}
	s.scale = min((opt.Width-2*svgMargin)/size.X, opt.Height/size.Y)
	// The part stands in the middle of the width.
	s.origin = r2.Point{X: (opt.Width-s.scale*size.X)/2 - s.scale*box.X.Lo, Y: svgMargin + s.scale*box.Y.Hi}
	s.area = r2.RectFromPoints(r2.Point{}, r2.Point{X: opt.Width, Y: 2*svgMargin + s.scale*size.Y})

	groups := byRule(p.Findings)
	s.part(drawing)
	s.marks(groups, p, drawing)
	s.band(p, opt.Width, s.area.Y.Hi)
	height := s.area.Y.Hi + svgBand
	if !opt.Bare {
		height = s.legend(groups, drawing, height)
	}
	head := fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %s %s" width="%[1]s" height="%[2]s" role="img" font-family="sans-serif" font-size="13" fill="#111">
<title>%s</title>
<rect class="paper" width="100%%" height="100%%" fill="#fff"/>
`, px(opt.Width), px(height), text(opt.Title))
	return head + s.b.String() + "</svg>\n"
}

// svg is a picture being written.
type svg struct {
	b      strings.Builder
	scale  float64  // px a mm
	origin r2.Point // where the drawing's origin lies, px
	area   r2.Rect  // room for marks, px
	taken  []r2.Rect
}

func (s *svg) put(format string, args ...any) { fmt.Fprintf(&s.b, format+"\n", args...) }

// at is where a place of the drawing lies in the picture.
func (s *svg) at(p r2.Point) r2.Point {
	return r2.Point{X: s.origin.X + s.scale*p.X, Y: s.origin.Y - s.scale*p.Y}
}

// part draws what is cut and what is only marked.
func (s *svg) part(d PartDrawing) {
	var path strings.Builder
	for _, loop := range d.Contours {
		s.path(&path, loop)
		path.WriteByte('Z')
	}
	s.put(`<path class="part" d="%s" fill="#e9edf0" fill-rule="evenodd" stroke="#222" stroke-width="1.5" stroke-linejoin="round"/>`, path.String())
	for _, f := range d.Forms {
		a, b := s.at(r2.Point{X: f.X.Lo, Y: f.Y.Hi}), s.at(r2.Point{X: f.X.Hi, Y: f.Y.Lo})
		s.put(`<rect class="form" x="%s" y="%s" width="%s" height="%s" %s/>`, px(a.X), px(a.Y), px(b.X-a.X), px(b.Y-a.Y), formLine)
	}
	s.lines("etch", d.Etch, etchLine)
	s.lines("bend", d.Bends, bendLine)
	s.lines("burred", d.Burred, burredLine)
	for _, j := range d.Joints {
		s.joint(s.at(j.Start), s.at(j.End))
	}
}

// How lines that are not cut are drawn, in the part and in the legend.
const (
	bendLine = `fill="none" stroke="#333" stroke-width="1.3" stroke-dasharray="10 5"`
	etchLine = `fill="none" stroke="#333" stroke-width="1.2" stroke-dasharray="1.5 3"`
	// Teeth across the edge, and a colour of their own.
	burredLine = `fill="none" stroke="#c44f00" stroke-width="5" stroke-dasharray="1.5 1.5"`
	formLine   = `fill="#d3d9dd" stroke="#555" stroke-width="1" stroke-dasharray="4 2"`
)

func (s *svg) lines(class string, curves []geom.Curve, style string) {
	if len(curves) == 0 {
		return
	}
	var path strings.Builder
	s.path(&path, curves)
	s.put(`<path class="%s" d="%s" %s/>`, class, path.String(), style)
}

// joint draws a gap no narrower than can be seen, with a tick across each end.
func (s *svg) joint(a, b r2.Point) {
	const least = 5
	mid, u := a.Add(b).Mul(0.5), geom.Unit(b.Sub(a))
	half := u.Mul(max(b.Sub(a).Norm(), least) / 2)
	a, b = mid.Sub(half), mid.Add(half)
	s.put(`<path class="joint-gap" d="M%sL%s" stroke="#fff" stroke-width="3"/>`, xy(a), xy(b))
	n := geom.Left(u).Mul(6)
	s.put(`<path class="joint" d="M%sL%sM%sL%s" stroke="#222" stroke-width="1.3"/>`, xy(a.Sub(n)), xy(a.Add(n)), xy(b.Sub(n)), xy(b.Add(n)))
}

// path writes curves; one that does not begin where the last ended is moved to.
func (s *svg) path(b *strings.Builder, curves []geom.Curve) {
	for i, c := range curves {
		if i == 0 || c.Start != curves[i-1].End {
			b.WriteString("M" + xy(s.at(c.Start)))
		}
		s.curve(b, c)
	}
}

// curve writes one curve from where the path is.
func (s *svg) curve(b *strings.Builder, c geom.Curve) {
	const flat = 0.002 // px that an arc may rise over its chord and be drawn straight
	sweep := math.Abs(float64(c.Sweep))
	switch {
	case !c.IsArc() || s.scale*c.Radius*(1-math.Cos(min(sweep, math.Pi)/2)) < flat:
		b.WriteString("L" + xy(s.at(c.End)))
	case sweep > math.Pi:
		s.curve(b, c.Sub(0, 0.5))
		s.curve(b, c.Sub(0.5, 1))
	default:
		// Seen with y down, counter-clockwise is the direction that SVG calls 0.
		turn := 0
		if c.Sweep < 0 {
			turn = 1
		}
		r := px(s.scale * c.Radius)
		fmt.Fprintf(b, "A%s %s 0 0 %d %s", r, r, turn, xy(s.at(c.End)))
	}
}

// band writes, below the part, its size, a scale, and how it is fed. Angle 0
// puts drawing X along the feed and the part turns counter-clockwise by the
// angle: seen from the part, the feed turns the other way.
func (s *svg) band(p *Part, width, top float64) {
	y := top + svgBand/2 - 8
	first, second := px(y-9+baseline), px(y+11+baseline)
	long := niceLength(0.25 * width / s.scale)
	end := svgMargin + s.scale*long
	s.put(`<path class="scale" d="M%d %sv8m0 -4H%sm0 -4v8" fill="none" stroke="#222"/>`, svgMargin, px(y-13), px(end))
	s.put(`<text x="%s" y="%s">%s mm</text>`, px(end+8), first, short(long))
	s.put(`<text x="%d" y="%s">part %s x %s mm</text>`, svgMargin, second, short(float64(p.BBox[0])), short(float64(p.BBox[1])))
	if p.Feed == nil {
		return
	}
	const reach = 34
	u := geom.Direction(-s1.Angle(p.Feed.Angle) * s1.Degree)
	u.Y = -u.Y // y down
	mid := r2.Point{X: width - svgMargin - reach, Y: y}
	tip, n := mid.Add(u.Mul(reach)), geom.Left(u)
	s.put(`<path class="feed" d="M%sL%s" stroke="#222" stroke-width="3"/>`, xy(mid.Sub(u.Mul(reach))), xy(tip.Sub(u.Mul(10))))
	s.put(`<path class="feed" d="M%sL%sL%sZ"/>`, xy(tip), xy(tip.Sub(u.Mul(14)).Add(n.Mul(6))), xy(tip.Sub(u.Mul(14)).Sub(n.Mul(6))))
	for i, line := range []string{"the part travels this way:", "feed at " + short(float64(p.Feed.Angle)) + " degrees"} {
		s.put(`<text x="%s" y="%s" text-anchor="end">%s</text>`, px(mid.X-reach-10), [...]string{first, second}[i], line)
	}
}

// niceLength is the longest 1, 2 or 5 times a power of ten up to most.
func niceLength(most float64) float64 {
	ten := math.Pow(10, math.Floor(math.Log10(most)))
	for _, k := range []float64{5, 2} {
		if k*ten <= most {
			return k * ten
		}
	}
	return ten
}

// px is a number of the picture, to a thousandth.
func px(v float64) string {
	s := strconv.FormatFloat(v, 'f', 3, 64)
	s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	if s == "-0" {
		return "0"
	}
	return s
}

func xy(p r2.Point) string { return px(p.X) + " " + px(p.Y) }

// text is written so that no character of it is taken for markup, and none is
// left that XML refuses.
func text(s string) string {
	return html.EscapeString(strings.Map(func(r rune) rune {
		if r == 0xfffe || r == 0xffff {
			return '?'
		}
		return r
	}, clean(s)))
}
