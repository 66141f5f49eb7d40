package report

import (
	"fmt"
	"slices"
	"sort"
	"strings"
)

// Tally gathers what only the whole run knows. Its zero value is empty.
type Tally struct {
	totals    Totals
	questions map[[2]string]*Question // by input and text
}

// Add counts one drawing and the questions that are open in it.
func (t *Tally) Add(d *Drawing, open []Question) {
	t.totals.Drawings++
	for i := range d.Parts {
		p := &d.Parts[i]
		t.totals.Parts++
		t.totals.Pieces += p.Quantity
		*t.totals.ByTreatment.count(p.Treatment)++
		for k := range 2 {
			t.totals.Hand[k] += Num(p.Quantity) * p.Time.Hand[k].Rounded()
			t.totals.Line[k] += Num(p.Quantity) * p.Time.Line[k].Rounded()
			t.totals.Cost[k] += Num(p.Quantity) * p.Cost[k].Rounded()
		}
	}
	asked := map[[2]string]bool{}
	for _, q := range open {
		if t.questions == nil {
			t.questions = map[[2]string]*Question{}
		}
		key := [2]string{q.Input, q.Text}
		sum, ok := t.questions[key]
		if !ok {
			sum = &Question{Input: q.Input, Text: q.Text, Unjudged: []string{}}
			t.questions[key] = sum
		}
		for _, rule := range q.Unjudged {
			if !slices.Contains(sum.Unjudged, rule) {
				sum.Unjudged = append(sum.Unjudged, rule)
			}
		}
		if !asked[key] {
			asked[key] = true
			sum.Drawings++
		}
	}
}

// Totals is the count so far.
func (t *Tally) Totals() Totals {
	all := t.totals
	all.Hand, all.Line, all.Cost = all.Hand.Rounded(), all.Line.Rounded(), all.Cost.Rounded()
	return all
}

// Questions are the open inputs, the one that leaves most unjudged first.
func (t *Tally) Questions() []Question {
	out := make([]Question, 0, len(t.questions))
	for _, q := range t.questions {
		sort.Strings(q.Unjudged)
		out = append(out, *q)
	}
	sort.Slice(out, func(i, j int) bool {
		a, b := out[i], out[j]
		switch {
		case len(a.Unjudged) != len(b.Unjudged):
			return len(a.Unjudged) > len(b.Unjudged)
		case a.Drawings != b.Drawings:
			return a.Drawings > b.Drawings
		case a.Input != b.Input:
			return a.Input < b.Input
		}
		return a.Text < b.Text
	})
	return out
}

// Tail is what follows the drawings.
type Tail struct {
	Questions []Question
	Totals    Totals
	Notes     []string
	Rates     Rates

	Comparison *Comparison // nil unless all lines were compared
	Messages   []Message   // of the run as a whole
	Changes    *Changes    // nil unless an older report was given

	Disagreements []Disagreement // that bear on parts of the run

	Run        *Run   // what the report was made with; nil if nobody says
	Incomplete string // why drawings are missing, or empty
}

// Disagreement is a number on which published sources differ, and how many parts
// hang on it. The formats for programs have it where it is used.
type Disagreement struct {
	About string
	Says  []string
	Used  string
	Parts int
}

// words say it in a line.
func (d *Disagreement) words() string {
	return fmt.Sprintf("%s: %s. Used: %s (%s)", d.About, strings.Join(d.Says, "; "), d.Used, plural(d.Parts, "part"))
}

// InputCode marks the messages that say what a drawing was judged with.
const InputCode = "input"

// Sources of inputs that hold for a whole run: a flag, and the shop file where
// nobody chose.
const (
	FlagSource = "flag --" // and the flag's name
	ShopSource = "shop file"
)

// common says whether an input holds for the whole run.
func (in Input) common() bool {
	return in.Source == ShopSource || strings.HasPrefix(in.Source, FlagSource)
}

// Input is what was given under a name, or the empty one.
func (d *Drawing) Input(name string) Input {
	for _, in := range d.Inputs {
		if in.Name == name {
			return in
		}
	}
	return Input{Name: name}
}
