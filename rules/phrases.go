package rules

import "strings"

// phrases are the words that notes are searched for, all in one pass over a
// text: those that name a process, a coating or an edge, and those that ask for
// an edge without saying which.
type phrases struct {
	words []string   // each once, in lower case
	begin [256][]int // indices of the words, by first byte
	known map[string]bool
}

// indexPhrases lists the words of a shop.
func (s Shop) indexPhrases() *phrases {
	p := &phrases{known: map[string]bool{}}
	for _, key := range sortedKeys(s.Processes) {
		p.add(key)
		p.add(s.Processes[key].Names...)
	}
	for _, key := range sortedKeys(s.Coatings) {
		p.add(s.Coatings[key].Names...)
	}
	for _, key := range sortedKeys(s.Edges) {
		p.add(s.Edges[key].Names...)
	}
	p.add(vagueEdge...)
	return p
}

func (p *phrases) add(names ...string) {
	for _, name := range names {
		words := strings.ToLower(name)
		if words == "" || p.known[words] {
			continue
		}
		p.known[words] = true
		p.begin[words[0]] = append(p.begin[words[0]], len(p.words))
		p.words = append(p.words, words)
	}
}

// in returns, for each of the words that a text in lower case holds whole and
// not negated, how the first of them is written there; nil if there are none. A
// space or dash in the words matches spaces, dashes or nothing.
func (p *phrases) in(text string) map[string]string {
	var found map[string]string
	inside := false // the byte before belongs to a word
	for i := range len(text) {
		within := isWordByte(text[i])
		if inside && within {
			continue
		}
		inside = within
		for _, k := range p.begin[text[i]] {
			words := p.words[k]
			if found[words] != "" {
				continue
			}
			j, ok := matchWords(text[i:], words)
			if !ok || i+j < len(text) && isWordByte(text[i+j]) || negated(text[:i]) {
				continue
			}
			if found == nil {
				found = map[string]string{}
			}
			found[words] = text[i : i+j]
		}
	}
	return found
}

func isWordByte(c byte) bool { return isWordRune(rune(c)) || c >= 0x80 }

// matchWords returns how much of the start of text the words match.
func matchWords(text, words string) (int, bool) {
	j := 0
	for k := range len(words) {
		if words[k] == ' ' || words[k] == '-' {
			for j < len(text) && (text[j] == ' ' || text[j] == '-') {
				j++
			}
			continue
		}
		if j >= len(text) || text[j] != words[k] {
			return 0, false
		}
		j++
	}
	return j, true
}
