package report

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"burrcast/geom"

	"github.com/golang/geo/r2"
)

// Files of a form for samples.
const (
	FormBook = "samples.xlsx"
	FormPage = "samples.html"
)

// SampleForm is an inspection sheet: which pieces to take and which numbered
// places on them to look at.
type SampleForm struct {
	Parts []SamplePart
}

// SamplePart is one part on a form.
type SamplePart struct {
	File, Line        string // drawing, and finishing line as the shop file names it
	Part              *Part  // with its drawing
	Material, Process string
	Thickness         float64 // mm; 0 unknown
	Pieces            int     // of the lot
	Take              []int   // their numbers, from 1
	Places            []SamplePlace
}

// SamplePlace is one numbered place on a part.
type SamplePlace struct {
	Number      int
	Feature     string
	Rule, Title string
	X, Y        float64 // mm
	Measured    float64
	Limit       float64
	Unit        string
	Filament    float64 // mm; 0: of no account
	Chance      float64 // forecast of clean
	Control     bool    // a clear case
	BurrLow     float64 // mm; valid if BurrKnown
	BurrHigh    float64
	BurrKnown   bool
}

// Rows counts the rows that an inspector fills in.
func (f *SampleForm) Rows() int {
	n := 0
	for _, p := range f.Parts {
		n += len(p.Places) * len(p.Take)
	}
	return n
}

// errFilled is why a form is not written over.
var errFilled = errors.New("is there already and may have been filled in: choose another folder, or put it away")

// WriteSampleForm writes a form as workbook and page to a folder, both whole or
// none, and never over a form that stands there. Inputs are files that must not
// be written over either.
func WriteSampleForm(dir string, form *SampleForm, inputs []string) error {
	f := &Folder{dir: dir, inputs: map[string]string{}}
	for _, in := range inputs {
		if in != "" {
			f.inputs[place(filepath.FromSlash(in))] = in
		}
	}
	for _, name := range []string{FormBook, FormPage} {
		full := filepath.Join(dir, name)
		if _, err := os.Lstat(full); !errors.Is(err, fs.ErrNotExist) {
			return fmt.Errorf("%s %w", filepath.ToSlash(full), errFilled)
		}
	}
	if err := f.mkdir(dir); err != nil {
		return f.failed(dir, err)
	}
	defer f.Abort()
	for _, file := range []struct {
		name  string
		write func(*output) error
	}{
		{FormBook, func(o *output) error { return writeFormBook(o, form) }},
		{FormPage, func(o *output) error { return writeFormPage(o, form) }},
	} {
		o, err := f.create(file.name)
		if err != nil {
			return err
		}
		if err := file.write(o); err != nil {
			return f.failed(o.name, err)
		}
	}
	return f.Close(Tail{})
}

// samplePicture draws a part for a form: its contours, and a numbered mark at
// every place to look at. It is empty where there is nothing to draw.
func samplePicture(p *SamplePart) string {
	d := p.Part.Drawing
	if len(d.Contours) == 0 {
		return ""
	}
	box := geom.LoopBounds(d.Contours[0])
	size := box.Size()
	if box.IsEmpty() || !(size.X > 0 && size.Y > 0) {
		return ""
	}
	const width, height = pageWidth, 420
	s := &svg{}
	s.scale = min((width-2*svgMargin)/size.X, height/size.Y)
	s.origin = r2.Point{X: (width-s.scale*size.X)/2 - s.scale*box.X.Lo, Y: svgMargin + s.scale*box.Y.Hi}
	s.area = r2.RectFromPoints(r2.Point{}, r2.Point{X: width, Y: 2*svgMargin + s.scale*size.Y})
	d.Burred = nil // the inspector is not told what to find
	s.part(d)
	loops := map[string][]geom.Curve{}
	for i := range min(len(p.Part.Cutouts), len(d.Contours)-1) {
		loops[p.Part.Cutouts[i].ID] = d.Contours[i+1]
	}
	for _, place := range p.Places {
		at := s.at(onFeature(r2.Point{X: place.X, Y: place.Y}, loops[place.Feature]))
		if !s.area.ContainsPoint(at) {
			continue
		}
		mid, ok := s.spot(at)
		if !ok {
			mid = at // the number counts more than the room
		}
		s.put(`<g class="look"><path d="M%sL%s"/><circle class="dot" cx="%s" cy="%s" r="2"/><circle cx="%s" cy="%s" r="13"/><text x="%s" y="%s" font-size="15">%d</text></g>`,
			xy(at), xy(mid), px(at.X), px(at.Y), px(mid.X), px(mid.Y), px(mid.X), px(mid.Y+5.5), place.Number)
	}
	return fmt.Sprintf("<svg class=\"pic\" viewBox=\"0 0 %d %s\" role=\"img\" aria-label=\"%s\">\n%s</svg>",
		width, px(s.area.Y.Hi), text("part "+p.Part.ID+" with the places to look at"), s.b.String())
}

// pieceWords says which pieces to take.
func (p *SamplePart) pieceWords() string {
	if p.Pieces <= 1 {
		return "the one piece"
	}
	words := make([]string, len(p.Take))
	for i, n := range p.Take {
		words[i] = fmt.Sprint(n)
	}
	return fmt.Sprintf("pieces %s of %d", strings.Join(words, ", "), p.Pieces)
}
