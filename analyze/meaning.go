package analyze

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

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
	i, k := 0, 0 // bytes of pattern and name
	star, mark := -1, 0
	for k < len(name) {
		p, wide := utf8.DecodeRuneInString(pattern[i:])
		s, long := utf8.DecodeRuneInString(name[k:])
		switch {
		case p == '*':
			star, mark = i, k
			i++
		case wide > 0 && (p == '?' || p == s || unicode.ToLower(p) == unicode.ToLower(s)):
			i += wide
			k += long
		case star >= 0:
			// Let the last star take one character more.
			_, long = utf8.DecodeRuneInString(name[mark:])
			mark += long
			i, k = star+1, mark
		default:
			return false
		}
	}
	return strings.Trim(pattern[i:], "*") == ""
}
