package dxf

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"testing"
)

// FuzzRead reads any bytes, seeded with the drawings of testdata.
func FuzzRead(f *testing.F) {
	files, _ := filepath.Glob("testdata/*.dxf")
	for _, path := range files {
		data, err := os.ReadFile(path)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
	f.Add([]byte(drawingOf(unitArc+nested, "0 INSERT 2 arc 10 1 20 1 41 2 42 3 50 30 0 INSERT 2 outer 10 0 20 0 70 2 71 2")))
	f.Fuzz(func(t *testing.T, data []byte) {
		d, err := bounded(t, "fuzz", data, Options{MaxEntities: 2000, MaxCurves: 20000, CurveTolerance: 0.01})
		if err != nil {
			return
		}
		for _, p := range d.Paths {
			checkPath(t, p)
		}
	})
}

// FuzzScan walks the tags of any bytes: lines only rise, values are pieces of
// the file, and the walk ends.
func FuzzScan(f *testing.F) {
	for _, s := range []string{"  0\nSECTION\n", "1 2\nA\n 1 \nB\n 70\r\n     1\r\n999\nC\n1070\n1\n-4\n2\n  0\nEOF\n", "0\r\nEOF\r\n", "0\rEOF\r", "x\n0\nLINE\n", " 10\n"} {
		f.Add([]byte(s), false)
	}
	f.Add(append(append([]byte{}, sentinel...), 0, 0, 'E', 'O', 'F', 0), true)
	f.Fuzz(func(t *testing.T, data []byte, binary bool) {
		strays := 0
		s := newScanner(data, func(int, []byte) { strays++ })
		if binary {
			if !bytes.HasPrefix(data, sentinel) {
				return
			}
			s = newBinaryScanner(data, func(int, []byte) { strays++ })
		}
		line, tags, size := -1, 0, 0
		twin := s
		for s.next() {
			if !twin.nextAny() || twin.code != s.code || twin.line != s.line || !bytes.Equal(twin.val(), s.val()) || twin.pos != s.pos {
				t.Fatalf("line %d: %d %q at a stretch, %d %q piece by piece", s.line, s.code, s.val(), twin.code, twin.val())
			}
			if s.line <= line || s.pos > len(data) || s.code < -1<<15 || s.code >= 1<<15 {
				t.Fatalf("line %d behind %d, place %d of %d, code %d", s.line, line, s.pos, len(data), s.code)
			}
			line = s.line
			tags++
			size += len(s.val())
			s.float()
			s.int()
		}
		if size > len(data) || tags > len(data) || strays > 2*len(data) {
			t.Errorf("%d tags, %d strays, %d bytes of values in %d bytes", tags, strays, size, len(data))
		}
	})
}

// FuzzEntities reads any bytes as the entities of a drawing that is whole but
// for them: the drawing is read, or refused with an *Error, and every path keeps
// its promises.
func FuzzEntities(f *testing.F) {
	files, _ := filepath.Glob("testdata/*.dxf")
	for _, path := range files {
		data, err := os.ReadFile(path)
		if err != nil {
			f.Fatal(err)
		}
		_, rest, ok := bytes.Cut(data, []byte("ENTITIES\n"))
		if body, _, end := bytes.Cut(rest, []byte("  0\nENDSEC")); ok && end {
			f.Add(body, false)
			f.Add(body, true)
		}
	}
	block := tags("0 SECTION 2 BLOCKS " + unitArc + nested + " 0 ENDSEC")
	f.Fuzz(func(t *testing.T, body []byte, keep bool) {
		data := append([]byte(block+tags("0 SECTION 2 ENTITIES")), body...)
		data = append(data, tags("0 ENDSEC 0 EOF")...)
		d, err := bounded(t, "fuzz", data, Options{MaxEntities: 2000, MaxCurves: 20000, CurveTolerance: 0.01, KeepChords: keep})
		if err != nil {
			return
		}
		for _, p := range d.Paths {
			checkPath(t, p)
		}
		for _, r := range d.Repairs {
			if r.Code == "" || r.Text == "" || r.Line < 1 {
				t.Errorf("repair %+v says too little", r)
			}
		}
	})
}

// FuzzBlocks builds blocks that insert each other as the bytes say, eight bytes
// an insert: the work stays within its bounds, whatever the cycles and arrays.
// The bounds are small, and only every fourth block holds a circle, which unequal
// scales make an ellipse to be fitted, so that one execution takes well under a
// millisecond.
func FuzzBlocks(f *testing.F) {
	f.Add([]byte{0, 1, 0, 0, 1, 1, 1, 0, 1, 2, 3, 4, 2, 2, 1, 0})
	f.Add([]byte{0, 0, 0, 0, 1, 1, 1, 0})
	f.Add([]byte{0, 1, 9, 0, 255, 255, 1, 0, 1, 2, 0, 9, 255, 255, 0, 1, 2, 3, 0, 0, 0, 0, 200, 7})
	f.Fuzz(func(t *testing.T, ops []byte) {
		const blocks, inserts, most = 8, 24, 120
		ops = ops[:min(len(ops), 8*inserts)]
		inner := [blocks][]byte{}
		for ; len(ops) >= 8; ops = ops[8:] {
			o := ops[:8]
			to := &inner[o[0]%blocks]
			*to = fmt.Appendf(*to, "0\nINSERT\n8\nl%d\n2\nb%d\n10\n%d\n20\n%d\n70\n%d\n71\n%d\n41\n%g\n50\n%d\n44\n3\n45\n4\n",
				o[7]%3, o[1]%blocks, int8(o[2]), int8(o[3]), o[4], o[5], float64(int8(o[6]))/16, int(o[7])*15)
			if o[7]&64 != 0 {
				*to = fmt.Appendf(*to, "210\n0\n220\n%d\n230\n-1\n", o[7]&1)
			}
		}
		b := []byte("0\nSECTION\n2\nBLOCKS\n")
		for i := range inner {
			b = fmt.Appendf(b, "0\nBLOCK\n2\nb%d\n10\n%d\n20\n0\n", i, i)
			if i%4 == 1 {
				b = append(b, "0\nCIRCLE\n8\n0\n10\n1\n20\n2\n40\n3\n"...)
			} else {
				b = append(b, "0\nLINE\n8\n0\n10\n1\n20\n2\n11\n3\n21\n4\n"...)
			}
			b = append(append(append(b, "0\nTEXT\n8\n0\n10\n0\n20\n0\n40\n1\n1\nx\n"...), inner[i]...), "0\nENDBLK\n"...)
		}
		b = append(b, "0\nENDSEC\n0\nSECTION\n2\nENTITIES\n0\nINSERT\n2\nb0\n10\n0\n20\n0\n0\nLINE\n10\n0\n20\n0\n11\n1\n21\n0\n0\nENDSEC\n0\nEOF\n"...)
		d, err := bounded(t, "fuzz", b, Options{Units: "mm", MaxEntities: most, CurveTolerance: 0.5})
		if err != nil {
			wantCode(t, "fuzz", err, CodeLimit)
			return
		}
		if len(d.Paths)+len(d.Notes) > most+2 {
			t.Errorf("%d paths and %d notes from at most %d entities", len(d.Paths), len(d.Notes), most)
		}
		for _, p := range d.Paths {
			checkPath(t, p)
		}
	})
}
