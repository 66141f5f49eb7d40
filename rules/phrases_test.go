package rules

import (
	"math/rand/v2"
	"regexp"
	"strings"
	"testing"
)

// The twin of negated: one pattern over the whole text.
var negation = regexp.MustCompile(`(?:^|[^\p{L}])(?:no|not|non|nicht|ohne|kein|keine|sans|sin|senza|without)[\s:\-]+(?:pvc|pe|laser)?[\s\-]*$`)

// plainPhrase is the twin of phrases.in for one of the words: it goes through
// the text for these words alone.
func plainPhrase(text, want string) (string, bool) {
	for i := range len(text) {
		if text[i] != want[0] || i > 0 && isWordByte(text[i-1]) && isWordByte(want[0]) || negation.MatchString(text[:i]) {
			continue
		}
		if j, ok := matchWords(text[i:], want); ok && (i+j == len(text) || !isWordByte(text[i+j])) {
			return text[i : i+j], true
		}
	}
	return "", false
}

func TestNegated(t *testing.T) {
	for before, want := range map[string]bool{
		"": false, "no": false, "no ": true, "not-": true, "ohne: ": true, "ohne : ": true, "piano ": false, "2no ": true,
		"kein ": true, "no pvc ": true, "no pvc": true, "no laser - ": true, "nopvc ": false, "no pvc: ": false,
		"no pe pvc ": false, "sin\t": true, "é no ": true, "éno ": false, "\xffno ": true, "no -- pe -- ": true, "no x ": false,
	} {
		if got := negated(before); got != want || got != negation.MatchString(before) {
			t.Errorf("%q: %v, want %v; by pattern %v", before, got, want, negation.MatchString(before))
		}
	}
}

// What one pass finds is what a search for each of the words by itself finds.
func TestPhrasesTwin(t *testing.T) {
	shop := DefaultShop()
	p := shop.indexPhrases()
	scraps := append(append([]string{}, negations...), filmKinds...)
	for _, w := range p.words {
		scraps = append(scraps, w, strings.ReplaceAll(w, " ", "-"), strings.ReplaceAll(w, " ", ""), w[:len(w)/2])
	}
	scraps = append(scraps, "x", "é", "2", "mm", ":", "-", "(", "alle kanten", "µ")
	random := rand.New(rand.NewPCG(7, 11))
	hits := 0
	for range 3000 {
		var b strings.Builder
		for range 1 + random.IntN(7) {
			b.WriteString(scraps[random.IntN(len(scraps))])
			b.WriteString([]string{" ", " ", " ", "-", "", ": ", ", "}[random.IntN(7)])
		}
		text := strings.Join(strings.Fields(b.String()), " ")
		found := p.in(text)
		hits += len(found)
		for _, w := range p.words {
			got, has := found[w]
			if want, ok := plainPhrase(text, w); got != want || has != ok {
				t.Fatalf("%q in %q: %q %v, want %q %v", w, text, got, has, want, ok)
			}
		}
	}
	if hits < 3000 {
		t.Errorf("only %d hits: the texts hold too little to compare", hits)
	}
}

// Long notes are read in time that follows their length.
func BenchmarkReadLongText(b *testing.B) {
	shop := DefaultShop()
	for _, text := range []struct{ name, text string }{
		{"plain", strings.Repeat("the lazy dog of the drawing office sleeps beside edge 7; ", 65)},
		{"negated", strings.Repeat("no deburring - no film - ", 150)},
		{"dashes", strings.Repeat("free "+strings.Repeat("-", 70)+" ", 50)},
		{"sizes", strings.Repeat("t=2 mm, 3 mm thk, 4 Stk; ", 150)},
	} {
		b.Run(text.name, func(b *testing.B) {
			for b.Loop() {
				shop.ReadText(text.text, "note")
			}
		})
	}
}

func BenchmarkDefaultShop(b *testing.B) {
	for b.Loop() {
		DefaultShop()
	}
}
