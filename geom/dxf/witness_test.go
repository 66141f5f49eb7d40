package dxf

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"strings"
	"testing"

	"burrcast/geom"

	"github.com/golang/geo/r2"
	yofu "github.com/yofu/dxf"
	"github.com/yofu/dxf/drawing"
	yofuentity "github.com/yofu/dxf/entity"
)

// TestBesideLibrary compares with the named library's own reader on every real
// drawing that it opens: the same entities with the same numbers, bit for bit.
//
// Tolerated, and counted: types of which some entities were skipped or
// rejected here (paper space, hidden layers, no length), which that reader
// takes all the same; bulges, which it moves to the next vertex.
func TestBesideLibrary(t *testing.T) {
	dir := shared(t, "corpus")
	opened, compared, tolerated := 0, 0, 0
	drawings(t, dir, func(path string, data []byte) {
		theirs, ok := yofuRead(data)
		if !ok {
			return
		}
		opened++
		ours, err := ReadBytes(data, Options{Units: "mm", KeepChords: true})
		if ours == nil {
			if len(theirs.Entities()) > 0 {
				t.Errorf("%s: %v, but the library reads %d entities", path, err, len(theirs.Entities()))
			}
			return
		}
		lost := map[string]bool{}
		for _, s := range ours.Skipped {
			lost[s.Type] = true
		}
		for _, r := range ours.Repairs {
			lost[r.Entity] = lost[r.Entity] || r.Rejected || r.Code == "paper-space-read"
		}
		want := map[string][]r2.Point{}
		for _, e := range theirs.Entities() {
			typ, pts := yofuPoints(e)
			if typ != "" {
				want[typ] = append(want[typ], pts...)
			}
		}
		got := map[string][]r2.Point{}
		for _, p := range ours.Paths {
			got[p.Entity] = append(got[p.Entity], pathPoints(p)...)
		}
		for typ, pts := range want {
			if lost[typ] {
				tolerated++
				continue
			}
			compared++
			if !samePoints(got[typ], pts) {
				t.Errorf("%s: %s: %d points, the library has %d, or they differ", path, typ, len(got[typ]), len(pts))
			}
		}
	})
	t.Logf("%d drawings opened, %d types compared, %d tolerated", opened, compared, tolerated)
	if opened < 20 || compared < 20 {
		t.Errorf("only %d drawings and %d types compared", opened, compared)
	}
}

func yofuRead(data []byte) (d *drawing.Drawing, ok bool) {
	defer func() {
		if recover() != nil {
			d, ok = nil, false
		}
	}()
	d, err := yofu.FromReader(bytes.NewReader(data))
	return d, err == nil
}

// yofuPoints returns defining points of an entity: ends, or centre and
// (radius, 0), or the vertices that differ from the one before.
func yofuPoints(e yofuentity.Entity) (string, []r2.Point) {
	at := func(v []float64) r2.Point { return r2.Point{X: v[0], Y: v[1]} }
	switch e := e.(type) {
	case *yofuentity.Line:
		return "LINE", []r2.Point{at(e.Start), at(e.End)}
	case *yofuentity.Arc:
		if e.Direction[2] < 0 {
			return "", nil
		}
		return "ARC", []r2.Point{at(e.Center), {X: e.Radius}}
	case *yofuentity.Circle:
		if e.Direction[2] < 0 {
			return "", nil
		}
		return "CIRCLE", []r2.Point{at(e.Center), {X: e.Radius}}
	case *yofuentity.LwPolyline:
		var pts []r2.Point
		for i, v := range e.Vertices {
			if p := at(v); i == 0 || p != pts[len(pts)-1] {
				pts = append(pts, p)
			}
		}
		if e.Closed && pts[0] != pts[len(pts)-1] {
			pts = append(pts, pts[0])
		}
		return "LWPOLYLINE", pts
	}
	return "", nil
}

// pathPoints returns the same points of a path.
func pathPoints(p Path) []r2.Point {
	c := p.Curves[0]
	switch p.Entity {
	case "LINE":
		return []r2.Point{c.Start, c.End}
	case "ARC", "CIRCLE":
		return []r2.Point{c.Center, {X: c.Radius}}
	}
	pts := []r2.Point{c.Start}
	for _, c := range p.Curves {
		pts = append(pts, c.End)
	}
	return pts
}

func samePoints(a, b []r2.Point) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return true
}

// witnessed is what testdata/witness.py says of a drawing.
type witnessed struct {
	Path, Error, Version string
	Counts               map[string]int
	Length               float64
	Box                  []float64
	Flat                 bool
}

// python returns an interpreter that has ezdxf. Without one the test is
// skipped, or fails where BURRCAST_WITNESS asks for all witnesses.
func python(t *testing.T) string {
	for _, name := range []string{"python3", "/usr/bin/python3"} {
		if exec.Command(name, "-c", "import ezdxf").Run() == nil {
			return name
		}
	}
	if everything() {
		t.Fatal("witness missing: python3-ezdxf")
	}
	t.Skip("no python3 with ezdxf")
	return ""
}

// TestBesideEzdxf compares with ezdxf on every real drawing that it opens:
// entities by class, lengths and boxes.
func TestBesideEzdxf(t *testing.T) {
	if testing.Short() {
		t.Skip("takes a while")
	}
	py := python(t)
	// The witness is slow: all and large drawings only where that is asked for.
	largest := 1 << 15
	if everything() {
		largest = 1 << 19
	}
	var list []string
	seen := 0
	for _, dir := range []string{"corpus/parts", "corpus/reader", "truth"} {
		drawings(t, shared(t, dir), func(path string, data []byte) {
			if seen++; len(data) < largest && (everything() || seen%2 == 0) {
				list = append(list, path)
			}
		})
	}
	cmd := exec.Command(py, "testdata/witness.py")
	cmd.Stdin = strings.NewReader(strings.Join(list, "\n") + "\n")
	out, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	tally := map[string]int{}
	dec := json.NewDecoder(bytes.NewReader(out))
	for dec.More() {
		var w witnessed
		if err := dec.Decode(&w); err != nil {
			t.Fatal(err)
		}
		tally[besideEzdxf(t, w)]++
	}
	t.Logf("%v of %d drawings", tally, len(list))
	if tally["same"] < len(list)*8/10 {
		t.Errorf("only %d of %d drawings compared", tally["same"], len(list))
	}
}

// besideEzdxf compares one drawing and returns what came of it.
func besideEzdxf(t *testing.T, w witnessed) string {
	if w.Error != "" {
		return "witness failed"
	}
	data, err := os.ReadFile(w.Path)
	if err != nil {
		t.Fatal(err)
	}
	d, err := ReadBytes(data, Options{KeepChords: true})
	switch {
	case d == nil:
		if len(w.Counts) > 0 {
			t.Errorf("%s: %v, the witness reads %v", w.Path, err, w.Counts)
		}
		return "refused"
	case d.Partial || !w.Flat:
		return "partial or not flat"
	}
	for _, r := range d.Repairs {
		if r.Code == "paper-space-read" || r.Code == "turned-flat" || r.Code == "faces-outlined" {
			return r.Code
		}
	}
	class := map[string]string{
		"LINE": "line", "ARC": "round", "CIRCLE": "round", "ELLIPSE": "round",
		"LWPOLYLINE": "poly", "POLYLINE": "poly", "SPLINE": "spline",
	}
	counts, box, length, slack := map[string]int{}, r2.EmptyRect(), 0.0, 0.0
	for _, p := range d.Paths {
		counts[class[p.Entity]]++
		length += geom.LoopLength(p.Curves)
		box = box.Union(geom.LoopBounds(p.Curves))
		slack += p.Error
	}
	same := len(counts) == len(w.Counts)
	for k, n := range counts {
		same = same && w.Counts[k] == n
	}
	if !same {
		t.Errorf("%s: %v, the witness has %v", w.Path, counts, w.Counts)
		return "different"
	}
	unit := d.Units.Millimetres // the witness keeps the drawing's own
	if math.Abs(length-unit*w.Length) > 5e-5*length+slack {
		t.Errorf("%s: length %.9g, the witness has %.9g", w.Path, length, unit*w.Length)
		return "different"
	}
	if len(w.Box) == 4 {
		size := max(box.Size().X, box.Size().Y)
		theirs := r2.RectFromPoints(r2.Point{X: w.Box[0], Y: w.Box[1]}.Mul(unit), r2.Point{X: w.Box[2], Y: w.Box[3]}.Mul(unit))
		if off := max(box.Lo().Sub(theirs.Lo()).Norm(), box.Hi().Sub(theirs.Hi()).Norm()); off > 5e-5*size+2e-3 {
			t.Errorf("%s: box %v, the witness has %v", w.Path, box, theirs)
			return "different"
		}
	}
	return "same"
}
