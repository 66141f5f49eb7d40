package cli

import (
	"errors"
	"fmt"
	"strings"

	"burrcast/analyze"
	"burrcast/cmd/internal/report"
	"burrcast/geom/contour"
	"burrcast/geom/dxf"
	"burrcast/rules"
)

// check reads, measures and judges drawings and writes one report.
func (e *env) check(args []string) int {
	var f checkFlags
	paths, err := f.parse(args)
	if err != nil {
		return e.fail(err, seeCheckHelp)
	}
	if f.help {
		return e.help([]string{"check"})
	}
	shop, err := f.loadShop()
	if err != nil {
		return e.fail(err)
	}
	f.compare = f.comparing()
	if err := f.validate(shop); err != nil {
		return e.fail(err)
	}
	jobs, err := f.loadJobs(shop)
	if err != nil {
		return e.fail(err)
	}
	older, err := f.loadOlder()
	if err != nil {
		return e.fail(err)
	}
	if f.open && f.report == "" {
		f.report = besides(paths[0])
	}
	w := walkPast(f.ours(), paths)
	if len(w.found) == 0 {
		return e.fail(fmt.Errorf("no drawings in %s", strings.Join(w.empty, ", ")),
			"drawings are the files that end in .dxf or .dxf.gz, in capitals or not, also in a .zip; a file named by itself may end in anything")
	}
	if !f.quiet {
		for _, name := range w.empty {
			e.say("hint", "no drawings in "+name)
		}
	}
	c := newChecker(&f, shop, e)
	if c.told, err = e.assignJobs(&f, jobs, w.found); err != nil {
		return e.fail(err)
	}
	if err := c.setStore(); err != nil {
		return e.fail(err)
	}
	defer e.closeStore(c)
	c.changes = newChanges(older, w.found)
	return e.runShard(c, &f, w.found)
}

// runShard works through one machine's share of the drawings.
func (e *env) runShard(c *checker, f *checkFlags, sources []source) int {
	run, err := runOf(f, c.shop)
	if err != nil {
		return e.fail(err)
	}
	if sources, run.Split, err = f.share.split(e.ctx, f.workers, sources); err != nil {
		return e.fail(err)
	}
	c.run = run
	if c.changes != nil && !f.quiet {
		for _, doubt := range c.changes.older.doubts(run) {
			e.say("hint", doubt)
		}
	}
	return e.run(c, f, sources)
}

// newChecker turns flags and shop into what the work on one drawing needs.
func newChecker(f *checkFlags, shop rules.Shop, e *env) *checker {
	c := &checker{
		shop:     shop,
		flags:    f,
		archives: &archives{},
		stdin:    e.stdin,
		read:     dxf.Options{Units: f.units, CurveTolerance: f.curveTolerance, KeepChords: f.keepChords},
		measure: analyze.Options{
			Chords:     chordReading(f.chords),
			KeepChords: f.keepChords, CurveTolerance: f.curveTolerance,
			KeepBorder: f.keepBorder,
			KeepRings:  f.keepRings,
			Contour:    contour.Options{Join: f.join, JointLimit: contour.Defaults().JointLimit},
		},
		tools:   toolSets(shop, f.compare),
		compare: f.compare,
		analyze: analyze.Analyze,
	}
	for _, p := range shop.Layers {
		c.measure.Layers = append(c.measure.Layers,
			analyze.LayerRule{Layer: p.Layer, LineType: p.LineType, Meaning: analyze.Meaning(p.Meaning)})
	}
	return c
}

// run works through the drawings and returns the exit code.
func (e *env) run(c *checker, f *checkFlags, sources []source) int {
	out, err := report.New(f.format, e.stdout, report.Style{Color: e.color})
	if err != nil {
		return e.fail(err)
	}
	report.Start(out, c.run)
	folder, err := f.openFolder(sources)
	if err != nil {
		return e.fail(fmt.Errorf("cannot write the report: %w", err))
	}
	defer folder.Abort()
	defer c.archives.close()
	form := newForm(f, c.shop, sources)
	bar := progress{total: len(sources)}
	if e.live && !f.quiet {
		bar.w = e.stderr
	}
	var tally report.Tally
	var hazards wordSet
	var differ disagreements
	var mix *rules.Mix
	if c.compare {
		mix = rules.NewMix(c.shop)
	}
	failFrom := report.Treatment(f.failOn).Rank()
	found, unread, done, anew := false, false, 0, 0
	err = inOrder(e.ctx, f.workers, sources, c.drawing, func(r outcome) error {
		done++
		bar.step()
		if r.drawing.Status == report.Unreadable {
			unread = true
			bar.clear()
			e.say("error", r.drawing.File+": "+reason(&r.drawing))
		}
		found = found || worst(&r.drawing) >= failFrom
		if r.drawing.MarkedAnew != "" {
			anew++
		}
		tally.Add(&r.drawing, r.questions)
		form.add(&r)
		differ.add(&r.drawing)
		hazards.add(r.drawing.Hazards)
		c.changes.add(&r.drawing)
		for _, p := range r.lines {
			mix.Add(r.drawing.File, p.Part, p.Pieces, p.Verdicts)
		}
		if err := folder.Drawing(&r.drawing); err != nil {
			return err
		}
		return out.Drawing(&r.drawing)
	})
	bar.clear()
	tail := report.Tail{Questions: tally.Questions(), Totals: tally.Totals(), Notes: rules.HazardNotes(hazards.words),
		Comparison: comparison(mix, c.shop), Rates: ratesOf(c.shop), Run: c.run, Messages: c.told, Changes: c.changes.done(),
		Disagreements: differ.list()}
	if interrupted(e.ctx) {
		tail.Incomplete = fmt.Sprintf("interrupted after %d of %d drawings", done, len(sources))
	}
	tail.Notes = scope(tail)
	if err == nil {
		err = folder.Close(tail)
	}
	if err == nil {
		err = out.Close(tail)
	}
	if err == nil && !interrupted(e.ctx) {
		if err := form.write(e, f.quiet); err != nil {
			return e.fail(err)
		}
	}
	switch {
	case err != nil:
		return e.fail(fmt.Errorf("cannot write the report: %w", err))
	case interrupted(e.ctx):
		return e.fail(fmt.Errorf("interrupted after %d of %d drawings; the report holds these", done, len(sources)))
	}
	if !f.quiet && (f.format == "jsonl" || f.format == "csv") {
		// These forms have no head to put the questions in.
		for _, q := range tally.Questions() {
			e.say("hint", fmt.Sprintf("in %d of %d drawings %s is not known (%s): %s", q.Drawings, done, q.Input, waiting(q.Unjudged), q.Text))
		}
	}
	if !f.quiet && f.format == "csv" && tail.Changes != nil {
		e.say("hint", tail.Changes.Heads()[0])
	}
	if anew > 0 && !f.quiet {
		e.say("hint", fmt.Sprintf("%d of the marked drawings are written anew, not the original file with marks: the page and their legends say why and what they lack", anew))
	}
	e.show(f)
	switch {
	case unread:
		return exitUnread
	case found:
		return exitFound
	}
	return exitClean
}

// reason is why a drawing could not be measured.
func reason(d *report.Drawing) string {
	for _, m := range d.Messages {
		if m.Code == report.InputCode || m.Code == report.QuestionCode {
			continue
		}
		if m.Line > 0 {
			return fmt.Sprintf("line %d: %s", m.Line, m.Text)
		}
		return m.Text
	}
	return "it cannot be measured"
}

// worst is the rank of the severest treatment in a drawing, -1 without parts.
func worst(d *report.Drawing) int {
	rank := -1
	for i := range d.Parts {
		p := &d.Parts[i]
		rank = max(rank, p.Treatment.Rank())
		for _, f := range p.Findings {
			rank = max(rank, f.Treatment.Rank())
		}
	}
	return rank
}

// code is the stable word of an error about a drawing, and the line it names.
func code(err error) (string, int) {
	var d *dxf.Error
	if errors.As(err, &d) {
		return d.Code, d.Line
	}
	var p *pathError
	if errors.As(err, &p) {
		return p.code, 0
	}
	return "read-failed", 0
}
