package cli

import (
	"slices"

	"burrcast/cmd/internal/report"
)

// changes gathers what is different from an older report. A nil one gathers
// nothing.
type changes struct {
	older *older
	pairs map[string]*olderDrawing
	out   report.Changes
}

// newChanges pairs the drawings of a run with the older ones.
func newChanges(o *older, sources []source) *changes {
	if o == nil {
		return nil
	}
	names := make([]string, len(sources))
	for i, s := range sources {
		names[i] = s.name()
	}
	return &changes{older: o, pairs: o.pair(names), out: report.Changes{Against: o.file}}
}

// add compares one drawing.
func (c *changes) add(d *report.Drawing) {
	if c == nil {
		return
	}
	parts := make([]olderPart, len(d.Parts))
	for i := range d.Parts {
		parts[i] = partNow(&d.Parts[i])
		sum(&c.out.Hand[1], &c.out.Line[1], &parts[i])
	}
	was := c.pairs[d.File]
	if was == nil {
		change := report.DrawingChange{File: d.File, Change: report.ChangeNew}
		for i := range parts {
			change.Parts = append(change.Parts, comes(&parts[i]))
		}
		c.out.Drawings = append(c.out.Drawings, change)
		return
	}
	change := report.DrawingChange{File: d.File, Change: report.ChangeChanged, Parts: compareParts(was.parts, parts)}
	for i := range was.parts {
		sum(&c.out.Hand[0], &c.out.Line[0], &was.parts[i])
	}
	if was.name != d.File {
		change.Was = was.name
	}
	if was.status != d.Status {
		change.Status = &[2]string{was.status, d.Status}
	}
	if len(change.Parts) == 0 && change.Status == nil {
		c.out.Same++
		return
	}
	c.out.Drawings = append(c.out.Drawings, change)
}

// sum adds the times of all pieces.
func sum(hand, line *report.Range, p *olderPart) {
	for k := range 2 {
		hand[k] += report.Num(p.quantity) * p.hand[k]
		line[k] += report.Num(p.quantity) * p.line[k]
	}
}

// done adds what is gone and returns the changes.
func (c *changes) done() *report.Changes {
	if c == nil {
		return nil
	}
	for _, name := range c.older.order {
		d := c.older.drawings[name]
		if d.paired {
			continue
		}
		change := report.DrawingChange{File: name, Change: report.ChangeGone}
		for i := range d.parts {
			change.Parts = append(change.Parts, goes(&d.parts[i]))
			sum(&c.out.Hand[0], &c.out.Line[0], &d.parts[i])
		}
		c.out.Drawings = append(c.out.Drawings, change)
	}
	for k := range 2 {
		c.out.Hand[k], c.out.Line[k] = c.out.Hand[k].Rounded(), c.out.Line[k].Rounded()
	}
	return &c.out
}

func comes(p *olderPart) report.PartChange {
	return report.PartChange{ID: p.id, Change: report.ChangeNew, Treatment: &[2]report.Treatment{"", p.treatment}}
}

func goes(p *olderPart) report.PartChange {
	return report.PartChange{ID: p.id, Change: report.ChangeGone, Treatment: &[2]report.Treatment{p.treatment, ""}}
}

// compareParts pairs the parts of a drawing and lists those that changed, in the
// order of now, then those that are gone.
func compareParts(was, now []olderPart) []report.PartChange {
	of := make([]int, len(now)) // index in was, or -1
	taken := make([]bool, len(was))
	for i := range of {
		of[i] = -1
	}
	for _, fits := range []func(a, b *olderPart) bool{
		func(a, b *olderPart) bool { return a.id == b.id && a.sameShape(b) },
		func(a, b *olderPart) bool { return a.sameShape(b) },
		func(a, b *olderPart) bool { return a.id == b.id },
	} {
		for i := range now {
			for k := 0; k < len(was) && of[i] < 0; k++ {
				if !taken[k] && fits(&was[k], &now[i]) {
					of[i], taken[k] = k, true
				}
			}
		}
	}
	var out []report.PartChange
	for i := range now {
		if of[i] < 0 {
			out = append(out, comes(&now[i]))
		} else if p, changed := comparePart(&was[of[i]], &now[i]); changed {
			out = append(out, p)
		}
	}
	for k := range was {
		if !taken[k] {
			out = append(out, goes(&was[k]))
		}
	}
	return out
}

func comparePart(was, now *olderPart) (p report.PartChange, changed bool) {
	p = report.PartChange{ID: now.id, Change: report.ChangeChanged}
	if was.treatment != now.treatment {
		p.Treatment, changed = &[2]report.Treatment{was.treatment, now.treatment}, true
	}
	if was.quantity != now.quantity {
		p.Quantity, changed = &[2]int{was.quantity, now.quantity}, true
	}
	if !alikeRange(was.hand, now.hand) {
		p.Hand, changed = &[2]report.Range{was.hand, now.hand}, true
	}
	if !alikeRange(was.line, now.line) {
		p.Line, changed = &[2]report.Range{was.line, now.line}, true
	}
	p.More, p.Less = beyond(now.findings, was.findings), beyond(was.findings, now.findings)
	changed = changed || len(p.More)+len(p.Less) > 0
	if was.id != now.id {
		p.Was = was.id
	}
	p.Reshaped = !was.sameShape(now)
	return p, changed
}

// beyond lists by rule the findings of the first list that the second has no
// equal to, each counted once.
func beyond(these, those []mark) []report.RuleChange {
	equals := map[mark]int{}
	for _, f := range those {
		f.feature = ""
		equals[f]++
	}
	var out []report.RuleChange
	for _, f := range these {
		key := f
		key.feature = ""
		if equals[key] > 0 {
			equals[key]--
			continue
		}
		i := slices.IndexFunc(out, func(r report.RuleChange) bool { return r.Rule == f.rule && r.Treatment == f.treatment })
		if i < 0 {
			i = len(out)
			out = append(out, report.RuleChange{Rule: f.rule, Treatment: f.treatment})
		}
		out[i].Features = append(out[i].Features, f.feature)
	}
	return out
}
