package report

import (
	"fmt"
	"math"
	"strings"

	"burrcast/geom"
	"burrcast/geom/contour"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"
)

// placed says whether a finding has a place of its own on the part. The others
// are about the part as a whole.
func placed(f *Finding) bool {
	return f.Feature != "" || f.Rule == "open-contour" || f.Rule == "crossing-contour"
}

// marks puts a mark beside every place of a finding, joined to it by a line. It
// stands in the first of eight directions in which it touches no other mark and
// stays in the picture; where all are taken, a small mark without a number
// stands at the place itself.
func (s *svg) marks(groups [][]Finding, p *Part, d PartDrawing) {
	loops := map[string][]geom.Curve{}
	for i := range min(len(p.Cutouts), len(d.Contours)-1) {
		loops[p.Cutouts[i].ID] = d.Contours[i+1]
	}
	for i, g := range groups {
		for k := range g {
			if f := &g[k]; placed(f) {
				s.mark(f, i+1, onFeature(r2.Point{X: float64(f.X), Y: float64(f.Y)}, loops[f.Feature]))
			}
		}
	}
}

// onFeature is the place itself, or the nearest point of a cut-out that does not
// hold its own middle, such as a curved slot.
func onFeature(p r2.Point, loop []geom.Curve) r2.Point {
	if len(loop) == 0 || contour.Contains(loop, p) {
		return p
	}
	best, near := math.Inf(1), p
	for _, c := range loop {
		if _, q := c.Closest(p); q.Sub(p).Norm() < best {
			best, near = q.Sub(p).Norm(), q
		}
	}
	return near
}

func (s *svg) mark(f *Finding, number int, place r2.Point) {
	at := s.at(place)
	if !(s.area.ContainsPoint(at)) {
		return // a finding of another part of the drawing
	}
	s.put(`<circle cx="%s" cy="%s" r="2.2" fill="%s"/>`, px(at.X), px(at.Y), ink[f.Treatment])
	if mid, ok := s.spot(at); ok {
		s.put(`<path d="M%sL%s" stroke="%s"/>`, xy(at), xy(mid), ink[f.Treatment])
		s.badge(mid, f.Treatment, number, 1)
		return
	}
	s.badge(at, f.Treatment, 0, 0.45)
}

// spot takes room for a mark beside a place and returns its middle, or says
// that there is none.
func (s *svg) spot(at r2.Point) (r2.Point, bool) {
	for _, turn := range [...]int{6, 2, 0, 4, 7, 5, 1, 3} {
		mid := at.Add(geom.Direction(s1.Angle(turn) * math.Pi / 4).Mul(leader))
		room := r2.RectFromCenterSize(mid, r2.Point{X: 2.4 * markSize, Y: 2.4 * markSize})
		if s.area.Contains(room) && !s.crowded(room) {
			s.taken = append(s.taken, room)
			return mid, true
		}
	}
	return at, false
}

func (s *svg) crowded(room r2.Rect) bool {
	for _, t := range s.taken {
		if t.InteriorIntersects(room) {
			return true
		}
	}
	return false
}

// badge draws the shape of a treatment with a number in it, if it has one.
func (s *svg) badge(mid r2.Point, t Treatment, number int, by float64) {
	style := fmt.Sprintf(`class="mark %s" fill="#fff" stroke="%s" stroke-width="%s" stroke-linejoin="round"`, t, ink[t], px(2*math.Sqrt(by)))
	if shape := markShapes[t]; shape == nil {
		s.put(`<circle cx="%s" cy="%s" r="%s" %s/>`, px(mid.X), px(mid.Y), px(1.05*by*markSize), style)
	} else {
		corners := make([]string, len(shape))
		for i, p := range shape {
			corners[i] = xy(mid.Add(p.Mul(by * markSize)))
		}
		s.put(`<path d="M%sZ" %s/>`, strings.Join(corners, "L"), style)
	}
	if number > 0 {
		s.put(`<text x="%s" y="%s" font-size="11" font-weight="bold" text-anchor="middle">%d</text>`, px(mid.X), px(mid.Y+4), number)
	}
}

// legend says, row by row, what the numbers and the lines mean, and returns
// where it ends.
func (s *svg) legend(groups [][]Finding, d PartDrawing, y float64) float64 {
	const x, words = svgMargin + 16, svgMargin + 44
	row := func(line string) {
		s.put(`<text x="%d" y="%s">%s</text>`, words, px(y+baseline), text(line))
		y += svgRow
	}
	for i, g := range groups {
		f := &g[0]
		s.badge(r2.Point{X: x, Y: y}, f.Treatment, i+1, 1)
		line := f.Rule + " (" + string(f.Treatment) + ")"
		switch {
		case len(g) > 1:
			line += ", " + plural(len(g), "place")
		case !placed(f):
			line += ", the whole part"
		}
		if n := numbers(f); n != "" {
			if len(g) > 1 {
				n = "the first " + n
			}
			line += ": " + n
		}
		row(line)
		y += 5 // marks stand taller than text
	}
	for _, l := range []struct {
		used        bool
		style, name string
	}{
		{len(d.Burred) > 0, burredLine, "edge that stays burred after the line"},
		{len(d.Bends) > 0, bendLine, "bend"},
		{len(d.Etch) > 0, etchLine, "etched line"},
		{len(d.Forms) > 0, formLine, "form that stands out of the sheet"},
	} {
		if l.used {
			s.put(`<path d="M%d %sh32" %s/>`, x-16, px(y), l.style)
			row(l.name)
		}
	}
	if len(d.Joints) > 0 {
		s.put(`<path d="M%d %sh32" stroke="#222" stroke-width="1.5"/>`, x-16, px(y))
		s.joint(r2.Point{X: x, Y: y}, r2.Point{X: x + 1, Y: y})
		row("joint")
	}
	return y + svgRow/2
}
