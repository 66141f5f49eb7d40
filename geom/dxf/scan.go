package dxf

import "bytes"

// scanner walks the tags of a drawing: pairs of a group code and a value. It
// allocates nothing. A value is a piece of the file, kept as its place there: to
// store a pointer a tag would keep the garbage collector busy.
type scanner struct {
	data   []byte
	pos    int
	line   int  // of the current tag's group code, from 1; byte offset in a binary file
	lines  int  // lines read so far
	eol    byte // what ends a line: '\n', or '\r' in a file without any '\n'
	padded bool // text with lines that end in '\n'
	binary bool
	wide   bool // binary group codes take two bytes
	cut    bool // the file ends inside a tag, or without an end of line

	code     int
	from, to int     // place of the value in data
	num      float64 // value of a binary number
	isNum    bool

	stray func(line int, text []byte) // told of each line that should be a group code and is not
}

// Group codes outside this range are not codes of any version.
const (
	leastCode   = -10
	largestCode = 1099
)

// newScanner returns a scanner over data, which is text without a byte order mark.
func newScanner(data []byte, stray func(int, []byte)) scanner {
	s := scanner{data: data, eol: '\n', stray: stray}
	head := data[:min(len(data), 1<<16)]
	if bytes.IndexByte(head, '\n') < 0 && bytes.IndexByte(head, '\r') >= 0 {
		s.eol = '\r'
	}
	s.padded = s.eol == '\n'
	return s
}

// next moves to the following tag and reports whether there is one. Comments
// (group code 999) are passed over; a line that is no group code where one
// must be is reported to stray and passed over.
func (s *scanner) next() bool {
	// The common form at a stretch: a group code that fills three places, as most
	// programs write it, and a value.
	if i := s.pos; i+5 < len(s.data) && s.padded {
		b := s.data[i : i+5 : i+5]
		at := 0
		if b[3] == '\n' {
			at = i + 4
		} else if b[3] == '\r' && b[4] == '\n' {
			at = i + 5
		}
		if code := placed[b[0]].hundreds + placed[b[1]].tens + placed[b[2]].ones; at > 0 && code < 999 && (b[1] != ' ' || b[0] == ' ') {
			if n := bytes.IndexByte(s.data[at:], '\n'); n >= 0 {
				s.line = s.lines + 1
				s.lines += 2
				s.pos = at + n + 1
				if s.data[at+n-1] == '\r' && n > 0 {
					n--
				}
				s.code, s.from, s.to = int(code), at, at+n
				return true
			}
		}
	}
	return s.nextAny()
}

// placed says what a byte counts in a group code of three places: far too much if
// it cannot stand there.
var placed = func() (out [256]struct{ hundreds, tens, ones int16 }) {
	for c := range out {
		out[c].hundreds, out[c].tens, out[c].ones = 9999, 9999, 9999
	}
	for d := range int16(10) {
		p := &out['0'+d]
		p.hundreds, p.tens, p.ones = 100*d, 10*d, d
	}
	out[' '].hundreds, out[' '].tens = 0, 0
	return out
}()

// nextAny is next for tags of any form.
func (s *scanner) nextAny() bool {
	if s.binary {
		return s.nextBinary()
	}
	for s.pos < len(s.data) {
		s.line = s.lines + 1
		code, ok := s.codeLine()
		if !ok {
			continue
		}
		if s.pos >= len(s.data) {
			s.cut = true
			return false
		}
		s.from = s.pos
		s.to = s.from + len(s.takeLine())
		if code != 999 {
			s.code = code
			return true
		}
	}
	return false
}

// val returns the current value, empty for a number of a binary file.
func (s *scanner) val() []byte { return s.data[s.from:s.to] }

// takeLine returns the line at pos without its end and moves past it.
func (s *scanner) takeLine() []byte {
	s.lines++
	rest := s.data[s.pos:]
	i := bytes.IndexByte(rest, s.eol)
	if i < 0 {
		s.pos = len(s.data)
		s.cut = true
		return rest
	}
	s.pos += i + 1
	if i > 0 && rest[i-1] == '\r' {
		i--
	}
	return rest[:i]
}

// codeLine reads the line at pos as a group code.
func (s *scanner) codeLine() (int, bool) {
	data, i := s.data, s.pos
	for i < len(data) && data[i] == ' ' {
		i++
	}
	n, start := 0, i
	for i < len(data) && i-start < 5 {
		d := data[i] - '0'
		if d > 9 {
			break
		}
		n = n*10 + int(d)
		i++
	}
	if i > start && i < len(data) {
		if data[i] == '\r' && s.eol == '\n' && i+1 < len(data) {
			i++
		}
		if data[i] == s.eol && n <= largestCode {
			s.pos = i + 1
			s.lines++
			return n, true
		}
	}
	// Anything unusual: a sign, tabs, blanks behind the code, no code at all.
	text := s.takeLine()
	n, ok := parseInt(text)
	if ok && n >= leastCode && n <= largestCode {
		return n, true
	}
	if s.pos < len(s.data) || len(trim(text)) > 0 {
		s.stray(s.line, text)
		if s.pairsFrom(1) > s.pairsFrom(0) {
			// The value of the broken code goes with it.
			s.takeLine()
		}
	}
	return 0, false
}

// pairsFrom counts how many of the next tags read well, up to a dozen, after
// some lines are passed over. It tells a line too many from a broken code: only
// one way of pairing the lines that follow makes sense.
func (s *scanner) pairsFrom(lines int) int {
	const enough = 12
	ahead := *s
	for range lines {
		ahead.takeLine()
	}
	for n := range enough {
		if ahead.pos >= len(ahead.data) {
			return enough
		}
		code, ok := parseInt(ahead.takeLine())
		if !ok || code < leastCode || code > largestCode || ahead.pos >= len(ahead.data) {
			return n
		}
		val := trim(ahead.takeLine())
		if code == 0 && (len(val) == 0 || !isLetter(val[0]) && len(val) < 2) {
			return n
		}
	}
	return enough
}

func isLetter(c byte) bool { return c|0x20 >= 'a' && c|0x20 <= 'z' }

// float returns the current value as a number.
func (s *scanner) float() (float64, bool) {
	if s.isNum {
		return s.num, s.num-s.num == 0
	}
	return parseFloat(s.val())
}

// int returns the current value as an integer; real tells that it was written
// as a real number of whole value.
func (s *scanner) int() (n int, real, ok bool) {
	if !s.isNum {
		if n, ok = parseInt(s.val()); ok {
			return n, false, true
		}
	}
	f, ok := s.float()
	if !ok || f != float64(int64(f)) || f > 1e15 || f < -1e15 {
		return 0, false, false
	}
	return int(f), !s.isNum, true
}
