package report

import (
	"bytes"
	_ "embed"
	"encoding/json"
	"io"
	"os"
)

// SchemaJSON is the JSON schema (draft 2020-12) of the whole report. A line of
// the JSON lines format is its "#/$defs/drawing".
//
//go:embed schema.json
var SchemaJSON []byte

// jsonRenderer writes one object. The questions stand before the drawings, and
// nobody knows them before the last drawing, so the drawings wait in a spool.
type jsonRenderer struct {
	w     io.Writer
	spool spool
	count int
}

func (r *jsonRenderer) Drawing(d *Drawing) error {
	sep := ",\n    "
	if r.count == 0 {
		sep = "\n    "
	}
	r.count++
	text, err := encode(filled(d), "    ", "  ")
	if err != nil {
		return err
	}
	if _, err := r.spool.Write([]byte(sep)); err != nil {
		return err
	}
	_, err = r.spool.Write(text)
	return err
}

func (r *jsonRenderer) Close(t Tail) error {
	defer r.spool.drop()
	var head, tail bytes.Buffer
	head.WriteString("{\n")
	if err := field(&head, "schema", Schema, ",\n"); err != nil {
		return err
	}
	if err := field(&head, "questions", list(t.Questions), ",\n"); err != nil {
		return err
	}
	head.WriteString("  \"drawings\": [")
	if r.count > 0 {
		tail.WriteString("\n  ")
	}
	tail.WriteString("],\n")
	if err := field(&tail, "totals", t.Totals, ",\n"); err != nil {
		return err
	}
	end := "\n"
	if t.Comparison != nil {
		end = ",\n"
	}
	if err := field(&tail, "notes", list(t.Notes), end); err != nil {
		return err
	}
	if t.Comparison != nil {
		c := *t.Comparison
		c.Lines, c.Differences, c.Next = list(c.Lines), list(c.Differences), list(c.Next)
		if err := field(&tail, "comparison", c, "\n"); err != nil {
			return err
		}
	}
	tail.WriteString("}\n")
	if _, err := r.w.Write(head.Bytes()); err != nil {
		return err
	}
	if err := r.spool.copyTo(r.w); err != nil {
		return err
	}
	_, err := r.w.Write(tail.Bytes())
	return err
}

func field(b *bytes.Buffer, name string, v any, end string) error {
	text, err := encode(v, "  ", "  ")
	if err != nil {
		return err
	}
	b.WriteString("  \"" + name + "\": ")
	b.Write(text)
	b.WriteString(end)
	return nil
}

// lineRenderer writes one drawing a line, as soon as it comes.
type lineRenderer struct{ w io.Writer }

func (r *lineRenderer) Drawing(d *Drawing) error {
	text, err := encode(filled(d), "", "")
	if err != nil {
		return err
	}
	_, err = r.w.Write(append(text, '\n'))
	return err
}

func (r *lineRenderer) Close(Tail) error { return nil }

// encode writes a value without the escapes that only web pages need.
func encode(v any, prefix, indent string) ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent(prefix, indent)
	if err := e.Encode(v); err != nil {
		return nil, err
	}
	return bytes.TrimSuffix(b.Bytes(), []byte("\n")), nil
}

// list makes an absent list an empty one: the output has no null for "none".
func list[T any](s []T) []T {
	if s == nil {
		return []T{}
	}
	return s
}

// filled is a copy whose lists are all there.
func filled(d *Drawing) *Drawing {
	c := *d
	c.Messages = list(c.Messages)
	c.Skipped = list(c.Skipped)
	c.Parts = append(make([]Part, 0, len(c.Parts)), c.Parts...)
	for i := range c.Parts {
		p := &c.Parts[i]
		p.Cutouts, p.Notches, p.Corners = list(p.Cutouts), list(p.Notches), list(p.Corners)
		p.Joints, p.Bends, p.Findings = list(p.Joints), list(p.Bends), list(p.Findings)
		p.Webs = append(make([]Web, 0, len(p.Webs)), p.Webs...)
		for k := range p.Webs {
			p.Webs[k].Between = list(p.Webs[k].Between)
		}
		p.Route = append(make([]Step, 0, len(p.Route)), p.Route...)
		for k := range p.Route {
			p.Route[k].Settings = list(p.Route[k].Settings)
		}
	}
	return &c
}

// spool keeps output that has to wait: in memory, and beyond a limit in a
// temporary file, so that memory stays bounded for any number of drawings.
type spool struct {
	memory bytes.Buffer
	file   *os.File
}

// spoolMemory is how much waits in memory, in bytes.
const spoolMemory = 16 << 20

func (s *spool) Write(p []byte) (int, error) {
	if s.file == nil && s.memory.Len()+len(p) > spoolMemory {
		f, err := os.CreateTemp("", "burrcast-*.json")
		if err != nil {
			return 0, err
		}
		s.file = f
		if _, err := s.memory.WriteTo(f); err != nil {
			return 0, err
		}
		s.memory = bytes.Buffer{}
	}
	if s.file != nil {
		return s.file.Write(p)
	}
	return s.memory.Write(p)
}

func (s *spool) copyTo(w io.Writer) error {
	if s.file == nil {
		_, err := s.memory.WriteTo(w)
		return err
	}
	if _, err := s.file.Seek(0, io.SeekStart); err != nil {
		return err
	}
	_, err := io.Copy(w, s.file)
	return err
}

// drop removes the temporary file. What it held has been written or is lost
// with the run, so a failure here changes nothing.
func (s *spool) drop() {
	if s.file != nil {
		s.file.Close()
		os.Remove(s.file.Name())
		s.file = nil
	}
}
