package report

import (
	"bytes"
	"crypto/sha256"
	_ "embed"
	"encoding/base64"
	"fmt"
	"html/template"
	"io"
	"math"
	"path"
	"slices"
	"strings"
)

// The page is one file that works without a network: its style and its script
// stand in it, and a content security policy lets a browser run these two, by
// their hashes, and load nothing. Every text out of a drawing goes through
// html/template, which escapes it for the place where it stands.

//go:embed page/style.css
var pageStyleFile string

//go:embed page/script.js
var pageScriptFile string

//go:embed page/page.tmpl
var pageTemplates string

// A browser takes the hash after it has made every line end a line feed.
var (
	pageStyle  = strings.ReplaceAll(pageStyleFile, "\r\n", "\n")
	pageScript = strings.ReplaceAll(pageScriptFile, "\r\n", "\n")
)

var pageTemplate = template.Must(template.New("page").Funcs(template.FuncMap{
	"plural": plural, "short": short, "sentence": sentence, "clean": clean, "shown": shown, "numbers": numbers,
	"upper": strings.ToUpper, "need": need, "duration": duration, "money": money, "benchWords": benchWords, "question": ask, "choices": choices, "num": func(n Num) float64 { return float64(n) },
}).Parse(pageTemplates))

// pageRenderer finishes one piece a part, which waits in a spool; what stays in
// memory is where each stands and what puts it in its place.
type pageRenderer struct {
	w      io.Writer
	pieces []piece
	spool  spool // the rows and sheets of all, as they came
	files  int
	bad    int
	part   int
	cost   Range
	first  int // piece that the drawing's first part is
	head   pageHead
}

// piece is what the page says of one part, or of a drawing without parts.
type piece struct {
	rank  int     // severity; unreadable drawings come first
	bench float64 // seconds on the bench at most, all pieces
	order int
	row   pageRow

	from        int64 // in the spool
	line, sheet int64 // bytes of the row of the list, and of what opens below it
}

// pageRow is the overview's view of a part.
type pageRow struct {
	ID, Name, Part, Treatment string
	Bench                     Range // of all pieces
}

// pageHead is what stands above the parts.
type pageHead struct {
	Summary   string
	Counts    []pageCount
	Hand      string
	Line      string
	Cost      string
	Common    []string
	Questions []Question
	Notes     []string
	Most      []pageBar
	MostOf    string // what the bars below leave out, in words
	Rules     []string
	Materials []string
	Parts     int
	Later     bool // parts wait as text until a script makes them

	Comparison *Comparison
	Messages   []Message
	Changes    *Changes
}

type pageCount struct {
	Treatment string
	Parts     int
}

// pageBar is one part that bench time goes to; the numbers are hundredths of
// the longest.
type pageBar struct {
	Row       pageRow
	Low, High float64
	Time      string
}

// pagePart is a part as the template sees it.
type pagePart struct {
	Drawing  *Drawing
	Part     *Part // nil for a drawing without parts
	ID       string
	Word     string
	Folder   string
	Name     string
	Rank     int
	Order    int
	Bench    float64
	CostAll  float64
	Material string
	Stock    string
	Rules    string
	Search   string
	First    string
	Groups   []pageGroup
	Picture  template.HTML
	PerMM    string
	Bar      pageBarLine
	Feed     *pageFeed
	Legend   pageLegend
	Times    []pageTime
	Warnings []string
	Told     []Message
	ToldAt   string // the part that tells them, if it is another
	ToldBy   string
	Sources  []pageSource
	Burred   string
}

// pageGroup is the findings of one rule.
type pageGroup struct {
	Number int
	First  *Finding
	Limit  string // of all places, if it is one
	Places []pagePlace
	More   []pagePlace // beyond those shown at once
}

type pagePlace struct {
	Key, At, Words string
}

type pageBarLine struct{ End, Words string }

type pageFeed struct {
	Turn  float64 // of the arrow, degrees clockwise from pointing right
	Words string
	Facts []string
}

type pageLegend struct{ Burred, Bends, Etch, Joints, Forms bool }

type pageTime struct{ What, Each, All string }

type pageSource struct{ What, Source string }

// atOnce is how many parts a browser is given to read before any is opened.
// Beyond it a part waits as plain text, which costs next to nothing, until it
// is opened.
const atOnce = 600

// placesShown is how many places of one rule stand open.
const placesShown = 12

// need says a treatment in words.
func need(t string) string {
	return map[string]string{
		unread: "could not be read", "ask": "needs an answer first", "hand": "needs bench work",
		"fixture": "needs holding", "brush": "needs a brush", "line": "runs as it is",
	}[t]
}

func shown(n *Num) string {
	if n == nil {
		return ""
	}
	return short(float64(*n))
}

func (r *pageRenderer) Drawing(d *Drawing) error {
	r.files++
	switch d.Status {
	case Unreadable:
		r.bad++
	case Partial:
		r.part++
	}
	for _, in := range d.Inputs {
		if words := in.words() + " (" + in.Source + ")"; in.Value != "" && in.common() && !slices.Contains(r.head.Common, words) {
			r.head.Common = append(r.head.Common, words)
		}
	}
	r.first = len(r.pieces)
	if len(d.Parts) == 0 {
		return r.keep(d, nil)
	}
	for i := range d.Parts {
		if err := r.keep(d, &d.Parts[i]); err != nil {
			return err
		}
	}
	return nil
}

// keep renders one part.
func (r *pageRenderer) keep(d *Drawing, p *Part) error {
	v := pagePart{Drawing: d, Part: p, Word: unread, Rank: len(Treatments), Order: len(r.pieces)}
	v.ID = fmt.Sprintf("p%d", v.Order+1)
	v.Folder, v.Name = path.Split(clean(d.File))
	if p == nil || p == &d.Parts[0] {
		v.Told = told(d)
	} else if len(told(d)) > 0 {
		// Once is enough: a nest has a hundred parts and as many messages.
		v.ToldAt, v.ToldBy = fmt.Sprintf("p%d", r.first+1), d.Parts[0].ID
	}
	v.Material = clean(d.Input("material").Value)
	row := pageRow{ID: v.ID, Name: v.Name}
	if p != nil {
		v.describe(d, p)
		n := Num(p.Quantity)
		r.cost[0] += n * p.Cost[0]
		r.cost[1] += n * p.Cost[1]
		row.Part, row.Treatment, row.Bench = p.ID, string(p.Treatment), Range{n * p.Time.Hand[0], n * p.Time.Hand[1]}
		for _, g := range v.Groups {
			if !slices.Contains(r.head.Rules, g.First.Rule) {
				r.head.Rules = append(r.head.Rules, g.First.Rule)
			}
		}
	} else {
		v.Search = strings.ToLower(clean(d.File) + " " + unread)
	}
	if v.Material != "" && !slices.Contains(r.head.Materials, v.Material) {
		r.head.Materials = append(r.head.Materials, v.Material)
	}
	var line, sheet bytes.Buffer
	if err := pageTemplate.ExecuteTemplate(&line, "row", &v); err != nil {
		return err
	}
	if err := pageTemplate.ExecuteTemplate(&sheet, "sheet", &v); err != nil {
		return err
	}
	r.pieces = append(r.pieces, piece{rank: v.Rank, bench: v.Bench, order: v.Order, row: row,
		from: r.spool.size, line: int64(line.Len()), sheet: int64(sheet.Len())})
	if _, err := line.WriteTo(&r.spool); err != nil {
		return err
	}
	_, err := sheet.WriteTo(&r.spool)
	return err
}

// drop gives up what waits.
func (r *pageRenderer) drop() { r.spool.drop() }

// told are the messages that a person needs; what the page says elsewhere is
// left out.
func told(d *Drawing) []Message {
	var out []Message
	for _, m := range d.Messages {
		if m.Code != InputCode && (m.Code != ConflictCode || len(d.Parts) == 0) {
			out = append(out, m)
		}
	}
	if words := d.markedAnew(); words != "" {
		out = append(out, Message{Text: words})
	}
	return out
}

// describe fills in what the template says of a part.
func (v *pagePart) describe(d *Drawing, p *Part) {
	v.Word, v.Rank = string(p.Treatment), p.Treatment.Rank()
	v.Bench = float64(p.Time.Hand[1]) * float64(p.Quantity)
	v.CostAll = float64(p.Cost[1]) * float64(p.Quantity)
	var stock []string
	for _, in := range d.Inputs {
		if in.Value == "" {
			continue
		}
		v.Sources = append(v.Sources, pageSource{in.Name + " " + in.Value, in.Source})
		if in.Name != "line" && in.Name != "edge" {
			stock = append(stock, in.words())
		}
	}
	v.Stock = clean(strings.Join(stock, ", "))
	if d.Units.Name != "" {
		v.Sources = append(v.Sources, pageSource{"drawing in " + d.Units.Name, d.Units.Source})
	}

	groups := byRule(p.Findings)
	picture := pictureOf(p, groups)
	v.Picture = template.HTML(picture.SVG) // numbers, and texts escaped by text()
	var rules, first []string
	for i, g := range groups {
		pg := pageGroup{Number: i + 1, First: &g[0], Limit: oneLimit(g)}
		for k := range g {
			f := &g[k]
			place := pagePlace{Key: fmt.Sprintf("%d.%d", i+1, k+1), Words: placeWords(f, pg.Limit != "")}
			if at := picture.Places[i][k]; !math.IsNaN(at.X) {
				place.At = xy(at)
			}
			switch {
			case f.Feature == "" && place.At == "":
			case len(pg.Places) < placesShown:
				pg.Places = append(pg.Places, place)
			default:
				pg.More = append(pg.More, place)
			}
		}
		v.Groups = append(v.Groups, pg)
		rules = append(rules, g[0].Rule)
		if len(g) > 1 {
			first = append(first, fmt.Sprintf("%s (%d)", g[0].Rule, len(g)))
		} else {
			first = append(first, g[0].Rule)
		}
		source := g[0].Source
		if g[0].Provenance != "" {
			source += " (" + g[0].Provenance + ")"
		}
		v.Sources = append(v.Sources, pageSource{g[0].Rule, source})
	}
	v.Rules = strings.Join(rules, " ")
	v.First = strings.Join(first, ", ")
	v.Search = strings.ToLower(strings.Join([]string{clean(d.File), p.ID, v.Word, v.Stock, v.Rules}, " "))

	if picture.Scale > 0 {
		long := niceLength(0.25 * pageWidth / picture.Scale)
		v.Bar = pageBarLine{px(svgMargin + picture.Scale*long), short(long) + " mm"}
		v.PerMM = px(picture.Scale)
	}
	if f := p.Feed; f != nil {
		v.Feed = &pageFeed{Turn: float64(f.Angle), Words: "feed at " + short(float64(f.Angle)) + "°"}
		v.Feed.Facts = append(v.Feed.Facts, fmt.Sprintf("%s mm along, %s mm across", short(float64(f.Length)), short(float64(f.Width))))
		if f.HoldMargin != nil {
			v.Feed.Facts = append(v.Feed.Facts, "hold margin "+short(float64(*f.HoldMargin)))
		}
		if f.Worked != nil {
			v.Feed.Facts = append(v.Feed.Facts, short(math.Round(1000*float64(*f.Worked))/10)+" % of the edge worked")
		}
	}
	draw := &p.Drawing
	v.Legend = pageLegend{len(draw.Burred) > 0, len(draw.Bends) > 0, len(draw.Etch) > 0, len(draw.Joints) > 0, len(draw.Forms) > 0}
	if v.Legend.Burred {
		sum := 0.0
		for _, c := range draw.Burred {
			sum += c.Length()
		}
		v.Burred = short(sum) + " mm"
		if p.CutLength != nil {
			v.Burred += " of " + short(float64(*p.CutLength)) + " mm cut edge"
		}
	}
	n := Num(p.Quantity)
	all := func(r Range) Range { return Range{n * r[0], n * r[1]} }
	v.Times = []pageTime{
		{"line", duration(p.Time.Line), duration(all(p.Time.Line))},
		{"bench", duration(p.Time.Hand), duration(all(p.Time.Hand))},
	}
	if p.Cost[1] > 0 {
		v.Times = append(v.Times, pageTime{"cost", money(p.Cost), money(all(p.Cost))})
	}
	if d.Status == Partial {
		v.Warnings = append(v.Warnings, "The drawing was read in part only: see its messages.")
	}
	if p.Incomplete != "" {
		v.Warnings = append(v.Warnings, "Incomplete: "+p.Incomplete+".")
	}
	if p.Burr != nil && p.Burr.Source != "" {
		v.Sources = append(v.Sources, pageSource{"burr forecast", p.Burr.Source})
	}
	for _, s := range p.Route {
		for _, set := range s.Settings {
			if set.Source != "" {
				v.Sources = append(v.Sources, pageSource{strings.TrimSpace(s.Step + " " + s.Head + ": " + set.Name + " " + set.Value), set.Source})
			}
		}
	}
}

// oneLimit is the limit that all places of a rule share, in words.
func oneLimit(g []Finding) string {
	for i := range g {
		if g[i].Feature == "" || g[i].Measured == nil || g[i].Limit == nil || *g[i].Limit != *g[0].Limit || *g[i].Limit == 0 || g[i].Unit != g[0].Unit {
			return ""
		}
	}
	return "limit " + quantity(*g[0].Limit, g[0].Unit)
}

// placeWords name a place: the feature and what was measured there.
func placeWords(f *Finding, limitKnown bool) string {
	words := numbers(f)
	if limitKnown {
		words = quantity(*f.Measured, f.Unit)
	}
	if words = strings.TrimSpace(f.Feature + " " + words); words == "" {
		return "show the place"
	}
	return words
}

// benchWords is bench time, or that there is none.
func benchWords(r Range) string {
	if r[1] <= 0 {
		return "no bench time"
	}
	return "bench " + duration(r)
}

// ask and choices split a question at its end, so that a page shows what is
// asked at once and the rest on demand.
func ask(s string) string {
	if i := strings.Index(s, "?"); i >= 0 {
		return s[:i+1]
	}
	return s
}

func choices(s string) string { return strings.TrimSpace(strings.TrimPrefix(s, ask(s))) }

// money is a range of costs.
func money(r Range) string {
	low, high := fmt.Sprintf("%.2f", float64(r[0])), fmt.Sprintf("%.2f", float64(r[1]))
	if low == high {
		return high
	}
	return low + " to " + high
}

func (r *pageRenderer) Close(t Tail) error {
	defer r.spool.drop()
	slices.SortStableFunc(r.pieces, func(a, b piece) int {
		switch {
		case a.rank != b.rank:
			return b.rank - a.rank
		case a.bench > b.bench:
			return -1
		case a.bench < b.bench:
			return 1
		}
		return a.order - b.order
	})
	r.overview(t)
	if err := pageOpen(r.w); err != nil {
		return err
	}
	if err := pageTemplate.ExecuteTemplate(r.w, "head", &r.head); err != nil {
		return err
	}
	for _, p := range r.pieces {
		before, after := "", "</details>\n"
		if r.head.Later {
			// Nothing in it can end the script: every "<" of a text is escaped.
			before, after = `<script type="text/plain" class="later">`, "</script>\n</details>\n"
		}
		if err := r.spool.copyPiece(r.w, p.from, p.line); err != nil {
			return err
		}
		if _, err := io.WriteString(r.w, before); err != nil {
			return err
		}
		if err := r.spool.copyPiece(r.w, p.from+p.line, p.sheet); err != nil {
			return err
		}
		if _, err := io.WriteString(r.w, after); err != nil {
			return err
		}
	}
	if err := pageTemplate.ExecuteTemplate(r.w, "foot", &r.head); err != nil {
		return err
	}
	_, err := io.WriteString(r.w, "<script>"+pageScript+"</script>\n</body>\n</html>\n")
	return err
}

// pageOpen writes the start of the page with the policy: nothing is loaded, and
// of style and script only those in the page are used.
func pageOpen(w io.Writer) error {
	return startPage(w, "Deburring forecast", "style-src "+policyHash(pageStyle)+"; script-src "+policyHash(pageScript), pageStyle)
}

// startPage writes the start of a page that asks for nothing from elsewhere:
// policy names its own style and script.
func startPage(w io.Writer, title, policy, style string) error {
	_, err := fmt.Fprintf(w, `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; %s; base-uri 'none'; form-action 'none'">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="referrer" content="no-referrer">
<meta name="color-scheme" content="light dark">
<title>%s</title>
<style>%s</style>
</head>
`, policy, template.HTMLEscapeString(title), style)
	return err
}

// policyHash is how a content security policy names a style or script that
// stands in the page.
func policyHash(s string) string {
	sum := sha256.Sum256([]byte(s))
	return "'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
}

// overview fills in what stands above the parts.
func (r *pageRenderer) overview(t Tail) {
	h := &r.head
	h.Parts = len(r.pieces)
	h.Later = h.Parts > atOnce
	h.Summary = fmt.Sprintf("%s, %s, %s", plural(r.files, "drawing"), plural(t.Totals.Parts, "part"), plural(t.Totals.Pieces, "piece"))
	if r.part > 0 {
		h.Summary += fmt.Sprintf("; %d read in part", r.part)
	}
	if r.bad > 0 {
		h.Counts = append(h.Counts, pageCount{unread, r.bad})
	}
	for i := len(Treatments) - 1; i >= 0; i-- {
		h.Counts = append(h.Counts, pageCount{string(Treatments[i]), t.Totals.ByTreatment.Of(Treatments[i])})
	}
	h.Hand, h.Line = duration(t.Totals.Hand), duration(t.Totals.Line)
	if r.cost[1] > 0 {
		h.Cost = strings.TrimSpace(money(r.cost) + " " + clean(t.Rates.Currency))
	}
	h.Questions, h.Notes, h.Comparison = t.Questions, t.Notes, t.Comparison
	h.Messages, h.Changes = t.Messages, t.Changes
	slices.Sort(h.Rules)
	slices.Sort(h.Materials)

	const bars = 8
	worst := slices.Clone(r.pieces)
	slices.SortStableFunc(worst, func(a, b piece) int {
		switch {
		case a.bench > b.bench:
			return -1
		case a.bench < b.bench:
			return 1
		}
		return 0
	})
	var rest Range
	left := 0
	for _, p := range worst {
		if p.bench <= 0 {
			break
		}
		if len(h.Most) == bars {
			rest[0] += p.row.Bench[0]
			rest[1] += p.row.Bench[1]
			left++
			continue
		}
		h.Most = append(h.Most, pageBar{Row: p.row, Time: duration(p.row.Bench),
			Low: 100 * float64(p.row.Bench[0]) / worst[0].bench, High: 100 * p.bench / worst[0].bench})
	}
	if left > 0 {
		h.MostOf = fmt.Sprintf("and %s more: %s together", plural(left, "part"), duration(rest))
	}
}
