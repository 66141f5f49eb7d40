package dxf

import (
	"bytes"
	"fmt"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/golang/geo/r2"
	yofu "github.com/yofu/dxf"
)

// plate is a drawing of about size bytes: perforated plates as lines, arcs,
// circles and polylines, with numbers of the length that programs write.
func plate(size int) []byte {
	var b bytes.Buffer
	b.WriteString(tags("0 SECTION 2 HEADER 9 $ACADVER 1 AC1015 9 $INSUNITS 70 4 0 ENDSEC 0 SECTION 2 ENTITIES"))
	num := func(code int, v float64) { fmt.Fprintf(&b, "%3d\n%.15g\n", code, v) }
	at := func(code int, p r2.Point) { num(code, p.X); num(code+10, p.Y); num(code+20, 0) }
	head := func(typ, class string, i int) {
		fmt.Fprintf(&b, "  0\n%s\n  5\n%X\n330\n1F\n100\nAcDbEntity\n  8\nCUT\n100\n%s\n", typ, i, class)
	}
	for i := 0; b.Len() < size; i++ {
		p := r2.Point{X: float64(i%1000) * 10.123456789, Y: float64(i/1000) * 9.87654321}
		switch i % 4 {
		case 0:
			head("LINE", "AcDbLine", i)
			at(10, p)
			at(11, p.Add(r2.Point{X: 5.0123, Y: 1.3}))
		case 1:
			head("CIRCLE", "AcDbCircle", i)
			at(10, p)
			num(40, 2.345678)
		case 2:
			head("ARC", "AcDbCircle", i)
			at(10, p)
			num(40, 2.345678)
			num(50, 12.3)
			num(51, 123.4567)
		default:
			head("LWPOLYLINE", "AcDbPolyline", i)
			b.WriteString(" 90\n8\n 70\n1\n")
			for k := range 8 {
				num(10, p.X+float64(k)*1.1)
				num(20, p.Y+float64(k*k)*0.37)
				if k%2 == 1 {
					num(42, 0.41421356)
				}
			}
		}
	}
	b.WriteString(tags("0 ENDSEC 0 EOF"))
	return b.Bytes()
}

// BenchmarkScan walks the tags of a drawing and does nothing else.
func BenchmarkScan(b *testing.B) {
	data := plate(4 << 20)
	b.SetBytes(int64(len(data)))
	b.ReportAllocs()
	for b.Loop() {
		s := newScanner(data, func(int, []byte) {})
		n := 0
		for s.next() {
			n++
		}
		if n < 1000 {
			b.Fatal("too few tags")
		}
	}
}

// BenchmarkCurves reads a drawing to curves.
func BenchmarkCurves(b *testing.B) {
	data := plate(4 << 20)
	b.SetBytes(int64(len(data)))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := ReadBytes(data, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkBeside reads real drawings with this reader and with the named
// library's, on those files that both can open, and reports how many times
// faster this one is. Of every file and reader the quickest run counts: on a
// machine that does other things, too, that is nearest to what the work takes.
func BenchmarkBeside(b *testing.B) {
	dir := shared(b, filepath.Join("corpus", "parts"))
	var files [][]byte
	total := 0
	drawings(b, dir, func(path string, data []byte) {
		if len(data) > 50000 && yofuOpens(data) {
			files = append(files, data)
			total += len(data)
		}
	})
	if len(files) == 0 {
		b.Skip("no drawing that both can open")
	}
	readers := []func(data []byte) bool{
		func(data []byte) bool { _, err := ReadBytes(data, Options{}); return err == nil },
		func(data []byte) bool {
			s := newScanner(data, func(int, []byte) {})
			for s.next() {
			}
			return !s.cut
		},
		yofuOpens,
	}
	quickest := make([][]time.Duration, len(readers))
	for k := range readers {
		quickest[k] = make([]time.Duration, len(files))
	}
	b.SetBytes(int64(total))
	for b.Loop() {
		for k, read := range readers {
			for i, data := range files {
				start := time.Now()
				if !read(data) {
					b.Fatal("opened before")
				}
				if took := time.Since(start); quickest[k][i] == 0 || took < quickest[k][i] {
					quickest[k][i] = took
				}
			}
			if k == 0 {
				b.StopTimer()
			}
		}
		b.StartTimer()
	}
	var sum [3]float64
	for k := range readers {
		for _, took := range quickest[k] {
			sum[k] += took.Seconds()
		}
	}
	b.ReportMetric(float64(len(files)), "files")
	b.ReportMetric(float64(total)/sum[0]/1e6, "MB/s-to-curves")
	b.ReportMetric(float64(total)/sum[1]/1e6, "MB/s-scanning")
	b.ReportMetric(sum[2]/sum[0], "times-faster")
	b.ReportMetric(sum[2]/sum[1], "times-faster-scanning")
}

func yofuOpens(data []byte) (ok bool) {
	defer func() {
		// That reader panics on some files; they are not opened.
		if recover() != nil {
			ok = false
		}
	}()
	_, err := yofu.FromReader(bytes.NewReader(data))
	return err == nil
}

// BenchmarkLargest reads the largest real drawing.
func BenchmarkLargest(b *testing.B) {
	dir := shared(b, "corpus")
	var largest []byte
	drawings(b, dir, func(path string, data []byte) {
		if len(data) > len(largest) && !strings.HasPrefix(string(data[:min(len(data), 22)]), string(sentinel)) {
			largest = data
		}
	})
	b.SetBytes(int64(len(largest)))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := ReadBytes(largest, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
