package cli

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"math"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"burrcast/cmd/internal/report"
)

// A run is set against an older report in JSON or JSON lines:
//
//  1. The older report is read drawing by drawing; of each only what changes are
//     told of is held (some hundred bytes a part).
//  2. Drawings are paired by path; what is left, by the path below the folder
//     that all drawings of its side share; what is left then, by name, if only
//     one on each side has it. So a job that was moved, or copied for its next
//     revision, is still that job.
//  3. Parts are paired by their measures, those of one id first, and what is
//     left by id: ids shift when a part is added.
//  4. Findings are compared by rule, treatment and numbers, not by place or id:
//     a part that was moved on its sheet did not change.

// older is an older report.
type older struct {
	file       string
	run        *report.Run
	incomplete string // why drawings are missing
	ended      bool   // its end was there
	drawings   map[string]*olderDrawing
	order      []string
	words      map[string]string // every text once
}

type olderDrawing struct {
	name   string
	status string
	parts  []olderPart
	paired bool
}

type olderPart struct {
	id        string
	treatment report.Treatment
	quantity  int
	shape     [5]float64
	hand      report.Range
	line      report.Range
	findings  []mark
}

// mark is a finding as far as changes go.
type mark struct {
	rule      string
	treatment report.Treatment
	numbers   string // measured and limit, rounded
	feature   string // not compared
}

// olderLine is what is read of a line, or of a drawing in a report.
type olderLine struct {
	Schema string      `json:"schema"`
	Run    *report.Run `json:"run"`
	End    *struct {
		Incomplete string `json:"incomplete"`
	} `json:"end"`
	File   *string     `json:"file"`
	Status string      `json:"status"`
	Parts  []olderJSON `json:"parts"`
}

type olderJSON struct {
	ID        string           `json:"id"`
	Quantity  int              `json:"quantity"`
	Area      *report.Num      `json:"area_mm2"`
	Outline   *report.Num      `json:"outline_length_mm"`
	Cut       *report.Num      `json:"cut_length_mm"`
	BBox      [2]report.Num    `json:"bbox_mm"`
	Treatment report.Treatment `json:"treatment"`
	Time      report.Time      `json:"time"`
	Findings  []struct {
		Rule      string           `json:"rule"`
		Treatment report.Treatment `json:"treatment"`
		Feature   string           `json:"feature"`
		Measured  *report.Num      `json:"measured"`
		Limit     *report.Num      `json:"limit"`
	} `json:"findings"`
}

// loadOlder reads the older report, or nothing without one.
func (f *checkFlags) loadOlder() (*older, error) {
	if f.against == "" {
		return nil, nil
	}
	o := &older{file: filepath.ToSlash(f.against), drawings: map[string]*olderDrawing{}, words: map[string]string{}}
	r := &result{file: o.file, path: f.against}
	whole, err := isReport(r)
	if err != nil {
		return nil, err
	}
	in, err := r.open()
	if err != nil {
		return nil, err
	}
	defer in.Close()
	if err := o.read(json.NewDecoder(in), whole); err != nil {
		var broken *json.SyntaxError
		switch {
		case errors.Is(err, io.ErrUnexpectedEOF):
			err = fmt.Errorf("%w, after %d drawings", errEnds, len(o.order))
		case errors.As(err, &broken):
			err = fmt.Errorf("not a result of %s, after %d drawings: %w", program, len(o.order), err)
		}
		return nil, fmt.Errorf("%s: %w", o.file, err)
	}
	return o, nil
}

func (o *older) read(dec *json.Decoder, whole bool) error {
	one := func() error {
		var l olderLine
		if err := dec.Decode(&l); err != nil {
			return err
		}
		return o.take(&l)
	}
	if !whole {
		for {
			if err := one(); errors.Is(err, io.EOF) {
				return nil
			} else if err != nil {
				return err
			}
		}
	}
	return walkReport(dec, func(key string) error {
		switch key {
		case "schema":
			var l olderLine
			if err := dec.Decode(&l.Schema); err != nil {
				return err
			}
			return o.take(&l)
		case "run":
			return dec.Decode(&o.run)
		case "incomplete":
			return dec.Decode(&o.incomplete)
		case "totals":
			o.ended = true
		}
		var skip json.RawMessage
		return dec.Decode(&skip)
	}, one)
}

func (o *older) take(l *olderLine) error {
	if l.Schema != "" && l.Schema != report.Schema {
		return fmt.Errorf("of schema %s, and this program reads %s", l.Schema, report.Schema)
	}
	if l.Run != nil {
		o.run = l.Run
	}
	if l.End != nil {
		o.ended, o.incomplete = true, l.End.Incomplete
	}
	if l.File == nil {
		return nil
	}
	d := &olderDrawing{name: *l.File, status: o.word(l.Status)}
	for i := range l.Parts {
		d.parts = append(d.parts, o.part(&l.Parts[i]))
	}
	if o.drawings[d.name] == nil {
		o.order = append(o.order, d.name)
	}
	o.drawings[d.name] = d
	return nil
}

func (o *older) word(s string) string {
	if w, ok := o.words[s]; ok {
		return w
	}
	o.words[s] = s
	return s
}

func (o *older) part(p *olderJSON) olderPart {
	out := olderPart{id: o.word(p.ID), treatment: report.Treatment(o.word(string(p.Treatment))), quantity: p.Quantity,
		shape: shapeOf(p.Area, p.Outline, p.Cut, p.BBox), hand: p.Time.Hand, line: p.Time.Line}
	for _, f := range p.Findings {
		out.findings = append(out.findings, mark{o.word(f.Rule), report.Treatment(o.word(string(f.Treatment))), o.word(numbersOf(f.Measured, f.Limit)), o.word(f.Feature)})
	}
	return out
}

// partNow is a part of this run in the same form.
func partNow(p *report.Part) olderPart {
	out := olderPart{id: p.ID, treatment: p.Treatment, quantity: p.Quantity,
		shape: shapeOf(p.Area, p.OutlineLength, p.CutLength, p.BBox), hand: p.Time.Hand, line: p.Time.Line}
	for _, f := range p.Findings {
		out.findings = append(out.findings, mark{f.Rule, f.Treatment, numbersOf(f.Measured, f.Limit), f.Feature})
	}
	return out
}

func shapeOf(area, outline, cut *report.Num, box [2]report.Num) [5]float64 {
	out := [5]float64{3: float64(box[0]), 4: float64(box[1])}
	for i, n := range []*report.Num{area, outline, cut} {
		if n != nil {
			out[i] = float64(*n)
		}
	}
	return out
}

// numbersOf are a finding's numbers to six digits: finer differences between
// two runs are no change to anybody.
func numbersOf(measured, limit *report.Num) string {
	out := ""
	for _, n := range []*report.Num{measured, limit} {
		if n != nil {
			out += strconv.FormatFloat(float64(*n), 'g', 6, 64)
		}
		out += " "
	}
	return out
}

// alikeNumbers says whether numbers are the same but for how they were rounded.
func alikeNumbers(a, b, slack float64) bool {
	return math.Abs(a-b) <= slack*math.Max(math.Abs(a), math.Abs(b))+1e-9
}

func alikeRange(a, b report.Range) bool {
	const rounding = 1e-9 // reports hold twelve digits
	return alikeNumbers(float64(a[0]), float64(b[0]), rounding) && alikeNumbers(float64(a[1]), float64(b[1]), rounding)
}

func (p *olderPart) sameShape(q *olderPart) bool {
	const slack = 1e-6 // what a measure may be off
	for i := range p.shape {
		if !alikeNumbers(p.shape[i], q.shape[i], slack) {
			return false
		}
	}
	return true
}

// pair finds for every drawing of this run, by name, the older one.
func (o *older) pair(names []string) map[string]*olderDrawing {
	pairs := map[string]*olderDrawing{}
	for _, name := range names {
		if d := o.drawings[name]; d != nil {
			pairs[name], d.paired = d, true
		}
	}
	now, then := common(names), common(o.order)
	for _, key := range []struct{ now, then func(string) string }{
		{func(n string) string { return strings.TrimPrefix(n, now) }, func(n string) string { return strings.TrimPrefix(n, then) }},
		{path.Base, path.Base},
	} {
		left := map[string][]*olderDrawing{}
		for _, name := range o.order {
			if d := o.drawings[name]; !d.paired {
				left[key.then(name)] = append(left[key.then(name)], d)
			}
		}
		asked := map[string][]string{}
		for _, name := range names {
			if pairs[name] == nil {
				asked[key.now(name)] = append(asked[key.now(name)], name)
			}
		}
		for k, who := range asked {
			if len(who) == 1 && len(left[k]) == 1 {
				pairs[who[0]], left[k][0].paired = left[k][0], true
			}
		}
	}
	return pairs
}

// common is the folder that all names share, with the "/" behind it.
func common(names []string) string {
	if len(names) == 0 {
		return ""
	}
	dir, _ := path.Split(names[0])
	for _, n := range names {
		for !strings.HasPrefix(n, dir) {
			dir, _ = path.Split(strings.TrimSuffix(dir, "/"))
		}
	}
	return dir
}

// doubts are reasons why an older report may differ that lie not in drawings.
func (o *older) doubts(run *report.Run) []string {
	var out []string
	switch {
	case o.incomplete != "":
		out = append(out, o.file+" does not hold every drawing: "+o.incomplete)
	case !o.ended:
		out = append(out, fmt.Sprintf("%s has no end and may have been cut off, after %d drawings", o.file, len(o.order)))
	}
	if o.run == nil || run == nil {
		return out
	}
	if o.run.Program != run.Program {
		out = append(out, fmt.Sprintf("%s was made by another version of the program (%s)", o.file, o.run.Program))
	}
	if o.run.Shop != run.Shop {
		out = append(out, o.file+" was judged with another shop file")
	}
	names := slices.Sorted(maps.Keys(o.run.Flags))
	for name := range run.Flags {
		if !has(o.run.Flags, name) {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	say := func(m map[string]string, name string) string {
		if v, ok := m[name]; ok {
			return strconv.Quote(v)
		}
		return "not given"
	}
	for _, name := range names {
		if then, now := say(o.run.Flags, name), say(run.Flags, name); then != now {
			out = append(out, fmt.Sprintf("%s was made with another --%s: then %s, now %s", o.file, name, then, now))
		}
	}
	return out
}
