package report

import (
	"fmt"
	"slices"
	"strings"
)

// Kinds of changes.
const (
	ChangeNew     = "new"
	ChangeGone    = "gone"
	ChangeChanged = "changed"
)

// Changes is what is different from an older report of the job: drawings whose
// treatment, times or findings changed, new ones and those that are gone.
type Changes struct {
	Against  string          `json:"against"` // the older report's file
	Same     int             `json:"same"`    // drawings without a change
	Hand     [2]Range        `json:"hand_s"`  // of all pieces, then and now
	Line     [2]Range        `json:"line_s"`
	Drawings []DrawingChange `json:"drawings"` // in input order, then what is gone
}

// DrawingChange is one drawing that changed.
type DrawingChange struct {
	File   string       `json:"file"`
	Was    string       `json:"was,omitempty"` // its name then, if that was another
	Change string       `json:"change"`        // new, gone or changed
	Status *[2]string   `json:"status,omitempty"`
	Parts  []PartChange `json:"parts"`
}

// PartChange is one part that changed. Pairs are then and now; nil is no change.
type PartChange struct {
	ID        string        `json:"id"` // of a part that is gone, then
	Was       string        `json:"was,omitempty"`
	Change    string        `json:"change"`
	Reshaped  bool          `json:"reshaped,omitempty"` // its measures differ
	Treatment *[2]Treatment `json:"treatment,omitempty"`
	Quantity  *[2]int       `json:"quantity,omitempty"`
	Hand      *[2]Range     `json:"hand_s,omitempty"` // of a piece
	Line      *[2]Range     `json:"line_s,omitempty"`
	More      []RuleChange  `json:"findings_new,omitempty"`
	Less      []RuleChange  `json:"findings_gone,omitempty"`
}

// RuleChange is the findings of one rule that are new or gone.
type RuleChange struct {
	Rule      string    `json:"rule"`
	Treatment Treatment `json:"treatment"`
	Features  []string  `json:"features"` // one for each; empty for the part as a whole
}

// filled is a copy whose lists are all there.
func (c *Changes) filled() *Changes {
	if c == nil {
		return nil
	}
	f := *c
	f.Drawings = append(make([]DrawingChange, 0, len(c.Drawings)), c.Drawings...)
	for i := range f.Drawings {
		f.Drawings[i].Parts = list(f.Drawings[i].Parts)
	}
	return &f
}

// changesShown is how many drawings of one kind the text tells.
const changesShown = 25

// Heads say how much is different.
func (c *Changes) Heads() []string {
	var n [3]int
	for _, d := range c.Drawings {
		n[slices.Index(changeKinds, d.Change)]++
	}
	out := []string{fmt.Sprintf("against %s: %s changed, %d new, %d gone, %d the same", clean(c.Against), plural(n[0], "drawing"), n[1], n[2], c.Same)}
	line, hand := fromTo("line", c.Line), fromTo("bench", c.Hand)
	if line != "" || hand != "" {
		out = append(out, "for all pieces: "+strings.Trim(line+"; "+hand, "; "))
	}
	return out
}

// changeKinds in the order in which they are told.
var changeKinds = []string{ChangeChanged, ChangeNew, ChangeGone}

// changeLine is one drawing that changed, in words.
type changeLine struct{ Sign, Words string }

// Lines say what is different, as many drawings of each kind as are told.
func (c *Changes) Lines() []changeLine {
	var out []changeLine
	for _, kind := range changeKinds {
		shown := 0
		for i := range c.Drawings {
			if d := &c.Drawings[i]; d.Change == kind {
				if shown++; shown <= changesShown {
					out = append(out, changeLine{changeSign(kind), d.words()})
				}
			}
		}
		if shown > changesShown {
			out = append(out, changeLine{changeSign(kind), fmt.Sprintf("and %d more %s (--format json tells all)", shown-changesShown, kind)})
		}
	}
	return out
}

// changed tells what is different, before everything else.
func (b *block) changed(c *Changes) {
	for _, head := range c.Heads() {
		b.bare(head)
	}
	for _, l := range c.Lines() {
		b.wrapAt(l.Sign+" ", 2, l.Words)
	}
}

// changeSheet is the workbook's sheet of changes.
const changeSheet = "Changes"

// changed writes what is different from an older report.
func changed(b *book, c *Changes) error {
	if c == nil {
		return nil
	}
	var rows [][]any
	for i := range c.Drawings {
		d := &c.Drawings[i]
		rows = append(rows, []any{cellText(d.File), cellText(d.Was), d.Change, cellText(strings.TrimPrefix(strings.TrimPrefix(d.words(), clean(d.File)), ": "))})
	}
	return b.sheet(changeSheet, []bookColumn{{"Drawing", 34, 0}, {"Its name then", 34, 0}, {"Change", 10, 0}, {"What changed", 100, b.wrapped}}, nil, rows)
}

func changeSign(kind string) string {
	return map[string]string{ChangeNew: "+", ChangeGone: "-", ChangeChanged: "~"}[kind]
}

// fromTo is a time then and now, or "" if it reads the same.
func fromTo(what string, r [2]Range) string {
	was, now := duration(r[0]), duration(r[1])
	if was == now {
		return ""
	}
	return what + " was " + was + ", now " + now
}

// words say what changed in a drawing.
func (d *DrawingChange) words() string {
	out := clean(d.File)
	if d.Was != "" {
		out += " (was " + clean(d.Was) + ")"
	}
	if d.Change != ChangeChanged {
		var parts []string
		for _, p := range d.Parts {
			if t := p.Treatment; t != nil {
				parts = append(parts, p.ID+" "+string(t[0]+t[1])) // one of them is empty
			}
		}
		return strings.TrimSuffix(fmt.Sprintf("%s %s: %s", out, d.Change, strings.Join(parts, ", ")), ": ")
	}
	var parts []string
	if s := d.Status; s != nil {
		parts = append(parts, "was "+s[0]+", now "+s[1])
	}
	for i := range d.Parts {
		parts = append(parts, d.Parts[i].words())
	}
	return out + ": " + strings.Join(parts, "; ")
}

func (p *PartChange) words() string {
	if p.Change != ChangeChanged {
		out := p.ID + " " + p.Change
		if t := p.Treatment; t != nil {
			out += " (" + string(t[0]+t[1]) + ")"
		}
		return out
	}
	out := []string{}
	if t := p.Treatment; t != nil {
		out = append(out, fmt.Sprintf("was %s, now %s", t[0], t[1]))
	}
	if q := p.Quantity; q != nil {
		out = append(out, fmt.Sprintf("pieces %d, now %d", q[0], q[1]))
	}
	if h := p.Hand; h != nil {
		out = append(out, fmt.Sprintf("bench %s, now %s", duration(h[0]), duration(h[1])))
	}
	if l := p.Line; l != nil {
		out = append(out, fmt.Sprintf("line %s, now %s", duration(l[0]), duration(l[1])))
	}
	// As many findings of a rule gone as new are the same ones with other numbers.
	same := func(f RuleChange, others []RuleChange) bool {
		return slices.ContainsFunc(others, func(g RuleChange) bool {
			return f.Rule == g.Rule && f.Treatment == g.Treatment && len(f.Features) == len(g.Features)
		})
	}
	for _, f := range p.More {
		if same(f, p.Less) {
			out = append(out, f.words()+" with other numbers")
		} else {
			out = append(out, "new "+f.words())
		}
	}
	for _, f := range p.Less {
		if !same(f, p.More) {
			out = append(out, "gone "+f.words())
		}
	}
	name := p.ID
	if p.Was != "" {
		name += " (was " + p.Was + ")"
	}
	return name + " " + strings.Join(out, ", ")
}

func (f *RuleChange) words() string {
	if n := len(f.Features); n > 1 {
		return fmt.Sprintf("%s (%d)", f.Rule, n)
	}
	return f.Rule
}
