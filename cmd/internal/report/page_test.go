package report

import (
	"bytes"
	"fmt"
	"math"
	"regexp"
	"strings"
	"testing"

	"burrcast/geom"

	"golang.org/x/net/html"
)

// pageOf renders a report as a page.
func pageOf(t *testing.T, r *Report) string {
	t.Helper()
	var b bytes.Buffer
	out := &pageRenderer{w: &b}
	for i := range r.Drawings {
		if err := out.Drawing(&r.Drawings[i]); err != nil {
			t.Fatal(err)
		}
	}
	if err := out.Close(r.tail()); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// Style and script are the same in every page; the golden file leaves them out.
var styleAndScript = regexp.MustCompile(`(?s)<style>.*?</style>|<script>.*?</script>|'sha256-[^']*'`)

func TestPageGolden(t *testing.T) {
	golden(t, "fixture.html", []byte(styleAndScript.ReplaceAllString(pageOf(t, fixture()), "...")))
}

// A comparison of lines has its own table, and without one there is none.
func TestPageComparison(t *testing.T) {
	if strings.Contains(pageOf(t, fixture()), `class="compare"`) {
		t.Error("a comparison that nobody asked for")
	}
	page := pageOf(t, compared())
	_, table, _ := strings.Cut(page, `class="compare"`)
	table, _, _ = strings.Cut(table, "</section>")
	text := regexp.MustCompile(`<[^>]*>`).ReplaceAllString(table, " ")
	text = strings.Join(strings.Fields(text), " ")
	for _, want := range []string{
		"belt-and-brush best for this mix a belt, then brushes 5 0 0 12 1 0 120 to 240 s 10 to 20 min 1.00 to 2.00 20.00 to 40.00",
		"belt a belt alone 0 0 0 17 1 3 60 to 120 s 30 to 60 min 1.00 to 3.00 50.00 to 90.00",
		"What makes the difference to belt, the next best parts/rake.dxf P1, 12 pieces: 20.00 to 30.00 more",
		"judged on belt, the shop file&#39;s default line; only the comparison is of all lines.",
		"parts/rake.dxf P1, 12 pieces: 30.00 to 50.00 more on belt than on belt-and-brush (belt-and-brush line; belt hand, belt-rolls-burr)",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q in\n%s", want, text)
		}
	}
}

// hostile puts a text that wants out of its place wherever a text comes from
// outside.
func hostile(evil string) *Report {
	r := fixture()
	for i := range r.Drawings {
		d := &r.Drawings[i]
		d.File = "in/" + evil + ".dxf"
		d.Units.Source = evil
		d.Messages = append(d.Messages, Message{Code: "layers", Text: "layers not taken for cut: " + evil + " (border)"})
		d.Skipped = append(d.Skipped, Skipped{Type: evil, Layer: evil, Count: 1})
		d.Inputs = []Input{{"material", evil, "note on layer " + evil}, {"thickness", evil, FlagSource + evil}, {"line", evil, ShopSource}}
		for k := range d.Parts {
			p := &d.Parts[k]
			p.Incomplete = evil
			p.Findings = append([]Finding(nil), p.Findings...)
			for j := range p.Findings {
				f := &p.Findings[j]
				f.Why, f.Do, f.Source, f.Provenance = evil, evil, evil, evil
			}
			p.Route = append(p.Route, Step{Step: evil, Head: evil, Note: evil, Settings: Settings{{evil, evil, evil}}})
		}
	}
	for i := range r.Questions {
		r.Questions[i].Text, r.Questions[i].Input = evil, evil
	}
	r.Notes = append(r.Notes, evil)
	return r
}

// Whatever a drawing says stays text: the page has the same elements and
// attributes as with a harmless one.
func TestPageEscapes(t *testing.T) {
	skeleton := func(page string) []string {
		var out []string
		z := html.NewTokenizer(strings.NewReader(page))
		for {
			switch tt := z.Next(); tt {
			case html.ErrorToken:
				return out
			case html.StartTagToken, html.SelfClosingTagToken:
				tok := z.Token()
				s := tok.Data
				for _, a := range tok.Attr {
					s += " " + a.Key
				}
				out = append(out, s)
			case html.EndTagToken, html.CommentToken:
				out = append(out, tt.String()+z.Token().Data)
			}
		}
	}
	want := skeleton(pageOf(t, hostile("harmless")))
	if len(want) < 300 {
		t.Fatalf("%d elements", len(want))
	}
	for _, evil := range []string{
		`<script>alert(1)</script>`, `</script><script>alert(1)</script>`, `"><img src=x onerror=alert(1)>`, `' onload='alert(1)`,
		`<!--`, `-->`, `]]>`, `</style>`, `</details>`, `</svg>`, `{{.}}`, `&lt;script&gt;`, "\u202egnp.exe", "a\x00b", "`${alert(1)}`", `javascript:alert(1)`,
	} {
		page := pageOf(t, hostile(evil))
		got := skeleton(page)
		if len(got) != len(want) {
			t.Errorf("%q: %d elements, not %d", evil, len(got), len(want))
			continue
		}
		for i := range got {
			if got[i] != want[i] {
				t.Errorf("%q: element %d is %s, not %s", evil, i, got[i], want[i])
				break
			}
		}
		if strings.Contains(page, "\u202e") || strings.Contains(page, "\x00") {
			t.Errorf("%q: a control character stays", evil)
		}
	}
}

// No address of anything outside, no attribute that the policy would stop.
func TestPageIsAlone(t *testing.T) {
	page := pageOf(t, fixture())
	body := styleAndScript.ReplaceAllString(page, "")
	for _, never := range []string{"http:", "https:", "src=", "url(", "@import", " style=", " onclick", "javascript:"} {
		if strings.Contains(body, never) {
			t.Errorf("the page holds %q", never)
		}
	}
	for _, never := range []string{"url(", "@import", "http", "fetch(", "eval(", "XMLHttpRequest", "\r"} {
		if strings.Contains(pageStyle+pageScript, never) {
			t.Errorf("style or script holds %q", never)
		}
	}
	if !strings.Contains(page, `http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'sha256-`) {
		t.Error("no policy")
	}
}

// The worst stands first, whatever the order of the files.
func TestPageOrder(t *testing.T) {
	var got []string
	for _, m := range regexp.MustCompile(`<details class="part" id="p\d+" data-t="(\w+)"`).FindAllStringSubmatch(pageOf(t, fixture()), -1) {
		got = append(got, m[1])
	}
	if want := "unread ask hand fixture brush line"; strings.Join(got, " ") != want {
		t.Errorf("%v, want %s", got, want)
	}
}

// many is a report of n parts.
func many(n int) *Report {
	r := fixture()
	comb := r.Drawings[2]
	r.Drawings = nil
	var tally Tally
	for i := range n {
		d := comb
		d.File = fmt.Sprintf("parts/%04d.dxf", i)
		r.Drawings = append(r.Drawings, d)
		tally.Add(&d, nil)
	}
	r.Totals = tally.Totals()
	return r
}

// Many parts wait as text that nothing in it can end.
func TestPageOfManyParts(t *testing.T) {
	few, much := pageOf(t, many(atOnce)), pageOf(t, many(atOnce+1))
	if strings.Contains(few, `class="later"`) || strings.Count(much, `class="later"`) != atOnce+1 {
		t.Error("few parts wait, or many do not")
	}
	// Without a script the page says what it lacks, and where that is.
	if !strings.Contains(few, "<noscript>") || strings.Contains(few, "report.xlsx") || !strings.Contains(much, "keeps its 601 parts folded up") {
		t.Error("without a script the page does not say what is missing")
	}
	r := many(atOnce + 1)
	r.Drawings[3].Messages = append(r.Drawings[3].Messages, Message{Text: `</script><script>alert(1)</script><!--`})
	if page := pageOf(t, r); strings.Count(page, "</script") != atOnce+2 || strings.Contains(page, "<!--") {
		t.Error("a text ends the script that it waits in")
	}
}

// The picture's outline is as long as the part's, to the scale that it states:
// what is drawn is what was measured.
func TestPagePictureToScale(t *testing.T) {
	p, d := plate()
	p.Drawing = d
	groups := byRule(p.Findings)
	picture := pictureOf(p, groups)
	var sum float64
	for _, loop := range d.Contours {
		sum += geom.LoopLength(loop)
	}
	if got := drawnLength(t, picture.SVG, "part") / picture.Scale; math.Abs(got-sum) > 1e-4*sum {
		t.Errorf("drawn edges are %.4f mm, measured %.4f", got, sum)
	}
	// Every placed finding has its mark, and the others have none.
	for i, g := range groups {
		for k := range g {
			has := strings.Contains(picture.SVG, fmt.Sprintf(`data-k="%d.%d"`, i+1, k+1))
			if has != placed(&g[k]) || has == math.IsNaN(picture.Places[i][k].X) {
				t.Errorf("%s: a mark %v, a place %v", g[k].Rule, has, picture.Places[i][k])
			}
		}
	}
	if empty := pictureOf(&Part{ID: "P9"}, nil); empty.SVG != "" {
		t.Error("a part without an outline is drawn")
	}
}

// drawnLength adds up the lines and arcs of the first path of a class, px.
func drawnLength(t *testing.T, picture, class string) float64 {
	t.Helper()
	for _, e := range parseSVG(t, picture) {
		if e.name == "path" && e.class() == class {
			l, err := pathLength(e.attr["d"])
			if err != nil {
				t.Fatal(err)
			}
			return l
		}
	}
	t.Fatalf("no path of class %s", class)
	return 0
}
