package rules

import (
	"regexp"
	"strings"
	"sync"
)

// form is a pattern for something that a text may say. It is made when a text
// first needs it, and only texts that hold one of its words are searched: most
// texts hold none.
type form struct {
	needs []string // one of these is in every match, in lower case; none: any text may match
	made  func() *regexp.Regexp
}

func newForm(pattern string, needs ...string) form {
	return form{needs, sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(pattern) })}
}

// may reports whether a text, in lower case and with s for the long s, can hold a
// match.
func (f form) may(text string) bool {
	for _, word := range f.needs {
		if strings.Contains(text, word) {
			return true
		}
	}
	return len(f.needs) == 0
}

// match reports whether the form matches somewhere in a text.
func (f form) match(text string) bool { return f.made().MatchString(text) }

// find runs a form over the text, also where matches share a border.
func (f form) find(text string) [][]string {
	pattern := f.made()
	var all [][]string
	for len(all) < 50 {
		m := pattern.FindStringSubmatchIndex(text)
		if m == nil {
			return all
		}
		groups := make([]string, len(m)/2)
		for i := range groups {
			if m[2*i] >= 0 {
				groups[i] = text[m[2*i]:m[2*i+1]]
			}
		}
		all = append(all, groups)
		next := m[1]
		if m[1]-m[0] > 1 { // the closing border may open the next match
			next--
			for next > m[0] && next < len(text) && text[next]&0xC0 == 0x80 {
				next--
			}
		}
		if next <= m[0] {
			return all
		}
		text = text[next:]
	}
	return all
}
