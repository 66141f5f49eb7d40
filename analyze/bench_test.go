package analyze

import (
	"os"
	"path/filepath"
	"testing"

	"burrcast/geom/dxf"
)

// BenchmarkAnalyzeDemo measures understanding and measuring alone, on the demo
// drawings already read; bytes are those of the drawings' text.
func BenchmarkAnalyzeDemo(b *testing.B) { benchmarkFolder(b, "../testdata/demo/*.dxf") }

// BenchmarkAnalyzeCorpus does the same on real drawings, where they are there.
func BenchmarkAnalyzeCorpus(b *testing.B) {
	benchmarkFolder(b, "../../shared/corpus/parts/*/*.[dD][xX][fF]")
}

// BenchmarkUnderstandCorpus measures what comes before measuring: contours,
// borders, lines.
func BenchmarkUnderstandCorpus(b *testing.B) {
	opt := Options{Layers: shopLayers()}
	benchmarkDrawings(b, "../../shared/corpus/parts/*/*.[dD][xX][fF]", func(d *dxf.Drawing) { understand(d, opt) })
}

func benchmarkFolder(b *testing.B, pattern string) {
	benchmarkDrawings(b, pattern, func(d *dxf.Drawing) { Analyze(d, Options{Tools: []float64{2.4, 6}}) })
}

func benchmarkDrawings(b *testing.B, pattern string, take func(*dxf.Drawing)) {
	names, err := filepath.Glob(pattern)
	if err != nil || len(names) == 0 {
		b.Skip("no drawings")
	}
	var drawings []*dxf.Drawing
	size := 0
	for _, name := range names {
		data, err := os.ReadFile(name)
		if err != nil {
			b.Fatal(err)
		}
		d, err := dxf.ReadBytes(data, dxf.Options{})
		if err != nil {
			continue
		}
		size += len(data)
		drawings = append(drawings, d)
	}
	b.SetBytes(int64(size))
	b.ReportAllocs()
	for b.Loop() {
		for _, d := range drawings {
			take(d)
		}
	}
	b.ReportMetric(float64(len(drawings)*b.N)/b.Elapsed().Seconds(), "drawings/s")
}
