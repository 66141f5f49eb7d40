package cli

import (
	"encoding/json"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"burrcast/cmd/internal/report"

	"github.com/google/go-cmp/cmp"
)

// old makes an older report of drawings without parts.
func old(names ...string) *older {
	o := &older{file: "old.json", drawings: map[string]*olderDrawing{}}
	for _, n := range names {
		o.order = append(o.order, n)
		o.drawings[n] = &olderDrawing{name: n}
	}
	return o
}

func TestPairDrawings(t *testing.T) {
	for _, c := range []struct{ then, now, want string }{
		{"a.dxf b.dxf", "b.dxf c.dxf", "b.dxf=b.dxf"},
		// A job that was moved.
		{"r1/a.dxf r1/x/b.dxf", "jobs/r2/a.dxf jobs/r2/x/b.dxf", "jobs/r2/a.dxf=r1/a.dxf jobs/r2/x/b.dxf=r1/x/b.dxf"},
		// A drawing that was moved within it.
		{"a.dxf x/b.dxf", "a.dxf y/b.dxf", "a.dxf=a.dxf y/b.dxf=x/b.dxf"},
		// Names that two drawings have say nothing.
		{"x/b.dxf y/b.dxf", "z/b.dxf y/c.dxf", ""},
		{"x/b.dxf", "z/b.dxf z/y/b.dxf", "z/b.dxf=x/b.dxf"},
		{"/x/a.dxf", "a.dxf", "a.dxf=/x/a.dxf"},
		{"", "a.dxf", ""},
		{"a.dxf", "", ""},
	} {
		o := old(strings.Fields(c.then)...)
		pairs := o.pair(strings.Fields(c.now))
		var got []string
		for name, d := range pairs {
			got = append(got, name+"="+d.name)
		}
		slices.Sort(got)
		if s := strings.Join(got, " "); s != c.want {
			t.Errorf("%s then, %s now: %s, not %s", c.then, c.now, s, c.want)
		}
		for _, d := range o.drawings {
			if d.paired != slices.ContainsFunc(got, func(s string) bool { return strings.HasSuffix(s, "="+d.name) }) {
				t.Errorf("%s then, %s now: %s is paired: %v", c.then, c.now, d.name, d.paired)
			}
		}
	}
}

func TestCommonFolder(t *testing.T) {
	for want, names := range map[string]string{"": "a.dxf b/c.dxf", "b/": "b/a.dxf b/c/d.dxf", "/": "/a/b.dxf /c.dxf", "ab/c/": "ab/c/d.dxf"} {
		if got := common(strings.Fields(names)); got != want {
			t.Errorf("%s: %q", names, got)
		}
	}
	if got := common(strings.Fields("ab/c.dxf abc/d.dxf")); got != "" {
		t.Errorf("a half name: %q", got)
	}
}

// olderBox is a part in short: its id, size and treatment, and its findings.
func olderBox(id string, size float64, treatment report.Treatment, rules ...string) olderPart {
	p := olderPart{id: id, treatment: treatment, quantity: 1, shape: [5]float64{size * size, 4 * size, 4 * size, size, size}}
	for i, r := range rules {
		rule, numbers, _ := strings.Cut(r, "=")
		p.findings = append(p.findings, mark{rule: rule, treatment: "hand", numbers: numbers, feature: fmt.Sprintf("C%d", i+1)})
	}
	return p
}

func TestCompareParts(t *testing.T) {
	type parts = []olderPart
	for name, c := range map[string]struct {
		was, now parts
		want     string
	}{
		"the same":        {parts{olderBox("P1", 10, "line")}, parts{olderBox("P1", 10, "line")}, ""},
		"another id":      {parts{olderBox("P1", 10, "line"), olderBox("P2", 20, "line")}, parts{olderBox("P1", 20, "line"), olderBox("P2", 10, "line")}, ""},
		"one in front":    {parts{olderBox("P1", 10, "line")}, parts{olderBox("P1", 5, "hand"), olderBox("P2", 10, "line")}, "P1 new"},
		"one gone":        {parts{olderBox("P1", 5, "line"), olderBox("P2", 10, "line")}, parts{olderBox("P1", 10, "line")}, "P1 gone"},
		"treatment":       {parts{olderBox("P1", 10, "line")}, parts{olderBox("P1", 10, "hand")}, "P1 changed"},
		"moved and worse": {parts{olderBox("P1", 10, "line"), olderBox("P2", 20, "line")}, parts{olderBox("P1", 20, "line"), olderBox("P2", 10, "hand")}, "P2(P1) changed"},
		"reshaped":        {parts{olderBox("P1", 10, "line")}, parts{olderBox("P1", 11, "brush")}, "P1 changed reshaped"},
		"reshaped only":   {parts{olderBox("P1", 10, "line")}, parts{olderBox("P1", 11, "line")}, ""},
		"a finding more":  {parts{olderBox("P1", 10, "hand", "a=1")}, parts{olderBox("P1", 10, "hand", "a=1", "b=2")}, "P1 changed +b(C2)"},
		"a finding less":  {parts{olderBox("P1", 10, "hand", "a=1", "a=1")}, parts{olderBox("P1", 10, "hand", "a=1")}, "P1 changed -a(C2)"},
		"other numbers":   {parts{olderBox("P1", 10, "hand", "a=1")}, parts{olderBox("P1", 10, "hand", "a=2")}, "P1 changed +a(C1) -a(C1)"},
		"another order":   {parts{olderBox("P1", 10, "hand", "a=1", "b=2")}, parts{olderBox("P1", 10, "hand", "b=2", "a=1")}, ""},
		"all new":         {nil, parts{olderBox("P1", 10, "line")}, "P1 new"},
	} {
		var got []string
		for _, p := range compareParts(c.was, c.now) {
			s := p.ID
			if p.Was != "" {
				s += "(" + p.Was + ")"
			}
			s += " " + p.Change
			if p.Reshaped {
				s += " reshaped"
			}
			for _, f := range p.More {
				s += " +" + f.Rule + "(" + strings.Join(f.Features, ",") + ")"
			}
			for _, f := range p.Less {
				s += " -" + f.Rule + "(" + strings.Join(f.Features, ",") + ")"
			}
			got = append(got, s)
		}
		if diff := cmp.Diff(c.want, strings.Join(got, "; ")); diff != "" {
			t.Errorf("%s (-want +got):\n%s", name, diff)
		}
	}
}

// Times are compared beyond what rounding in a report changes.
func TestTimesOfARoundedReport(t *testing.T) {
	was := olderBox("P1", 10, "line")
	was.hand = report.Range{1.0 / 3, 2.0 / 3}
	now := was
	now.hand = was.hand.Rounded()
	if now.hand == was.hand {
		t.Fatal("nothing was rounded")
	}
	if p, changed := comparePart(&was, &now); changed {
		t.Errorf("%+v", p)
	}
	now.hand[1] *= 1 + 1e-6
	if p, changed := comparePart(&was, &now); !changed || p.Hand == nil || p.Line != nil {
		t.Errorf("%+v", p)
	}
}

// A run is the same as itself, whichever way its report was written.
func TestAgainstItself(t *testing.T) {
	dir, err := filepath.Abs(demo)
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir(t.TempDir())
	for _, format := range []string{"json", "jsonl"} {
		_, text, _ := burrcast(t, "check", "--quiet", "--format", format, dir)
		name := write(t, "old."+format, text)
		_, out, _ := burrcast(t, "check", "--quiet", "--format", "json", "--against", name, dir)
		var r report.Report
		if err := json.Unmarshal([]byte(out), &r); err != nil {
			t.Fatal(err)
		}
		if c := r.Changes; c == nil || c.Same != len(r.Drawings) || len(c.Drawings) > 0 || c.Same < 15 {
			t.Errorf("%s: %+v", format, c)
		}
	}
}
