package rules

import (
	"slices"
	"strings"
)

// A grade that is a bare number or a very short word is common in other senses:
// a part number 304, a sheet size A4, an article "al". It counts only beside
// something that says material.
var (
	materialMark = newForm(`(?i)` + begin + `(?:mat|material|mat[eé]riau|mati[eè]re|materiale|werkstoff|wst|grade|g[uü]te|aisi|astm|en aw|aw|type|ss|din)\.?` + end)
	weakWord     = newForm(`^(?i:\d{3,4}[a-z]?|.{1,2}|a36|cr4|niro|ferro|titan|rame|mag)$`)
)

// genericSteel are words for steel that also stand in front of stainless grades.
var genericSteel = []string{"steel", "stahl", "stahlblech", "acier", "acero", "acciaio"}

// structural grades are galvanised after fabrication as a rule, so "galvanised"
// beside them says nothing of the sheet.
var structural = []string{"s235", "s355", "a36"}

type materialHit struct {
	m    Material
	text string
	weak bool
}

// material finds the names of stocks and families, longest first, so that
// "stainless steel" is not also steel.
func (r *reader) material() {
	words := strings.FieldsFunc(r.text, func(c rune) bool {
		return strings.ContainsRune(" ,;:()=|[]{}#\"'", c) || c == '\u00a0'
	})
	if r.name { // a dash parts the words of a name, but not those of a grade
		var split []string
		for _, w := range words {
			if _, ok := r.shop.findMaterial(w); ok {
				split = append(split, w)
				continue
			}
			split = append(split, strings.FieldsFunc(w, func(c rune) bool { return c == '-' })...)
		}
		words = split
	}
	keys := make([]string, len(words)) // folding joined words is joining folded ones
	for i, w := range words {
		keys[i] = fold(w)
	}
	known := r.shop.materials()
	var hits []materialHit
	zinc := ""
	for i := 0; i < len(words); {
		n := 0
		for take := min(3, len(words)-i); take > 0; take-- {
			if _, is := known[strings.Join(keys[i:i+take], "")]; !is && (take > 1 || !strings.Contains(words[i], "+")) {
				continue
			}
			text := strings.TrimRight(strings.Join(words[i:i+take], " "), ".")
			m, ok := r.shop.findMaterial(text)
			if !ok && take == 1 {
				m, ok = r.withZinc(text)
			}
			if !ok {
				continue
			}
			weak := take == 1 && weakWord.match(text)
			if m.Key == "dx51d" && !strings.HasPrefix(fold(text), "dx5") {
				zinc = text // says the coating; whether it says the sheet depends on the rest
			} else {
				hits = append(hits, materialHit{m, text, weak})
			}
			n = take
			break
		}
		i += max(n, 1)
	}
	r.settleMaterial(hits, zinc)
}

// withZinc reads "DX51D+Z275" and "S250GD+Z" as one word.
func (r *reader) withZinc(word string) (Material, bool) {
	i := strings.IndexByte(word, '+')
	if i <= 0 {
		return Material{}, false
	}
	m, ok := r.shop.findMaterial(word[:i])
	if !ok {
		return Material{}, false
	}
	if _, isZinc := ParseZinc(word[i:]); !isZinc && !strings.EqualFold(word[i:], "+z") {
		return Material{}, false
	}
	return m, true
}

func (r *reader) settleMaterial(hits []materialHit, zinc string) {
	if len(hits) == 0 && zinc == "" {
		return
	}
	strong := slices.ContainsFunc(hits, func(h materialHit) bool { return !h.weak })
	sure := strong || materialMark.match(r.text) || r.has("thickness") ||
		r.name && (r.has("quantity") || len(r.find(mmToken)) == 1)
	var kept []materialHit
	for _, h := range hits {
		if h.weak && !sure {
			continue
		}
		kept = append(kept, h)
	}
	// "steel 1.4301" is stainless; "Edelstahl 1.4301" is the grade.
	special := slices.ContainsFunc(kept, func(h materialHit) bool { return h.m.Family == "stainless" })
	marked := materialMark.match(r.text)
	for _, h := range kept {
		if special && slices.Contains(genericSteel, fold(h.text)) {
			continue
		}
		if h.m.ByWord && slices.ContainsFunc(kept, func(o materialHit) bool { return !o.m.ByWord && o.m.Family == h.m.Family }) {
			continue
		}
		if zinc != "" && h.m.ByWord && h.m.Family == "steel" {
			continue // "steel galvanised": the galvanised stock says both
		}
		if h.weak && !marked && slices.ContainsFunc(kept, func(o materialHit) bool { return !o.weak && o.m.Family != h.m.Family }) {
			continue
		}
		r.add("material", h.text, h.text)
	}
	if zinc == "" {
		return
	}
	steel := slices.IndexFunc(kept, func(h materialHit) bool { return h.m.Family == "steel" && !h.m.ByWord })
	switch {
	case steel < 0 && !r.has("material"):
		r.add("material", zinc, zinc)
	case steel >= 0 && !slices.Contains(structural, kept[steel].m.Key):
		r.add("coating", "zinc", zinc)
	}
}
