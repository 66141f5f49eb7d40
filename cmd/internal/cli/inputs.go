package cli

import (
	"path/filepath"
	"strings"

	"burrcast/cmd/internal/report"
	"burrcast/geom/dxf"
	"burrcast/rules"
)

// job gathers what is known of a drawing's order: flags first, then the notes
// in the drawing, then its name. A flag overrules both without a word, since
// somebody just said so; notes and name that disagree are conflicts of the job.
func (c *checker) job(d *dxf.Drawing, s source) rules.Job {
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
	if job.Line.Value == "" {
		job.Line = rules.Given{Value: c.shop.LineName(""), Source: report.ShopSource}
	}
	var notes, name []rules.Hint
	for _, n := range d.Notes {
		place := "note on layer "
		if n.Paper {
			place = "note in paper space on layer "
		}
		notes = append(notes, c.shop.ReadText(n.Text, place+n.Layer)...)
	}
	if s.path != stdinPath {
		name = c.shop.ReadText(filepath.Base(s.path), rules.SourceFileName)
	}
	job.Conflicts = c.shop.Fill(&job, notes, name)
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

// jobSet keeps one job of each kind that a run meets: what the safety notes
// need to know, and no more of them than the shop has kinds of work.
type jobSet struct {
	seen map[string]bool
	jobs []rules.Job
}

func (s *jobSet) add(job rules.Job) {
	key := strings.Join([]string{job.Material.Value, job.Process.Value, job.Coating.Value, job.Film.Value, job.Line.Value}, "\x00")
	if s.seen[key] {
		return
	}
	if s.seen == nil {
		s.seen = map[string]bool{}
	}
	s.seen[key] = true
	s.jobs = append(s.jobs, job)
}

// pieces is how many of each part of a drawing are wanted.
func pieces(job rules.Job) int { return max(job.Quantity, 1) }
