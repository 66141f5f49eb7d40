package rules

import (
	"errors"
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
)

// Sides of a part that an edge requirement names.
const (
	BurrSide  = "burr side"
	BothSides = "both"
)

// States of an edge after ISO 13715.
const (
	EdgeSharp    = "sharp"    // within 0.05 mm of the ideal shape
	EdgeBurr     = "burr"     // excess material allowed
	EdgeUndercut = "undercut" // material taken off
)

// Edge is an edge requirement: how far the edge may stand out of its ideal shape
// or must be taken off. The zero Edge requires nothing.
type Edge struct {
	Written    string // as given
	Preset     string // key in the shop file, or ""
	Title      string
	Notation   string  // canonical, of ISO 13715, or ""
	Upper      float64 // mm; positive: burr allowed up to it
	Lower      float64 // mm; negative: material may or must be taken off down to it
	Radius     Span    // mm wanted; zero: none
	Grade      string  // preparation grade of ISO 8501-3, or ""
	Sides      string
	Painted    bool
	Grain      string // grade of a wanted grain on the face, or ""
	Source     string
	Provenance string
}

// ErrVagueEdge is returned for words such as "burr-free": they state no size,
// so nobody can check them.
var ErrVagueEdge = errors.New("states no size of burr, radius or grade")

var vagueEdge = []string{"burr free", "deburr", "deburred", "deburring", "no burr", "no burrs", "free of burrs",
	"remove burrs", "remove all burrs", "deburr all edges", "gratfrei", "entgratet", "entgraten", "grate entfernen",
	"sans bavure", "sans bavures", "ebavure", "ébavuré", "ebavurer", "ébavurer", "sin rebabas", "sin rebaba", "desbarbado", "desbarbar",
	"senza bave", "senza bava", "sbavato", "sbavare"}

// Classify names the state of an edge whose deviation from the ideal shape is a
// mm: positive excess material, negative material taken off. ISO 13715 calls an
// edge within 0.05 mm sharp.
func Classify(a float64) string {
	switch {
	case a > 0.05:
		return EdgeBurr
	case a < -0.05:
		return EdgeUndercut
	}
	return EdgeSharp
}

// PreferredSizes are the sizes that ISO 13715 recommends, in mm.
func PreferredSizes() []float64 {
	return []float64{2.5, 1, 0.5, 0.3, 0.1, 0.05, 0.02, -0.02, -0.05, -0.1, -0.3, -0.5, -1, -2.5}
}

// PreferredSize returns the recommended size of the same sign nearest to a.
func PreferredSize(a float64) float64 {
	best, at := math.Inf(1), 0.0
	for _, s := range PreferredSizes() {
		if math.Signbit(s) == math.Signbit(a) && math.Abs(s-a) < best {
			best, at = math.Abs(s-a), s
		}
	}
	return at
}

// BurrAllowed is the burr height in mm that the requirement allows: 0 if edges
// must be taken off, rounded or prepared.
func (e Edge) BurrAllowed() float64 {
	if e.Notation == "" || e.Radius[1] > 0 || e.Grade != "" {
		return 0
	}
	return max(e.Upper, 0)
}

// TakesOff is the least material in mm that must come off the edge, as radius or
// chamfer; 0 if none must.
func (e Edge) TakesOff() float64 {
	return max(e.Radius[0], -e.Upper, 0)
}

// Explain says the requirement in words.
func (e Edge) Explain() string {
	var parts []string
	size := func(v float64) string { return strconv.FormatFloat(math.Abs(v), 'g', 6, 64) + " mm" }
	switch {
	case e.Notation == "":
	case e.Upper > 0 && e.Lower == 0:
		text := "burr up to " + size(e.Upper) + " allowed"
		if Classify(e.Upper) == EdgeSharp {
			text = "sharp edge, burr up to " + size(e.Upper) + " allowed"
		}
		parts = append(parts, text)
	case e.Upper > 0 && e.Lower < 0:
		text := "burr up to " + size(e.Upper) + " or edge taken off by up to " + size(e.Lower)
		if Classify(e.Upper) == EdgeSharp && Classify(e.Lower) == EdgeSharp {
			text = "sharp edge: " + text
		}
		parts = append(parts, text)
	case e.Upper > 0:
		parts = append(parts, "burr between "+size(e.Lower)+" and "+size(e.Upper))
	case e.Upper == 0:
		parts = append(parts, "no burr; edge taken off by up to "+size(e.Lower))
	default:
		parts = append(parts, "no burr; edge taken off by "+size(e.Upper)+" to "+size(e.Lower)+", as radius or chamfer")
	}
	switch {
	case e.Radius[1] == 0:
	case e.Radius[0] == e.Radius[1]:
		parts = append(parts, "edge rounded, radius at least "+size(e.Radius[0]))
	default:
		parts = append(parts, "edge rounded, radius "+size(e.Radius[0])+" to "+size(e.Radius[1]))
	}
	if e.Grade != "" {
		parts = append(parts, "preparation grade "+e.Grade+" of ISO 8501-3: "+gradeText(e.Grade))
	}
	if e.Painted {
		parts = append(parts, "edges will be coated")
	}
	if e.Grain != "" {
		parts = append(parts, "face with a grain of "+e.Grain)
	}
	if e.Sides == BothSides {
		parts = append(parts, "both sides")
	}
	return strings.Join(parts, "; ")
}

func gradeText(grade string) string {
	switch grade {
	case "P1":
		return "light; no part of a punched or sheared edge sharp, thermally cut edges free of slag and loose scale"
	case "P2":
		return "thorough; as P1, and no irregular profile on thermally cut edges"
	}
	return "very thorough; edges rounded to at least 2 mm radius, the face of thermal cuts removed"
}

var (
	isoSigns   = strings.NewReplacer("−", "-", "–", "-", "+/-", "±", "+-", "±")
	isoPrefix  = regexp.MustCompile(`(?i)^(?:din\s*)?(?:en\s*)?iso\s*13715\s*[:\-–]?\s+|^(?:din\s*)?(?:en\s*)?iso\s*13715\s*:?`)
	isoSize    = `\s*(\d+(?:[.,]\d+)?|[.,]\d+)\s*(?:mm)?\s*`
	isoOne     = regexp.MustCompile(`^([+\-±])` + isoSize + `$`)
	isoTwo     = regexp.MustCompile(`^([+\-])` + isoSize + `[/ ;]\s*([+\-])` + isoSize + `$`)
	radiusForm = regexp.MustCompile(`(?i)^(?:radius|rad\.?|r)\s*[=:]?\s*(\d+(?:[.,]\d+)?)\s*(?:mm)?(?:\s*(?:-|–|to|bis|\.\.)\s*(\d+(?:[.,]\d+)?)\s*(?:mm)?)?$`)
	bevelForm  = regexp.MustCompile(`(?i)^(?:chamfer|fase|chanfrein|chafl[aá]n|smusso)?\s*(\d+(?:[.,]\d+)?)\s*(?:mm)?\s*(?:x|×)\s*45\s*°?$`)
	gradeForm  = regexp.MustCompile(`(?i)^(?:(?:en\s*)?iso\s*8501-3\s*[:,]?\s*)?(?:grade\s*)?(p[123])$`)
)

// parseISO13715 reads "+0.1", "-0.3", "-0.3/-0.5", "±0.1".
func parseISO13715(text string) (Edge, error) {
	if e, ok := plainISO13715(text); ok {
		return e, nil
	}
	s := isoSigns.Replace(strings.TrimSpace(text))
	s = strings.TrimSpace(isoPrefix.ReplaceAllString(s, ""))
	num := func(t string) float64 {
		v, err := strconv.ParseFloat(strings.Replace(t, ",", ".", 1), 64)
		if err != nil {
			return math.NaN()
		}
		return v
	}
	var lo, hi float64
	notation := ""
	short := func(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
	signed := func(v float64) string {
		if v > 0 {
			return "+" + short(v)
		}
		return short(v)
	}
	switch {
	case isoOne.MatchString(s):
		m := isoOne.FindStringSubmatch(s)
		v := num(m[2])
		switch m[1] {
		case "+":
			hi, notation = v, "+"+short(v)
		case "-":
			lo, notation = -v, "-"+short(v)
		default:
			lo, hi, notation = -v, v, "±"+short(v)
		}
		if v == 0 {
			return Edge{}, fmt.Errorf("edge %q has no size", text)
		}
	case isoTwo.MatchString(s):
		m := isoTwo.FindStringSubmatch(s)
		a, b := num(m[1]+m[2]), num(m[3]+m[4])
		lo, hi = min(a, b), max(a, b)
		notation = signed(hi) + "/" + signed(lo)
		if a == 0 && b == 0 {
			return Edge{}, fmt.Errorf("edge %q has no size", text)
		}
	default:
		return Edge{}, fmt.Errorf("edge %q is not in the notation of ISO 13715: write +0.1, -0.3, -0.3/-0.5 or ±0.1", text)
	}
	if max(hi, -lo) > 10 {
		return Edge{}, fmt.Errorf("edge %q: a size of %g mm is not an edge's", text, max(hi, -lo))
	}
	return isoEdge(text, notation, hi, lo), nil
}

func isoEdge(text, notation string, upper, lower float64) Edge {
	return Edge{Written: text, Notation: notation, Upper: upper, Lower: lower, Sides: BurrSide,
		Title: "edge " + notation, Source: "given in the notation of ISO 13715", Provenance: "shop"}
}

// plainISO13715 reads what is written as the notation has it, "+0.1", "-0.3",
// "-0.1/-0.3", without searching; every other spelling it leaves.
func plainISO13715(text string) (Edge, bool) {
	size := func(s string) (float64, bool) {
		if len(s) < 2 || len(s) > 8 || s[0] != '+' && s[0] != '-' || s[1] < '0' || s[1] > '9' {
			return 0, false
		}
		v, err := strconv.ParseFloat(s, 64)
		// Only what is written back alike is plain: no exponent, no idle zero.
		var room [24]byte
		back := room[:0]
		if s[0] == '+' {
			back = append(back, '+')
		}
		back = strconv.AppendFloat(back, v, 'f', -1, 64)
		return v, err == nil && v != 0 && math.Abs(v) <= 10 && string(back) == s
	}
	first, second, two := strings.Cut(text, "/")
	a, ok := size(first)
	if !ok {
		return Edge{}, false
	}
	if !two {
		return isoEdge(text, text, max(a, 0), min(a, 0)), true
	}
	c, ok := size(second)
	if !ok || c >= a { // the larger stands first
		return Edge{}, false
	}
	return isoEdge(text, text, a, c), true
}

// Edge reads an edge requirement: a preset of the shop file, the notation of ISO
// 13715, a radius ("R0.5"), a chamfer ("0.3x45"), a preparation grade ("P2").
// "Burr-free" and the like give ErrVagueEdge.
func (s Shop) Edge(text string) (Edge, error) {
	written := strings.TrimSpace(text)
	if written == "" {
		return Edge{}, fmt.Errorf("edge requirement is empty")
	}
	if p, ok := s.Edges[written]; ok { // as keys are mostly written
		return p.edge(written, written)
	}
	want := fold(written)
	for _, key := range sortedKeys(s.Edges) {
		p := s.Edges[key]
		hit := fold(key) == want || fold(p.Title) == want
		for _, n := range p.Names {
			hit = hit || fold(n) == want
		}
		if hit {
			return p.edge(key, written)
		}
	}
	if m := gradeForm.FindStringSubmatch(written); m != nil {
		if p, ok := s.Edges[strings.ToLower(m[1])]; ok {
			return p.edge(strings.ToLower(m[1]), written)
		}
	}
	num := func(t string) float64 {
		v, _ := strconv.ParseFloat(strings.Replace(t, ",", ".", 1), 64)
		return v
	}
	if m := radiusForm.FindStringSubmatch(written); m != nil {
		lo := num(m[1])
		hi := lo
		if m[2] != "" {
			hi = num(m[2])
		}
		if !(lo > 0) || hi < lo {
			return Edge{}, fmt.Errorf("edge %q: a radius must be above 0, low first", text)
		}
		return Edge{Written: written, Title: "radius", Radius: Span{lo, hi}, Sides: BothSides, Source: "given", Provenance: "shop"}, nil
	}
	if m := bevelForm.FindStringSubmatch(written); m != nil && num(m[1]) > 0 {
		v := num(m[1])
		return Edge{Written: written, Title: "chamfer", Notation: fmt.Sprintf("-%g", v), Lower: -v, Upper: -v / 2, Sides: BothSides,
			Source: "given; at least half of the chamfer is taken as wanted (reasoning)", Provenance: Reasoning}, nil
	}
	for _, v := range vagueEdge {
		if fold(v) == want {
			return Edge{}, fmt.Errorf("edge %q %w", written, ErrVagueEdge)
		}
	}
	e, err := parseISO13715(written)
	if err != nil {
		if hint := nearest(written, append(sortedKeys(s.Edges), "burr-free")); hint != "" && hint != "burr-free" {
			return Edge{}, fmt.Errorf("edge %q is neither a preset of the shop file nor a size, did you mean %q?", text, hint)
		}
		return Edge{}, fmt.Errorf("edge %q is neither a preset of the shop file (%s) nor a size such as +0.1, -0.3, -0.3/-0.5, R0.5, P2", text, strings.Join(sortedKeys(s.Edges), ", "))
	}
	return e, nil
}

func (p *EdgePreset) edge(key, written string) (Edge, error) {
	e := Edge{}
	if p.Notation != "" {
		var err error
		if e, err = parseISO13715(p.Notation); err != nil {
			return Edge{}, err
		}
	}
	e.Written, e.Preset, e.Title = written, key, p.Title
	e.Radius, e.Grade, e.Sides, e.Painted, e.Grain = p.Radius, p.Grade, p.Sides, p.Painted, p.Grain
	e.Source, e.Provenance = p.Source, p.Provenance
	return e, nil
}

// EdgeChoices are the sensible readings of "burr-free" that a customer should be
// asked to choose from, mildest first.
func (s Shop) EdgeChoices() []Edge {
	if s.choices != nil {
		return s.choices
	}
	var choices []Edge
	for _, key := range []string{"no-cutting-burr", "no-burr-felt", "safe-to-handle", "paint"} {
		if p, ok := s.Edges[key]; ok {
			if e, err := p.edge(key, key); err == nil {
				choices = append(choices, e)
			}
		}
	}
	return choices
}

// choicesText writes the choices in a row.
func (s Shop) choicesText() string {
	if s.choicesSaid != "" {
		return s.choicesSaid
	}
	var words []string
	for _, e := range s.EdgeChoices() {
		words = append(words, fmt.Sprintf("%s (%s)", e.Preset, e.Explain()))
	}
	return strings.Join(words, "; ")
}
