package dxf

import (
	"encoding/binary"
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/yofu/dxf/format"
)

// tagRun is a run of tags, as text or binary.
type tagRun struct {
	b            []byte
	binary, wide bool
	eol          string
}

func (t *tagRun) code(code int) {
	switch {
	case !t.binary:
		t.b = append(t.b, fmt.Sprintf("%3d%s", code, t.eol)...)
	case t.wide:
		t.b = binary.LittleEndian.AppendUint16(t.b, uint16(code))
	case code < 255:
		t.b = append(t.b, byte(code))
	default:
		t.b = binary.LittleEndian.AppendUint16(append(t.b, 255), uint16(code))
	}
}

func (t *tagRun) text(code int, v string) {
	t.code(code)
	t.b = append(t.b, v...)
	if t.binary {
		t.b = append(t.b, 0)
	} else {
		t.b = append(t.b, t.eol...)
	}
}

func (t *tagRun) integer(code, v int) {
	t.code(code)
	switch {
	case !t.binary:
		t.b = append(t.b, fmt.Sprintf("%6d%s", v, t.eol)...)
	case binaryType(code) == 4:
		t.b = binary.LittleEndian.AppendUint32(t.b, uint32(v))
	default:
		t.b = binary.LittleEndian.AppendUint16(t.b, uint16(v))
	}
}

func (t *tagRun) float(code int, v float64) {
	t.code(code)
	if t.binary {
		t.b = binary.LittleEndian.AppendUint64(t.b, math.Float64bits(v))
		return
	}
	s := strconv.FormatFloat(v, 'f', -1, 64)
	if !strings.Contains(s, ".") {
		s += ".0"
	}
	t.b = append(append(t.b, s...), t.eol...)
}

// pen takes an entity from the library that writes and puts down its tags as
// the file has them: handles, owners and subclass markers by its version, texts
// in ASCII, whatever the file's code page.
type pen struct {
	format.Formatter // what entities do not call
	*tagRun
	a     *adder
	color int    // of the entity; 0 for its layer's
	style string // of texts; empty for what they have anyway
}

func (p *pen) WriteString(code int, v string) {
	switch code {
	case 0:
		p.text(0, v)
		if p.a.l.handles {
			p.text(5, p.a.handle())
		}
		owner := p.a.l.model
		if p.a.sheet {
			owner = p.a.l.paper
		}
		if p.a.l.modern && owner != "" {
			p.text(330, owner)
		}
		return
	case 8:
		if p.a.sheet {
			p.integer(67, 1)
		}
	case 100:
		if !p.a.l.modern {
			return
		}
	case 7:
		if v = p.style; v == "" {
			return
		}
	case 1:
		v = ascii(v)
	}
	p.text(code, v)
	if code == 8 && p.color > 0 {
		p.integer(62, p.color)
	}
}

func (p *pen) WriteInt(code, v int) { p.integer(code, v) }

// WriteHex leaves out the library's own handles.
func (p *pen) WriteHex(int, int) {}

func (p *pen) WriteFloat(code int, v float64) {
	if code < 210 { // beyond stands the axis, which is Z
		p.float(code, v)
	}
}

// ascii writes all other letters as the escapes that drawings have for them.
func ascii(s string) string {
	var b strings.Builder
	for _, r := range s {
		if r < 0x80 {
			b.WriteRune(r)
			continue
		}
		if r > 0xffff {
			r = '?' // there is no escape for it
		}
		fmt.Fprintf(&b, `\U+%04X`, r)
	}
	return b.String()
}
