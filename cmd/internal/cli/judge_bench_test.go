package cli

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"
	"time"

	"burrcast/analyze"
	"burrcast/cmd/internal/report"
	"burrcast/geom/dxf"
	"burrcast/rules"
)

// BenchmarkJudgeShare reports what share of the work on the demo's drawings is
// judging: reading and measuring must stay nearly all of it.
func BenchmarkJudgeShare(b *testing.B) {
	var judging, whole time.Duration
	for b.Loop() {
		j, w := judgeShare(b)
		judging, whole = judging+j, whole+w
	}
	b.ReportMetric(100*judging.Seconds()/whole.Seconds(), "%judging")
}

// judgeShare times reading, measuring and judging of the demo's drawings.
func judgeShare(t testing.TB) (judging, whole time.Duration) {
	t.Helper()
	paths, err := filepath.Glob(filepath.Join(demo, "*.dxf"))
	if err != nil || len(paths) == 0 {
		t.Fatalf("%d drawings, %v", len(paths), err)
	}
	shop := rules.DefaultShop()
	var f checkFlags
	if _, err := f.parse([]string{demo}); err != nil {
		t.Fatal(err)
	}
	c := newChecker(&f, shop, &env{})
	for _, path := range paths {
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		start := time.Now()
		d, err := dxf.Read(bytes.NewReader(data), c.read)
		if err != nil {
			t.Fatal(err)
		}
		r := analyze.Analyze(d, c.optionsFor(source{path: path}))
		job := c.job(d.Notes, source{path: path})
		measured := time.Now()
		for _, p := range r.Parts {
			var out report.Part
			j, err := rules.Judge(r.Drawing, p.Measure, job, shop)
			if err != nil {
				t.Fatal(err)
			}
			c.advice(&out, r.Drawing, p.Measure, job, j) // what each edge would cost, too
		}
		judging += time.Since(measured)
		whole += time.Since(start)
	}
	return judging, whole
}
