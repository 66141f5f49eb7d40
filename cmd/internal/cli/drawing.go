package cli

import (
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"

	"burrcast/analyze"
	"burrcast/cmd/internal/report"
	"burrcast/geom/dxf"
	"burrcast/rules"
)

// checker does the work on one drawing: read, measure, judge. It is shared by
// all workers and never changes.
type checker struct {
	shop    rules.Shop
	flags   *checkFlags
	stdin   io.Reader
	read    dxf.Options
	measure analyze.Options
	analyze func(*dxf.Drawing, analyze.Options) analyze.Result
	compare bool             // judge on all lines, too
	run     *report.Run      // what the report says it was made with
	told    []report.Message // of the run as a whole
}

// outcome is what one drawing comes to.
type outcome struct {
	drawing   report.Drawing
	questions []report.Question
	job       *rules.Job // nil if the drawing was not read
	lines     []onLines  // its parts on all lines, if that was asked for
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

func (c *checker) work(s source, out *outcome) {
	d := &out.drawing
	drawn, err := c.open(s)
	if drawn != nil {
		drawn = dxf.WithoutMarks(drawn) // an earlier report's drawing is the drawing
		describe(d, drawn)
	}
	if err != nil {
		code, line := code(err)
		// Why it cannot be read stands before what was repaired on the way.
		d.Messages = append([]report.Message{{Code: code, Line: line, Text: bareText(err)}}, d.Messages...)
		d.Status = report.Unreadable
		return
	}
	job := c.job(drawn, s)
	out.job = &job
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

	result := c.analyze(drawn, c.measure)
	result.Drawing.File = d.File
	told := understood(result, c.measure.Contour.Join)
	d.Sheet, d.Nest = sheet(result.Drawing), nestOf(result.Drawing)
	if len(result.Parts) == 0 {
		d.Status = report.Unreadable
		// What decides stands first, like the reason why a file cannot be read.
		d.Messages = append(noPart(told), d.Messages...)
		return
	}
	d.Messages = append(d.Messages, told...)
	if drawn.Partial || slices.ContainsFunc(told, func(m report.Message) bool { return m.Code == "unmeasured-part" }) {
		d.Status = report.Partial
	}
	var questions [][]rules.Question
	for _, part := range result.Parts {
		j, err := rules.Judge(result.Drawing, part.Measure, job, c.shop)
		if err != nil {
			panic("implementation error: " + err.Error()) // the line was looked up before
		}
		questions = append(questions, j.Questions)
		p := partOf(part.Measure, j, pieces(job))
		c.advice(&p, result.Drawing, part.Measure, job, j)
		out.lines = append(out.lines, c.allLinesOf(result.Drawing, part.Measure, job)...)
		p.Drawing = drawingOf(&part)
		p.Drawing.Burred = burredOf(&part, j, c.finest(), c.shop)
		d.Parts = append(d.Parts, p)
	}
	for _, q := range rules.MergeQuestions(questions...) {
		out.questions = append(out.questions, report.Question{Input: q.Input, Text: q.Text, Unjudged: q.Unjudged, Drawings: 1})
		d.Lacks = append(d.Lacks, report.Lack{Name: q.Input, Question: q.Text, Unjudged: q.Unjudged})
		d.Messages = append(d.Messages, report.Message{Code: report.QuestionCode,
			Text: fmt.Sprintf("%s is not known: %s", q.Input, waiting(q.Unjudged))})
	}
	if c.flags.report != "" {
		if d.Marked, err = marked(drawn, d); err != nil {
			panic("implementation error: " + err.Error()) // it is written to memory
		}
	}
}

// understood tells what the drawing was taken for.
func understood(r analyze.Result, join float64) []report.Message {
	told := make([]report.Message, len(r.Messages), len(r.Messages)+2)
	for i, m := range r.Messages {
		told[i] = report.Message{Code: m.Code, Line: m.Line, Text: turned(m.Code, m.Text)}
	}
	// Ends that differ in the sixth decimal are how drawings are written, not gaps.
	if gap := r.Drawing.LargestGap; gap > 1e-6 {
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

// open reads a drawing. With an error there may be a drawing all the same: it
// says what the file holds instead of curves.
func (c *checker) open(s source) (*dxf.Drawing, error) {
	if s.err != nil {
		return nil, s.err
	}
	if s.path == stdinPath {
		if c.stdin == nil {
			return nil, errors.New("standard input is closed")
		}
		return dxf.Read(c.stdin, c.read)
	}
	if s.zip != "" {
		return c.fromArchive(s)
	}
	info, err := os.Stat(s.path)
	switch {
	case err != nil:
		return nil, plain(err)
	case info.Mode().IsRegular() && info.Size() <= wholeFile:
		data, err := os.ReadFile(s.path)
		if err != nil {
			return nil, plain(err)
		}
		return dxf.ReadBytes(data, c.read)
	}
	f, err := os.Open(s.path)
	if err != nil {
		return nil, plain(err)
	}
	defer f.Close()
	return dxf.Read(f, c.read)
}

// wholeFile is the size up to which a file is read in one go; beyond it and for
// devices the reader's own bound decides, byte by byte.
const wholeFile = 256 << 20

// bareText is an error's text without the line that goes beside it.
func bareText(err error) string {
	var d *dxf.Error
	if errors.As(err, &d) {
		return d.Text
	}
	return err.Error()
}

// describe tells what reading found.
func describe(d *report.Drawing, drawn *dxf.Drawing) {
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
