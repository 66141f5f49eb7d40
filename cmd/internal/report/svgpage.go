package report

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"burrcast/geom"

	"github.com/golang/geo/r2"
)

// pagePicture is a part as the page shows it: without legend and without
// colours of its own, which the page's style gives, and with marks that keep
// their size when the page looks nearer.
type pagePicture struct {
	SVG    string       // empty where there is no outline to draw
	Scale  float64      // px a mm
	Places [][]r2.Point // of every finding by rule, px; NaN where it has none in the picture
}

// Size of a picture in the page before it is fitted, px.
const (
	pageWidth  = 960
	pageHeight = 560
)

// pictureOf draws a part for the page. Groups are its findings by rule.
func pictureOf(p *Part, groups [][]Finding) pagePicture {
	none := pagePicture{Places: make([][]r2.Point, len(groups))}
	for i, g := range groups {
		for range g {
			none.Places[i] = append(none.Places[i], r2.Point{X: math.NaN(), Y: math.NaN()})
		}
	}
	d := p.Drawing
	if len(d.Contours) == 0 {
		return none
	}
	box := geom.LoopBounds(d.Contours[0])
	size := box.Size()
	if box.IsEmpty() || !(size.X > 0 && size.Y > 0) || math.IsInf(size.X, 1) || math.IsInf(size.Y, 1) {
		return none
	}
	s := &svg{}
	s.scale = min((pageWidth-2*svgMargin)/size.X, pageHeight/size.Y)
	s.origin = r2.Point{X: (pageWidth-s.scale*size.X)/2 - s.scale*box.X.Lo, Y: svgMargin + s.scale*box.Y.Hi}
	s.area = r2.RectFromPoints(r2.Point{}, r2.Point{X: pageWidth, Y: 2*svgMargin + s.scale*size.Y})
	s.part(d)
	loops := map[string][]geom.Curve{}
	for i := range min(len(p.Cutouts), len(d.Contours)-1) {
		loops[p.Cutouts[i].ID] = d.Contours[i+1]
	}
	for i, g := range groups {
		for k := range g {
			f := &g[k]
			if !placed(f) {
				continue
			}
			at := s.at(onFeature(r2.Point{X: float64(f.X), Y: float64(f.Y)}, loops[f.Feature]))
			if s.area.ContainsPoint(at) {
				none.Places[i][k] = at
				s.pageMark(f, i+1, k+1, at)
			}
		}
	}
	none.Scale = s.scale
	none.SVG = fmt.Sprintf("<svg class=\"pic\" viewBox=\"0 0 %d %s\" data-scale=\"%s\" role=\"img\" aria-label=\"%s\">\n%s</svg>",
		pageWidth, px(s.area.Y.Hi), strconv.FormatFloat(s.scale, 'g', 10, 64), text("part "+p.ID+" to scale"), s.b.String())
	return none
}

// pageMark is a mark written round its own place, so that the page can keep its
// size. A mark without room has its shape at the place and no number.
func (s *svg) pageMark(f *Finding, number, place int, at r2.Point) {
	mid, by := r2.Point{}, 0.45
	label := ""
	if spot, ok := s.spot(at); ok {
		mid, by = spot.Sub(at), 1
		label = fmt.Sprintf(`<path class="lead" d="M0 0L%s"/>`, xy(mid))
	}
	shape := fmt.Sprintf(`<circle cx="%s" cy="%s" r="%s"/>`, px(mid.X), px(mid.Y), px(1.05*by*markSize))
	if corners := markShapes[f.Treatment]; corners != nil {
		shape = `<path d="` + polygon(mid, corners, by*markSize) + `"/>`
	}
	if by == 1 {
		shape += fmt.Sprintf(`<text x="%s" y="%s">%d</text>`, px(mid.X), px(mid.Y+4), number)
	}
	s.put(`<g class="mk t-%s" data-k="%d.%d" transform="translate(%s)"><g class="keep">%s<circle class="dot" r="2.2"/>%s</g></g>`,
		f.Treatment, number, place, xy(at), label, shape)
}

// polygon is the path of a mark's outline.
func polygon(mid r2.Point, corners []r2.Point, by float64) string {
	at := make([]string, len(corners))
	for i, c := range corners {
		at[i] = xy(mid.Add(c.Mul(by)))
	}
	return "M" + strings.Join(at, "L") + "Z"
}
