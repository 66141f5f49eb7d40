package report

import (
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"burrcast/geom"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"
	"pgregory.net/rapid"
)

// plate is 100 x 50 mm with a hole, a slot with a round end, a bend, an etched
// line, a joint and a form.
func plate() (*Part, PartDrawing) {
	pt := func(x, y float64) r2.Point { return r2.Point{X: x, Y: y} }
	line := func(x0, y0, x1, y1 float64) geom.Curve { return geom.Line(pt(x0, y0), pt(x1, y1)) }
	d := PartDrawing{
		Contours: [][]geom.Curve{
			{line(0, 0, 100, 0), line(100, 0, 100, 50), line(100, 50, 0, 50), line(0, 50, 0, 0)},
			{geom.Circle(pt(20, 25), 5).Reversed()},
			{line(60, 24, 80, 24), geom.Bulge(pt(80, 24), pt(80, 26), 1), line(80, 26, 60, 26), line(60, 26, 60, 24)},
		},
		Bends:  []geom.Curve{line(0, 10, 100, 10)},
		Etch:   []geom.Curve{line(40, 40, 50, 40)},
		Joints: []geom.Curve{line(49.8, 50, 50.2, 50)},
		Forms:  []r2.Rect{r2.RectFromPoints(pt(40, 20), pt(50, 30))},
	}
	p := &Part{ID: "P1", BBox: [2]Num{100, 50}, Feed: &Feed{Angle: 30},
		Cutouts: []Cutout{{ID: "C1", X: 20, Y: 25}, {ID: "C2", X: 70, Y: 25}},
		Findings: []Finding{
			{Rule: "slot-reach", Treatment: "hand", Feature: "C2", X: 70, Y: 25, Measured: known(2), Limit: known(2.4), Unit: "mm"},
			{Rule: "hole-thickness", Treatment: "brush", Feature: "C1", X: 20, Y: 25, Measured: known(0.8), Limit: known(1), Unit: "x thickness"},
			{Rule: "part-light", Treatment: "fixture", X: 50, Y: 25, Measured: known(3), Limit: known(5), Unit: "g"},
			{Rule: "open-contour", Treatment: "ask", X: 50, Y: 50},
			{Rule: "joint-nib", Treatment: "line", Feature: "J1", X: 50, Y: 50},
		}}
	return p, d
}

func TestPartSVGGolden(t *testing.T) {
	p, d := plate()
	golden(t, "part.svg", []byte(PartSVG(p, d, SVGOptions{Width: 600})))
}

// element is one element of a picture, flat.
type element struct {
	name string
	attr map[string]string
	text string
}

func (e element) class() string { return e.attr["class"] }

// parseSVG reads a picture with a strict XML reader.
func parseSVG(t interface{ Fatalf(string, ...any) }, picture string) []element {
	dec := xml.NewDecoder(strings.NewReader(picture))
	var out []element
	for {
		tok, err := dec.Token()
		if err == io.EOF {
			return out
		}
		if err != nil {
			t.Fatalf("not well-formed: %v\n%s", err, picture)
		}
		switch tok := tok.(type) {
		case xml.StartElement:
			e := element{name: tok.Name.Local, attr: map[string]string{}}
			for _, a := range tok.Attr {
				e.attr[a.Name.Local] = a.Value
			}
			out = append(out, e)
		case xml.CharData:
			if len(out) > 0 && strings.TrimSpace(string(tok)) != "" {
				out[len(out)-1].text += string(tok)
			}
		}
	}
}

func ofClass(list []element, class string) (out []element) {
	for _, e := range list {
		if slices.Contains(strings.Fields(e.class()), class) {
			out = append(out, e)
		}
	}
	return out
}

func TestPartSVGShowsEverything(t *testing.T) {
	p, d := plate()
	all := parseSVG(t, PartSVG(p, d, SVGOptions{}))
	for class, n := range map[string]int{"part": 1, "bend": 1, "etch": 1, "form": 1, "feed": 2,
		"joint": 2, // one in the part, one in the legend
		// Every rule has a mark in the legend; those with a place one more.
		"ask": 2, "hand": 2, "fixture": 1, "brush": 2, "line": 2} {
		if got := ofClass(all, class); len(got) != n {
			t.Errorf("%s: %d, want %d", class, len(got), n)
		}
	}
	// Two half circles, one of another radius for the slot's end, at one scale.
	path := ofClass(all, "part")[0].attr["d"]
	arcs := regexp.MustCompile(`A([0-9.]+) ([0-9.]+) 0 0 ([01]) `).FindAllStringSubmatch(path, -1)
	want := [][]string{{"44", "44", "1"}, {"44", "44", "1"}, {"8.8", "8.8", "0"}}
	if len(arcs) != len(want) {
		t.Fatalf("%d arcs in %s", len(arcs), path)
	}
	for i, a := range arcs {
		if !slices.Equal(a[1:], want[i]) {
			t.Errorf("arc %d is %v, want %v", i, a[1:], want[i])
		}
	}
	if !strings.HasPrefix(path, "M40 480L920 480L920 40L40 40L40 480Z") {
		t.Errorf("the outline is not 880 x 440 px with y down: %s", path)
	}
	bare := parseSVG(t, PartSVG(p, d, SVGOptions{Bare: true}))
	if n := len(ofClass(bare, "fixture")); n != 0 {
		t.Errorf("%d marks of a legend that was not wanted", n)
	}
}

// The feed arrow points where the part travels: at angle a the drawing's X lies
// a counter-clockwise of the feed, so the feed lies a clockwise of X.
func TestPartSVGFeed(t *testing.T) {
	shaft := regexp.MustCompile(`^M([0-9.]+) ([0-9.]+)L([0-9.]+) ([0-9.]+)$`)
	for angle, want := range map[float64]r2.Point{0: {X: 1}, 90: {Y: 1}, 180: {X: -1}, 270: {Y: -1}} {
		p, d := plate()
		p.Feed.Angle = Num(angle)
		m := shaft.FindStringSubmatch(ofClass(parseSVG(t, PartSVG(p, d, SVGOptions{})), "feed")[0].attr["d"])
		if m == nil {
			t.Fatal("no shaft")
		}
		var v [4]float64
		for i := range v {
			v[i], _ = strconv.ParseFloat(m[i+1], 64)
		}
		// y down: what turns clockwise from X is positive y.
		if got := geom.Unit(r2.Point{X: v[2] - v[0], Y: v[3] - v[1]}); got.Sub(want).Norm() > 1e-6 {
			t.Errorf("at %v degrees the arrow points to %v, want %v", angle, got, want)
		}
	}
}

// A mark stands in the picture and on no other mark, however many there are.
func TestPartSVGMarksKeepApart(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, d := plate()
		p.Findings = nil
		for range rapid.IntRange(0, 120).Draw(t, "findings") {
			p.Findings = append(p.Findings, Finding{Rule: "r", Treatment: rapid.SampledFrom(Treatments[:]).Draw(t, "treatment"), Feature: "X",
				X: Num(rapid.Float64Range(-10, 110).Draw(t, "x")), Y: Num(rapid.Float64Range(-10, 60).Draw(t, "y"))})
		}
		var at []r2.Point
		for _, e := range parseSVG(t, PartSVG(p, d, SVGOptions{Bare: true})) {
			if e.name != "text" || e.attr["font-weight"] != "bold" {
				continue
			}
			x, _ := strconv.ParseFloat(e.attr["x"], 64)
			y, _ := strconv.ParseFloat(e.attr["y"], 64)
			if x < markSize || x > 960-markSize || y < markSize || y > 520 {
				t.Fatalf("a mark at (%v, %v) leaves the picture", x, y)
			}
			for _, q := range at {
				if math.Abs(q.X-x) < 2*markSize && math.Abs(q.Y-y) < 2*markSize {
					t.Fatalf("marks at %v and (%v, %v) overlap", q, x, y)
				}
			}
			at = append(at, r2.Point{X: x, Y: y})
		}
	})
}

// A curved slot does not hold its own middle: the mark still points at the slot.
func TestPartSVGPointsAtTheFeature(t *testing.T) {
	arc := geom.Arc(r2.Point{X: 50, Y: 5}, 30, s1.Degree*20, s1.Degree*140)
	inner := geom.Arc(r2.Point{X: 50, Y: 5}, 28, s1.Degree*160, -s1.Degree*140)
	loop := []geom.Curve{arc, geom.Line(arc.End, inner.Start), inner, geom.Line(inner.End, arc.Start)}
	p := r2.Point{X: 50, Y: 28}
	q := onFeature(p, loop)
	if want := (r2.Point{X: 50, Y: 33}); q.Sub(want).Norm() > 1e-9 {
		t.Errorf("the mark points at %v, want %v", q, want)
	}
	if got := onFeature(r2.Point{X: 50, Y: 34}, loop); got != (r2.Point{X: 50, Y: 34}) {
		t.Errorf("a place in the slot is moved to %v", got)
	}
	if got := onFeature(p, nil); got != p {
		t.Errorf("a place on no cut-out is moved to %v", got)
	}
}

// What strangers name cannot break out of the text it stands in.
func TestPartSVGHostile(t *testing.T) {
	p, d := plate()
	evil := "</text><script>&\x00\x1b\"'\ufffe"
	p.ID, p.Findings[0].Rule, p.Findings[0].Unit = evil, evil, evil
	for _, e := range parseSVG(t, PartSVG(p, d, SVGOptions{})) {
		if e.name == "script" {
			t.Error("markup in a name became markup")
		}
	}
	for name, d := range map[string]PartDrawing{
		"nothing": {}, "no outline": {Contours: [][]geom.Curve{{}}},
		"a point":    {Contours: [][]geom.Curve{{geom.Line(r2.Point{}, r2.Point{})}}},
		"a line":     {Contours: [][]geom.Curve{{geom.Line(r2.Point{}, r2.Point{X: 5})}}},
		"not finite": {Contours: [][]geom.Curve{{geom.Line(r2.Point{}, r2.Point{X: math.NaN(), Y: 1})}}},
		"endless":    {Contours: [][]geom.Curve{{geom.Line(r2.Point{}, r2.Point{X: math.Inf(1), Y: 1})}}},
	} {
		if got := PartSVG(p, d, SVGOptions{}); got != "" {
			t.Errorf("%s is drawn: %s", name, got)
		}
	}
}

// Colour is never alone, and stands out from the paper: contrast of at least 3
// to 1, as WCAG 2.1 asks of graphics (1.4.11).
func TestMarks(t *testing.T) {
	shapes := map[string]Treatment{}
	for _, tr := range Treatments {
		var r, g, b uint8
		if _, err := fmt.Sscanf(ink[tr], "#%02x%02x%02x", &r, &g, &b); err != nil {
			t.Fatalf("%s: %v", tr, err)
		}
		if c := 1.05 / (luminance(r, g, b) + 0.05); c < 3 {
			t.Errorf("%s: contrast %.2f", tr, c)
		}
		key := fmt.Sprint(markShapes[tr])
		if other, ok := shapes[key]; ok {
			t.Errorf("%s and %s have one shape", tr, other)
		}
		shapes[key] = tr
	}
}

// luminance is the relative luminance of WCAG 2.1.
func luminance(r, g, b uint8) float64 {
	lin := func(v uint8) float64 {
		s := float64(v) / 255
		if s <= 0.03928 {
			return s / 12.92
		}
		return math.Pow((s+0.055)/1.055, 2.4)
	}
	return 0.2126*lin(r) + 0.7152*lin(g) + 0.0722*lin(b)
}

func TestNiceLength(t *testing.T) {
	for most, want := range map[float64]float64{1: 1, 1.99: 1, 2: 2, 4.9: 2, 5: 5, 9.99: 5, 10: 10, 0.3: 0.2, 730: 500} {
		if got := niceLength(most); math.Abs(got-want) > 1e-12 {
			t.Errorf("niceLength(%v) = %v, want %v", most, got, want)
		}
	}
}
