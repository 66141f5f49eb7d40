package rules

import (
	"fmt"
	"math"
	"path"
	"slices"
	"strconv"
	"strings"
	"unicode"
)

// Hint is an input that a text seems to state.
type Hint struct {
	Input  string // "material", "thickness", "process", "quantity", "edge", "coating", "film"
	Value  string // as the job takes it
	Text   string // the words it was read from
	Source string // where the text stands: "file name", "note on layer TEXT"
}

// SourceFileName is the source of hints from a drawing's name. Names are read
// more freely than notes: they hold no dimensions.
const SourceFileName = "file name"

// ReadText finds what a note or a file name says of material, thickness,
// process, quantity, edge, coating and film, in English, German, French, Spanish
// and Italian. A number alone is never a thickness: it needs a word or a sign
// that says so, a material beside it, or, in a file name, its unit. It never
// chooses: a text that says two things gives two hints.
func (s Shop) ReadText(text, source string) []Hint {
	r := reader{shop: s, source: source, name: source == SourceFileName}
	if r.name {
		text = path.Base(strings.ReplaceAll(text, `\`, "/"))
		if ext := path.Ext(text); strings.EqualFold(ext, ".dxf") {
			text = strings.TrimSuffix(text, ext)
		}
		text = strings.NewReplacer("_", " ", "(", " ", ")", " ", "[", " ", "]", " ").Replace(text)
	}
	r.text = strings.Join(strings.Fields(text), " ")
	if !strings.ContainsFunc(r.text, unicode.IsLetter) || len(r.text) > 4000 { // a number says nothing
		return nil
	}
	r.lower = strings.ToLower(r.text)
	r.folded = strings.ReplaceAll(r.lower, "ſ", "s") // patterns that ignore case take it for an s
	digits := strings.ContainsAny(r.text, "0123456789")
	if digits {
		r.quantity()
		r.thicknessMarked()
	}
	r.coating()
	r.film()
	r.edge()
	r.process()
	r.material()
	if digits {
		r.thicknessBeside()
	}
	return r.hints
}

type reader struct {
	shop         Shop
	source, text string
	lower        string // text in lower case
	folded       string // lower, with s for the long s: what forms need is looked for here
	name         bool   // a file name
	hints        []Hint

	searched bool
	found    map[string]string // of the shop's words, how they are written in lower
}

func (r *reader) add(input, value, text string) {
	h := Hint{Input: input, Value: value, Text: strings.Trim(text, " ,;-"), Source: r.source}
	for _, have := range r.hints {
		if have.Input == input && have.Value == value {
			return
		}
	}
	r.hints = append(r.hints, h)
}

// may reports whether a form can match in the text, and find runs it if so.
func (r *reader) may(f form) bool { return f.may(r.folded) }

func (r *reader) find(f form) [][]string { return r.findIn(r.text, f) }

// findIn is find for what is left of the text.
func (r *reader) findIn(text string, f form) [][]string {
	if !r.may(f) {
		return nil
	}
	return f.find(text)
}

func (r *reader) has(input string) bool {
	return slices.ContainsFunc(r.hints, func(h Hint) bool { return h.Input == input })
}

func (r *reader) quantity() {
	forms := quantityForms
	if r.name {
		forms = append(slices.Clone(forms), quantityName...)
	}
	for _, form := range forms {
		for _, m := range r.find(form) {
			if n, err := strconv.Atoi(m[1]); err == nil && n > 0 {
				r.add("quantity", strconv.Itoa(n), m[0])
			}
		}
	}
}

// thicknessMarked finds thicknesses that say so themselves.
func (r *reader) thicknessMarked() {
	for _, form := range thicknessForms {
		for _, m := range r.find(form) {
			r.thickness(m[1], m[2], m[0])
		}
	}
	for _, m := range r.find(fractionForm) {
		r.add("thickness", m[1]+" in", m[0])
	}
	for _, m := range r.find(sheetForm) {
		if size(m[1]) <= mostUnmarked {
			r.thickness(m[1], m[2], m[0])
		}
	}
	for _, m := range r.find(plateForm) {
		r.thickness(m[1], "", m[0])
	}
	for _, m := range r.find(blechBare) {
		r.thickness(m[1], "", m[0])
	}
	for _, m := range r.find(gaugeText) {
		n, _ := strconv.Atoi(m[1])
		if n < 3 || n > 36 {
			continue
		}
		value := m[1] + " ga"
		if series := gaugeSeries(r.text); series != "" {
			value += " " + series
		}
		r.add("thickness", value, m[0])
	}
}

// mostUnmarked is the thickest sheet, in mm, that is believed without a word
// that says thickness: 20mm may well be a width.
const mostUnmarked = 12

// size reads a number with a point or a comma, 0 if it is none.
func size(num string) float64 {
	v, err := strconv.ParseFloat(strings.Replace(num, ",", ".", 1), 64)
	if err != nil {
		return 0
	}
	return v
}

// thickness records a plausible sheet thickness. A bare number is mm, unless it
// has three decimals: so are inches written, and nobody guesses.
func (r *reader) thickness(num, unit, text string) {
	v := size(num)
	value := trimZeros(v)
	inch := slices.Contains([]string{"in", "inch", `"`, "''"}, strings.ToLower(unit))
	if inch {
		value, v = value+" in", v*25.4
	}
	if i := strings.IndexAny(num, ".,"); unit == "" && i >= 0 && len(num)-i > 3 {
		return
	}
	if v < 0.05 || v > 150 {
		return
	}
	r.add("thickness", value, text)
}

func trimZeros(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// thicknessBeside finds a thickness without a mark: in a file name the only size
// with its unit, or "t2" beside a material; in a note a size with its unit right
// beside a material.
func (r *reader) thicknessBeside() {
	if r.has("thickness") {
		return
	}
	text := r.text
	if r.may(sizeChain) && sizeChain.match(text) {
		if !r.name {
			return
		}
		text = sizeChain.made().ReplaceAllString(text, "~") // no border: what touches a chain belongs to it
	}
	if r.name {
		for _, m := range r.findIn(text, shortForm) {
			if r.has("material") || strings.ContainsAny(m[1], ".,") {
				r.thickness(m[1], "", m[0])
			}
		}
		if r.has("thickness") {
			return
		}
	}
	mm, inch := r.findIn(text, mmToken), r.findIn(text, inToken)
	if len(mm)+len(inch) != 1 {
		return
	}
	for _, m := range mm {
		if size(m[1]) <= mostUnmarked && (r.name || r.beside(m[0])) {
			r.thickness(m[1], "mm", m[0])
		}
	}
	for _, m := range inch {
		if r.name && r.has("material") || r.beside(m[0]) {
			r.thickness(m[1], "in", m[0])
		}
	}
}

// beside reports whether a size stands next to a material found in the text.
func (r *reader) beside(size string) bool {
	size = strings.Trim(size, " ,;.-")
	n := strings.Index(r.text, size)
	for _, h := range r.hints {
		if h.Input != "material" {
			continue
		}
		m := strings.Index(r.text, h.Text)
		switch {
		case m < 0 || n < 0:
		case m < n && m+len(h.Text) <= n && between.match(r.text[m+len(h.Text):n]):
			return true
		case n < m && n+len(size) <= m && between.match(r.text[n+len(size):m]):
			return true
		}
	}
	return false
}

func (r *reader) film() {
	for _, m := range r.find(filmForm) {
		if i := strings.Index(r.lower, strings.ToLower(strings.TrimSpace(m[1]))); i >= 0 && negated(r.lower[:i]) {
			continue
		}
		r.add("film", "yes", m[0])
	}
}

func (r *reader) process() {
	for _, key := range r.shop.ProcessNames() {
		for _, name := range append([]string{key}, r.shop.Processes[key].Names...) {
			if len(name) < 5 || name == "shear" || name == "punch" {
				continue // too short to mean only this
			}
			if at, ok := r.phrase(name); ok {
				r.add("process", key, at)
				break
			}
		}
	}
}

func (r *reader) coating() {
	for _, m := range r.find(zincMark) {
		r.add("coating", strings.ReplaceAll(m[1], " ", ""), m[0])
	}
	for _, m := range r.find(ralMark) {
		r.add("coating", "paint", m[0])
	}
	for _, key := range sortedKeys(r.shop.Coatings) {
		c := r.shop.Coatings[key]
		if c.Kind == ZincCoat {
			continue // read with the material: a galvanised sheet is a stock
		}
		for _, name := range c.Names {
			if len(name) < 5 {
				continue
			}
			if at, ok := r.phrase(name); ok {
				r.add("coating", key, at)
				break
			}
		}
	}
}

// phrase returns how words of the shop are written in the text, if they are
// there whole, ignoring case, and not negated.
func (r *reader) phrase(words string) (string, bool) {
	if !r.searched {
		words := r.shop.words
		if words == nil { // a shop that was not read from a file
			words = r.shop.indexPhrases()
		}
		r.searched, r.found = true, words.in(r.lower)
	}
	at, ok := r.found[strings.ToLower(words)]
	return at, ok
}

// edge finds edge callouts: a size of ISO 13715 or a grade of ISO 8501-3 with
// the standard's name beside it, broken edges with a size, a preset's words, or
// words such as "burr-free" that state nothing and still must be asked about.
func (r *reader) edge() {
	for _, m := range r.find(isoCallout) {
		if e, err := parseISO13715(m[1]); err == nil {
			r.add("edge", e.Notation, m[0])
		}
	}
	for _, m := range r.find(gradeCallout) {
		r.add("edge", strings.ToUpper(m[1]), m[0])
	}
	for _, m := range r.find(breakForm) {
		lo := strings.Replace(m[1], ",", ".", 1)
		value := "-" + lo
		if m[2] != "" {
			value += "/-" + strings.Replace(m[2], ",", ".", 1)
		}
		if e, err := parseISO13715(value); err == nil {
			r.add("edge", e.Notation, m[0])
		}
	}
	if r.has("edge") {
		return
	}
	for _, key := range sortedKeys(r.shop.Edges) {
		for _, name := range r.shop.Edges[key].Names {
			if len(name) < 8 {
				continue
			}
			if at, ok := r.phrase(name); ok {
				r.add("edge", key, at)
			}
		}
	}
	if r.has("edge") {
		return
	}
	for _, words := range vagueEdge {
		if at, ok := r.phrase(words); ok {
			r.add("edge", at, at)
			return
		}
	}
}

// Conflict is an input that two places state differently.
type Conflict struct {
	Input string
	Text  string // who says what
}

// Fill fills the empty inputs of a job from groups of hints, the more trusted
// group first. What the job states already stays, without a conflict: somebody
// said so. Two values in one group leave the input empty; a less trusted group
// that disagrees with what was taken is reported and not followed.
func (s Shop) Fill(job *Job, groups ...[]Hint) []Conflict {
	var conflicts []Conflict
	for _, f := range []struct {
		input string
		given *Given
	}{{"material", &job.Material}, {"thickness", &job.Thickness}, {"process", &job.Process}, {"edge", &job.Edge},
		{"coating", &job.Coating}, {"film", &job.Film}} {
		if f.given.Value != "" {
			continue
		}
		got, conflict := s.settle(f.input, groups)
		*f.given = got
		if conflict != "" {
			conflicts = append(conflicts, Conflict{f.input, conflict})
		}
	}
	if job.Quantity == 0 {
		got, conflict := s.settle("quantity", groups)
		if conflict != "" {
			conflicts = append(conflicts, Conflict{"quantity", conflict})
		} else if n, err := strconv.Atoi(got.Value); err == nil {
			job.Quantity = n
		}
	}
	return conflicts
}

// settle takes one input from the first group that states it.
func (s Shop) settle(input string, groups [][]Hint) (Given, string) {
	var got Hint
	found, split, say := false, false, ""
	for _, group := range groups {
		before := found
		for _, h := range group {
			switch {
			case h.Input != input:
			case !found:
				got, found = h, true
			case s.SameInput(input, got.Value, h.Value):
				if input == "material" && s.closer(got.Value, h.Value) && !before {
					got = h
				}
			default:
				say = fmt.Sprintf("%s is %s by %s and %s by %s", input, got.Value, got.Source, h.Value, h.Source)
				split = split || !before
			}
		}
		if split {
			return Given{}, say
		}
	}
	if !found {
		return Given{}, ""
	}
	return Given{Value: got.Value, Source: got.Source}, say
}

// closer reports whether b names a grade of the family that a names.
func (s Shop) closer(a, b string) bool {
	m, err1 := s.Material(a)
	n, err2 := s.Material(b)
	return err1 == nil && err2 == nil && m.ByWord && !n.ByWord && m.Family == n.Family
}

// SameInput reports whether two ways to write an input mean the same. A family
// and a grade of it do not contradict each other.
func (s Shop) SameInput(input, a, b string) bool {
	if strings.EqualFold(a, b) {
		return true
	}
	switch input {
	case "thickness":
		m, err1 := ParseThickness(a)
		n, err2 := ParseThickness(b)
		return err1 == nil && err2 == nil && math.Abs(m.MM-n.MM) < 0.005
	case "material":
		m, err1 := s.Material(a)
		n, err2 := s.Material(b)
		return err1 == nil && err2 == nil && (m.Key == n.Key || m.Family == n.Family && (m.ByWord || n.ByWord))
	case "process":
		m, _, err1 := s.Process(a)
		n, _, err2 := s.Process(b)
		return err1 == nil && err2 == nil && m == n
	case "coating":
		m, err1 := s.Coating(a)
		n, err2 := s.Coating(b)
		return err1 == nil && err2 == nil && m.Kind == n.Kind && (m.Mass == n.Mass || m.Mass == 0 || n.Mass == 0)
	case "edge":
		m, err1 := s.Edge(a)
		n, err2 := s.Edge(b)
		return err1 == nil && err2 == nil && m.Notation == n.Notation && m.Radius == n.Radius && m.Grade == n.Grade
	}
	return false
}
