package dxf

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"burrcast/geom"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"
)

// drawn is a drawing with every kind of path that a marked drawing has to keep.
func drawn() *Drawing {
	pt := func(x, y float64) r2.Point { return r2.Point{X: x, Y: y} }
	slot := []geom.Curve{geom.Line(pt(10, 10), pt(30, 10)), geom.Bulge(pt(30, 10), pt(30, 16), 1), geom.Line(pt(30, 16), pt(10, 16)), geom.Bulge(pt(10, 16), pt(10, 10), 1)}
	path := func(layer, lineType string, c int, closed bool, curves ...geom.Curve) Path {
		return Path{Curves: curves, Closed: closed, Layer: layer, LineType: lineType, Color: c}
	}
	return &Drawing{
		Units: Units{Millimetres: 1, Name: "mm"},
		Layers: []Layer{{Name: "0", Color: 7, LineType: "CONTINUOUS"}, {Name: "Schnitt Süd", Color: 3, LineType: "CONTINUOUS"},
			{Name: "BIEGEN", Color: 5, LineType: "DASHED2"}, {Name: "biegen", Color: 5}, {Name: "<script>alert(1)</script>", Color: 300}},
		Paths: []Path{
			path("0", "CONTINUOUS", 7, false, geom.Line(pt(0.1, 1.0/3), pt(100, 0))),
			path("Schnitt Süd", "CONTINUOUS", 3, false, geom.Arc(pt(50, 50), 12.7, 1, 2.5)),
			path("Schnitt Süd", "CONTINUOUS", 1, false, geom.Arc(pt(50, 50), 9, 2, -4*s1.Angle(1))),
			path("SCHNITT SÜD", "HIDDEN", 3, true, geom.Circle(pt(70, 20), 1.0/3)),
			path("BIEGEN", "DASHED2", 5, false, geom.Line(pt(0, 25), pt(100, 25))),
			path("BIEGEN", "CENTER", 0, false, geom.Line(pt(0, 30), pt(100, 30))),
			path("<script>alert(1)</script>", "CONTINUOUS", 7, true, slot...),
			path("0", "CONTINUOUS", 7, false, slot[:2]...),
		},
		Notes: []Note{{Text: "S235 t=2 Ø8 \"<script>\"", At: pt(5, 60), Height: 3, Layer: "NOTES"}, {Text: "two\nlines 𝔘", At: pt(5, 70), Layer: "NOTES"}},
	}
}

func markedOf(t testing.TB, d *Drawing, m Marks) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := WriteMarked(&b, d, m); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func someMarks() Marks {
	pt := func(x, y float64) r2.Point { return r2.Point{X: x, Y: y} }
	return Marks{
		Places: []Mark{{At: pt(20, 13), Radius: 4, Label: "1", Color: 30}, {At: pt(70, 20), Label: "2", Color: 5}},
		Edges:  []geom.Curve{geom.Line(pt(10, 10), pt(30, 10)), geom.Bulge(pt(30, 10), pt(30, 16), 1)},
		Legend: []string{"1 slot-reach (hand): 1.2 mm, limit 2.4 mm", "2 = \u00fc"},
	}
}

// What was read is read again: the same curves on the same layers, with their
// colours and line types; and nothing of ours once the marks are taken off.
func TestMarkedRoundTrip(t *testing.T) {
	for _, unit := range []Units{{Millimetres: 1, Name: "mm"}, {Millimetres: 25.4, Name: "inch"}, {Millimetres: 25.4 / 72, Name: "pt"}} {
		d := drawn()
		d.Units = unit
		got, err := ReadBytes(markedOf(t, d, someMarks()), Options{})
		if err != nil {
			t.Fatal(err)
		}
		if want := unit.Name; got.Units.Name != want && (want != "pt" || got.Units.Name != "mm") {
			t.Errorf("%s: read as %s", unit.Name, got.Units.Name)
		}
		if len(got.Repairs) > 0 || got.Partial {
			t.Errorf("%s: %+v", unit.Name, got.Repairs)
		}
		count := map[string]int{}
		for _, p := range got.Paths {
			count[p.Layer]++
		}
		for _, n := range got.Notes {
			count[n.Layer]++
		}
		if count[MarkLayer] != 2 || count[EdgeLayer] != 2 || count[NumberLayer] != 2 || count[LegendLayer] != 2 {
			t.Errorf("%s: marks %v", unit.Name, count)
		}
		same(t, d, WithoutMarks(got))
		// Marked again, the old marks are gone.
		again, err := ReadBytes(markedOf(t, got, Marks{}), Options{})
		if err != nil {
			t.Fatal(err)
		}
		if WithoutMarks(again) != again {
			t.Errorf("%s: marks of the first run are left", unit.Name)
		}
		same(t, d, again)
	}
}

// same compares what is drawn, to the rounding of one conversion of units.
func same(t *testing.T, want, got *Drawing) {
	t.Helper()
	const eps = 1e-12
	if len(got.Paths) != len(want.Paths) || len(got.Notes) != len(want.Notes) {
		t.Errorf("%d paths and %d notes, want %d and %d", len(got.Paths), len(got.Notes), len(want.Paths), len(want.Notes))
		return
	}
	for i, w := range want.Paths {
		g := got.Paths[i]
		if !strings.EqualFold(g.Layer, symbol(w.Layer)) || g.LineType != w.LineType || len(g.Curves) != len(w.Curves) || sound(g.Color) != sound(w.Color) {
			t.Errorf("path %d: layer %s %s colour %d, %d curves, want %s %s colour %d, %d", i, g.Layer, g.LineType, g.Color, len(g.Curves), w.Layer, w.LineType, w.Color, len(w.Curves))
			continue
		}
		for k, c := range w.Curves {
			gc := g.Curves[k]
			if c.Sweep < 0 && len(w.Curves) == 1 {
				c = c.Reversed() // an arc runs counter-clockwise
			}
			for _, s := range []float64{0, 0.25, 0.5, 1} {
				if off := c.At(s).Sub(gc.At(s)).Norm(); off > eps*100 {
					t.Errorf("path %d curve %d: %g mm off at %v", i, k, off, s)
				}
			}
		}
	}
	for i, w := range want.Notes {
		g := got.Notes[i]
		if g.Text != strings.ReplaceAll(w.Text, "\n", " ") || g.Layer != w.Layer || g.At.Sub(w.At).Norm() > 1e-9 {
			t.Errorf("note %d: %+v, want %+v", i, g, w)
		}
	}
}

// Places and edges stand where they were meant to.
func TestMarkedPlaces(t *testing.T) {
	m := someMarks()
	got, err := ReadBytes(markedOf(t, drawn(), m), Options{})
	if err != nil {
		t.Fatal(err)
	}
	var places []r2.Point
	edges := 0.0
	for _, p := range got.Paths {
		switch p.Layer {
		case MarkLayer:
			places = append(places, p.Curves[0].Center)
			if !p.Curves[0].IsCircle() {
				t.Error("a mark that is not a circle")
			}
		case EdgeLayer:
			edges += geom.LoopLength(p.Curves)
		}
	}
	for i, p := range m.Places {
		if places[i].Sub(p.At).Norm() > 1e-9 {
			t.Errorf("mark %d at %v, want %v", i, places[i], p.At)
		}
	}
	if want := geom.LoopLength(m.Edges); math.Abs(edges-want) > 1e-9 {
		t.Errorf("%v mm of edge, want %v", edges, want)
	}
	for _, n := range got.Notes {
		if n.Layer == LegendLayer && n.At.Y >= 0 {
			t.Errorf("the legend stands in the drawing: %+v", n)
		}
	}
	// An empty drawing can be marked, too.
	if _, err := ReadBytes(markedOf(t, &Drawing{Units: Units{Millimetres: 1, Name: "mm"}}, m), Options{}); err != nil {
		t.Error(err)
	}
}

// The library that writes keeps things for all drawings at once.
func TestMarkedAtTheSameTime(t *testing.T) {
	want := markedOf(t, drawn(), someMarks())
	var group sync.WaitGroup
	for range 8 {
		group.Go(func() {
			for range 5 {
				var b bytes.Buffer
				if err := WriteMarked(&b, drawn(), someMarks()); err != nil || !bytes.Equal(b.Bytes(), want) {
					t.Errorf("another drawing than alone, %v", err)
				}
			}
		})
	}
	group.Wait()
}

func TestNames(t *testing.T) {
	for in, want := range map[string]string{"CUT": "CUT", "Süd": "Süd", "xref|cut": "xref_cut", "a\nb": "a b", `<>/\":;?*=` + "`": "___________"} {
		if got := symbol(in); got != want {
			t.Errorf("%q: %q, want %q", in, got, want)
		}
	}
}

// Another program finds no mistake in a marked drawing, and the same entities.
func TestMarkedAudit(t *testing.T) {
	interpreter := python(t)
	file := filepath.Join(t.TempDir(), "marked.dxf")
	if err := os.WriteFile(file, markedOf(t, drawn(), someMarks()), 0o644); err != nil {
		t.Fatal(err)
	}
	const script = `
import sys, ezdxf
doc = ezdxf.readfile(sys.argv[1])
audit = doc.audit()
for e in audit.errors + audit.fixes:
    print("audit:", e.code, e.message)
for e in doc.modelspace():
    print(e.dxftype(), e.dxf.layer)
`
	said, err := exec.Command(interpreter, "-c", script, file).CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, said)
	}
	if bytes.Contains(said, []byte("audit:")) {
		t.Errorf("%s", said)
	}
	for _, want := range []string{"LINE 0", "ARC Schnitt Süd", "CIRCLE Schnitt Süd", "LWPOLYLINE _script_alert(1)__script_", "CIRCLE " + MarkLayer, "ARC " + EdgeLayer, "TEXT " + LegendLayer} {
		if !bytes.Contains(said, []byte(want+"\n")) {
			t.Errorf("no %s in\n%s", want, said)
		}
	}
	if n, want := bytes.Count(said, []byte("\n")), len(drawn().Paths)+len(drawn().Notes)+8; n != want {
		t.Errorf("%d entities, want %d", n, want)
	}
}

func ExampleWriteMarked() {
	d, err := ReadBytes([]byte("0\nSECTION\n2\nENTITIES\n0\nCIRCLE\n8\nCUT\n10\n5\n20\n5\n40\n1\n0\nENDSEC\n0\nEOF\n"), Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	var b bytes.Buffer
	if err := WriteMarked(&b, d, Marks{Places: []Mark{{At: r2.Point{X: 5, Y: 5}, Radius: 3, Label: "1"}}}); err != nil {
		fmt.Println(err)
		return
	}
	marked, err := ReadBytes(b.Bytes(), Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, p := range marked.Paths {
		fmt.Println(p.Entity, p.Layer)
	}
	// Output:
	// CIRCLE CUT
	// CIRCLE BURRCAST_MARK
}
