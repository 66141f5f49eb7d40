package report

import (
	"encoding/csv"
	"io"
	"strconv"
	"strings"
)

// column is one column of the table: one row a part, and one for a drawing
// that has none. p is nil for the latter.
type column struct {
	name string
	cell func(d *Drawing, p *Part) string
}

var columns = []column{
	{"file", func(d *Drawing, _ *Part) string { return d.File }},
	{"status", func(d *Drawing, _ *Part) string { return d.Status }},
	{"part", part(func(p *Part) string { return p.ID })},
	{"quantity", part(func(p *Part) string { return strconv.Itoa(p.Quantity) })},
	{"mirrored_of", part(func(p *Part) string { return p.MirroredOf })},
	{"treatment", part(func(p *Part) string { return string(p.Treatment) })},
	{"material", input("material")},
	{"thickness", input("thickness")},
	{"process", input("process")},
	{"edge", input("edge")},
	{"line", input("line")},
	{"bbox_width_mm", part(func(p *Part) string { return p.BBox[0].String() })},
	{"bbox_height_mm", part(func(p *Part) string { return p.BBox[1].String() })},
	{"area_mm2", part(func(p *Part) string { return cell(p.Area) })},
	{"outline_length_mm", part(func(p *Part) string { return cell(p.OutlineLength) })},
	{"cut_length_mm", part(func(p *Part) string { return cell(p.CutLength) })},
	{"min_width_mm", part(func(p *Part) string { return cell(p.MinWidth) })},
	{"cutouts", part(func(p *Part) string { return strconv.Itoa(len(p.Cutouts)) })},
	{"notches", part(func(p *Part) string { return strconv.Itoa(len(p.Notches)) })},
	{"webs", part(func(p *Part) string { return strconv.Itoa(len(p.Webs)) })},
	{"corners", part(func(p *Part) string { return strconv.Itoa(len(p.Corners)) })},
	{"joints", part(func(p *Part) string { return strconv.Itoa(len(p.Joints)) })},
	{"bends", part(func(p *Part) string { return strconv.Itoa(len(p.Bends)) })},
	{"incomplete", part(func(p *Part) string { return p.Incomplete })},
	{"feed_deg", feed(func(f *Feed) *Num { return &f.Angle })},
	{"feed_length_mm", feed(func(f *Feed) *Num { return &f.Length })},
	{"feed_width_mm", feed(func(f *Feed) *Num { return &f.Width })},
	{"hold_margin", feed(func(f *Feed) *Num { return f.HoldMargin })},
	{"edge_worked_share", feed(func(f *Feed) *Num { return f.Worked })},
	{"findings", part(func(p *Part) string { return strconv.Itoa(len(p.Findings)) })},
	{"rules", part(func(p *Part) string { return join(p, func(f Finding) string { return f.Rule }) })},
	{"why", part(func(p *Part) string { return join(p, func(f Finding) string { return f.Why }) })},
	{"do", part(func(p *Part) string { return join(p, func(f Finding) string { return f.Do }) })},
	{"burr_kind", burr(func(b *Burr) string { return b.Kind })},
	{"burr_side", burr(func(b *Burr) string { return b.Side })},
	{"burr_low_mm", burr(func(b *Burr) string { return b.Low.String() })},
	{"burr_high_mm", burr(func(b *Burr) string { return b.High.String() })},
	{"line_s_low", part(func(p *Part) string { return p.Time.Line[0].String() })},
	{"line_s_high", part(func(p *Part) string { return p.Time.Line[1].String() })},
	{"hand_s_low", part(func(p *Part) string { return p.Time.Hand[0].String() })},
	{"hand_s_high", part(func(p *Part) string { return p.Time.Hand[1].String() })},
	{"cost_low", part(func(p *Part) string { return p.Cost[0].String() })},
	{"cost_high", part(func(p *Part) string { return p.Cost[1].String() })},
	{"messages", func(d *Drawing, _ *Part) string {
		var out []string
		for _, m := range d.Messages {
			if m.Code != InputCode {
				out = append(out, m.Text)
			}
		}
		return strings.Join(out, "; ")
	}},
}

func part(f func(*Part) string) func(*Drawing, *Part) string {
	return func(_ *Drawing, p *Part) string {
		if p == nil {
			return ""
		}
		return f(p)
	}
}

func feed(f func(*Feed) *Num) func(*Drawing, *Part) string {
	return part(func(p *Part) string {
		if p.Feed == nil {
			return ""
		}
		return cell(f(p.Feed))
	})
}

func burr(f func(*Burr) string) func(*Drawing, *Part) string {
	return part(func(p *Part) string {
		if p.Burr == nil {
			return ""
		}
		return f(p.Burr)
	})
}

func input(name string) func(*Drawing, *Part) string {
	return func(d *Drawing, _ *Part) string { return d.Input(name).Value }
}

func cell(n *Num) string {
	if n == nil {
		return ""
	}
	return n.String()
}

// join lists what the findings say, the most severe first, each once.
func join(p *Part, say func(Finding) string) string {
	var out []string
	seen := map[string]bool{}
	for _, f := range sorted(p.Findings) {
		s := say(f)
		if s != "" && !seen[s] {
			seen[s] = true
			out = append(out, s)
		}
	}
	return strings.Join(out, "; ")
}

type csvRenderer struct {
	w       io.Writer
	started bool
}

func (r *csvRenderer) Drawing(d *Drawing) error {
	out := csv.NewWriter(r.w)
	if err := r.head(out); err != nil {
		return err
	}
	row := func(p *Part) error {
		cells := make([]string, len(columns))
		for i, c := range columns {
			cells[i] = harmless(c.cell(d, p))
		}
		return out.Write(cells)
	}
	if len(d.Parts) == 0 {
		if err := row(nil); err != nil {
			return err
		}
	}
	for i := range d.Parts {
		if err := row(&d.Parts[i]); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

func (r *csvRenderer) head(out *csv.Writer) error {
	if r.started {
		return nil
	}
	r.started = true
	names := make([]string, len(columns))
	for i, c := range columns {
		names[i] = c.name
	}
	return out.Write(names)
}

// Close writes the head even when there was no drawing.
func (r *csvRenderer) Close(Tail) error {
	out := csv.NewWriter(r.w)
	if err := r.head(out); err != nil {
		return err
	}
	out.Flush()
	return out.Error()
}

// harmless keeps texts that come out of drawings and file names from being
// taken for formulas by a spreadsheet. Numbers stay as they are.
func harmless(s string) string {
	if s == "" || !strings.ContainsRune("=+-@\t\r", rune(s[0])) {
		return s
	}
	if _, err := strconv.ParseFloat(s, 64); err == nil {
		return s
	}
	return "'" + s
}
