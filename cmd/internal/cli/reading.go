package cli

import (
	"errors"

	"burrcast/analyze"
	"burrcast/analyze/measure"
	"burrcast/geom"
	"burrcast/geom/dxf"
)

// reading is what reading and measuring make of a drawing's bytes: all that
// judging needs, and nothing of where the drawing stands or what it is judged
// with. It can be kept.
type reading struct {
	Fault *fault // why there is no drawing; nil if there is one
	Held  bool   // what follows up to Partial is known, perhaps in spite of a fault

	Units   dxf.Units
	Repairs []dxf.Repair
	Skipped []dxf.Skipped
	Notes   []dxf.Note
	Partial bool

	Measured measure.Drawing
	Parts    []figure
	Messages []analyze.Message
	Meanings map[string]analyze.Meaning
}

// fault is an error about a drawing.
type fault struct {
	Code string
	Line int // 0 for none
	Text string
}

func faultOf(err error) *fault {
	code, line := code(err)
	return &fault{code, line, bareText(err)}
}

// figure is a part with the curves it was measured on.
type figure struct {
	Measure  measure.Part
	Contours [][]geom.Curve
	Bends    []geom.Curve
	Etch     []geom.Curve
}

// part is the figure as package analyze has it.
func (f *figure) part() *analyze.Part {
	return &analyze.Part{Measure: f.Measure, Contours: f.Contours, Bends: f.Bends, Etch: f.Etch}
}

// readingOf reads and measures. It returns the drawing, too, if there is one, and
// says whether the reading follows from the content alone: an input that broke
// off may be whole the next time.
func (c *checker) readingOf(in *content, opt analyze.Options) (r *reading, drawn *dxf.Drawing, lasting bool) {
	r = &reading{}
	drawn, err := in.read(c.read)
	if drawn != nil {
		drawn = dxf.WithoutMarks(drawn) // an earlier report's drawing is the drawing
		r.Held = true
		r.Units, r.Repairs, r.Skipped, r.Notes, r.Partial = drawn.Units, drawn.Repairs, drawn.Skipped, drawn.Notes, drawn.Partial
	}
	if err != nil {
		r.Fault = faultOf(err)
		var ours *dxf.Error
		return r, drawn, errors.As(err, &ours) && ours.Code != dxf.CodeRead
	}
	result := c.analyze(drawn, opt)
	r.Measured, r.Messages, r.Meanings = result.Drawing, result.Messages, result.Meanings
	for _, p := range result.Parts {
		r.Parts = append(r.Parts, figure{p.Measure, p.Contours, p.Bends, p.Etch})
	}
	return r, drawn, true
}
