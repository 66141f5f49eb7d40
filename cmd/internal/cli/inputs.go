package cli

import (
	"path/filepath"
	"slices"
	"strings"

	"burrcast/cmd/internal/report"
	"burrcast/geom/dxf"
	"burrcast/rules"
)

// job gathers what is known of a drawing's order: flags first, then the job
// table, then the notes in the drawing, then its name. A flag overrules the
// others without a word, since somebody just said so, and so does a quantity of
// the table, since notes tell of one assembly; the others, where they disagree,
// are conflicts of the job.
func (c *checker) job(drawn []dxf.Note, s source) rules.Job {
	f := c.flags
	flag := func(name, value string) rules.Given {
		if value = strings.TrimSpace(value); value == "" {
			return rules.Given{}
		}
		return rules.Given{Value: value, Source: report.FlagSource + name}
	}
	job := rules.Job{
		Material:  flag("material", f.material),
		Thickness: flag("thickness", f.thickness),
		Process:   flag("process", f.process),
		Edge:      flag("edge", f.edge),
		Line:      flag("line", f.line),
		Quantity:  f.quantity,
	}
	var table []rules.Hint
	if s.table != nil && s.row >= 0 {
		table = s.table.hints(s.row)
		if job.Line.Value == "" {
			job.Line = s.table.given(s.row, "line")
		}
		if job.Quantity == 0 {
			job.Quantity = s.table.rows[s.row].pieces
		}
	}
	if job.Line.Value == "" {
		job.Line = rules.Given{Value: c.shop.LineName(""), Source: report.ShopSource}
	}
	var notes, name []rules.Hint
	for _, n := range drawn {
		place := "note on layer "
		if n.Paper {
			place = "note in paper space on layer "
		}
		notes = append(notes, c.shop.ReadText(n.Text, place+n.Layer)...)
	}
	if s.path != stdinPath {
		name = c.shop.ReadText(filepath.Base(s.path), rules.SourceFileName)
	}
	job.Conflicts = c.shop.Fill(&job, table, notes, name)
	return job
}

// inputs lists what a job says, for the report.
func inputs(job rules.Job) []report.Input {
	var out []report.Input
	for _, in := range []struct {
		name string
		rules.Given
	}{
		{"material", job.Material}, {"thickness", job.Thickness}, {"process", job.Process}, {"edge", job.Edge},
		{"line", job.Line}, {"coating", job.Coating}, {"film", job.Film},
	} {
		if in.Value != "" {
			out = append(out, report.Input{Name: in.name, Value: in.Value, Source: in.Source})
		}
	}
	return out
}

// wordSet keeps each word once, in the order of coming.
type wordSet struct{ words []string }

func (s *wordSet) add(words []string) {
	for _, w := range words {
		if !slices.Contains(s.words, w) {
			s.words = append(s.words, w)
		}
	}
}

// pieces is how many of each part of a drawing are wanted.
func pieces(job rules.Job) int { return max(job.Quantity, 1) }
