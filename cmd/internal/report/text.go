package report

import (
	"fmt"
	"io"
	"slices"
	"strings"
)

// The text leads with the answer: how many parts need what, the questions that
// are open, then every part, worst first, with the places that decide it. The
// finished blocks, one a part, wait in a spool; what stays in memory is where
// each stands.

const (
	columns100 = 100 // width that every line keeps to
	tag        = 9   // width of the treatment before each part
	deciding   = 3   // rules that are told in full for one part
	perDrawing = 3   // messages told of one drawing
)

type textRenderer struct {
	w      io.Writer
	style  Style
	blocks []block // without their lines
	spool  spool   // the lines of all
	files  int
	bad    int      // unreadable drawings
	part   int      // incomplete ones
	common []string // inputs that hold for the whole run
}

// block is what the text says of one part, or of a drawing without parts.
type block struct {
	rank  int     // severity; unreadable drawings come first
	work  float64 // bench seconds of all its pieces
	order int
	lines []string

	from, size int64 // of the lines in the spool
}

// unread is the word for a drawing without parts; it ranks above every treatment.
const unread = "unread"

func (r *textRenderer) Drawing(d *Drawing) error {
	r.files++
	switch d.Status {
	case Unreadable:
		r.bad++
	case Partial:
		r.part++
	}
	r.judgedFor(d)
	told := messages(d)
	if len(d.Parts) == 0 {
		b := block{rank: len(Treatments)}
		r.head(&b, unread, clean(d.File))
		for _, m := range told {
			b.wrap("- ", m)
		}
		return r.keep(b)
	}
	for i := range d.Parts {
		b := r.partBlock(d, &d.Parts[i])
		if i == 0 {
			for _, m := range told {
				b.wrap("- ", m)
			}
		}
		if err := r.keep(b); err != nil {
			return err
		}
	}
	return nil
}

func (r *textRenderer) keep(b block) error {
	b.order, b.from = len(r.blocks), r.spool.size
	_, err := io.WriteString(&r.spool, "\n"+strings.Join(b.lines, "\n")+"\n")
	b.size, b.lines = r.spool.size-b.from, nil
	r.blocks = append(r.blocks, b)
	return err
}

// messages picks what a person should know of a drawing before trusting it.
func messages(d *Drawing) []string {
	var out []string
	more := 0
	for _, m := range d.Messages {
		switch {
		case m.Code == InputCode || m.Code == QuestionCode || m.Code == ConflictCode && len(d.Parts) > 0 ||
			m.Code == "units-doubt" && d.finds("units-conflict"):
		case len(out) == perDrawing:
			more++
		case m.Line > 0:
			out = append(out, fmt.Sprintf("line %d: %s", m.Line, m.Text))
		default:
			out = append(out, m.Text)
		}
	}
	if more > 0 {
		out = append(out, fmt.Sprintf("and %d more (--format json tells all)", more))
	}
	return out
}

// head starts a block: the treatment, then words that stay together on a line
// as far as they fit.
func (r *textRenderer) head(b *block, word string, words ...string) {
	first := len(b.lines)
	b.flow(words, "  ")
	label := fmt.Sprintf("%-*s", tag, strings.ToUpper(word))
	if r.style.Color {
		label = paint(word, label)
	}
	b.lines[first] = label + b.lines[first][tag:]
}

func (r *textRenderer) partBlock(d *Drawing, p *Part) block {
	b := block{rank: p.Treatment.Rank(), work: float64(p.Time.Hand[1]) * float64(p.Quantity)}
	r.head(&b, string(p.Treatment), clean(d.File), p.ID, plural(p.Quantity, "piece"),
		short(float64(p.BBox[0]))+" x "+short(float64(p.BBox[1]))+" mm")
	if stock := stockWords(d); stock != "" {
		b.wrap("", stock)
	}
	if d.Status == Partial {
		b.wrap("! ", "the drawing was read in part only: see its messages")
	}
	if p.Incomplete != "" && !slices.ContainsFunc(p.Findings, func(f Finding) bool { return strings.Contains(f.Why, p.Incomplete) }) {
		b.wrap("! ", "incomplete: "+p.Incomplete)
	}
	groups := byRule(p.Findings)
	for i, g := range groups {
		if i == deciding {
			var rest []string
			for _, g := range groups[i:] {
				rest = append(rest, fmt.Sprintf("%s (%d)", g[0].Rule, len(g)))
			}
			b.wrap("* ", "and "+strings.Join(rest, ", "))
			break
		}
		b.group(g)
	}
	b.wrap("", burrWords(p))
	b.wrap("", work(p))
	b.wrap("", edgeChoices(p.EdgeChoices))
	return b
}

// stockWords say what the drawing was judged as, and who said so: inputs of one
// source stand together. What holds for the whole run is told once, at the head.
func stockWords(d *Drawing) string {
	var sources []string
	by := map[string][]string{}
	for _, in := range d.Inputs {
		if in.Value == "" || in.common() {
			continue
		}
		if by[in.Source] == nil {
			sources = append(sources, in.Source)
		}
		by[in.Source] = append(by[in.Source], in.words())
	}
	var out []string
	for _, source := range sources {
		words := strings.Join(by[source], ", ")
		if source != "" {
			words += " (" + source + ")"
		}
		out = append(out, words)
	}
	return strings.Join(out, "; ")
}

// words are an input as text tells it: a number has its unit, and what does not
// speak for itself has its name.
func (in Input) words() string {
	switch in.Name {
	case "material", "process":
		return in.Value
	case "thickness":
		if strings.Trim(in.Value, "0123456789.") == "" {
			return in.Value + " mm"
		}
		return in.Value
	}
	return in.Name + " " + in.Value
}

// judgedFor gathers the inputs that hold for the whole run.
func (r *textRenderer) judgedFor(d *Drawing) {
	for _, in := range d.Inputs {
		if in.Value == "" || !in.common() {
			continue
		}
		if words := in.words() + " (" + in.Source + ")"; !slices.Contains(r.common, words) {
			r.common = append(r.common, words)
		}
	}
}

// byRule gathers findings of one rule, the most severe rule first.
func byRule(findings []Finding) [][]Finding {
	var out [][]Finding
	at := map[string]int{}
	for _, f := range sorted(findings) {
		i, ok := at[f.Rule]
		if !ok {
			i = len(out)
			at[f.Rule] = i
			out = append(out, nil)
		}
		out[i] = append(out[i], f)
	}
	return out
}

// group tells the findings of one rule: the first place with its numbers, why,
// and what to do.
func (b *block) group(g []Finding) {
	f := g[0]
	line := f.Rule
	if len(g) > 1 {
		line += fmt.Sprintf(", %d places", len(g))
	}
	if f.Feature != "" {
		line += fmt.Sprintf(": %s at (%s, %s)", f.Feature, short(float64(f.X)), short(float64(f.Y)))
	}
	if numbers := numbers(&f); numbers != "" {
		if f.Feature == "" {
			line += ":"
		}
		line += " " + numbers
	}
	b.wrap("* ", line)
	b.wrap("  ", sentence(f.Why))
	if f.Do != "" {
		b.wrap("  do: ", sentence(f.Do))
	}
}

// numbers are what was measured against the limit. Where the limit is none at
// all, there is nothing to compare, and the rule's name says it.
func numbers(f *Finding) string {
	if f.Measured == nil || f.Limit != nil && *f.Limit == 0 {
		return ""
	}
	s := quantity(*f.Measured, f.Unit)
	if f.Limit != nil {
		s += ", limit " + quantity(*f.Limit, f.Unit)
	}
	if isWord(f.Unit) {
		s += " (" + f.Unit + ")"
	}
	return s
}

// work says how the part runs and what that takes.
func work(p *Part) string {
	var out []string
	if p.Feed != nil {
		out = append(out, "feed at "+short(float64(p.Feed.Angle))+" degrees")
	}
	out = append(out, "line "+duration(p.Time.Line), "bench "+duration(p.Time.Hand))
	s := strings.Join(out, ", ")
	if p.Cost[1] > 0 {
		s += fmt.Sprintf(", cost %.2f to %.2f", float64(p.Cost[0]), float64(p.Cost[1]))
	}
	return s + " a piece"
}

func (r *textRenderer) Close(t Tail) error {
	defer r.spool.drop()
	slices.SortStableFunc(r.blocks, func(a, b block) int {
		switch {
		case a.rank != b.rank:
			return b.rank - a.rank
		case a.work > b.work:
			return -1
		case a.work < b.work:
			return 1
		}
		return a.order - b.order
	})
	var head block
	head.bare(r.summary(t.Totals))
	if t.Totals.Parts > 0 {
		all := "line " + duration(t.Totals.Line) + ", bench " + duration(t.Totals.Hand)
		if t.Totals.Cost[1] > 0 {
			all += ", cost " + amounts(t.Totals.Cost)
		}
		head.bare(all + " for all pieces")
	}
	if t.Run != nil && t.Run.Split != nil {
		head.bare(t.Run.Split.Words())
	}
	head.bare(sentence(t.Incomplete))
	if t.Changes != nil {
		head.lines = append(head.lines, "")
		head.changed(t.Changes)
		head.lines = append(head.lines, "")
	}
	for _, m := range t.Messages {
		head.wrapAt("! ", 2, m.Text)
	}
	if len(r.common) > 0 {
		head.bare("judged for " + strings.Join(r.common, ", "))
	}
	if len(t.Questions) > 0 {
		head.lines = append(head.lines, "")
	}
	for _, q := range t.Questions {
		head.question(q)
	}
	if t.Comparison != nil {
		head.lines = append(head.lines, "")
		head.compared(t.Comparison)
	}
	if err := r.write(head.lines); err != nil {
		return err
	}
	for _, b := range r.blocks {
		if t.Comparison != nil && b.rank < len(Treatments) {
			continue // the parts in full are told for one line
		}
		if err := r.spool.copyPiece(r.w, b.from, b.size); err != nil {
			return err
		}
	}
	var foot block
	if len(t.Disagreements) > 0 {
		foot.bare("sources disagree on numbers that parts here hang on (--format json says where):")
		for i := range t.Disagreements {
			foot.wrapAt("~ ", 2, sentence(t.Disagreements[i].words()))
		}
		if len(t.Notes) > 0 {
			foot.lines = append(foot.lines, "")
		}
	}
	if len(t.Notes)+len(foot.lines) == 0 {
		return nil
	}
	for _, n := range t.Notes {
		foot.wrapAt("- ", 2, sentence(n))
	}
	return r.write(append([]string{""}, foot.lines...))
}

func (r *textRenderer) write(lines []string) error {
	_, err := io.WriteString(r.w, strings.Join(lines, "\n")+"\n")
	return err
}

func (r *textRenderer) summary(t Totals) string {
	s := fmt.Sprintf("%s, %s, %s", plural(r.files, "drawing"), plural(t.Parts, "part"), plural(t.Pieces, "piece"))
	if t.Parts > 0 {
		var by []string
		for i := len(Treatments) - 1; i >= 0; i-- {
			if n := t.ByTreatment.Of(Treatments[i]); n > 0 {
				by = append(by, fmt.Sprintf("%d %s", n, Treatments[i]))
			}
		}
		s += "; parts: " + strings.Join(by, ", ")
	}
	if r.bad > 0 {
		s += fmt.Sprintf("; %d unreadable", r.bad)
	}
	if r.part > 0 {
		s += fmt.Sprintf("; %d read in part", r.part)
	}
	return s
}

func (b *block) question(q Question) {
	left := make([]string, len(q.Unjudged))
	copy(left, q.Unjudged)
	s := q.Text
	if !strings.HasSuffix(s, "?") {
		s = sentence(s)
	}
	s += fmt.Sprintf(" (open in %s", plural(q.Drawings, "drawing"))
	if len(left) > 0 {
		s += fmt.Sprintf("; leaves %s unjudged: %s", plural(len(left), "rule"), strings.Join(left, ", "))
	}
	b.wrapAt("? "+q.Input+": ", 2, s+")")
}
