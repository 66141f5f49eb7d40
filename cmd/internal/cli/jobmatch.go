package cli

import (
	"errors"
	"fmt"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"burrcast/cmd/internal/report"

	"golang.org/x/text/unicode/norm"
)

// pattern is a drawing as a job table names it: its name, or the end of its
// path, or all of it from the root on. Case is ignored, "\" is "/", and the
// ending may be left out.
type pattern struct {
	steps  []string // folded
	rooted bool
	wild   bool
}

func newPattern(drawing string) (pattern, error) {
	text := folded(strings.ReplaceAll(drawing, `\`, "/"))
	p := pattern{rooted: strings.HasPrefix(text, "/") || len(text) > 1 && text[1] == ':', wild: hasWildcard(text)}
	p.steps = steps(path.Clean(text))
	if len(p.steps) == 0 {
		return p, errors.New("this is a folder")
	}
	for _, s := range p.steps {
		if _, err := path.Match(s, ""); err != nil {
			return p, err
		}
	}
	return p, nil
}

// folded makes names equal that differ in case, or in how a letter with an
// accent is written.
func folded(s string) string { return strings.ToLower(norm.NFC.String(s)) }

func steps(slashed string) []string {
	return strings.FieldsFunc(slashed, func(r rune) bool { return r == '/' })
}

// endings are a drawing's name with its ending and without.
func endings(name string) []string {
	out := []string{name}
	for _, end := range []string{".gz", ".dxf"} {
		if short, ok := strings.CutSuffix(out[len(out)-1], end); ok && short != "" {
			out = append(out, short)
		}
	}
	return out
}

// fits says whether a pattern names a drawing, by the steps of its path; exact
// says that it does so letter by letter.
func (p *pattern) fits(drawing []string) (fits, exact bool) {
	n := len(p.steps)
	if n > len(drawing) || p.rooted && n != len(drawing) {
		return false, false
	}
	drawing = drawing[len(drawing)-n:]
	exact = true
	for i, step := range p.steps {
		names := drawing[i : i+1]
		if i == n-1 {
			names = endings(drawing[i])
		}
		if slices.Contains(names, step) {
			continue
		}
		exact = false
		if !slices.ContainsFunc(names, func(name string) bool { ok, _ := path.Match(step, name); return ok }) {
			return false, false
		}
	}
	return true, exact
}

// add keeps a row where match looks for it.
func (t *jobTable) add(r jobRow) {
	i := len(t.rows)
	t.rows = append(t.rows, r)
	t.rooted = t.rooted || r.pattern.rooted
	last := r.pattern.steps[len(r.pattern.steps)-1]
	if r.pattern.wild {
		head, _, _ := strings.Cut(last, "*")
		if k := strings.IndexAny(head, `?[\`); k >= 0 {
			head = head[:k]
		}
		t.wild[head] = append(t.wild[head], i)
	}
	t.plain[last] = append(t.plain[last], i) // also with wild cards: "[1].dxf" is a name, too
}

// match finds the row for a drawing: of those that name it letter by letter the
// one that names most of its path, else the one whose pattern fits. It is -1
// without one, and two that are as good are an error.
func (t *jobTable) match(s source) (int, error) {
	name := steps(folded(s.name()))
	if len(name) == 0 {
		return -1, nil
	}
	var whole []string
	if t.rooted && s.path != stdinPath {
		if abs, err := filepath.Abs(s.path); err == nil {
			whole = steps(folded(filepath.ToSlash(abs)))
		}
	}
	fits := func(i int) (bool, bool) {
		if p := &t.rows[i].pattern; !p.rooted {
			return p.fits(name)
		} else {
			return p.fits(whole)
		}
	}
	var exact, wild []int
	for _, end := range endings(name[len(name)-1]) {
		for _, i := range t.plain[end] {
			if ok, letters := fits(i); ok && letters {
				exact = append(exact, i)
			}
		}
	}
	if len(exact) > 0 {
		deepest := 0
		for _, i := range exact {
			deepest = max(deepest, t.depth(i))
		}
		return t.one(s, slices.DeleteFunc(exact, func(i int) bool { return t.depth(i) < deepest }))
	}
	last := name[len(name)-1]
	for k := range len(last) + 1 {
		for _, i := range t.wild[last[:k]] {
			if ok, _ := fits(i); ok {
				wild = append(wild, i)
			}
		}
	}
	return t.one(s, wild)
}

// depth is how much of a path a row names.
func (t *jobTable) depth(row int) int { return len(t.rows[row].pattern.steps) }

func (t *jobTable) one(s source, rows []int) (int, error) {
	switch len(rows) {
	case 0:
		return -1, nil
	case 1:
		return rows[0], nil
	}
	slices.Sort(rows)
	a, b := &t.rows[rows[0]], &t.rows[rows[1]]
	return -1, fmt.Errorf("%s:%d: %q and line %d, %q, both name %s", t.name, a.line, a.drawing, b.line, b.drawing, s.name())
}

// assign gives every drawing its row and says which rows have no drawing and
// how many drawings no row.
func (t *jobTable) assign(sources []source) (idle []int, without int, err error) {
	used := make([]bool, len(t.rows))
	var twice []error
	for i := range sources {
		row, err := t.match(sources[i])
		if err != nil {
			if twice = append(twice, err); len(twice) == mistakesTold {
				break
			}
			continue
		}
		sources[i].table, sources[i].row = t, row
		if row < 0 {
			without++
		} else {
			used[row] = true
		}
	}
	for i, u := range used {
		if !u {
			idle = append(idle, i)
		}
	}
	return idle, without, errors.Join(twice...)
}

// Codes of what a job table leaves open.
const (
	noRowCode   = "no-job-row"     // of a drawing
	idleRowCode = "job-row-unused" // of the run
)

// noRow tells of a drawing that the table does not name.
func (t *jobTable) noRow() report.Message {
	return report.Message{Code: noRowCode, Text: "no row of the job table " + t.name + " names this drawing"}
}

// idleRow tells of a row without a drawing.
func (t *jobTable) idleRow(row int) report.Message {
	r := &t.rows[row]
	return report.Message{Code: idleRowCode, Text: fmt.Sprintf("%s:%d: no drawing is named by %q", t.name, r.line, r.drawing)}
}

// assignJobs gives the drawings their rows, if there is a table, and tells what
// it leaves open: on the terminal, and as messages of the run.
func (e *env) assignJobs(f *checkFlags, t *jobTable, sources []source) ([]report.Message, error) {
	if t == nil {
		return nil, nil
	}
	idle, without, err := t.assign(sources)
	if err != nil {
		return nil, err
	}
	if !f.quiet {
		e.tellJobs(f, t, idle, without, len(sources))
	}
	told := make([]report.Message, len(idle))
	for i, row := range idle {
		told[i] = t.idleRow(row)
	}
	return told, nil
}

// rowsTold bounds how many rows without a drawing are hinted at one by one.
const rowsTold = 10

// tellJobs says on the terminal what a job table leaves open.
func (e *env) tellJobs(f *checkFlags, t *jobTable, idle []int, without, drawings int) {
	if t.latin {
		e.say("hint", t.name+" is not UTF-8 and was read as Windows-1252")
	}
	for _, name := range jobColumns {
		if _, ok := t.columns[name]; ok && f.says(name) {
			e.say("hint", fmt.Sprintf("--%s counts before the column %q of %s", name, name, t.name))
		}
	}
	for k, row := range idle {
		if k == rowsTold {
			e.say("hint", fmt.Sprintf("and %d more rows of %s name no drawing", len(idle)-k, t.name))
			break
		}
		e.say("hint", t.idleRow(row).Text)
	}
	if without > 0 {
		e.say("hint", fmt.Sprintf("no row of %s names %d of %d drawings (the report says which)", t.name, without, drawings))
	}
}

// says tells whether a flag of that name gives an input for all drawings.
func (f *checkFlags) says(name string) bool {
	switch name {
	case "quantity":
		return f.quantity > 0
	case "material":
		return f.material != ""
	case "thickness":
		return f.thickness != ""
	case "process":
		return f.process != ""
	case "edge":
		return f.edge != ""
	case "line":
		return f.line != ""
	}
	return false
}
