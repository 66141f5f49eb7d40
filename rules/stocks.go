package rules

import (
	"fmt"
	"regexp"
	"strings"
)

// Material is a stock looked up, with its family and what coats it.
type Material struct {
	Key     string // of the stock
	Stock   Stock
	Family  string
	Group   Family
	ByWord  bool    // only the family was named; the stock stands for it
	Coated  bool    // zinc on the sheet
	Zinc    float64 // g/m2 of both sides; 0 unknown
	Written string
}

// YieldOrEstimate returns the low end of yield in MPa, 0.6 of Rm if none is known.
func (m Material) YieldOrEstimate() float64 {
	if m.Stock.Yield > 0 {
		return m.Stock.Yield
	}
	return 0.6 * m.Stock.Rm[0]
}

var zincSuffix = regexp.MustCompile(`(?i)[\s+_-]+(z[aem]?\s?\d{2,3}(?:/\d{2,3})?|g\d{2,3}|z)\s*$`)

// Material looks up what people write for a material: a grade ("1.4301", "304",
// "AlMg3"), an alias ("V2A") or a family ("steel", "Edelstahl"). A zinc
// designation behind it is understood: "DX51D+Z275". Unknown names are an error
// with the nearest known one.
func (s Shop) Material(text string) (Material, error) {
	written := strings.TrimSpace(text)
	if written == "" {
		return Material{}, fmt.Errorf("no material")
	}
	name, mass, coated := written, 0.0, false
	if m, ok := s.findMaterial(name); ok {
		return s.coat(m, written, 0, false), nil
	}
	if i := zincSuffix.FindStringSubmatchIndex(name); i != nil {
		mass, _ = ParseZinc(name[i[2]:i[3]])
		name, coated = strings.TrimRight(name[:i[0]], " +-_"), true
	}
	for _, word := range []string{"galvanised", "galvanized", "verzinkt", "galvanise", "galvanisé", "galvanizado", "zincato"} {
		if l := strings.ToLower(name); strings.Contains(l, word) && len(l) > len(word) {
			i := strings.Index(l, word)
			if len(l) == len(name) { // lower case did not change the bytes' places
				name, coated = strings.TrimSpace(name[:i]+" "+name[i+len(word):]), true
			}
			break
		}
	}
	if m, ok := s.findMaterial(name); ok {
		return s.coat(m, written, mass, coated), nil
	}
	// "EN 10025 S235JR", "stainless steel 1.4016": read it as a note that says
	// material.
	r := reader{shop: s, text: "material " + name}
	r.material()
	var found []Material
	for _, h := range r.hints {
		if h.Input == "coating" {
			coated = true
		} else if m, ok := s.findMaterial(h.Value); ok {
			found = append(found, m)
		}
	}
	switch len(found) {
	case 0:
	case 1:
		return s.coat(found[0], written, mass, coated), nil
	default:
		return Material{}, fmt.Errorf("material %q names two: %s and %s", written, found[0].Stock.Title, found[1].Stock.Title)
	}
	return Material{}, fmt.Errorf("no material named %q in the shop file%s", written, didYouMean(written, s.materialNames()))
}

func (s Shop) coat(m Material, written string, mass float64, coated bool) Material {
	m.Written = written
	if c, ok := s.Coatings[m.Stock.Coating]; ok && c.Kind == ZincCoat {
		m.Coated, m.Zinc = true, c.Mass
	}
	if coated {
		m.Coated = true
	}
	if mass > 0 {
		m.Zinc = mass
	}
	return m
}

// findMaterial finds a whole name: a stock's key or alias first, then a family
// and its words.
func (s Shop) findMaterial(name string) (Material, bool) {
	want := fold(name)
	if want == "" {
		return Material{}, false
	}
	hit, ok := s.materials()[want]
	if !ok {
		return Material{}, false
	}
	st := s.Stocks[hit.stock]
	return Material{Key: hit.stock, Stock: *st, Family: st.Family, Group: *s.Families[st.Family], ByWord: hit.byWord}, true
}

// materials is the index of names; a shop that was not read from a file has to
// make it.
func (s Shop) materials() map[string]named {
	if s.known == nil {
		return s.indexMaterials()
	}
	return s.known
}

// named says which stock a name means, and whether it names only the family.
type named struct {
	stock  string
	byWord bool
}

// indexMaterials lists every name by its folded form: keys of stocks come before
// their aliases, and those before families and their words.
func (s Shop) indexMaterials() map[string]named {
	index := map[string]named{}
	put := func(name, stock string, byWord bool) {
		if _, taken := index[fold(name)]; !taken {
			index[fold(name)] = named{stock, byWord}
		}
	}
	for _, key := range sortedKeys(s.Stocks) {
		put(key, key, false)
	}
	for _, key := range sortedKeys(s.Stocks) {
		for _, n := range s.Stocks[key].Names {
			put(n, key, false)
		}
	}
	for _, key := range sortedKeys(s.Families) {
		put(key, s.Families[key].Stock, true)
		for _, n := range s.Families[key].Words {
			put(n, s.Families[key].Stock, true)
		}
	}
	return index
}

func (s Shop) materialNames() []string {
	var names []string
	for _, key := range sortedKeys(s.Stocks) {
		names = append(names, s.Stocks[key].Names...)
	}
	return append(append(names, sortedKeys(s.Stocks)...), sortedKeys(s.Families)...)
}
