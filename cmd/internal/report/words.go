package report

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// QuestionCode marks the messages that say which input a drawing lacks.
const QuestionCode = "question"

// ConflictCode marks the messages that say which inputs contradict each other;
// a finding on the part says it, too.
const ConflictCode = "input-conflict"

// wrap adds a text below the treatment's column; the mark stands before its
// first line and the others are set in as far.
func (b *block) wrap(mark, text string) {
	b.wrapAt(strings.Repeat(" ", tag)+mark, tag+len(mark), text)
}

// bare adds a text at the left margin.
func (b *block) bare(text string) { b.wrapAt("", 0, text) }

func (b *block) wrapAt(first string, indent int, text string) {
	if text == "" {
		return
	}
	line, empty := first, true
	for _, word := range strings.Fields(clean(text)) {
		for {
			room := columns100 - width(line)
			need := width(word)
			if !empty {
				need++
			}
			if need <= room {
				break
			}
			if empty { // longer than a whole line: a path, say
				cut := prefix(word, room)
				b.lines = append(b.lines, line+word[:cut])
				word = word[cut:]
			} else {
				b.lines = append(b.lines, line)
			}
			line, empty = strings.Repeat(" ", indent), true
		}
		if !empty {
			line += " "
		}
		line += word
		empty = false
	}
	b.lines = append(b.lines, line)
}

// flow adds items that are not broken inside, unless one alone is too long.
func (b *block) flow(items []string, sep string) {
	indent := strings.Repeat(" ", tag)
	line := indent
	for _, item := range items {
		if line != indent && width(line)+len(sep)+width(item) > columns100 {
			b.lines = append(b.lines, line)
			line = indent
		}
		if line != indent {
			line += sep
		}
		for width(line)+width(item) > columns100 {
			cut := prefix(item, columns100-width(line))
			b.lines = append(b.lines, line+item[:cut])
			item, line = item[cut:], indent
		}
		line += item
	}
	b.lines = append(b.lines, line)
}

// width counts columns: one a character, which holds for the scripts that
// drawings are named in more often than not.
func width(s string) int { return utf8.RuneCountInString(s) }

// prefix is how many bytes of s fill n columns.
func prefix(s string, n int) int {
	for i := range s {
		if n == 0 {
			return i
		}
		n--
	}
	return len(s)
}

// clean takes out what a terminal would obey: file and layer names come from
// strangers.
func clean(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\t':
			return ' '
		case unicode.IsControl(r) || unicode.Is(unicode.Cf, r) || r == utf8.RuneError:
			return '?'
		}
		return r
	}, s)
}

// sentence starts with a capital and ends with a stop, once; a question or a
// remark in brackets ends by itself.
func sentence(s string) string {
	s = strings.TrimRight(strings.TrimSpace(s), ".")
	if s == "" {
		return ""
	}
	r, n := utf8.DecodeRuneInString(s)
	if next, _ := utf8.DecodeRuneInString(s[n:]); !unicode.IsUpper(next) && !unicode.IsDigit(next) {
		s = string(unicode.ToUpper(r)) + s[n:]
	}
	if last := s[len(s)-1]; last == '?' || last == '!' || last == ')' {
		return s
	}
	return s + "."
}

func plural(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return strconv.Itoa(n) + " " + noun + "s"
}

// short is a length for people: to a tenth of a millimetre when it is long,
// to three digits when it is small.
func short(v float64) string {
	a := math.Abs(v)
	decimals := 1
	if a > 0 && a < 10 {
		decimals = 2
		for a < 0.1 && decimals < 6 {
			a *= 10
			decimals++
		}
	}
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	if s == "-0" {
		s = "0"
	}
	return s
}

// quantity is a value with its unit; a unit that is a word stands behind the
// last value only.
func quantity(n Num, unit string) string {
	switch {
	case unit == "share":
		return short(100*float64(n)) + " %"
	case unit == "ratio":
		return short(float64(n)) + " times"
	case unit == "" || isWord(unit):
		return short(float64(n))
	}
	return short(float64(n)) + " " + unit
}

// isWord tells "margin" from "mm" and "x thickness".
func isWord(unit string) bool {
	return len(unit) > 3 && unit != "share" && unit != "ratio" && !strings.Contains(unit, " ")
}

// span is a range of whole numbers with its unit.
func span(r Range, by float64, unit string) string {
	low, high := float64(r[0])/by, float64(r[1])/by
	decimals := 0
	if high > 0 && high < 10 {
		decimals = 1
	}
	a, b := strconv.FormatFloat(low, 'f', decimals, 64), strconv.FormatFloat(high, 'f', decimals, 64)
	a, b = strings.TrimSuffix(a, ".0"), strings.TrimSuffix(b, ".0")
	if a == b {
		return b + " " + unit
	}
	return a + " to " + b + " " + unit
}

// duration is a range of times in the unit that suits its high end.
func duration(r Range) string {
	switch {
	case r[1] < 600:
		return span(r, 1, "s")
	case r[1] < 2*3600:
		return span(r, 60, "min")
	}
	return span(r, 3600, "h")
}

// paint colours a label of the treatment's column for a terminal.
func paint(word, label string) string {
	code := map[string]int{unread: 35, "ask": 35, "hand": 31, "fixture": 33, "brush": 36, "line": 32}[word]
	return fmt.Sprintf("\x1b[1;%dm%s\x1b[0m", code, label)
}
