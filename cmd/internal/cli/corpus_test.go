package cli

import (
	"bytes"
	"encoding/json"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"burrcast/cmd/internal/report"
)

// shared is a folder of drawings from outside; tests that use it skip where it
// is not there.
const shared = root + "/../shared"

func sharedFolder(tb testing.TB, name string) string {
	tb.Helper()
	dir := filepath.Join(shared, name)
	if _, err := os.Stat(dir); err != nil {
		tb.Skipf("no %s here", name)
	}
	return dir
}

// checkAll runs the program over a folder and hands on every drawing, after the
// schema and the types have accepted it.
func checkAll(t *testing.T, each func(*report.Drawing), args ...string) {
	t.Helper()
	_, schema, err := compileSchema()
	if err != nil {
		t.Fatal(err)
	}
	var stdout, stderr bytes.Buffer
	code := Run(t.Context(), append([]string{"check", "--format", "jsonl"}, args...), nil, &stdout, &stderr)
	if code != exitClean && code != exitFound && code != exitUnread {
		t.Fatalf("exit code %d\n%s", code, &stderr)
	}
	unread := false
	for line := range bytes.Lines(stdout.Bytes()) {
		if err := validate(schema, line); err != nil {
			t.Errorf("%s\n%.200s", err, line)
			continue
		}
		var l report.Line
		dec := json.NewDecoder(bytes.NewReader(line))
		dec.DisallowUnknownFields()
		if err := dec.Decode(&l); err != nil {
			t.Fatal(err)
		}
		if l.Drawing == nil {
			continue
		}
		d := *l.Drawing
		for _, m := range d.Messages {
			if m.Code == "implementation-error" {
				t.Errorf("%s: %s", d.File, m.Text)
			}
		}
		unread = unread || d.Status == report.Unreadable
		if len(d.Parts) == 0 && (len(d.Messages) == 0 || d.Status != report.Unreadable) {
			t.Errorf("%s: no parts, status %s and no reason", d.File, d.Status)
		}
		each(&d)
	}
	if unread != (code == exitUnread) {
		t.Errorf("exit code %d, and unreadable drawings: %v", code, unread)
	}
}

// Real drawings: nothing breaks, nothing hangs, nearly all give parts.
func TestCorpus(t *testing.T) {
	dir := sharedFolder(t, "corpus")
	if testing.Short() {
		t.Skip("takes long")
	}
	began := time.Now()
	var parts, withParts, files int
	checkAll(t, func(d *report.Drawing) {
		files++
		if !strings.Contains(d.File, "/parts/") {
			return
		}
		parts++
		if len(d.Parts) > 0 {
			withParts++
			return
		}
		for _, m := range d.Messages {
			if m.Code != report.InputCode && m.Code != report.QuestionCode {
				t.Logf("%s: %s: %s", filepath.Base(d.File), m.Code, m.Text)
			}
		}
	}, dir)
	took := time.Since(began)
	var mem runtime.MemStats
	runtime.ReadMemStats(&mem)
	t.Logf("%d drawings in %v, %d MB from the system; %d of %d flat parts give parts", files, took.Round(time.Millisecond), mem.Sys>>20, withParts, parts)
	if files < 285 {
		t.Errorf("only %d drawings of 285 are in the report", files)
	}
	if float64(withParts) < 0.98*float64(parts) {
		t.Errorf("%d of %d flat parts give parts", withParts, parts)
	}
	if took > time.Minute {
		t.Errorf("took %v", took)
	}
}

// Drawings with known answers: the output keeps to its schema on all of them.
// Whether the answers are right is another test's question.
func TestTruthDrawingsKeepToTheSchema(t *testing.T) {
	dir := sharedFolder(t, "truth/dxf")
	if testing.Short() {
		t.Skip("takes long")
	}
	files := 0
	checkAll(t, func(d *report.Drawing) {
		files++
		if len(d.Parts) == 0 {
			t.Errorf("%s: no part", d.File)
		}
	}, "--thickness", "1", "--material", "steel", dir)
	if files == 0 {
		t.Error("no drawings")
	}
}

func BenchmarkCheckDemo(b *testing.B) { benchmarkCheck(b, demo) }

func BenchmarkCheckCorpus(b *testing.B) { benchmarkCheck(b, sharedFolder(b, "corpus/parts")) }

// benchmarkCheck measures the whole check: read, measure, judge and write JSON,
// in bytes of drawings.
func benchmarkCheck(b *testing.B, dir string) {
	var size int64
	sources := walk([]string{dir}).found
	for _, s := range sources {
		info, err := os.Stat(s.path)
		if err != nil {
			b.Fatal(err)
		}
		size += info.Size()
	}
	b.SetBytes(size)
	for b.Loop() {
		if code := Run(b.Context(), []string{"check", "--quiet", "--format", "json", dir}, nil, io.Discard, io.Discard); code == exitCannot {
			b.Fatal("cannot run")
		}
	}
	b.ReportMetric(float64(len(sources)*b.N)/b.Elapsed().Seconds(), "drawings/s")
}
