package report

import (
	"fmt"
	"io"
	"slices"
)

// A Renderer writes one format. It gets the drawings in input order and then
// the tail, once.
type Renderer interface {
	Drawing(d *Drawing) error
	Close(t Tail) error
}

// Style says how text may look. Programs' formats ignore it.
type Style struct {
	Color bool // the output is a terminal that wants colour
}

// formats in the order that help shows them.
var formats = []struct {
	name string
	open func(io.Writer, Style) Renderer
}{
	{"text", func(w io.Writer, s Style) Renderer { return &textRenderer{w: w, style: s} }},
	{"json", func(w io.Writer, _ Style) Renderer { return &jsonRenderer{w: w} }},
	{"jsonl", func(w io.Writer, _ Style) Renderer { return &lineRenderer{w: w} }},
	{"csv", func(w io.Writer, _ Style) Renderer { return &csvRenderer{w: w} }},
}

// Formats are the names that New knows.
func Formats() []string {
	names := make([]string, len(formats))
	for i, f := range formats {
		names[i] = f.name
	}
	return names
}

// New opens the renderer of a format.
func New(format string, w io.Writer, s Style) (Renderer, error) {
	for _, f := range formats {
		if f.name == format {
			return f.open(w, s), nil
		}
	}
	return nil, fmt.Errorf("no format %q", format)
}

// Write renders a whole report at once.
func Write(w io.Writer, format string, s Style, r *Report) error {
	out, err := New(format, w, s)
	if err != nil {
		return err
	}
	Start(out, r.Run)
	for i := range r.Drawings {
		if err := out.Drawing(&r.Drawings[i]); err != nil {
			return err
		}
	}
	return out.Close(r.tail())
}

// tail is what follows the drawings of a whole report.
func (r *Report) tail() Tail {
	return Tail{Questions: r.Questions, Totals: r.Totals, Notes: r.Notes, Rates: r.Rates, Comparison: r.Comparison,
		Messages: r.Messages, Changes: r.Changes, Run: r.Run, Incomplete: r.Incomplete}
}

// sorted is a copy of the findings, the most severe first.
func sorted(findings []Finding) []Finding {
	out := slices.Clone(findings)
	slices.SortStableFunc(out, func(a, b Finding) int { return b.Treatment.Rank() - a.Treatment.Rank() })
	return out
}
