package dxf

import (
	"strconv"
	"strings"
)

// text adds a text as a note.
func (x *expander) text(e *entity, f *frame, layer string) {
	if e.text < 0 {
		return
	}
	s, ok := x.texts[e.text]
	if !ok {
		// Copies of a block share the text.
		s = unescape(decode(x.p.texts[e.text], x.p.enc))
		if e.kind == kindMText {
			s = plainMText(s)
		} else {
			s = plainTextCodes(s)
		}
		s = strings.TrimSpace(s)
		x.texts[e.text] = s
	}
	if s == "" {
		return
	}
	n := x.p.nums[e.off : e.off+e.n]
	at := f.point(vec{n[0], n[1], n[2]})
	if x.curves++; x.curves > x.opt.MaxCurves {
		x.fail(e.line, "more than %d lines, arcs and texts", x.opt.MaxCurves)
		return
	}
	x.d.Notes = append(x.d.Notes, Note{
		Text: s, At: point2(at), Height: n[3] * f.y.norm(), Layer: layer, Line: e.line,
		Paper: x.sheet,
	})
}

// unescape resolves \U+ and \M+ with their digits, which any string of a drawing
// may hold: a character by its Unicode number, or by a multi-byte code page.
func unescape(s string) string {
	if !strings.Contains(s, "+") || !strings.Contains(s, `\`) {
		return s
	}
	var b strings.Builder
	for i := 0; i < len(s); {
		r, n := escape(s[i:])
		if n == 0 {
			r, n = s[i:i+1], 1
		}
		b.WriteString(r)
		i += n
	}
	return b.String()
}

// escape returns the meaning and the length of the escape that s begins with.
func escape(s string) (string, int) {
	if len(s) < 7 || s[0] != '\\' || s[2] != '+' {
		return "", 0
	}
	switch s[1] {
	case 'U', 'u':
		if n, err := strconv.ParseUint(s[3:7], 16, 32); err == nil {
			return string(rune(n)), 7
		}
	case 'M', 'm':
		if len(s) >= 8 {
			if r, ok := wideChar(s[3:8]); ok {
				return r, 8
			}
		}
	}
	return "", 0
}

// plainTextCodes resolves the %% codes of TEXT: %%d degree, %%p plus-minus,
// %%c diameter, %%nnn a character by number, %%% a percent sign; switches for
// underline, overline and strike are dropped.
func plainTextCodes(s string) string {
	if !strings.Contains(s, "%%") && !strings.Contains(s, "^") {
		return s
	}
	var b strings.Builder
	for i := 0; i < len(s); {
		rest := s[i:]
		switch {
		case strings.HasPrefix(rest, "%%") && len(rest) >= 3:
			n, r := percentCode(rest[2:])
			b.WriteString(r)
			i += 2 + n
		case rest[0] == '^' && len(rest) >= 2:
			n, r := caret(rest[1])
			b.WriteString(r)
			i += n
		default:
			b.WriteByte(s[i])
			i++
		}
	}
	return b.String()
}

// percentCode reads what follows %% and returns its length and its meaning.
func percentCode(s string) (int, string) {
	switch s[0] {
	case 'd', 'D':
		return 1, "°"
	case 'p', 'P':
		return 1, "±"
	case 'c', 'C':
		return 1, "Ø"
	case '%':
		return 1, "%"
	case 'u', 'U', 'o', 'O', 'k', 'K':
		return 1, ""
	}
	if len(s) >= 3 {
		if n, err := strconv.ParseUint(s[:3], 10, 8); err == nil {
			return 3, string(rune(n))
		}
	}
	return 0, "%%"
}

// caret resolves control characters written as ^I (tab), ^J (new line) and so
// on by the character c behind the caret; "^ " is the caret itself. It returns
// the length of the code.
func caret(c byte) (int, string) {
	switch c {
	case ' ':
		return 2, "^"
	case 'I':
		return 2, "\t"
	case 'J':
		return 2, "\n"
	case 'M':
		return 2, ""
	}
	return 1, "^"
}

// plainMText drops the format codes of MTEXT.
func plainMText(s string) string {
	if !strings.ContainsAny(s, `\{}%^`) {
		return s
	}
	var b strings.Builder
	for i := 0; i < len(s); {
		c := s[i]
		switch {
		case c == '{' || c == '}':
			i++
		case c == '^' && i+1 < len(s):
			n, r := caret(s[i+1])
			b.WriteString(r)
			i += n
		case c == '%' && strings.HasPrefix(s[i:], "%%") && len(s) > i+2:
			n, r := percentCode(s[i+2:])
			b.WriteString(r)
			i += 2 + n
		case c != '\\' || i+1 == len(s):
			b.WriteByte(c)
			i++
		default:
			i += mtextCode(&b, s[i:])
		}
	}
	return b.String()
}

// mtextCode resolves one code at the start of s, which opens with a backslash,
// and returns its length.
func mtextCode(b *strings.Builder, s string) int {
	switch s[1] {
	case 'P', 'X', 'N':
		b.WriteByte('\n')
		return 2
	case '~':
		b.WriteByte(' ')
		return 2
	case '\\', '{', '}':
		b.WriteByte(s[1])
		return 2
	case 'L', 'l', 'O', 'o', 'K', 'k':
		return 2
	case 'A', 'C', 'c', 'F', 'f', 'H', 'p', 'Q', 'T', 'W':
		// A value up to a semicolon.
		if i := strings.IndexByte(s, ';'); i >= 0 {
			return i + 1
		}
		return 2
	case 'S':
		i := strings.IndexByte(s, ';')
		if i < 0 {
			return 2
		}
		stack := strings.Trim(s[2:i], " ")
		stack = strings.NewReplacer("^ ", "/", "^", "/", "#", "/").Replace(stack)
		b.WriteString(strings.Trim(stack, "/"))
		return i + 1
	}
	b.WriteByte(s[1])
	return 2
}
