package rules

import (
	"errors"
	"fmt"
	"slices"
	"strings"
)

// Inputs is what a job says, looked up in the shop file. A field whose Known is
// false was not given or not understood; Doubts says what was not understood or
// contradicts.
type Inputs struct {
	LineName       string
	Line           *LineSpec
	Thickness      Thickness
	ThicknessKnown bool
	Material       Material
	MaterialKnown  bool
	ProcessName    string
	Process        *Process // nil if unknown
	Edge           Edge
	EdgeKnown      bool
	EdgeVague      bool    // words such as "burr-free" were given
	Zinc           bool    // the sheet is zinc-coated
	ZincMass       float64 // g/m2 of both sides; 0 unknown
	Painted        bool    // edges will be coated
	Film           bool
	Doubts         []Doubt
}

// Doubt is an input that was given and not understood, or two that contradict.
type Doubt struct {
	Input    string // "thickness", "material", ...
	Text     string
	Conflict bool // inputs contradict each other
}

// Resolve looks up what a job says. The error is for a line that the shop does
// not have; everything else that is not understood becomes a doubt.
func Resolve(job Job, shop Shop) (Inputs, error) {
	var in Inputs
	line, err := shop.Line(job.Line.Value)
	if err != nil {
		return in, err
	}
	in.Line, in.LineName = line, shop.LineName(job.Line.Value)
	if v := strings.TrimSpace(job.Material.Value); v != "" {
		m, err := shop.Material(v)
		if err != nil {
			in.doubt("material", job.Material, err)
		} else {
			in.Material, in.MaterialKnown = m, true
			in.Zinc, in.ZincMass = m.Coated, m.Zinc
		}
	}
	in.thickness(job)
	if v := strings.TrimSpace(job.Process.Value); v != "" {
		name, p, err := shop.Process(v)
		if err != nil {
			in.doubt("process", job.Process, err)
		} else {
			in.ProcessName, in.Process = name, p
		}
	}
	if v := strings.TrimSpace(job.Edge.Value); v != "" {
		e, err := shop.Edge(v)
		switch {
		case errors.Is(err, ErrVagueEdge):
			in.EdgeVague = true
		case err != nil:
			in.doubt("edge", job.Edge, err)
		default:
			in.Edge, in.EdgeKnown = e, true
			in.Painted = e.Painted
		}
	}
	if v := strings.TrimSpace(job.Coating.Value); v != "" && !isNone(v) {
		c, err := shop.Coating(v)
		switch {
		case err != nil:
			in.doubt("coating", job.Coating, err)
		case c.Kind == PaintCoat:
			in.Painted = true
		default:
			in.Zinc = true
			if c.Mass > 0 {
				in.ZincMass = c.Mass
			}
		}
	}
	in.Film = job.Film.Value != "" && !isNone(job.Film.Value)
	in.contradictions(job)
	return in, nil
}

func isNone(s string) bool {
	return slices.Contains([]string{"no", "none", "0", "false", "nein", "ohne", "non", "sans", "without", "-", "keine", "senza", "sin"}, strings.ToLower(strings.TrimSpace(s)))
}

// thickness reads the thickness. A gauge without a series is a doubt unless the
// material is known: then the question names the series that would fit, and
// still nobody guesses.
func (in *Inputs) thickness(job Job) {
	v := strings.TrimSpace(job.Thickness.Value)
	if v == "" {
		return
	}
	t, err := ParseThickness(v)
	if err != nil {
		if t.Gauge > 0 && t.Series == "" && in.MaterialKnown {
			err = fmt.Errorf("%w; for %s write %q", err, in.Material.Stock.Title, fmt.Sprintf("%d ga %s", t.Gauge, in.series()))
		}
		in.doubt("thickness", job.Thickness, err)
		return
	}
	in.Thickness, in.ThicknessKnown = t, true
}

// series is the gauge series that fits the material.
func (in *Inputs) series() string {
	switch {
	case in.Zinc:
		return GaugeGalvanised
	case in.Material.Family == "steel":
		return GaugeSteel
	case in.Material.Family == "stainless":
		return GaugeStainless
	}
	return GaugeAluminium
}

func (in *Inputs) doubt(input string, g Given, err error) {
	text := err.Error()
	if g.Source != "" {
		text += " (" + g.Source + ")"
	}
	in.Doubts = append(in.Doubts, Doubt{Input: input, Text: text})
}

func (in *Inputs) conflict(input, format string, args ...any) {
	in.Doubts = append(in.Doubts, Doubt{Input: input, Text: fmt.Sprintf(format, args...), Conflict: true})
}

// contradictions finds inputs that cannot all be true.
func (in *Inputs) contradictions(job Job) {
	for _, c := range job.Conflicts {
		in.Doubts = append(in.Doubts, Doubt{Input: c.Input, Text: c.Text, Conflict: true})
	}
	if in.ThicknessKnown && in.MaterialKnown && in.Thickness.Gauge > 0 && in.Thickness.Series != in.series() &&
		!(in.Thickness.Series == GaugeSteel && in.Zinc) {
		in.conflict("thickness", "gauge of the %s series on %s, whose gauges are of the %s series", in.Thickness.Series, in.Material.Stock.Title, in.series())
	}
	if in.Zinc && in.MaterialKnown && in.Material.Family != "steel" {
		in.conflict("coating", "zinc coating on %s", in.Material.Stock.Title)
	}
	if in.ThicknessKnown && in.Process != nil {
		if s := in.Process.Scope; in.Thickness.MM < s[0] || in.Thickness.MM > s[1] {
			in.conflict("process", "%s of %g mm: the process is for %g to %g mm", in.Process.Title, in.Thickness.MM, s[0], s[1])
		}
	}
}
