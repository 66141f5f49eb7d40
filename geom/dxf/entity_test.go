package dxf

import (
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"burrcast/geom"

	"github.com/golang/geo/r2"
)

// tags writes "0 LINE 8 cut" as tags, one word each.
func tags(s string) string {
	var b strings.Builder
	words := strings.Fields(s)
	for i := 0; i+1 < len(words); i += 2 {
		fmt.Fprintf(&b, "%3s\n%s\n", words[i], words[i+1])
	}
	return b.String()
}

// drawingOf is a drawing in mm with blocks and entities.
func drawingOf(blocks, entities string) []byte {
	return []byte(tags("0 SECTION 2 HEADER 9 $ACADVER 1 AC1015 9 $INSUNITS 70 4 0 ENDSEC "+
		"0 SECTION 2 BLOCKS "+blocks+" 0 ENDSEC 0 SECTION 2 ENTITIES") + tags(entities) + tags("0 ENDSEC 0 EOF"))
}

// shown writes curves for reading: a line by its ends, an arc by centre,
// radius, start angle and sweep in degrees.
func shown(curves []geom.Curve) string {
	var out []string
	num := func(v float64) string { return fmt.Sprintf("%.6g", math.Round(v*1e6)/1e6+0) }
	at := func(p r2.Point) string { return num(p.X) + "," + num(p.Y) }
	for _, c := range curves {
		if c.IsArc() {
			from := math.Mod(c.From.Degrees()+720, 360)
			if from > 359.9999999 {
				from = 0
			}
			out = append(out, fmt.Sprintf("arc %s r%s %s%+.6g", at(c.Center), num(c.Radius), num(from), c.Sweep.Degrees()))
			continue
		}
		out = append(out, "line "+at(c.Start)+" "+at(c.End))
	}
	return strings.Join(out, "; ")
}

const (
	unitArc  = "0 BLOCK 2 arc 10 0 20 0 0 ARC 8 0 10 0 20 0 40 1 50 0 51 90 0 ENDBLK "
	unitLine = "0 BLOCK 2 line 10 1 20 1 0 LINE 8 0 10 1 20 1 11 2 21 1 0 ENDBLK "
	nested   = unitLine + "0 BLOCK 2 outer 10 0 20 0 0 INSERT 8 0 2 line 10 5 20 0 50 90 0 ENDBLK "
)

// TestEntities checks each kind of entity against curves worked out by hand.
func TestEntities(t *testing.T) {
	for _, c := range []struct {
		name, blocks, entities, want string
	}{
		{"line", "", "0 LINE 10 1 20 2 30 9 11 4 21 6 31 9", "line 1,2 4,6"},
		{"circle", "", "0 CIRCLE 10 1 20 2 40 3", "arc 1,2 r3 0+360"},
		{"arc", "", "0 ARC 10 1 20 2 40 3 50 30 51 120", "arc 1,2 r3 30+90"},
		{"arc over zero", "", "0 ARC 10 0 20 0 40 3 50 350 51 10", "arc 0,0 r3 350+20"},
		{"arc with angles outside a turn", "", "0 ARC 10 0 20 0 40 3 50 -90 51 450", "arc 0,0 r3 270+180"},
		{"arc all round", "", "0 ARC 10 0 20 0 40 3 50 0 51 360", "arc 0,0 r3 0+360"},
		{"arc seen from below", "", "0 ARC 10 1 20 2 40 3 50 0 51 90 210 0 220 0 230 -1", "arc -1,2 r3 180-90"},
		{"lwpolyline", "", "0 LWPOLYLINE 90 3 70 0 10 0 20 0 10 4 20 0 42 1 10 4 20 2",
			"line 0,0 4,0; arc 4,1 r1 270+180"},
		{"lwpolyline closed by a bulge", "", "0 LWPOLYLINE 90 2 70 1 10 0 20 0 42 -1 10 2 20 0 42 -1",
			"arc 1,0 r1 180-180; arc 1,0 r1 0-180"},
		{"lwpolyline from below", "", "0 LWPOLYLINE 90 2 70 0 38 5 10 0 20 0 42 1 10 2 20 0 210 0 220 0 230 -1",
			"arc -1,0 r1 0-180"},
		{"lwpolyline with a vertex twice", "", "0 LWPOLYLINE 90 4 70 1 10 0 20 0 10 2 20 0 42 0.5 10 2 20 0 10 2 20 2",
			"line 0,0 2,0; line 2,0 2,2; line 2,2 0,0"},
		{"polyline", "", "0 POLYLINE 66 1 70 1 10 0 20 0 30 0 0 VERTEX 10 0 20 0 0 VERTEX 10 2 20 0 42 1 0 VERTEX 10 2 20 2 0 SEQEND",
			"line 0,0 2,0; arc 2,1 r1 270+180; line 2,2 0,0"},
		{"polyline, curve fit", "", "0 POLYLINE 66 1 70 2 10 0 20 0 30 0 0 VERTEX 10 0 20 0 42 1 70 2 0 VERTEX 10 2 20 0 42 -1 70 1 0 VERTEX 10 4 20 0 70 2 0 SEQEND",
			"arc 1,0 r1 180+180; arc 3,0 r1 180-180"},
		{"polyline, spline fit", "", "0 POLYLINE 66 1 70 4 10 0 20 0 30 0 0 VERTEX 10 9 20 9 70 16 0 VERTEX 10 0 20 0 70 8 0 VERTEX 10 2 20 1 70 8 0 VERTEX 10 7 20 7 70 16 0 SEQEND",
			"line 0,0 2,1"},
		{"polyline in space, level", "", "0 POLYLINE 66 1 70 9 0 VERTEX 10 0 20 0 30 4 70 32 0 VERTEX 10 1 20 0 30 4 70 32 0 VERTEX 10 1 20 1 30 4 70 32 0 SEQEND",
			"line 0,0 1,0; line 1,0 1,1; line 1,1 0,0"},
		{"ellipse that is a circle", "", "0 ELLIPSE 10 1 20 2 11 3 21 0 40 1 41 0 42 6.283185307179586", "arc 1,2 r3 0+360"},
		{"elliptic arc that is round", "", "0 ELLIPSE 10 0 20 0 11 0 21 2 40 1 41 0 42 1.5707963267948966", "arc 0,0 r2 90+90"},
		{"the same from below", "", "0 ELLIPSE 10 0 20 0 11 0 21 2 40 1 41 0 42 1.5707963267948966 210 0 220 0 230 -1", "arc 0,0 r2 90-90"},
		{"spline of degree 1", "", "0 SPLINE 70 0 71 1 72 5 73 3 40 0 40 0 40 1 40 2 40 2 10 0 20 0 10 1 20 0 10 1 20 1", "line 0,0 1,0; line 1,0 1,1"},
		{"straight spline", "", "0 SPLINE 70 0 71 2 72 6 73 3 40 0 40 0 40 0 40 1 40 1 40 1 10 0 20 0 10 1 20 1 10 4 20 4", "line 0,0 4,4"},
		// A quarter circle as a rational quadratic: weight 1/sqrt(2) (Piegl, Tiller, The NURBS Book, 7.2).
		{"rational spline", "", "0 SPLINE 70 4 71 2 72 6 73 3 40 0 40 0 40 0 40 1 40 1 40 1 41 1 41 0.7071067811865476 41 1 10 2 20 0 10 2 20 2 10 0 20 2", "arc 0,0 r2 0+90"},
		{"straight through fit points", "", "0 SPLINE 70 8 71 3 74 3 11 0 21 0 11 1 21 1 11 3 21 3", "line 0,0 3,3"},
		{"insert: base point and rotation", unitLine, "0 INSERT 2 line 10 10 20 5 50 90", "line 10,5 10,6"},
		{"insert: name in another case", unitLine, "0 INSERT 2 LINE 10 10 20 5", "line 10,5 11,5"},
		{"insert mirrored", unitArc, "0 INSERT 2 arc 10 10 20 0 41 -2 42 2", "arc 10,0 r2 180-90"},
		{"insert mirrored and turned", unitArc, "0 INSERT 2 arc 10 0 20 0 41 1 42 -1 50 90", "arc 0,0 r1 90-90"},
		{"insert from below", unitArc, "0 INSERT 2 arc 10 10 20 0 210 0 220 0 230 -1", "arc -10,0 r1 180-90"},
		{"insert array", unitLine, "0 INSERT 2 line 10 0 20 0 50 90 70 2 71 2 44 10 45 20",
			"line 0,0 0,1; line 0,10 0,11; line -20,0 -20,1; line -20,10 -20,11"},
		{"insert nested", nested, "0 INSERT 2 outer 10 0 20 0 41 2 42 2 43 2 50 90", "line 0,10 -2,10"},
		{"attribute behind an insert", unitLine, "0 INSERT 66 1 2 line 10 0 20 0 0 ATTRIB 8 0 10 0 20 0 40 1 1 steel 2 MAT 70 0 0 SEQEND 0 LINE 10 0 20 0 11 1 21 1",
			"line 0,0 1,0; line 0,0 1,1"},
	} {
		t.Run(c.name, func(t *testing.T) {
			d, err := ReadBytes(drawingOf(c.blocks, c.entities), Options{})
			if err != nil {
				t.Fatal(err)
			}
			if d.Partial || len(d.Repairs) > 0 && d.Repairs[0].Code != "fit-points-only" {
				t.Errorf("repairs %+v", d.Repairs)
			}
			var all []geom.Curve
			for _, p := range d.Paths {
				checkPath(t, p)
				all = append(all, p.Curves...)
				if p.Error > 1e-9 {
					t.Errorf("error %g on an exact shape", p.Error)
				}
			}
			if got := shown(all); got != c.want {
				t.Errorf("got  %s\nwant %s", got, c.want)
			}
		})
	}
}

// TestFitted checks curves that arcs stand for: length and area by quadrature
// of the curve's own formula, to 1e-6 at the finest tolerance.
func TestFitted(t *testing.T) {
	ellipse := func(a, b float64) (length, area float64) {
		const n = 4096
		for i := range n {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / n)
			length += math.Hypot(a*sin, b*cos) * 2 * math.Pi / n
		}
		return length, math.Pi * a * b
	}
	l12, a12 := ellipse(12, 4)
	l31, a31 := ellipse(3, 1)
	// Half of the ellipse 12 x 4 is convex and is closed by its long axis.
	circle := "0 BLOCK 2 c 10 0 20 0 0 CIRCLE 8 0 10 0 20 0 40 1 0 ENDBLK "
	slot := "0 BLOCK 2 s 10 0 20 0 0 LWPOLYLINE 8 0 90 4 70 1 10 0 20 0 10 2 20 0 42 1 10 2 20 2 10 0 20 2 42 1 0 ENDBLK "
	bez, bezArea := cubicLength([4]r2.Point{{X: 0, Y: 0}, {X: 0, Y: 30}, {X: 40, Y: 30}, {X: 40, Y: 0}})
	for _, c := range []struct {
		name, blocks, entities string
		length, area           float64
	}{
		{"ellipse", "", "0 ELLIPSE 10 100 20 50 11 12 21 0 40 0.3333333333333333 41 0 42 6.283185307179586", l12, a12},
		{"turned ellipse", "", "0 ELLIPSE 10 100 20 50 11 7.2 21 9.6 40 0.3333333333333333 41 0 42 6.283185307179586", l12, a12},
		{"half an ellipse", "", "0 ELLIPSE 10 0 20 0 11 12 21 0 40 0.3333333333333333 41 0 42 3.141592653589793", l12 / 2, a12 / 2},
		{"circle unequally scaled", circle, "0 INSERT 2 c 10 5 20 5 41 3 42 1 50 33", l31, a31},
		{"circle unequally scaled and mirrored", circle, "0 INSERT 2 c 10 5 20 5 41 -3 42 1", l31, a31},
		// A slot 2 x 2 with round ends, its x stretched threefold.
		{"bulges unequally scaled", slot, "0 INSERT 2 s 10 0 20 0 41 3 42 1", 12 + l31, 12 + a31},
		{"cubic", "", "0 SPLINE 70 8 71 3 72 8 73 4 40 0 40 0 40 0 40 0 40 1 40 1 40 1 40 1 10 0 20 0 10 0 20 30 10 40 20 30 10 40 20 0", bez, bezArea},
	} {
		t.Run(c.name, func(t *testing.T) {
			d, err := ReadBytes(drawingOf(c.blocks, c.entities), Options{CurveTolerance: 1e-7})
			if err != nil {
				t.Fatal(err)
			}
			if len(d.Paths) != 1 || d.Partial {
				t.Fatalf("%+v", d)
			}
			p := d.Paths[0]
			checkPath(t, p)
			if !(p.Error > 0 && p.Error <= 1e-7) {
				t.Errorf("error %g", p.Error)
			}
			if got := geom.LoopLength(p.Curves); math.Abs(got-c.length) > 1e-6*c.length {
				t.Errorf("length %.12g, want %.12g", got, c.length)
			}
			loop := p.Curves
			if !p.Closed {
				loop = append(loop[:len(loop):len(loop)], geom.Line(loop[len(loop)-1].End, loop[0].Start))
			}
			if got := math.Abs(geom.Integrate(loop).Area); math.Abs(got-c.area) > 1e-6*c.area {
				t.Errorf("area %.12g, want %.12g", got, c.area)
			}
		})
	}
}

// cubicLength returns length and area under a cubic with control points c, by
// Simpson's rule.
func cubicLength(c [4]r2.Point) (length, area float64) {
	const n = 4000
	for i := range n + 1 {
		t := float64(i) / n
		s := 1 - t
		d := c[1].Sub(c[0]).Mul(3 * s * s).Add(c[2].Sub(c[1]).Mul(6 * s * t)).Add(c[3].Sub(c[2]).Mul(3 * t * t))
		p := c[0].Mul(s * s * s).Add(c[1].Mul(3 * s * s * t)).Add(c[2].Mul(3 * s * t * t)).Add(c[3].Mul(t * t * t))
		w := 2.0
		switch {
		case i == 0 || i == n:
			w = 1
		case i%2 == 1:
			w = 4
		}
		length += w * d.Norm() / (3 * n)
		area += w * p.Y * d.X / (3 * n)
	}
	return length, area
}

// TestClosedSplines checks that closed splines close, clamped or periodic.
func TestClosedSplines(t *testing.T) {
	for name, ents := range map[string]string{
		"clamped": "0 SPLINE 70 9 71 2 72 8 73 5 40 0 40 0 40 0 40 1 40 2 40 3 40 3 40 3 10 0 20 0 10 4 20 0 10 4 20 4 10 0 20 4 10 0 20 0",
		// Uniform knots; the first control points are repeated at the end.
		"periodic":             "0 SPLINE 70 11 71 2 72 9 73 6 40 0 40 1 40 2 40 3 40 4 40 5 40 6 40 7 40 8 10 0 20 0 10 4 20 0 10 4 20 4 10 0 20 4 10 0 20 0 10 4 20 0",
		"through fit points":   "0 SPLINE 70 11 71 3 74 5 11 0 21 0 11 4 21 0 11 4 21 4 11 0 21 4 11 0 21 0",
		"without a last point": "0 SPLINE 70 11 71 3 74 4 11 0 21 0 11 4 21 0 11 4 21 4 11 0 21 4",
	} {
		d, err := ReadBytes(drawingOf("", ents), Options{})
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		p := d.Paths[0]
		checkPath(t, p)
		if !p.Closed {
			t.Errorf("%s: open", name)
		}
		if area := geom.Integrate(p.Curves).Area; area < 5 || area > 27 {
			t.Errorf("%s: area %g", name, area)
		}
		if name == "periodic" || strings.Contains(name, "point") {
			a, b := p.Curves[len(p.Curves)-1].Tangent(1), p.Curves[0].Tangent(0)
			if math.Abs(geom.Cross(a, b)) > 1e-6 || a.Dot(b) < 0 {
				t.Errorf("%s: bent where it closes: %v %v", name, a, b)
			}
		}
	}
}

// TestFitTangents checks that end tangents of a spline through points hold.
func TestFitTangents(t *testing.T) {
	d, err := ReadBytes(drawingOf("", "0 SPLINE 70 8 71 3 74 3 12 0 22 1 13 0 23 -1 11 0 21 0 11 5 21 5 11 10 21 0"), Options{})
	if err != nil {
		t.Fatal(err)
	}
	c := d.Paths[0].Curves
	if a, b := c[0].Tangent(0), c[len(c)-1].Tangent(1); a.Sub(r2.Point{Y: 1}).Norm() > 1e-9 || b.Sub(r2.Point{Y: -1}).Norm() > 1e-9 {
		t.Errorf("tangents %v %v", a, b)
	}
}

// TestInheritance checks what contents of a block take from the insert.
func TestInheritance(t *testing.T) {
	layers := "0 SECTION 2 TABLES 0 TABLE 2 LAYER 0 LAYER 2 red 70 0 62 1 6 Dashed 0 LAYER 2 blue 70 0 62 5 6 Continuous 0 ENDTAB 0 ENDSEC "
	blocks := "0 SECTION 2 BLOCKS 0 BLOCK 2 b 10 0 20 0 " +
		"0 LINE 8 0 10 0 20 0 11 1 21 0 " + // takes layer, colour and line type
		"0 LINE 8 blue 10 0 20 1 11 1 21 1 " +
		"0 LINE 8 blue 62 0 6 BYBLOCK 10 0 20 2 11 1 21 2 " +
		"0 LINE 8 0 62 3 6 Center 10 0 20 3 11 1 21 3 " +
		"0 ENDBLK 0 ENDSEC "
	text := tags(layers + blocks + "0 SECTION 2 ENTITIES 0 INSERT 8 red 62 2 6 Phantom 2 b 10 0 20 0 0 ENDSEC 0 EOF")
	d, err := ReadBytes([]byte(text), Options{})
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []Path{
		{Layer: "red", Color: 1, LineType: "DASHED"},
		{Layer: "blue", Color: 5, LineType: "CONTINUOUS"},
		{Layer: "blue", Color: 2, LineType: "PHANTOM"},
		{Layer: "red", Color: 3, LineType: "CENTER"},
	} {
		p := d.Paths[i]
		if p.Layer != want.Layer || p.Color != want.Color || p.LineType != want.LineType {
			t.Errorf("line %d: layer %s, colour %d, %s; want %s, %d, %s", i,
				p.Layer, p.Color, p.LineType, want.Layer, want.Color, want.LineType)
		}
	}
}

// TestSharedEnds checks that neighbours share their ends bit for bit under a
// transform that rounds.
func TestSharedEnds(t *testing.T) {
	block := "0 BLOCK 2 b 10 0.1 20 0.7 0 LWPOLYLINE 8 0 90 4 70 1 10 0.1 20 0.2 42 0.3 10 7.3 20 0.11 42 -0.9 10 6.6 20 5.5 10 0.3 20 4.4 42 0.01 0 ENDBLK "
	for _, insert := range []string{"41 1 42 1 50 17.3", "41 -1.1 42 1.1 50 17.3", "41 1.1 42 0.7 50 17.3"} {
		d, err := ReadBytes(drawingOf(block, "0 INSERT 2 b 10 1234.567 20 -89.01 "+insert), Options{Units: "inch"})
		if err != nil {
			t.Fatal(err)
		}
		checkPath(t, d.Paths[0])
		if !d.Paths[0].Closed {
			t.Error("open")
		}
	}
}

// TestAnonymous checks which blocks that programs make for themselves are cut.
func TestAnonymous(t *testing.T) {
	for name, cut := range map[string]bool{"*U3": true, "*E1": true, "*D12": false, "*d1": false, "*X4": false, "*T5": false, "D1": true, "*": true} {
		blocks := "0 BLOCK 2 " + name + " 10 0 20 0 0 LINE 8 0 10 0 20 0 11 1 21 0 0 ENDBLK"
		d, err := ReadBytes(drawingOf(blocks, "0 INSERT 2 "+name+" 10 0 20 0 0 CIRCLE 10 0 20 0 40 1"), Options{})
		if err != nil || d.Partial {
			t.Fatalf("%s: %v %+v", name, err, d)
		}
		if got := len(d.Paths) == 2; got != cut {
			t.Errorf("%s: %d paths", name, len(d.Paths))
		}
		if !cut && (len(d.Skipped) != 1 || d.Skipped[0].Type != "INSERT") {
			t.Errorf("%s: %+v", name, d.Skipped)
		}
	}
}

// TestTrueColors: a true colour becomes the nearest index, before or behind an
// index of the entity.
func TestTrueColors(t *testing.T) {
	for tag, want := range map[string]int{
		"420 16711680":      1,  // pure red
		"62 3 420 16711680": 1,  // says more than the index
		"420 255 62 3":      5,  // in any order
		"420 0":             7,  // black
		"420 16744575":      11, // 255 127 127 as the table has it
		"420 16744576":      11, // and one beside it
		"420 -1":            7,  // no colour
		"62 4":              4,
	} {
		d, err := ReadBytes(drawingOf("", "0 LINE "+tag+" 10 0 20 0 11 1 21 0"), Options{})
		if err != nil || d.Paths[0].Color != want {
			t.Errorf("%s: %v, colour %d, want %d", tag, err, d.Paths[0].Color, want)
		}
	}
}

// TestSheetNotes: texts of a title block on the sheet are read, also from its
// block; nothing else of the sheet is.
func TestSheetNotes(t *testing.T) {
	data, err := os.ReadFile("testdata/paper-space-note.dxf")
	if err != nil {
		t.Fatal(err)
	}
	d, err := ReadBytes(data, Options{})
	if err != nil || len(d.Notes) != 2 || len(d.Paths) != 2 {
		t.Fatalf("%v, %+v", err, d)
	}
	for i, want := range []Note{
		{Text: "S235", At: r2.Point{X: 5, Y: 6}, Height: 3, Layer: "title", Line: d.Notes[0].Line, Paper: true},
		{Text: "2mm", At: r2.Point{X: 101, Y: 2}, Height: 3, Layer: "title", Line: d.Notes[1].Line, Paper: true},
	} {
		if d.Notes[i] != want {
			t.Errorf("%+v, want %+v", d.Notes[i], want)
		}
	}
	d, err = ReadBytes(drawingOf("", "0 LINE 10 0 20 0 11 1 21 0 0 TEXT 10 0 20 0 40 1 1 here"), Options{})
	if err != nil || len(d.Notes) != 1 || d.Notes[0].Paper {
		t.Errorf("%v, %+v", err, d.Notes)
	}
}
