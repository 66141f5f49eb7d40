package report

import (
	"bytes"
	_ "embed"
	"encoding/json"
	"io"
	"slices"
	"sync"
)

// SchemaJSON is the JSON schema (draft 2020-12) of the whole report. A line of
// the JSON lines format is its "#/$defs/line".
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

// drop gives up what waits.
func (r *jsonRenderer) drop() { r.spool.drop() }

func (r *jsonRenderer) Drawing(d *Drawing) error {
	sep := ",\n    "
	if r.count == 0 {
		sep = "\n    "
	}
	r.count++
	text, err := d.indented()
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
	if t.Run != nil {
		if err := field(&head, "run", t.Run, ",\n"); err != nil {
			return err
		}
	}
	if t.Incomplete != "" {
		if err := field(&head, "incomplete", t.Incomplete, ",\n"); err != nil {
			return err
		}
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
	if err := field(&tail, "notes", list(t.Notes), ""); err != nil {
		return err
	}
	for _, more := range []struct {
		name  string
		there bool
		value any
	}{
		{"comparison", t.Comparison != nil, t.Comparison.filled()},
		{"messages", len(t.Messages) > 0, t.Messages},
		{"changes", t.Changes != nil, t.Changes.filled()},
	} {
		if more.there {
			tail.WriteString(",\n")
			if err := field(&tail, more.name, more.value, ""); err != nil {
				return err
			}
		}
	}
	tail.WriteString("\n}\n")
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

// lineRenderer writes one drawing a line. The last one also carries the end, so
// each waits for the next.
type lineRenderer struct {
	w     io.Writer
	run   *Run
	begun bool
	held  []byte
	room  []byte // for the next line
}

func (r *lineRenderer) start(run *Run) { r.run = run }

func (r *lineRenderer) Drawing(d *Drawing) error {
	if err := r.flush(); err != nil {
		return err
	}
	if d.Encoded == nil {
		return r.hold(Line{Drawing: filled(d)})
	}
	if r.begun {
		r.held = append(append(r.room[:0], d.Encoded...), '\n')
		return nil
	}
	if err := r.hold(Line{}); err != nil {
		return err
	}
	head := bytes.TrimSuffix(r.held, []byte("}\n"))
	r.held = append(append(append(head, ','), d.Encoded[1:]...), '\n')
	return nil
}

func (r *lineRenderer) hold(l Line) error {
	if !r.begun {
		r.begun, l.Schema, l.Run = true, Schema, r.run
	}
	text, err := encode(l, "", "")
	r.held = append(text, '\n')
	return err
}

func (r *lineRenderer) flush() error {
	if r.held == nil {
		return nil
	}
	_, err := r.w.Write(r.held)
	r.held, r.room = nil, r.held
	return err
}

func (r *lineRenderer) Close(t Tail) error {
	if r.held == nil {
		if err := r.hold(Line{}); err != nil {
			return err
		}
	}
	end, err := encode(End{Incomplete: t.Incomplete, Questions: list(t.Questions), Totals: t.Totals, Notes: list(t.Notes),
		Comparison: t.Comparison.filled(), Messages: t.Messages, Changes: t.Changes.filled()}, "", "")
	if err != nil {
		return err
	}
	line := bytes.TrimSuffix(r.held, []byte("}\n"))
	r.held = append(append(append(line, `,"end":`...), end...), "}\n"...)
	return r.flush()
}

// filled is a copy whose lists are all there.
func (c *Comparison) filled() *Comparison {
	if c == nil {
		return nil
	}
	f := *c
	f.Lines, f.Differences, f.Next = list(f.Lines), list(f.Differences), list(f.Next)
	return &f
}

// encode writes a value without the escapes that only web pages need.
func encode(v any, prefix, indent string) ([]byte, error) {
	b := buffers.Get().(*bytes.Buffer)
	defer buffers.Put(b)
	b.Reset()
	e := json.NewEncoder(b)
	e.SetEscapeHTML(false)
	e.SetIndent(prefix, indent)
	if err := e.Encode(v); err != nil {
		return nil, err
	}
	return bytes.Clone(bytes.TrimSuffix(b.Bytes(), []byte("\n"))), nil
}

// buffers grow to the largest drawing and are not grown for each.
var buffers = sync.Pool{New: func() any { return new(bytes.Buffer) }}

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
	c.Lacks = slices.Clone(c.Lacks)
	for i := range c.Lacks {
		c.Lacks[i].Unjudged = list(c.Lacks[i].Unjudged)
	}
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
