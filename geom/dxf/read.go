package dxf

import (
	"bytes"
	"fmt"
	"io"
	"slices"
	"sort"
	"strings"

	"github.com/golang/geo/r2"
)

// Read reads a drawing from r; see ReadBytes.
func Read(r io.Reader, opt Options) (*Drawing, error) {
	data, err := Gather(r, opt)
	if err != nil {
		return nil, err
	}
	return ReadBytes(data, opt)
}

// Gather reads the bytes of a drawing, for ReadBytes: no more than
// Options.MaxBytes, and no line of absurd length. The error is an *Error.
func Gather(r io.Reader, opt Options) ([]byte, error) {
	limit := opt.withDefaults().MaxBytes
	data, err := gather(io.LimitReader(r, limit+1))
	if err == nil && int64(len(data)) > limit {
		return nil, &Error{Code: CodeLimit, Text: fmt.Sprintf("larger than %d bytes", limit)}
	}
	return data, err
}

// longestLine bounds a line of a file that is read piece by piece. No drawing
// has one of that length; a stream that never ends one is given up early.
const longestLine = 16 << 20

// gather reads all of r, as long as lines (or the strings of binary data, which
// end in a zero) end now and then.
func gather(r io.Reader) ([]byte, error) {
	data := make([]byte, 0, 1<<16)
	lines, last := 1, 0 // where the line begins that has no end yet
	for {
		if len(data) == cap(data) {
			data = append(data, 0)[:len(data)]
		}
		n, err := r.Read(data[len(data):cap(data)])
		fresh := data[len(data) : len(data)+n]
		if i := bytes.LastIndexAny(fresh, "\n\r\x00"); i >= 0 {
			lines += bytes.Count(fresh, []byte{'\n'})
			last = len(data) + i
		}
		data = data[:len(data)+n]
		switch {
		case len(data)-last > longestLine:
			return nil, &Error{Code: CodeLimit, Line: lines, Text: fmt.Sprintf("a line longer than %d bytes", longestLine)}
		case err == io.EOF:
			return data, nil
		case err != nil:
			return nil, &Error{Code: CodeRead, Text: "cannot be read: " + err.Error(), Err: err}
		}
	}
}

// ReadBytes reads a drawing, ASCII or binary, also a compressed one: a gzip file,
// or a zip archive with one drawing in it. The error, if there is one, is an
// *Error. With CodeNothing the drawing is returned too: it says what the file
// holds instead of curves. The data must not be changed while ReadBytes runs;
// it is not kept.
func ReadBytes(data []byte, opt Options) (*Drawing, error) {
	opt = opt.withDefaults()
	p := &parser{opt: opt, names: newInterner()}
	data, err := unpack(data, opt)
	if err != nil {
		return nil, err
	}
	data, err = p.sniff(data)
	if err != nil {
		return nil, err
	}
	p.borrow(data)
	defer p.giveBack()
	p.run()
	if p.sections == 0 && len(p.ents) == 0 {
		return nil, &Error{Code: CodeNotDXF, Line: 1, Text: "not a DXF file: no section found"}
	}
	return p.drawing()
}

// sniff tells the forms of a file apart and sets up the scanner.
func (p *parser) sniff(data []byte) ([]byte, error) {
	if len(bytes.TrimSpace(data[:min(len(data), 1<<16)])) == 0 && len(bytes.TrimSpace(data)) == 0 {
		return nil, &Error{Code: CodeEmpty, Text: "the file is empty"}
	}
	if bytes.HasPrefix(data, sentinel) {
		p.s = newBinaryScanner(data, p.stray)
		return data, nil
	}
	if len(data) >= 6 && bytes.HasPrefix(data, []byte("AC10")) && bytes.IndexByte(data[:min(len(data), 64)], 0) >= 0 {
		return nil, &Error{Code: CodeDWG, Text: "a DWG file, version " + string(data[:6]) + ": save the drawing as DXF"}
	}
	if isGzip(data) || isZip(data) {
		return nil, &Error{Code: CodePacked, Text: "packed twice"}
	}
	data, err := plainText(data)
	if err != nil {
		return nil, err
	}
	head := data[:min(len(data), 4096)]
	if zeros := bytes.Count(head, []byte{0}); zeros > 0 && !bytes.Contains(head, []byte("SECTION")) {
		return nil, &Error{Code: CodeBinary, Text: "binary data, not a DXF file"}
	}
	if bytes.Contains(head, []byte("\r\r\n")) {
		// Line ends translated twice.
		p.note("doubled-line-ends", 1, "lines end in CR CR LF")
		data = bytes.ReplaceAll(data, []byte("\r\r\n"), []byte("\r\n"))
	}
	p.s = newScanner(data, p.stray)
	p.leadingJunk()
	return data, nil
}

// leadingJunk moves the scanner to the first tag, past lines in front of it
// that cannot be tags.
func (p *parser) leadingJunk() {
	const far = 1 << 16
	head := p.s.data[:min(len(p.s.data), far)]
	lines, pos := 0, 0
	for pos < len(head) {
		probe := p.s
		probe.pos, probe.stray = pos, func(int, []byte) {}
		code, ok := probe.codeLine()
		if ok && probe.pos < len(head) {
			val := trim(probe.takeLine())
			if code == 999 || code == 0 && word(val) != kindOther {
				if lines > 0 {
					p.note("junk-before", 1, "%d lines before the first tag", lines)
					p.s.pos, p.s.lines = pos, lines
				}
				return
			}
		}
		probe = p.s
		probe.pos = pos
		probe.takeLine()
		pos = probe.pos
		lines++
	}
}

// drawing expands what was parsed.
func (p *parser) drawing() (*Drawing, error) {
	names := p.decodeNames()
	units, err := p.header.units(p.opt.Units, 0)
	if err != nil {
		return nil, err
	}
	root := scaleFrame(units.Millimetres)
	x, err := p.expand(names, &root, modelSpace)
	if err != nil {
		return nil, err
	}
	for _, sheet := range []part{activeSheet, storedSheet} {
		if x.sawCurve {
			break
		}
		y, err := p.expand(names, &root, sheet)
		if err != nil {
			return nil, err
		}
		if len(y.d.Paths) > 0 {
			y.d.Repairs = append(y.d.Repairs, Repair{Code: "paper-space-read",
				Line: y.d.Paths[0].Line, Text: "model space is empty; paper space is read"})
			x = y
		}
	}
	if x.unflat > 0 {
		if turn, ok := p.standing(names, &root, x.what); ok {
			root = root.of(turn)
			y, err := p.expand(names, &root, x.what)
			if err != nil {
				return nil, err
			}
			y.d.Repairs = append(y.d.Repairs, Repair{Code: "turned-flat", Line: 1,
				Text: "the drawing stands upright and is turned flat"})
			x = y
		}
	}
	// Only now is the size known, which may say more about the units.
	size := longerSide(x.d.Paths) / units.Millimetres
	better, _ := p.header.units(p.opt.Units, size)
	if better.Millimetres != units.Millimetres {
		grow := scaleFrame(better.Millimetres / units.Millimetres)
		root = grow.of(root)
		// What was refitted is told in mm; all else is as before.
		refitted := func(r Repair) bool { return r.Code == codeRefitted }
		repairs := slices.DeleteFunc(x.d.Repairs, refitted)
		if x, err = p.expand(names, &root, x.what); err != nil {
			return nil, err
		}
		if i := slices.IndexFunc(x.d.Repairs, refitted); i >= 0 {
			repairs = append(repairs, x.d.Repairs[i])
		}
		x.d.Repairs = repairs
	}
	d := x.d
	d.Units = better
	x.finish()
	if len(d.Paths) == 0 {
		return d, p.nothing(d)
	}
	return d, nil
}

// longerSide returns the longer side of the box round all paths.
func longerSide(paths []Path) float64 {
	box := r2.EmptyRect()
	for i := range paths {
		if own(paths[i].Layer) {
			continue // the marks of an earlier run
		}
		for j := range paths[i].Curves {
			c := &paths[i].Curves[j]
			if c.IsArc() && box.ContainsPoint(r2.Point{X: c.Center.X - c.Radius, Y: c.Center.Y - c.Radius}) &&
				box.ContainsPoint(r2.Point{X: c.Center.X + c.Radius, Y: c.Center.Y + c.Radius}) {
				continue // the whole circle would add nothing
			}
			box = box.Union(c.Bounds())
		}
	}
	if box.IsEmpty() {
		return 0
	}
	s := box.Size()
	return max(s.X, s.Y)
}

// nothing says what a drawing without a path holds instead.
func (p *parser) nothing(d *Drawing) error {
	counts := map[string]int{}
	for _, s := range d.Skipped {
		counts[s.Type+" ("+s.Why+")"] += s.Count
	}
	for _, r := range d.Repairs {
		if r.Rejected {
			counts[r.Entity+" ("+r.Code+")"]++
		}
	}
	var list []string
	for k, n := range counts {
		list = append(list, fmt.Sprintf("%d %s", n, k))
	}
	sort.Strings(list)
	if len(list) > 8 {
		list = append(list[:8], "...")
	}
	if n := len(d.Notes); n > 0 {
		list = append(list, fmt.Sprintf("%d TEXT or MTEXT", n))
	}
	text := "the drawing is empty"
	if len(list) > 0 {
		text = "no curve to read, only " + strings.Join(list, ", ")
	}
	return &Error{Code: CodeNothing, Text: text}
}
