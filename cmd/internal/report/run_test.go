package report

import (
	"bytes"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// One drawing a line, whatever else the first and the last line carry.
func TestLinesCarryRunAndEnd(t *testing.T) {
	r := fixture()
	lines := strings.Split(strings.TrimSuffix(string(render(t, "jsonl", Style{}, r)), "\n"), "\n")
	if len(lines) != len(r.Drawings) {
		t.Fatalf("%d lines for %d drawings", len(lines), len(r.Drawings))
	}
	for i, text := range lines {
		var l Line
		if err := strict([]byte(text), &l); err != nil {
			t.Fatal(err)
		}
		if l.Drawing == nil || l.File != r.Drawings[i].File {
			t.Fatalf("line %d holds %v", i+1, l.Drawing)
		}
		if (l.Run != nil) != (i == 0) || (l.Schema == Schema) != (i == 0) || (l.End != nil) != (i == len(lines)-1) {
			t.Errorf("line %d: run %v, end %v", i+1, l.Run, l.End)
		}
	}
	var last Line
	if err := strict([]byte(lines[len(lines)-1]), &last); err != nil {
		t.Fatal(err)
	}
	if last.End.Totals != r.Totals || last.End.Incomplete != r.Incomplete || len(last.End.Questions) != len(r.Questions) {
		t.Errorf("the end says %+v", last.End)
	}
	for _, empty := range []*Report{{}, {Run: r.Run}} {
		var l Line
		if err := strict(render(t, "jsonl", Style{}, empty), &l); err != nil {
			t.Fatal(err)
		}
		if l.Drawing != nil || l.End == nil || (l.Run != nil) != (empty.Run != nil) {
			t.Errorf("a run without drawings: %+v", l)
		}
	}
}

// Sums of numbers that were written and read again are those of the run itself.
func TestRoundedAsWritten(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.Float64Range(-1e18, 1e18).Draw(t, "v") * math.Pow(10, float64(rapid.IntRange(-25, 0).Draw(t, "size")))
		n := Number(v)
		var back Num
		text, err := encode(n, "", "")
		if err != nil {
			t.Fatal(err)
		}
		if err := strict(text, &back); err != nil {
			t.Fatal(err)
		}
		if n != back || n.Rounded() != n {
			t.Fatalf("%v is written %s, read as %v and rounded again to %v", v, text, back, n.Rounded())
		}
		want, err := strconv.ParseFloat(strconv.FormatFloat(v, 'e', digits-1, 64), 64)
		if err != nil {
			t.Fatal(err)
		}
		if float64(n) != want {
			t.Fatalf("%v is rounded to %v, not %v", v, n, want)
		}
		if read, err := strconv.ParseFloat(n.String(), 64); err != nil || read != float64(n) {
			t.Fatalf("%v is %s in words", v, n)
		}
	})
	var a, b Tally
	d := Drawing{Parts: []Part{{Quantity: 3, Treatment: "line", Time: Time{Line: Range{1.0 / 3, 2.0 / 3}}, Cost: Range{1.0 / 7, math.Pi}}}}
	var back Drawing
	text, err := encode(&d, "", "")
	if err != nil {
		t.Fatal(err)
	}
	if err := strict(text, &back); err != nil {
		t.Fatal(err)
	}
	for range 1000 {
		a.Add(&d, nil)
		b.Add(&back, nil)
	}
	if a.Totals() != b.Totals() {
		t.Errorf("%+v\n%+v", a.Totals(), b.Totals())
	}
}

func TestSplit(t *testing.T) {
	s := Split{Shards: []int{2, 5}, Of: 6, Drawings: 100}
	if got := s.Missing(); !slices.Equal(got, []int{1, 3, 4, 6}) {
		t.Errorf("missing %v", got)
	}
	if got := s.Words(); got != "shards 2, 5 of 6, of a job of 100 drawings" {
		t.Error(got)
	}
	if got := (&Split{Shards: []int{1}, Of: 1, Drawings: 1}).Words(); got != "shard 1 of 1, of a job of 1 drawing" {
		t.Error(got)
	}
}

// Text waits in a spool, which beyond its memory is a file; what comes out is
// the same.
func TestTextSpools(t *testing.T) {
	r := fixture()
	var small, large bytes.Buffer
	for _, c := range []struct {
		out  *bytes.Buffer
		most int
	}{{&small, 1 << 20}, {&large, 100}} {
		out := &textRenderer{w: c.out}
		out.spool.most = c.most
		for i := range r.Drawings {
			if err := out.Drawing(&r.Drawings[i]); err != nil {
				t.Fatal(err)
			}
		}
		if filed := out.spool.file != nil; filed != (c.most == 100) {
			t.Errorf("most %d: in a file: %v", c.most, filed)
		}
		if err := out.Close(Tail{Questions: r.Questions, Totals: r.Totals}); err != nil {
			t.Fatal(err)
		}
	}
	if small.String() != large.String() {
		t.Error("the text differs by where it waited")
	}
}
