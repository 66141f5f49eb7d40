package rules

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// Words that turn round what follows them: "not painted", "ohne Folie". What a
// film is made of may stand between: "no PVC film".
var (
	negations = []string{"no", "not", "non", "nicht", "ohne", "kein", "keine", "sans", "sin", "senza", "without"}
	filmKinds = []string{"pvc", "pe", "laser"}
)

// negated reports whether words that come after a text, in lower case, are
// turned round by its end. It looks only at that end.
func negated(before string) bool {
	if endsInNegation(before) {
		return true
	}
	before = strings.TrimRight(before, " \t\n\f\r-")
	for _, kind := range filmKinds {
		if rest, ok := strings.CutSuffix(before, kind); ok && endsInNegation(rest) {
			return true
		}
	}
	return false
}

// endsInNegation reports whether a text ends in one of the words and at least one
// space, colon or dash.
func endsInNegation(text string) bool {
	short := strings.TrimRight(text, " \t\n\f\r:-")
	if len(short) == len(text) {
		return false
	}
	for _, word := range negations {
		if rest, ok := strings.CutSuffix(short, word); ok {
			if last, _ := utf8.DecodeLastRuneInString(rest); rest == "" || !unicode.IsLetter(last) {
				return true
			}
		}
	}
	return false
}
