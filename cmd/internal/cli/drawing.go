package cli

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"burrcast/analyze"
	"burrcast/cmd/internal/report"
	"burrcast/cmd/internal/store"
	"burrcast/geom/dxf"
	"burrcast/rules"
)

// checker does the work on one drawing: read, measure, judge. It is shared by
// all workers and never changes.
type checker struct {
	shop     rules.Shop
	flags    *checkFlags
	archives *archives
	stdin    io.Reader
	read     dxf.Options
	measure  analyze.Options
	analyze  func(*dxf.Drawing, analyze.Options) analyze.Result
	compare  bool                 // judge on all lines, too
	run      *report.Run          // what the report says it was made with
	changes  *changes             // against an older report; nil without one
	told     []report.Message     // of the run as a whole
	tools    map[string][]float64 // of each line, what measure.Tools is for it
	store    *store.Store         // nil keeps nothing
	stamps   stamps
}

// outcome is what one drawing comes to.
type outcome struct {
	drawing   report.Drawing
	questions []report.Question
	lines     []onLines // its parts on all lines, if that was asked for
	sampled   []sampledPart
}

// drawing never fails: what goes wrong is what the drawing's messages say. A
// mistake of the program in one drawing must not take the others with it, so a
// panic becomes such a message, too.
func (c *checker) drawing(s source) (out outcome) {
	out.drawing = report.Drawing{File: s.name(), Status: report.OK}
	defer func() { out.drawing.Index = s.index }()
	defer func() {
		if p := recover(); p != nil {
			out = outcome{drawing: report.Drawing{File: s.name(), Status: report.Unreadable,
				Messages: []report.Message{{Code: "implementation-error", Text: mistake(p)}}}}
		}
	}()
	c.work(s, &out)
	return out
}

// work takes one drawing from its bytes to its report:
//
//  1. What was found before, of the same bytes judged with the same, is that.
//  2. Else what was measured before of the same bytes is judged.
//  3. Else they are read and measured, and both are kept.
func (c *checker) work(s source, out *outcome) {
	in, err := c.open(s, c.store != nil)
	if err != nil {
		unread(&out.drawing, faultOf(err))
		return
	}
	defer in.close()
	in.hold = c.flags.report != ""
	keys := c.keysOf(in, s)
	if c.recall(keys, s, out) {
		return
	}
	r, drawn := c.recallReading(keys), (*dxf.Drawing)(nil)
	if r == nil {
		var lasting bool
		r, drawn, lasting = c.readingOf(in, c.optionsFor(s))
		keys.ok = keys.ok && lasting && in.known
		c.keepReading(keys, r)
	}
	c.judge(r, s, out)
	if c.flags.report != "" && len(out.drawing.Parts) > 0 {
		if drawn == nil {
			if drawn, err = in.read(c.read); err != nil {
				panic("implementation error: " + err.Error()) // it was read before
			}
			drawn = dxf.WithoutMarks(drawn)
		}
		if err = marked(in.data, c.read, drawn, &out.drawing); err != nil {
			panic("implementation error: " + err.Error()) // it is written to memory
		}
	}
	c.keep(keys, s, out)
}

// unread says why there is no drawing. That stands before what was repaired on
// the way.
func unread(d *report.Drawing, f *fault) {
	d.Messages = append([]report.Message{{Code: f.Code, Line: f.Line, Text: f.Text}}, d.Messages...)
	d.Status = report.Unreadable
}

// judge makes a reading the report's drawing.
func (c *checker) judge(r *reading, s source, out *outcome) {
	d := &out.drawing
	if r.Held {
		describe(d, r)
	}
	if r.Fault != nil {
		unread(d, r.Fault)
		return
	}
	job := c.job(r.Notes, s)
	d.Inputs = inputs(job)
	d.Hazards = rules.Hazards(job, c.shop)
	if in, err := rules.Resolve(job, c.shop); err == nil {
		for _, doubt := range in.Doubts {
			code := "input-doubt"
			if doubt.Conflict {
				code = report.ConflictCode
			}
			d.Messages = append(d.Messages, report.Message{Code: code, Text: doubt.Text})
		}
	}
	for _, in := range d.Inputs {
		d.Messages = append(d.Messages, report.Message{Code: report.InputCode, Text: in.Name + " " + in.Value + ": " + in.Source})
	}

	if s.table != nil && s.row < 0 {
		d.Messages = append(d.Messages, s.table.noRow())
	}
	measured := r.Measured
	measured.File = d.File
	told := understood(r, c.measure.Contour.Join)
	d.Sheet, d.Nest = sheet(measured), nestOf(measured)
	if len(r.Parts) == 0 {
		d.Status = report.Unreadable
		// What decides stands first, like the reason why a file cannot be read.
		d.Messages = append(noPart(told), d.Messages...)
		return
	}
	d.Messages = append(d.Messages, told...)
	if r.Partial || slices.ContainsFunc(told, func(m report.Message) bool { return m.Code == "unmeasured-part" }) {
		d.Status = report.Partial
	}
	var questions [][]rules.Question
	d.Parts = slices.Grow(d.Parts, len(r.Parts))
	tool := finest(c.toolsFor(s))
	for i := range r.Parts {
		part := r.Parts[i].part()
		j, err := rules.Judge(measured, part.Measure, job, c.shop)
		if err != nil {
			panic("implementation error: " + err.Error()) // the line was looked up before
		}
		questions = append(questions, j.Questions)
		p := partOf(part.Measure, j, pieces(job))
		c.advice(&p, measured, part.Measure, job, j)
		out.lines = append(out.lines, c.allLinesOf(measured, part.Measure, job)...)
		if f := c.flags; f.report != "" || f.samplesForm != "" { // nothing else has pictures
			p.Drawing = drawingOf(part)
			p.Drawing.Burred = burredOf(part, j, tool, c.shop.OnLine(job.Line.Value))
		}
		d.Parts = append(d.Parts, p)
		c.sampled(out, i, func() ([]rules.SampledPlace, error) { return rules.SampledPlaces(measured, part.Measure, job, c.shop) }, job, j)
	}
	for _, q := range rules.MergeQuestions(questions...) {
		out.questions = append(out.questions, report.Question{Input: q.Input, Text: q.Text, Unjudged: q.Unjudged, Drawings: 1})
		d.Lacks = append(d.Lacks, report.Lack{Name: q.Input, Question: q.Text, Unjudged: q.Unjudged})
		d.Messages = append(d.Messages, report.Message{Code: report.QuestionCode,
			Text: fmt.Sprintf("%s is not known: %s", q.Input, waiting(q.Unjudged))})
	}
}

// understood tells what the drawing was taken for.
func understood(r *reading, join float64) []report.Message {
	told := make([]report.Message, len(r.Messages), len(r.Messages)+2)
	for i, m := range r.Messages {
		told[i] = report.Message{Code: m.Code, Line: m.Line, Text: turned(m.Code, m.Text)}
	}
	// Ends that differ in the sixth decimal are how drawings are written, not gaps.
	if gap := r.Measured.LargestGap; gap > 1e-6 {
		told = append(told, report.Message{Code: "gap-closed",
			Text: fmt.Sprintf("gaps of up to %.3g mm were closed (--join %g)", gap, join)})
	}
	var layers []string
	for layer, meaning := range r.Meanings {
		if meaning != analyze.Cut {
			layers = append(layers, fmt.Sprintf("%s (%s)", layer, meaning))
		}
	}
	if len(layers) > 0 {
		slices.Sort(layers)
		told = append(told, report.Message{Code: "layers", Text: "layers not taken for cut: " + strings.Join(layers, ", ")})
	}
	return told
}

// noPart puts the message that there is no part first, and writes it where
// nobody has.
func noPart(told []report.Message) []report.Message {
	for i, m := range told {
		if m.Code == "no-contour" || m.Code == "no-cut" || m.Code == "no-curve" || m.Code == "unmeasured-part" {
			return slices.Concat(told[i:i+1], told[:i], told[i+1:])
		}
	}
	return append([]report.Message{{Code: "no-contour", Text: "no closed contour: there is no part to measure"}}, told...)
}

func waiting(unjudged []string) string {
	switch len(unjudged) {
	case 0:
		return "nothing waits for it"
	case 1:
		return "1 rule waits for it: " + unjudged[0]
	}
	return fmt.Sprintf("%d rules wait for it: %s", len(unjudged), strings.Join(unjudged, ", "))
}

// bareText is an error's text without the line that goes beside it.
func bareText(err error) string {
	var d *dxf.Error
	if errors.As(err, &d) {
		return d.Text
	}
	return err.Error()
}

// describe tells what reading found.
func describe(d *report.Drawing, drawn *reading) {
	d.Units = report.Units{Name: drawn.Units.Name, Source: drawn.Units.Source}
	if drawn.Units.Doubt != "" {
		d.Messages = append(d.Messages, report.Message{Code: "units-doubt", Text: drawn.Units.Doubt})
	}
	for _, r := range drawn.Repairs {
		d.Messages = append(d.Messages, report.Message{Code: r.Code, Line: r.Line, Text: r.Text})
	}
	for _, s := range drawn.Skipped {
		d.Skipped = append(d.Skipped, report.Skipped{Type: s.Type, Layer: s.Layer, Count: s.Count})
		if s.Why != "" && s.Why != "not a curve" {
			d.Messages = append(d.Messages, report.Message{Code: "skipped",
				Text: fmt.Sprintf("%d %s on layer %s left out: %s", s.Count, s.Type, s.Layer, s.Why)})
		}
	}
}

// mistake is a panic in words.
func mistake(p any) string {
	text := fmt.Sprint(p)
	if strings.HasPrefix(text, "implementation error") {
		return text
	}
	return "implementation error: " + text
}
