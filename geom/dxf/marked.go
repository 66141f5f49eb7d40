package dxf

import (
	"bytes"
	"fmt"
	"slices"
	"strings"

	"burrcast/geom"

	"github.com/golang/geo/r2"
	"golang.org/x/text/encoding/unicode"
)

// Layers of our own in a marked drawing. Everything else in it is the drawing's.
// A marked drawing that is read again is the drawing: see WithoutMarks.
const (
	MarkLayer   = "BURRCAST_MARK"   // a circle round every place
	EdgeLayer   = "BURRCAST_EDGE"   // stretches of edge, drawn over the edge
	NumberLayer = "BURRCAST_NUMBER" // the numbers beside the circles
	LegendLayer = "BURRCAST_LEGEND" // what the numbers mean, below the drawing
)

// ownPrefix starts the names of all our layers.
const ownPrefix = "BURRCAST_"

// Mark is one place to mark.
type Mark struct {
	At     r2.Point // mm
	Radius float64  // mm of the circle; 0 for one that suits the drawing
	Label  string
	Color  int // colour index
}

// Marks is what is drawn over a drawing. Lengths are mm.
type Marks struct {
	Places []Mark
	Edges  []geom.Curve
	Legend []string // one line each, below the drawing
}

// Marked puts marks into a drawing's own file: data is the file as it was read,
// packed or not, and d what Read made of it. Every byte of the drawing stays, in
// its order; what is added are rows of the layer table and entities of model
// space, in the file's own form (text or binary), version, units and line ends,
// with handles that nobody has. Marks of an earlier run make room.
//
// Where that cannot be, the drawing is written anew (see WriteMarked), anew says
// why and what is left out, and so does the legend:
//
//  1. a file whose structure had to be mended, or numbers in which nobody can
//     read: what is damaged does not open elsewhere;
//  2. a drawing that was turned flat, since the marks lie in another place, or
//     read from a sheet that is put away;
//  3. a file without a frame to put anything in.
func Marked(data []byte, d *Drawing, m Marks, opt Options) (out []byte, anew string, err error) {
	data, err = unpack(data, opt.withDefaults())
	if err != nil {
		return nil, "", err
	}
	why := damage(d)
	if why == "" {
		if out, why = keepBytes(data, d, m); why == "" {
			return out, "", nil
		}
	}
	anew = why + "; " + left(d)
	m.Legend = append(slices.Clip(m.Legend), "written anew, not the original file: "+anew)
	var b bytes.Buffer
	if err := WriteMarked(&b, d, m); err != nil {
		return nil, "", err
	}
	return b.Bytes(), anew, nil
}

// spoilt lists the repairs after which the file's own bytes are no sound frame,
// in words.
var spoilt = map[string]string{
	"missing-endsec": "a section without an end", "missing-eof": "the file has no end", "missing-endblk": "a block without an end",
	"missing-seqend": "a polyline without an end", "orphan-seqend": "stray ends of polylines", "orphan-vertex": "stray vertices",
	"stray-endsec": "stray ends of sections", "unnamed-section": "a section without a name", "outside-section": "content outside the sections",
	"outside-block": "content between blocks", "junk-before": "lines before the first tag", "blank-line": "stray blank lines",
	"bad-code": "lines that are no tags", "doubled-line-ends": "doubled line ends", "bad-number": "numbers that cannot be read",
	"truncated": "the file ends in an entity", "broken-entity": "a broken entity",
	"turned-flat": "the drawing stands upright and was turned flat",
}

// damage says why a drawing's file cannot stay as it is, or nothing.
func damage(d *Drawing) string {
	var out []string
	for _, r := range d.Repairs {
		if why := spoilt[r.Code]; why != "" && !slices.Contains(out, why) {
			out = append(out, why)
		}
	}
	return strings.Join(out, ", ")
}

// left says what a drawing written anew lacks.
func left(d *Drawing) string {
	var order []string
	count := map[string]int{}
	add := func(what string, n int) {
		if count[what] == 0 {
			order = append(order, what)
		}
		count[what] += n
	}
	for _, s := range d.Skipped {
		add(s.Type, s.Count)
	}
	for _, r := range d.Repairs {
		if r.Rejected {
			add("unread "+r.Entity, 1)
		}
	}
	for i, what := range order {
		order[i] = fmt.Sprintf("%d %s", count[what], oneLine(what))
	}
	const most = 12
	if n := len(order); n > most {
		order = append(order[:most], fmt.Sprintf("%d more types", n-most))
	}
	if len(order) == 0 {
		return "lines and arcs as they were read"
	}
	return "lines and arcs as they were read, without " + strings.Join(order, ", ")
}

// keepBytes adds the marks to a file, or says why it cannot.
func keepBytes(data []byte, d *Drawing, m Marks) (out []byte, why string) {
	switch {
	case bytes.HasPrefix(data, sentinel):
		l := locate(newBinaryScanner(data, nil))
		return l.splice(data, d, m)
	case bytes.HasPrefix(data, []byte("\xff\xfe")) || bytes.HasPrefix(data, []byte("\xfe\xff")):
		wide := unicode.UTF16(unicode.LittleEndian, unicode.UseBOM)
		if data[0] == 0xfe {
			wide = unicode.UTF16(unicode.BigEndian, unicode.UseBOM)
		}
		text, err := plainText(data)
		if err != nil {
			return nil, "broken UTF-16 text"
		}
		if back, err := wide.NewEncoder().Bytes(text); err != nil || !bytes.Equal(back, data) {
			return nil, "broken UTF-16 text"
		}
		l := locate(newScanner(text, nil))
		if text, why = l.splice(text, d, m); why != "" {
			return nil, why
		}
		if out, err = wide.NewEncoder().Bytes(text); err != nil {
			return nil, "broken UTF-16 text"
		}
		return out, ""
	}
	mark := 0 // bytes of the byte order mark
	if bytes.HasPrefix(data, []byte("\xef\xbb\xbf")) {
		mark = 3
	}
	l := locate(newScanner(data[mark:], nil))
	if out, why = l.splice(data[mark:], d, m); why != "" {
		return nil, why
	}
	return append(data[:mark:mark], out...), ""
}

// WithoutMarks is a drawing without what an earlier run marked in it.
func WithoutMarks(d *Drawing) *Drawing {
	marked := slices.ContainsFunc(d.Paths, func(p Path) bool { return own(p.Layer) }) ||
		slices.ContainsFunc(d.Notes, func(n Note) bool { return own(n.Layer) })
	if !marked {
		return d
	}
	c := *d
	c.Paths = slices.DeleteFunc(slices.Clone(d.Paths), func(p Path) bool { return own(p.Layer) })
	c.Notes = slices.DeleteFunc(slices.Clone(d.Notes), func(n Note) bool { return own(n.Layer) })
	return &c
}

func own(layer string) bool {
	return len(layer) >= len(ownPrefix) && strings.EqualFold(layer[:len(ownPrefix)], ownPrefix)
}
