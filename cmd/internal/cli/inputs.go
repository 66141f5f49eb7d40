package cli

import (
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strings"

	"burrcast/cmd/internal/report"
	"burrcast/geom/dxf"
	"burrcast/rules"
)

// field is one input of a job.
type field struct {
	name string
	in   func(*rules.Job) *rules.Given
}

// fields in the order that reports show them.
var fields = []field{
	{"material", func(j *rules.Job) *rules.Given { return &j.Material }},
	{"thickness", func(j *rules.Job) *rules.Given { return &j.Thickness }},
	{"process", func(j *rules.Job) *rules.Given { return &j.Process }},
	{"edge", func(j *rules.Job) *rules.Given { return &j.Edge }},
	{"line", func(j *rules.Job) *rules.Given { return &j.Line }},
	{"coating", func(j *rules.Job) *rules.Given { return &j.Coating }},
	{"film", func(j *rules.Job) *rules.Given { return &j.Film }},
}

// job gathers what is known of a drawing's order: flags first, then the notes
// in the drawing, then its name. Notes and name that disagree are told as
// conflicts; a flag overrules both without a word, since somebody just said so.
func (c *checker) job(d *dxf.Drawing, s source) (job rules.Job, conflicts []string) {
	f := c.flags
	job.Quantity = f.quantity
	for name, value := range map[string]string{
		"material": f.material, "thickness": f.thickness, "process": f.process, "edge": f.edge, "line": f.line,
	} {
		if value = strings.TrimSpace(value); value != "" {
			*given(&job, name) = rules.Given{Value: value, Source: "flag --" + name}
		}
	}
	byFlag := job

	read := func(text, source string) {
		found := c.readText(text)
		for _, fd := range fields {
			g := fd.in(&found)
			if g.Value == "" || fd.in(&byFlag).Value != "" {
				continue
			}
			g.Source = source
			have := fd.in(&job)
			switch {
			case have.Value == "" || fd.name == "material" && c.closer(have.Value, g.Value):
				*have = *g
			case !c.agree(fd.name, have.Value, g.Value):
				text := fmt.Sprintf("%s is %s by %s and %s by %s", fd.name, have.Value, have.Source, g.Value, g.Source)
				if !slices.Contains(conflicts, text) {
					conflicts = append(conflicts, text)
				}
			}
		}
	}
	for _, n := range d.Notes {
		read(n.Text, "note on layer "+n.Layer)
	}
	if s.path != stdinPath {
		base := filepath.Base(s.path)
		read(strings.TrimSuffix(base, filepath.Ext(base)), "file name")
	}
	if job.Line.Value == "" {
		job.Line = rules.Given{Value: c.shop.LineName(""), Source: report.ShopSource}
	}
	return job, conflicts
}

func given(job *rules.Job, name string) *rules.Given {
	for _, f := range fields {
		if f.name == name {
			return f.in(job)
		}
	}
	panic("implementation error: no input " + name)
}

// agree says whether two ways to write an input mean the same. A family and a
// grade of it do not contradict each other.
func (c *checker) agree(name, a, b string) bool {
	if strings.EqualFold(a, b) {
		return true
	}
	switch name {
	case "thickness":
		s, err1 := rules.ParseThickness(a)
		t, err2 := rules.ParseThickness(b)
		return err1 == nil && err2 == nil && math.Abs(s.MM-t.MM) < 0.005
	case "material":
		s, err1 := c.shop.Material(a)
		t, err2 := c.shop.Material(b)
		return err1 == nil && err2 == nil && (s.Key == t.Key || s.Family == t.Family && (s.ByWord || t.ByWord))
	case "process":
		s, _, err1 := c.shop.Process(a)
		t, _, err2 := c.shop.Process(b)
		return err1 == nil && err2 == nil && s == t
	}
	return false
}

// closer says whether b names a grade of the family that a names.
func (c *checker) closer(a, b string) bool {
	s, err1 := c.shop.Material(a)
	t, err2 := c.shop.Material(b)
	return err1 == nil && err2 == nil && s.ByWord && !t.ByWord && s.Family == t.Family
}

// inputs lists what a job says, for the report.
func inputs(job rules.Job) []report.Input {
	var out []report.Input
	for _, f := range fields {
		g := f.in(&job)
		if g.Value != "" {
			out = append(out, report.Input{Name: f.name, Value: g.Value, Source: g.Source})
		}
	}
	return out
}

// noteSet gathers the notes that follow a report, each once, in the order that
// they came up.
type noteSet struct {
	seen  map[string]bool
	notes []string
}

func (n *noteSet) add(notes []string) {
	for _, s := range notes {
		if !n.seen[s] {
			if n.seen == nil {
				n.seen = map[string]bool{}
			}
			n.seen[s] = true
			n.notes = append(n.notes, s)
		}
	}
}

func (n *noteSet) list() []string { return n.notes }
