package dxf

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"burrcast/geom"

	"github.com/golang/geo/r2"
	"golang.org/x/text/encoding/unicode"
)

// marksOn are marks at places of a drawing: one a path, up to some, and the
// edge there.
func marksOn(d *Drawing) Marks {
	var m Marks
	for i := range d.Paths {
		p := &d.Paths[i]
		if len(m.Places) == 12 {
			break
		}
		m.Places = append(m.Places, Mark{At: p.Curves[0].Start, Radius: 1, Label: fmt.Sprint(i + 1), Color: 1 + i})
		m.Edges = append(m.Edges, p.Curves[0])
	}
	m.Legend = []string{"1 slot-reach (hand): 1.2 mm, limit 2.4 mm", "2 = \u00fc \u4e2d"}
	return m
}

// everyDrawing runs over the drawings of our own and those beside the project.
func everyDrawing(t *testing.T, f func(path string, data []byte)) {
	for _, dir := range []string{"testdata", filepath.Join("..", "..", "testdata")} {
		drawings(t, dir, f)
	}
	for _, name := range []string{"corpus", "truth"} {
		dir := filepath.Join("..", "..", "..", "shared", name)
		if _, err := os.Stat(dir); err == nil && !testing.Short() {
			drawings(t, dir, f)
		}
	}
}

// A marked drawing is the drawing: all of its tags in their order, read to the
// same paths and notes bit for bit, with the marks where they were put. Marked
// again, only the new marks are there.
func TestMarkedKeepsTheFile(t *testing.T) {
	kept, anew := 0, map[string]int{}
	everyDrawing(t, func(path string, data []byte) {
		d, err := ReadBytes(data, Options{})
		if err != nil {
			return
		}
		m := marksOn(d)
		out, why, err := Marked(data, d, m, Options{})
		if err != nil {
			t.Errorf("%s: %v", path, err)
			return
		}
		if why != "" {
			anew[strings.SplitN(why, ";", 2)[0]]++
			return
		}
		kept++
		plain, err := unpack(data, Options{}.withDefaults())
		if err != nil {
			t.Fatal(err)
		}
		if lost := lostTag(plain, out); lost != "" {
			t.Errorf("%s: %s", path, lost)
		}
		got, err := ReadBytes(out, Options{})
		if err != nil {
			t.Errorf("%s: %v", path, err)
			return
		}
		sameMarks(t, path, m, got)
		sameBits(t, path, d, WithoutMarks(got))
		again, why, err := Marked(out, WithoutMarks(got), m, Options{})
		if err != nil || why != "" || bytes.Count(again, []byte("\n")) != bytes.Count(out, []byte("\n")) {
			t.Errorf("%s: marked again %d bytes, once %d (%s, %v)", path, len(again), len(out), why, err)
		}
	})
	t.Logf("%d kept; written anew: %v", kept, anew)
	if kept < 20 {
		t.Errorf("only %d drawings kept", kept)
	}
}

// tagsOf lists the tags of a file.
func tagsOf(data []byte) []string {
	var s scanner
	if bytes.HasPrefix(data, sentinel) {
		s = newBinaryScanner(data, nil)
	} else {
		data, _ = plainText(data)
		s = newScanner(data, func(int, []byte) {})
	}
	var out []string
	for s.next() {
		if s.isNum {
			out = append(out, fmt.Sprintf("%d %v", s.code, s.num))
		} else {
			out = append(out, fmt.Sprintf("%d %s", s.code, s.val()))
		}
	}
	return out
}

// lostTag names a tag of a file that the marked one lacks, in order. The next
// free handle and the count of the layer table may differ.
func lostTag(was, is []byte) string {
	a, b := tagsOf(was), tagsOf(is)
	k, table := 0, ""
	for i, tag := range a {
		switch {
		case i > 0 && a[i-1] == "0 TABLE":
			table = tag
		case strings.HasPrefix(tag, "0 ") && tag != "0 TABLE":
			table = ""
		}
		if i > 0 && a[i-1] == "9 $HANDSEED" || table == "2 LAYER" && strings.HasPrefix(tag, "70 ") {
			k++
			continue
		}
		for k < len(b) && b[k] != tag {
			k++
		}
		if k == len(b) {
			return fmt.Sprintf("tag %d (%q) is lost", i, tag)
		}
		k++
	}
	return ""
}

// sameBits compares what is drawn, bit for bit.
func sameBits(t *testing.T, path string, want, got *Drawing) {
	t.Helper()
	if want.Units != got.Units || want.Partial != got.Partial || want.Version != got.Version || len(want.Repairs) != len(got.Repairs) {
		t.Errorf("%s: %+v %v %s, %d repairs; was %+v %v %s, %d", path, got.Units, got.Partial, got.Version, len(got.Repairs),
			want.Units, want.Partial, want.Version, len(want.Repairs))
	}
	if !reflect.DeepEqual(want.Skipped, got.Skipped) {
		t.Errorf("%s: skipped %v, was %v", path, got.Skipped, want.Skipped)
	}
	if len(want.Paths) != len(got.Paths) || len(want.Notes) != len(got.Notes) {
		t.Errorf("%s: %d paths and %d notes, was %d and %d", path, len(got.Paths), len(got.Notes), len(want.Paths), len(want.Notes))
		return
	}
	for i, w := range want.Paths {
		g := got.Paths[i]
		w.Line, g.Line = 0, 0
		if !reflect.DeepEqual(w, g) {
			t.Errorf("%s: path %d is %+v, was %+v", path, i, g, w)
			return
		}
	}
	for i, w := range want.Notes {
		g := got.Notes[i]
		w.Line, g.Line = 0, 0
		if w != g {
			t.Errorf("%s: note %d is %+v, was %+v", path, i, g, w)
			return
		}
	}
}

// sameMarks finds the marks where they were put, to the rounding of one
// conversion of units.
func sameMarks(t *testing.T, path string, m Marks, got *Drawing) {
	t.Helper()
	var places []r2.Point
	edges := 0.0
	for _, p := range got.Paths {
		switch p.Layer {
		case MarkLayer:
			places = append(places, p.Curves[0].Center)
		case EdgeLayer:
			edges += geom.LoopLength(p.Curves)
		}
	}
	if len(places) != len(m.Places) {
		t.Errorf("%s: %d marks, want %d", path, len(places), len(m.Places))
		return
	}
	for i, p := range m.Places {
		if off := places[i].Sub(p.At).Norm(); off > 1e-9*max(1, p.At.Norm()) {
			t.Errorf("%s: mark %d is %g mm off", path, i, off)
		}
	}
	if want := geom.LoopLength(m.Edges); edges-want > 1e-6*want || want-edges > 1e-6*want {
		t.Errorf("%s: %v mm of edge, want %v", path, edges, want)
	}
	var legend []string
	numbers := 0
	for _, n := range got.Notes {
		switch n.Layer {
		case LegendLayer:
			legend = append(legend, n.Text)
		case NumberLayer:
			numbers++
		}
	}
	if !slices.Equal(legend, m.Legend) || numbers != len(m.Places) {
		t.Errorf("%s: legend %q, %d numbers", path, legend, numbers)
	}
}

// small is a drawing of a circle and a dimension, in few lines.
var small = lines("0 SECTION", "2 HEADER", "9 $ACADVER", "1 AC1009", "0 ENDSEC", "0 SECTION", "2 ENTITIES",
	"0 CIRCLE", "8 CUT", "10 5", "20 5", "40 20", "0 DIMENSION", "8 DIM", "0 ENDSEC", "0 EOF")

func lines(tags ...string) string {
	return strings.ReplaceAll(strings.Join(tags, "\n"), " ", "\n") + "\n"
}

// binaryOf is a text file as a binary one.
func binaryOf(text string, wide bool) []byte {
	t := tagRun{b: slices.Clone(sentinel), binary: true, wide: wide}
	s := newScanner([]byte(text), nil)
	for s.next() {
		n, isInt := parseInt(s.val())
		f, isFloat := parseFloat(s.val())
		switch typ := binaryType(s.code); {
		case typ == 8 && isFloat:
			t.float(s.code, f)
		case typ == 2 && isInt:
			t.integer(s.code, n)
		case typ == 4 && isInt:
			t.code(s.code)
			t.b = binary.LittleEndian.AppendUint32(t.b, uint32(n))
		case typ == 1 && isInt:
			t.code(s.code)
			t.b = append(t.b, byte(n))
		case typ == 's':
			t.text(s.code, string(s.val()))
		}
	}
	return t.b
}

// The form of the file stays: line ends, byte order mark, UTF-16, binary.
func TestMarkedKeepsTheForm(t *testing.T) {
	wide := func(e unicode.Endianness) []byte {
		out, err := unicode.UTF16(e, unicode.UseBOM).NewEncoder().Bytes([]byte(small))
		if err != nil {
			t.Fatal(err)
		}
		return out
	}
	modern := strings.Replace(small, "AC1009", "AC1015", 1)
	for name, data := range map[string][]byte{
		"lf": []byte(small), "crlf": []byte(strings.ReplaceAll(small, "\n", "\r\n")), "cr": []byte(strings.ReplaceAll(small, "\n", "\r")),
		"bom": []byte("\xef\xbb\xbf" + small), "utf-16le": wide(unicode.LittleEndian), "utf-16be": wide(unicode.BigEndian),
		"binary r12": binaryOf(small, false), "binary r2000": binaryOf(modern, true), "r2000": []byte(modern),
		"on the sheet": []byte(strings.Replace(small, "8\nCUT\n", lines("8 CUT", "67 1"), 1)),
		"no header":    []byte(small[strings.Index(small, "ENDSEC\n")+len("ENDSEC\n"):]),
	} {
		d, err := ReadBytes(data, Options{})
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		m := marksOn(d)
		out, why, err := Marked(data, d, m, Options{})
		if err != nil || why != "" {
			t.Errorf("%s: %s %v", name, why, err)
			continue
		}
		got, err := ReadBytes(out, Options{})
		if err != nil || len(got.Repairs) != len(d.Repairs) {
			t.Errorf("%s: %v %v", name, got.Repairs, err)
			continue
		}
		sameMarks(t, name, m, got)
		sameBits(t, name, d, WithoutMarks(got))
		if lost := lostTag(data, out); lost != "" {
			t.Errorf("%s: %s", name, lost)
		}
		crlf, lf := bytes.Count(out, []byte("\r\n")), bytes.Count(out, []byte("\n"))
		if name == "lf" && crlf > 0 || name == "crlf" && crlf != lf || name == "cr" && lf > 0 {
			t.Errorf("%s: %d line ends, %d with a return", name, lf, crlf)
		}
		// Text of ours is ASCII, whatever the code page.
		if name == "lf" && bytes.ContainsFunc(out, func(r rune) bool { return r >= 0x80 }) {
			t.Errorf("%s: letters beyond ASCII", name)
		}
		text, err := plainText(out)
		if err != nil {
			t.Fatal(err)
		}
		if markers := bytes.Contains(text, []byte("AcDbEntity")); markers != strings.Contains(name, "r2000") {
			t.Errorf("%s: subclass markers: %v", name, markers)
		}
	}
}

// Where the file cannot be kept, the legend says so and names what is lost.
func TestMarkedAnew(t *testing.T) {
	for name, c := range map[string]struct{ data, why string }{
		"no end":        {strings.TrimSuffix(small, "0\nEOF\n"), "the file has no end"},
		"upright":       {strings.Replace(small, "8\nCUT\n", lines("8 CUT", "210 0", "220 -1", "230 0"), 1), "the drawing stands upright and was turned flat"},
		"broken number": {strings.Replace(small, "0\nDIM", lines("0 LINE", "8 CUT", "10 1,5", "20 0", "11 1", "21 1")+"0\nDIM", 1), "numbers that cannot be read"},
	} {
		d, err := ReadBytes([]byte(c.data), Options{})
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		out, anew, err := Marked([]byte(c.data), d, marksOn(d), Options{})
		if err != nil {
			t.Fatal(err)
		}
		if !strings.HasPrefix(anew, c.why+"; ") || !strings.Contains(anew, "1 DIMENSION") || strings.Contains(anew, "1 unread LINE") != (name == "broken number") {
			t.Errorf("%s: %q", name, anew)
		}
		got, err := ReadBytes(out, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if !slices.ContainsFunc(got.Notes, func(n Note) bool { return n.Layer == LegendLayer && strings.Contains(n.Text, anew) }) {
			t.Errorf("%s: the legend does not say %q", name, anew)
		}
	}
}

// Handles of ours are fresh, even where the header's next one is taken, and the
// header's moves on.
func TestMarkedHandles(t *testing.T) {
	text := strings.Replace(small, "9\n$ACADVER\n1\nAC1009\n", lines("9 $ACADVER", "1 AC1015", "9 $HANDSEED", "5 1F"), 1)
	text = strings.Replace(text, "CIRCLE\n", "CIRCLE\n5\n2A\n", 1)
	d, err := ReadBytes([]byte(text), Options{})
	if err != nil {
		t.Fatal(err)
	}
	out, why, err := Marked([]byte(text), d, marksOn(d), Options{})
	if err != nil || why != "" {
		t.Fatal(why, err)
	}
	seen := map[string]bool{}
	seed := ""
	found := tagsOf(out)
	for i, tag := range found {
		handle, ok := strings.CutPrefix(tag, "5 ")
		switch {
		case !ok:
		case found[i-1] == "9 $HANDSEED":
			seed = handle
		case seen[handle]:
			t.Errorf("handle %s twice", handle)
		default:
			seen[handle] = true
		}
	}
	if seed == "1F" || seen[seed] || len(seen) < 6 {
		t.Errorf("next free handle %s of %v", seed, seen)
	}
}
