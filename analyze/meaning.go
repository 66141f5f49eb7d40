package analyze

import "strings"

// meaningOf returns what lines on a layer with a line type are for: the first
// rule that matches decides, and what no rule names is cut.
func meaningOf(rules []LayerRule, layer, lineType string) Meaning {
	for _, r := range rules {
		if matches(r.Layer, layer) && matches(r.LineType, lineType) {
			return r.Meaning
		}
	}
	return Cut
}

// matches reports whether a whole name fits a pattern in which * stands for any
// characters and ? for one, ignoring case. An empty pattern fits all.
func matches(pattern, name string) bool {
	if pattern == "" {
		return true
	}
	p, s := []rune(strings.ToLower(pattern)), []rune(strings.ToLower(name))
	i, k := 0, 0
	star, mark := -1, 0
	for k < len(s) {
		switch {
		case i < len(p) && p[i] == '*':
			star, mark = i, k
			i++
		case i < len(p) && (p[i] == '?' || p[i] == s[k]):
			i++
			k++
		case star >= 0:
			// Let the last star take one character more.
			mark++
			i, k = star+1, mark
		default:
			return false
		}
	}
	for i < len(p) && p[i] == '*' {
		i++
	}
	return i == len(p)
}
