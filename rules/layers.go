package rules

import (
	"slices"
	"strings"
)

// Meanings lists what a line in a drawing can be for.
func Meanings() []string {
	return []string{"cut", "bend", "etch", "note", "border", "form", "construction", "ignore"}
}

// patterns spreads layer rows into one pattern at a time, in order.
func patterns(rows []LayerRow) []LayerPattern {
	var list []LayerPattern
	for _, row := range rows {
		names, types := row.Names, row.LineTypes
		if len(names) == 0 {
			names = []string{""}
		}
		if len(types) == 0 {
			types = []string{""}
		}
		for _, n := range names {
			for _, t := range types {
				list = append(list, LayerPattern{n, t, row.Meaning})
			}
		}
	}
	return list
}

// Meaning returns what the shop takes the lines of a layer and line type for:
// the first pattern that matches decides; "cut" if none does.
func (s Shop) Meaning(layer, lineType string) string {
	for _, p := range s.Layers {
		if (p.Layer == "" || MatchPattern(p.Layer, layer)) && (p.LineType == "" || MatchPattern(p.LineType, lineType)) {
			return p.Meaning
		}
	}
	return "cut"
}

// MatchPattern reports whether a whole name matches a pattern with * and ?,
// ignoring case. It runs in time linear in pattern times name.
func MatchPattern(pattern, name string) bool {
	p, n := []rune(strings.ToUpper(pattern)), []rune(strings.ToUpper(name))
	star, mark := -1, 0
	i, j := 0, 0
	for j < len(n) {
		switch {
		case i < len(p) && p[i] == '*':
			star, mark = i, j
			i++
		case i < len(p) && (p[i] == '?' || p[i] == n[j]):
			i++
			j++
		case star >= 0:
			mark++
			i, j = star+1, mark
		default:
			return false
		}
	}
	return !slices.ContainsFunc(p[i:], func(r rune) bool { return r != '*' })
}
