package cli

import (
	"fmt"
	"path/filepath"

	"burrcast/analyze/measure"
	"burrcast/cmd/internal/report"
	"burrcast/rules"
	"burrcast/rules/samples"
)

// sampledPart is what could be sampled on one part of a drawing.
type sampledPart struct {
	part   int // of the drawing's parts
	line   string
	places []rules.SampledPlace
	burr   *rules.Burr
	in     rules.Inputs
}

// sampled lists the places of a part for a form, if one is wanted.
func (c *checker) sampled(out *outcome, part int, places func() ([]rules.SampledPlace, error), job rules.Job, j rules.Judgement) {
	if c.flags.samplesForm == "" {
		return
	}
	list, err := places()
	if err != nil {
		panic("implementation error: " + err.Error()) // the line was looked up before
	}
	in, err := rules.Resolve(job, c.shop)
	if err != nil {
		panic("implementation error: " + err.Error())
	}
	if len(list) > 0 {
		out.sampled = append(out.sampled, sampledPart{part: part, line: in.LineName, places: list, burr: j.Burr, in: in})
	}
}

// stock is what the part is made of and how, as far as it is understood.
func (s sampledPart) stock(d *report.Drawing) (material string, thickness float64, process string) {
	if s.in.MaterialKnown {
		material = d.Input("material").Value
	}
	if s.in.ThicknessKnown {
		thickness = s.in.Thickness.MM
	}
	return material, thickness, s.in.ProcessName
}

// known is a place as samples are joined with it.
func (s sampledPart) known(d *report.Drawing, p rules.SampledPlace, shop rules.Shop) samples.KnownPlace {
	k := samples.KnownPlace{Drawing: d.File, Part: d.Parts[s.part].ID, Place: p.Feature, Rule: p.Rule, Line: s.line, Measured: p.Measured, Filament: p.Filament,
		X: p.At.X, Y: p.At.Y, Chance: samples.ForecastOf(shop, p.Rule, s.line, p.Measured, p.Limit)}
	k.Material, k.Thickness, k.Process = s.stock(d)
	if s.burr != nil {
		k.Burr = [2]measure.Value{measure.Of(s.burr.Low, 0), measure.Of(s.burr.High, 0)}
	}
	return k
}

// form gathers a form over a run. It keeps what is picked so far and lets the
// rest go.
type form struct {
	dir    string
	shop   rules.Shop
	inputs []string
	picked []samples.Candidate
	parts  map[int]*formPart
	next   int
}

type formPart struct {
	line string
	part report.SamplePart
	burr *rules.Burr
}

// newForm is nil where no form is wanted; a nil form takes drawings and writes
// nothing.
func newForm(f *checkFlags, shop rules.Shop, sources []source) *form {
	if f.samplesForm == "" {
		return nil
	}
	inputs := []string{f.shop}
	for _, s := range sources {
		inputs = append(inputs, s.name())
	}
	return &form{dir: f.samplesForm, shop: shop, inputs: inputs, parts: map[int]*formPart{}}
}

func (f *form) add(r *outcome) {
	if f == nil {
		return
	}
	for _, s := range r.sampled {
		p := r.drawing.Parts[s.part]
		v := &formPart{line: s.line, burr: s.burr, part: report.SamplePart{File: r.drawing.File, Part: &p, Pieces: p.Quantity, Take: samples.PiecesToTake(p.Quantity)}}
		v.part.Material, v.part.Thickness, v.part.Process = s.stock(&r.drawing)
		f.parts[f.next] = v
		for _, place := range s.places {
			f.picked = append(f.picked, samples.Candidate{Source: f.next, Pieces: p.Quantity, Place: place,
				Chance: samples.ForecastOf(f.shop, place.Rule, s.line, place.Measured, place.Limit)})
		}
		f.next++
	}
	f.picked = samples.PickForm(f.picked)
	used := map[int]bool{}
	for _, c := range f.picked {
		used[c.Source] = true
	}
	for i := range f.parts {
		if !used[i] {
			delete(f.parts, i)
		}
	}
}

// write writes the form and says where it is, or why there is none.
func (f *form) write(e *env, quiet bool) error {
	if f == nil {
		return nil
	}
	if len(f.picked) == 0 {
		e.say("hint", "no form was written: no place of these parts is one that samples are taken of")
		return nil
	}
	out := &report.SampleForm{}
	at := map[int]int{}
	for _, c := range f.picked {
		i, seen := at[c.Source]
		v := f.parts[c.Source]
		if !seen {
			i = len(out.Parts)
			at[c.Source] = i
			v.part.Line = v.line
			out.Parts = append(out.Parts, v.part)
		}
		p := &out.Parts[i]
		rule, _ := rules.Lookup(c.Place.Rule)
		place := report.SamplePlace{Number: len(p.Places) + 1, Feature: c.Place.Feature, Rule: c.Place.Rule, Title: rule.Title, X: c.Place.At.X, Y: c.Place.At.Y,
			Measured: c.Place.Measured, Limit: c.Place.Limit, Unit: c.Place.Unit, Filament: c.Place.Filament, Chance: c.Chance, Control: c.Control}
		if v.burr != nil {
			place.BurrLow, place.BurrHigh, place.BurrKnown = v.burr.Low, v.burr.High, true
		}
		p.Places = append(p.Places, place)
	}
	if err := report.WriteSampleForm(f.dir, out, f.inputs); err != nil {
		return fmt.Errorf("cannot write the form for samples: %w", err)
	}
	if !quiet {
		e.say("hint", fmt.Sprintf("the form for samples (%s on %s) is %s, to be printed, and %s, to be filled in", some(out.Rows(), "row"), some(len(out.Parts), "part"),
			filepath.ToSlash(filepath.Join(f.dir, report.FormPage)), filepath.ToSlash(filepath.Join(f.dir, report.FormBook))))
	}
	return nil
}

// some is a number of things in words.
func some(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}
