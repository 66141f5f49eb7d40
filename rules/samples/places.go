package samples

import (
	"math"
	"path"
	"strings"

	"burrcast/analyze/measure"
)

// KnownPlace is a place of a drawing as it is measured and forecast now.
type KnownPlace struct {
	Drawing, Part, Place string
	Rule, Line           string
	Measured             float64 // in the rule's unit
	Filament             float64 // mm; 0: of no account
	X, Y                 float64 // mm
	Material, Process    string  // as the drawing says; "" unknown
	Thickness            float64 // mm; 0 unknown
	Burr                 [2]measure.Value
	Chance               float64 // forecast of clean
}

// Places are the places of drawings that samples are joined with.
type Places struct {
	list   []KnownPlace
	byPath map[[3]string]int
	byName map[[3]string]int // by the drawing's name alone, where no two drawings share it
}

// NewPlaces makes places findable by drawing, part and place: by the drawing's
// path, or by its name alone where no two drawings share it.
func NewPlaces(list []KnownPlace) *Places {
	p := &Places{list: list, byPath: map[[3]string]int{}, byName: map[[3]string]int{}}
	drawings := map[string]string{} // name -> path; "" for more than one
	for _, k := range list {
		full := placeKey(k.Drawing, "", "")[0]
		if first, seen := drawings[path.Base(full)]; !seen {
			drawings[path.Base(full)] = full
		} else if first != full {
			drawings[path.Base(full)] = ""
		}
	}
	for i, k := range list {
		key := placeKey(k.Drawing, k.Part, k.Place)
		p.byPath[key] = i
		if name := path.Base(key[0]); drawings[name] != "" {
			p.byName[[3]string{name, key[1], key[2]}] = i
		}
	}
	return p
}

func cleanPath(s string) string { return path.Clean(strings.ReplaceAll(s, `\`, "/")) }

func placeKey(drawing, part, place string) [3]string {
	return [3]string{strings.ToLower(cleanPath(drawing)), strings.ToLower(part), strings.ToLower(place)}
}

// find looks a place up; none is found among nil places.
func (p *Places) find(drawing, part, place string) (KnownPlace, bool) {
	if p == nil {
		return KnownPlace{}, false
	}
	key := placeKey(drawing, part, place)
	i, ok := p.byPath[key]
	if !ok {
		i, ok = p.byName[[3]string{path.Base(key[0]), key[1], key[2]}]
	}
	if !ok {
		return KnownPlace{}, false
	}
	return p.list[i], true
}

// sameMeasure is how far, as a share, a written measure may lie from the
// drawing's: rounding on a form, not another drawing.
const sameMeasure = 0.02

// join fills what a row leaves blank from the drawing, and refuses a row that
// another state of the drawing was inspected for.
func (r *reader) join(s *Sample) {
	if r.ctx.Places == nil || r.reason != "" {
		return
	}
	k, ok := r.ctx.Places.find(s.Drawing, s.Part, s.Place)
	if !ok || s.Line != "" && s.Line != k.Line || s.Rule != "" && s.Rule != k.Rule {
		return // the row has to say all by itself
	}
	if s.Measured > 0 && math.Abs(s.Measured-k.Measured) > sameMeasure*k.Measured {
		r.bad(ColMeasured, "%g, but the drawing has %.4g there: was it changed since?", s.Measured, k.Measured)
		return
	}
	s.Rule, s.Line = k.Rule, k.Line
	if s.Measured == 0 {
		s.Measured = k.Measured
	}
	if s.Filament == 0 {
		s.Filament = k.Filament
	}
	if !s.X.Known || !s.Y.Known {
		s.X, s.Y = measure.Of(k.X, 0), measure.Of(k.Y, 0)
	}
	if s.Material == "" && k.Material != "" {
		if m, err := r.ctx.Shop.Material(k.Material); err == nil {
			s.Material, s.Family = k.Material, m.Family
		}
	}
	if s.Process == "" {
		s.Process = k.Process
	}
	if !s.Thickness.Known && k.Thickness > 0 {
		s.Thickness = measure.Of(k.Thickness, 0)
	}
	if !s.Chance.Known {
		s.Chance = measure.Of(k.Chance, 0)
	}
	for i := range s.Burr {
		if !s.Burr[i].Known {
			s.Burr[i] = k.Burr[i]
		}
	}
}

// notSampled lists the places of drawings that no sample is of, as rows that
// wait without a row.
func (p *Places) notSampled(all []Sample, waiting []Sample) []Sample {
	if p == nil {
		return nil
	}
	done := map[[3]string]bool{}
	for _, list := range [][]Sample{all, waiting} {
		for _, s := range list {
			if k, ok := p.find(s.Drawing, s.Part, s.Place); ok {
				done[placeKey(k.Drawing, k.Part, k.Place)] = true
			}
		}
	}
	var out []Sample
	for _, k := range p.list {
		if !done[placeKey(k.Drawing, k.Part, k.Place)] {
			out = append(out, Sample{Drawing: k.Drawing, Part: k.Part, Place: k.Place, Rule: k.Rule, Line: k.Line, Measured: k.Measured, Filament: k.Filament})
		}
	}
	return out
}
