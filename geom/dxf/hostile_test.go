package dxf

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"
)

// bounded reads hostile bytes: no panic, an *Error if any, in bearable time.
func bounded(t *testing.T, name string, data []byte, opt Options) (*Drawing, error) {
	t.Helper()
	start := time.Now()
	d, err := ReadBytes(data, opt)
	if took := time.Since(start); took > 20*time.Second {
		t.Errorf("%s took %v", name, took)
	}
	var e *Error
	if err != nil && !errors.As(err, &e) {
		t.Errorf("%s: %v is no *Error", name, err)
	}
	if d == nil && err == nil {
		t.Errorf("%s: neither a drawing nor an error", name)
	}
	if d != nil {
		for _, p := range d.Paths {
			for _, c := range p.Curves {
				if !c.Finite() || math.Abs(c.Start.X) > largestPlace || math.Abs(c.End.Y) > largestPlace {
					t.Fatalf("%s: %+v", name, c)
				}
			}
		}
	}
	return d, err
}

func wantCode(t *testing.T, name string, err error, code string) {
	t.Helper()
	var e *Error
	if !errors.As(err, &e) || e.Code != code {
		t.Errorf("%s: %v, want an error %s", name, err, code)
	}
}

// nest returns blocks b0 to bn, each holding width inserts of the next, the
// last one holding a line.
func nest(depth, width int) string {
	var b strings.Builder
	for i := range depth {
		fmt.Fprintf(&b, "0 BLOCK 2 b%d 10 0 20 0 ", i)
		for k := range width {
			fmt.Fprintf(&b, "0 INSERT 8 0 2 b%d 10 %d 20 0 ", i+1, k)
		}
		b.WriteString("0 ENDBLK ")
	}
	fmt.Fprintf(&b, "0 BLOCK 2 b%d 10 0 20 0 0 LINE 8 0 10 0 20 0 11 1 21 0 0 ENDBLK", depth)
	return b.String()
}

func TestHostileBlocks(t *testing.T) {
	line := "0 BLOCK 2 l 10 0 20 0 0 LINE 8 0 10 0 20 0 11 1 21 0 0 ENDBLK "
	for _, c := range []struct {
		name, blocks, entities, code string
	}{
		{"ten thousand million lines in nested blocks", nest(10, 10), "0 INSERT 8 0 2 b0 10 0 20 0", CodeLimit},
		{"the same without any line", strings.ReplaceAll(nest(10, 10), "LINE", "POINT"), "0 INSERT 8 0 2 b0 10 0 20 0", CodeLimit},
		{"a thousand million cells", line, "0 INSERT 8 0 2 l 10 0 20 0 70 32767 71 32767 44 1 45 1", CodeLimit},
		{"2^60 cells", line, "0 INSERT 8 0 2 l 10 0 20 0 70 1073741824 71 1073741824", CodeLimit},
		{"cells of an empty block", "0 BLOCK 2 l 10 0 20 0 0 ENDBLK", "0 INSERT 8 0 2 l 10 0 20 0 70 1073741824 71 1073741824", CodeNothing},
		{"ten thousand blocks deep", nest(10000, 1), "0 INSERT 8 0 2 b0 10 0 20 0", CodeLimit},
		{"long text in many cells", "0 BLOCK 2 l 10 0 20 0 0 TEXT 8 0 10 0 20 0 40 1 1 " + strings.Repeat("x", 100000) + " 0 ENDBLK",
			"0 INSERT 8 0 2 l 10 0 20 0 70 1000 71 1000 0 LINE 10 0 20 0 11 1 21 0", ""},
		{"a block of itself", "0 BLOCK 2 l 10 0 20 0 0 INSERT 8 0 2 l 10 0 20 0 0 ENDBLK", "0 INSERT 8 0 2 l 10 0 20 0", CodeNothing},
	} {
		opt := Options{}
		if !everything() && c.code == CodeLimit {
			opt.MaxEntities = 200_000
		}
		_, err := bounded(t, c.name, drawingOf(c.blocks, c.entities), opt)
		if c.code == "" {
			if err != nil {
				t.Errorf("%s: %v", c.name, err)
			}
			continue
		}
		wantCode(t, c.name, err, c.code)
	}
}

// TestManySplines inserts a spline of many pieces often: work is bounded, not
// only results.
func TestManySplines(t *testing.T) {
	var b strings.Builder
	const n = 20000
	b.WriteString("0 BLOCK 2 s 10 0 20 0 0 SPLINE 8 0 70 8 71 3 ")
	for i := range n + 4 {
		fmt.Fprintf(&b, "40 %d ", i)
	}
	for i := range n {
		fmt.Fprintf(&b, "10 %d 20 %g ", i, 1e-7*math.Sin(float64(i)))
	}
	b.WriteString("0 ENDBLK")
	_, err := bounded(t, "splines", drawingOf(b.String(), "0 INSERT 8 0 2 s 10 0 20 0 70 1000 71 1000"), Options{})
	wantCode(t, "splines", err, CodeLimit)
}

func TestHostileText(t *testing.T) {
	long := bytes.Repeat([]byte("7"), 64<<20)
	head := tags("0 SECTION 2 ENTITIES")
	mtext := head + tags("0 LINE 10 0 20 0 11 1 21 0 0 MTEXT 10 0 20 0 40 1") +
		strings.Repeat("  3\n"+strings.Repeat("y", 250)+"\n", 40000) + "  1\nend\n" + tags("0 ENDSEC 0 EOF")
	for name, data := range map[string][]byte{
		"a line without an end":           append([]byte(head+"  0\nLINE\n 10\n"), long...),
		"a group code without an end":     append([]byte(head), long...),
		"digits only":                     long,
		"a text of ten megabytes":         []byte(mtext),
		"a million blank lines":           append([]byte(head), bytes.Repeat([]byte("\n"), 1<<20)...),
		"a million lines of words":        bytes.Repeat([]byte("word\n"), 1<<20),
		"words in a section":              append([]byte(head), bytes.Repeat([]byte("word\n"), 1<<20)...),
		"a million sections":              bytes.Repeat([]byte(head), 1<<18),
		"a million vertices of no parent": append([]byte(head), bytes.Repeat([]byte(tags("0 VERTEX")), 1<<18)...),
		"zero bytes":                      bytes.Repeat([]byte{0}, 1<<20),
		"a sentinel alone":                sentinel,
		"zero bytes behind a sentinel":    append(append([]byte{}, sentinel...), make([]byte, 1<<20)...),
	} {
		bounded(t, name, data, Options{})
	}
}

func TestHostileNumbers(t *testing.T) {
	values := []string{"1e300", "-1e300", "1e15", "-1e15", "1e9", "1e-300", "0", "-0", "nan", "inf", "1e999", "1e", "", "99999999999999999999", "3.5"}
	templates := []string{
		"0 LINE 10 # 20 0 11 1 21 1", "0 LINE 10 0 20 0 30 # 11 1 21 1",
		"0 CIRCLE 10 0 20 # 40 1", "0 CIRCLE 10 0 20 0 40 #", "0 CIRCLE 10 0 20 0 40 1 210 # 220 1 230 0",
		"0 ARC 10 0 20 0 40 1 50 # 51 3", "0 ARC 10 0 20 0 40 # 50 0 51 #",
		"0 ELLIPSE 10 0 20 0 11 # 21 1 40 0.5 41 0 42 6", "0 ELLIPSE 10 0 20 0 11 3 21 1 40 # 41 0 42 6", "0 ELLIPSE 10 0 20 0 11 3 21 1 40 0.5 41 # 42 6",
		"0 LWPOLYLINE 90 # 70 1 10 0 20 0 42 # 10 1 20 0 10 # 20 1", "0 LWPOLYLINE 38 # 70 # 10 0 20 0 10 1 20 0",
		"0 SPLINE 71 # 70 0 40 0 40 0 40 1 40 1 10 0 20 0 10 1 20 1",
		"0 SPLINE 71 3 70 0 40 0 40 0 40 0 40 0 40 # 40 # 40 # 40 # 10 0 20 0 10 1 20 1 10 2 20 0 10 3 20 1",
		"0 SPLINE 71 3 70 0 40 0 40 0 40 0 40 0 40 1 40 1 40 1 40 1 41 # 41 1 41 1 41 1 10 # 20 0 10 1 20 1 10 2 20 0 10 3 20 #",
		"0 SPLINE 71 3 70 0 11 0 21 0 11 # 21 1 11 2 21 # 12 # 22 1",
		"0 INSERT 2 b 10 # 20 0", "0 INSERT 2 b 10 0 20 0 41 # 42 1 50 #", "0 INSERT 2 b 10 0 20 0 70 # 71 # 44 # 45 #",
		"0 INSERT 2 b 10 0 20 0 210 # 220 # 230 #", "0 POLYLINE 70 # 30 # 0 VERTEX 10 # 20 0 42 # 0 VERTEX 10 1 20 0 0 SEQEND",
	}
	block := "0 BLOCK 2 b 10 1 20 1 0 CIRCLE 8 0 10 0 20 0 40 1 0 SPLINE 8 0 71 2 70 0 40 0 40 0 40 0 40 1 40 1 40 1 10 0 20 0 10 1 20 1 10 3 20 0 0 ENDBLK"
	for _, tmpl := range templates {
		for _, v := range values {
			if v == "" {
				v = "-"
			}
			text := strings.ReplaceAll(tmpl, "#", v)
			for _, tol := range []float64{0, 1e-7} {
				bounded(t, text, drawingOf(block, text), Options{CurveTolerance: tol})
			}
		}
	}
}

// TestTruncated cuts small drawings at every byte: the result is never silently
// smaller. It is whole, or marked.
func TestTruncated(t *testing.T) {
	for _, name := range []string{"plain", "sections-out-of-order", "missing-seqend", "crlf"} {
		data, err := os.ReadFile(filepath.Join("testdata", name+".dxf"))
		if err != nil {
			t.Fatal(err)
		}
		for n := range len(data) {
			d, err := bounded(t, name, data[:n], Options{})
			if err != nil || d.Partial || len(d.Repairs) > 0 {
				continue
			}
			if got := totalLength(d); math.Abs(got-lineAndSquare) > 1e-9 {
				t.Errorf("%s cut at byte %d: length %g and no word of it", name, n, got)
			}
		}
	}
}

// everything tells that BURRCAST_WITNESS asks for all that takes long, too.
func everything() bool { return os.Getenv("BURRCAST_WITNESS") == "all" }

// TestChangedByte changes every byte of every small drawing: in one way, in four
// where everything is asked for.
func TestChangedByte(t *testing.T) {
	files, _ := filepath.Glob("testdata/*.dxf")
	for _, path := range files {
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		for i := range data {
			old := data[i]
			ways := []byte{'\n', '9', 0xff, old + 1}
			if !everything() {
				ways = ways[i%4 : i%4+1]
			}
			for _, c := range ways {
				data[i] = c
				bounded(t, path, data, Options{})
			}
			data[i] = old
		}
	}
}

// TestEveryByte changes every byte of a small drawing to every other, leaves every
// one out, and doubles every one: what comes is read or refused, and a cut that
// is lost is told.
func TestEveryByte(t *testing.T) {
	data, err := os.ReadFile(filepath.Join("testdata", "plain.dxf"))
	if err != nil {
		t.Fatal(err)
	}
	for i := range data {
		for c := range 256 {
			changed := bytes.Clone(data)
			if changed[i] = byte(c); changed[i] != data[i] {
				bounded(t, fmt.Sprintf("byte %d is %#x", i, c), changed, Options{})
			}
		}
		for name, changed := range map[string][]byte{
			"left out": slices.Delete(bytes.Clone(data), i, i+1),
			"doubled":  slices.Insert(bytes.Clone(data), i, data[i]),
		} {
			bounded(t, fmt.Sprintf("byte %d %s", i, name), changed, Options{})
		}
	}
}

func TestRandomBytes(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	for range 2000 {
		data := make([]byte, rng.IntN(400))
		for i := range data {
			data[i] = byte(rng.IntN(256))
		}
		bounded(t, "random bytes", data, Options{})
		bounded(t, "random bytes in a section", append([]byte(tags("0 SECTION 2 ENTITIES")), data...), Options{})
		bounded(t, "random binary", append(append([]byte{}, sentinel...), data...), Options{})
	}
}

// TestMemory holds what reading allocates, all in all, within 8 times the file,
// for files above 1 MB: of the kinds of entities that such files consist of, with
// no more text about each than a terse program writes, and real ones.
//
// The bound is on drawings of lines, arcs and polylines. An ellipse or a spline
// of a few points is many arcs in a few bytes; those are bounded by
// Options.MaxCurves.
func TestMemory(t *testing.T) {
	num := func(code int, v float64) string { return fmt.Sprintf("%3d\n%.3f\n", code, v) }
	of := func(one func(i int) string) []byte {
		var b bytes.Buffer
		b.WriteString("0\nSECTION\n2\nENTITIES\n")
		for i := 0; b.Len() < 2<<20; i++ {
			b.WriteString(one(i))
		}
		b.WriteString("0\nENDSEC\n0\nEOF\n")
		return b.Bytes()
	}
	vertices := func(n int) string {
		var b strings.Builder
		for k := range n {
			b.WriteString(num(10, float64(k)) + num(20, float64(k*k%7)))
		}
		return b.String()
	}
	files := map[string][]byte{
		"plates": plate(4 << 20),
		"lines": of(func(i int) string {
			return "0\nLINE\n8\n0\n" + num(10, float64(i)) + num(20, 1.5) + num(11, float64(i)) + num(21, 2)
		}),
		"circles": of(func(i int) string {
			return "0\nCIRCLE\n8\nCUT\n" + num(10, float64(i)) + num(20, 1.5) + num(30, 0) + num(40, 0.4)
		}),
		"polylines": of(func(i int) string { return "0\nLWPOLYLINE\n8\n0\n70\n1\n" + vertices(100) }),
		"points":    of(func(i int) string { return "0\nPOINT\n" + num(10, float64(i)) + num(20, 1.5) }),
	}
	files["one polyline"] = append([]byte("0\nSECTION\n2\nENTITIES\n0\nLWPOLYLINE\n70\n1\n"), vertices(150_000)+"0\nENDSEC\n0\nEOF\n"...)
	if dir := filepath.Join("..", "..", "..", "shared", "corpus"); !testing.Short() {
		if _, err := os.Stat(dir); err == nil {
			drawings(t, dir, func(path string, data []byte) {
				if len(data) > 1<<20 {
					files[filepath.Base(path)] = data
				}
			})
		}
	}
	for name, data := range files {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		d, err := ReadBytes(data, Options{Units: "mm"})
		runtime.ReadMemStats(&after)
		if d == nil {
			t.Fatalf("%s: %v", name, err)
		}
		share := float64(after.TotalAlloc-before.TotalAlloc) / float64(len(data))
		t.Logf("%s: %d bytes, %d paths, %.1f bytes allocated for each byte of the file", name, len(data), len(d.Paths), share)
		if share > 8 {
			t.Errorf("%s: %.1f bytes allocated for each byte of the file", name, share)
		}
	}
}

// endless yields left bytes of one line.
type endless struct{ left, given int64 }

func (e *endless) Read(p []byte) (int, error) {
	if e.left == 0 {
		return 0, io.EOF
	}
	n := min(int64(len(p)), e.left)
	for i := range p[:n] {
		p[i] = '7'
	}
	e.left -= n
	e.given += n
	return int(n), nil
}

// TestEndlessLine: a line of 2 GB is given up at once, with its place.
func TestEndlessLine(t *testing.T) {
	e := &endless{left: 2 << 30}
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	_, err := Read(io.MultiReader(strings.NewReader(tags("0 SECTION 2 ENTITIES 0 LINE")+" 10\n"), e), Options{})
	runtime.ReadMemStats(&after)
	wantCode(t, "endless line", err, CodeLimit)
	var r *Error
	if errors.As(err, &r) && r.Line != 8 {
		t.Errorf("line %d, want 8", r.Line)
	}
	if got := after.TotalAlloc - before.TotalAlloc; got > 8*longestLine || e.given > 4*longestLine {
		t.Errorf("%d bytes allocated, %d read", got, e.given)
	}
}

// TestDeclaredCounts: announced numbers of vertices, knots and points cost nothing.
func TestDeclaredCounts(t *testing.T) {
	for _, n := range []string{"1099511627776", "-1099511627776", "922337203685477", "2147483648"} {
		for _, text := range []string{
			"0 LWPOLYLINE 90 " + n + " 70 1 10 0 20 0 10 1 20 0 10 1 20 1",
			"0 SPLINE 71 1 72 " + n + " 73 " + n + " 74 " + n + " 40 0 40 0 40 1 40 1 10 0 20 0 10 1 20 1",
			"0 POLYLINE 66 1 70 0 71 " + n + " 72 " + n + " 0 VERTEX 10 0 20 0 0 VERTEX 10 1 20 1 0 SEQEND",
		} {
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			d, err := bounded(t, text, drawingOf("", text), Options{})
			runtime.ReadMemStats(&after)
			if err != nil || len(d.Paths) != 1 {
				t.Errorf("%s: %v", text, err)
			}
			if got := after.TotalAlloc - before.TotalAlloc; got > 4<<20 {
				t.Errorf("%s: %d bytes allocated", text, got)
			}
		}
	}
}
