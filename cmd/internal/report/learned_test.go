package report

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/santhosh-tekuri/jsonschema/v6"
)

// learnedFixture is a result with everything that one can hold.
func learnedFixture() *Learned {
	n := func(v float64) *Num { return Known(v, true) }
	more := 17
	band := func(i int, clean float64, samples int) LearnedBand {
		b := LearnedBand{From: Num(0.2 * float64(i)), To: Num(0.2 * float64(i+1)), Samples: samples}
		if samples > 0 {
			b.Forecast, b.Clean, b.Low, b.High = n(0.2*float64(i)+0.1), n(clean), n(max(0, clean-0.2)), n(min(1, clean+0.2))
		}
		return b
	}
	settled := LearnedGroup{Rule: "hole-reach", Title: "Hole too small for the brush", Line: "belt & <brush>", Unit: "mm", Samples: 6, Clean: 3, Mixed: "laser-n2, punch",
		Default: n(2.4), Settled: true,
		Fit: &LearnedFit{Limit: 3, Low: n(2.7), High: n(3.4), Share: 0.5, Words: "half", Safe: n(3.9), SafeLow: n(3.4), SafeHigh: nil,
			Intercept: Num(-10 * math.Log(3/0.8)), Slope: 10, Scale: 0.8, Filament: n(0.8)},
		Forecast: LearnedForecast{Judged: 6, Computed: 2, Right: 4, CleanClean: 3, CleanBurr: 2, BurrBurr: 1, Brier: n(0.21),
			Reliability: []LearnedBand{band(0, 0, 2), band(1, 0, 0), band(2, 0.5, 2), band(3, 0, 0), band(4, 1, 2)}},
		Known: &KnownLimit{Limit: 2.5, Low: 2.3, High: 2.7, Samples: 40, Date: "2026-01-31"},
		Drift: &LearnedDrift{Samples: 20, Contradictions: 9, Expected: 2.5, BurrMore: 8, P: 0.0004, Alpha: 0.05, Flagged: true},
		Next:  &NextPlace{File: "form.xlsx", Row: 7, Drawing: "a.dxf", Part: "P1", Piece: "2", Place: "C4", Measured: 3.1}}
	for i, m := range []float64{1.8, 2.6, 3, 3, 3.6, 5} {
		settled.Points = append(settled.Points, LearnedPoint{m, i > 2})
	}
	open := LearnedGroup{Rule: "corner-reach", Title: "Inside corner that the brush does not fill", Line: "second", Unit: "mm", Samples: 2, Clean: 1, Why: "2 samples; 20 are needed", More: &more,
		Fit:      &LearnedFit{Limit: 1.2, Share: 0.9, Words: "nine of ten", Intercept: 0, Slope: -1, Scale: 1},
		LookNear: n(1.2), Points: []LearnedPoint{{1, true}, {2, false}}}
	bare := LearnedGroup{Rule: "web-thickness", Title: "Web thin for the thickness", Line: "second", Unit: "x thickness", Samples: 1, Why: "1 sample; 20 are needed", More: &more, Points: []LearnedPoint{{1, true}}}
	return &Learned{
		Files: []SampleFile{{File: "s.csv", Rows: 11, Samples: 9, Waiting: 1, Bad: 1, Unused: []string{"Inspector"}}}, Used: 9, Older: 3,
		Problems:   []SampleProblem{{File: "s.csv", Row: 4, Column: "outcome", Reason: `"perhaps" is neither clean nor burr`}, {File: "t.csv", Reason: "not text"}},
		Duplicates: []SampleDuplicate{{"s.csv", 9, "s.csv", 2, true}, {"s.csv", 10, "s.csv", 3, false}},
		Groups:     []LearnedGroup{settled, open, bare},
		Heights: []LearnedHeight{{Process: "laser-n2", Family: "steel", Thickness: 2, Samples: 12, Median: 0.04, Low: n(0.02), High: n(0.09), ForecastLow: n(0), ForecastHigh: n(0.05), Inside: 9, Settled: true},
			{Process: "punch", Family: "steel", Thickness: 1, Samples: 1, Median: 0.1, Why: "1 height; 10 are needed", More: 9}},
		Shop: &LearnedShop{File: "shop.toml", Written: true, Entries: []LearnedEntry{{"hole-reach on belt", true, ""}, {"corner-reach on second", false, "2 samples; 20 are needed"}}},
	}
}

func TestLearnedText(t *testing.T) {
	var b bytes.Buffer
	if err := WriteLearned(&b, "text", learnedFixture()); err != nil {
		t.Fatal(err)
	}
	text := regexp.MustCompile(`\n +`).ReplaceAllString(b.String(), " ")
	for _, want := range []string{
		"9 samples: the forecast was right in 4 of 6\n",
		"limits settled: 1 of 3; 1 limit contradicted by later samples; 1 row not inspected yet; 2 rows left", "out; 2 duplicates; 3 rows older than --since\n",
		"written to shop.toml: 1 entry",
		"hole-reach on belt & <brush>: 6 samples, 3 clean, 3 with burr left",
		"limit 3 mm, 95 % interval 2.7 to 3.4 mm; half of the places come clean there, forecast so far 2.4 mm",
		"nine of ten come clean at 3.9 mm, 95 % interval from 3.4 mm up without end",
		"the shop file has 2.5 mm (2.3 to 2.7 mm) from 40 samples up to 2026-01-31",
		" settled ", "Brier score 0.210",
		"DRIFT at the level of 0.05: 20 samples after 2026-01-31: 9 contradict the limit of the shop file, 2.5 were to be expected (exact binomial test, two-sided, p = 0.0004); burr is left where it used to come clean",
		"inspect next: a.dxf P1, place C4 (3.1 mm), piece 2, row 7 of form.xlsx",
		"the samples do not bound it", "at least 17 more samples near 1.2 mm will be needed", "no forecast to compare with",
		"not settled: 1 sample; 20 are needed; 17 more samples at least",
		"laser-n2, steel, 2 mm: 12 heights, median 0.04 mm; the next lies between 0.02 and 0.09 mm (95 %); the forecast of 0 to 0.05 mm held 9 of them; settled",
		"punch, steel, 1 mm: 1 height, median 0.1 mm; not settled: 1 height; 10 are needed",
		`s.csv:4, outcome: "perhaps" is neither clean nor burr`, "t.csv: not text",
		"s.csv:9 repeats s.csv:2 and contradicts it: neither counts",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q in\n%s", want, b.String())
		}
	}
	for line := range strings.Lines(b.String()) {
		if n := width(strings.TrimSuffix(line, "\n")); n > columns100 {
			t.Errorf("%d columns: %s", n, line)
		}
	}
}

func learnedSchema(t *testing.T) *jsonschema.Schema {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(LearnSchemaJSON))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("urn:burrcast:learn:1", doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("urn:burrcast:learn:1")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// What is written keeps to the schema, also where there is nothing, and reads
// back as it was.
func TestLearnedJSON(t *testing.T) {
	schema := learnedSchema(t)
	for name, l := range map[string]*Learned{"full": learnedFixture(), "empty": {}} {
		var b bytes.Buffer
		if err := WriteLearned(&b, "json", l); err != nil {
			t.Fatal(err)
		}
		v, err := jsonschema.UnmarshalJSON(bytes.NewReader(b.Bytes()))
		if err != nil {
			t.Fatal(err)
		}
		if err := schema.Validate(v); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		d := json.NewDecoder(&b)
		d.DisallowUnknownFields()
		var back Learned
		if err := d.Decode(&back); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if back.Schema != LearnSchema || len(back.Groups) != len(l.Groups) {
			t.Errorf("%s: %+v", name, back)
		}
	}
	if err := WriteLearned(&bytes.Buffer{}, "csv", &Learned{}); err == nil {
		t.Error("csv is no format here")
	}
}

// The page holds every number of the text, draws both plots, and takes no text
// for markup.
func TestLearnedPage(t *testing.T) {
	dir := t.TempDir()
	l := learnedFixture()
	l.Problems[0].Reason = `<script>alert("x")</script>`
	if err := WriteLearnedFolder(dir, l, nil); err != nil {
		t.Fatal(err)
	}
	data, err := os.ReadFile(filepath.Join(dir, LearnPage))
	if err != nil {
		t.Fatal(err)
	}
	page := string(data)
	for _, bad := range []string{"<script", "NaN", "%!", "Inf", "<brush>"} {
		if strings.Contains(page, bad) {
			t.Errorf("the page holds %q", bad)
		}
	}
	if n := strings.Count(page, `<svg class="plot"`); n != 3+1 {
		t.Errorf("%d plots", n)
	}
	if n := strings.Count(page, `class="hit"`); n != 3+1+1 {
		t.Errorf("%d clean dots", n)
	}
	if n := strings.Count(page, `class="miss"`); n != 3+1 {
		t.Errorf("%d burred dots", n)
	}
	for _, want := range []string{"fitted 3", "so far 2.4", "Limit 3 mm, 95 % interval", `class="warn"`, "belt &amp; &lt;brush&gt;"} {
		if !strings.Contains(page, want) {
			t.Errorf("no %q", want)
		}
	}
	if _, err := os.Stat(filepath.Join(dir, LearnProgram)); err != nil {
		t.Error(err)
	}
	left, err := filepath.Glob(filepath.Join(dir, ".*"))
	if err != nil || len(left) > 0 {
		t.Errorf("left behind: %v %v", left, err)
	}
}

// The curve, the limit and the interval stand where the numbers say: half the
// chance is at the limit, and the limit is inside the band.
func TestFitPlotIsToScale(t *testing.T) {
	g := learnedFixture().Groups[0]
	svg := fitPlot(&g)
	var limit, from, wide float64
	find := func(pattern string, into ...*float64) {
		t.Helper()
		m := regexp.MustCompile(pattern).FindStringSubmatch(svg)
		if m == nil {
			t.Fatalf("no %s", pattern)
		}
		for i, v := range into {
			if err := json.Unmarshal([]byte(m[i+1]), v); err != nil {
				t.Fatal(err)
			}
		}
	}
	find(`class="limit" d="M([\d.]+) `, &limit)
	find(`class="band" x="([\d.]+)" y="[\d.]+" width="([\d.]+)"`, &from, &wide)
	share := (limit - from) / wide
	if want := math.Log(3/2.7) / math.Log(3.4/2.7); math.Abs(share-want) > 1e-3 {
		t.Errorf("the limit stands at %.4f of the band, not %.4f", share, want)
	}
	// The curve passes one half, the middle of the chance's axis, at the limit.
	curve := regexp.MustCompile(`class="curve" d="M([^"]+)"`).FindStringSubmatch(svg)
	if curve == nil {
		t.Fatal("no curve")
	}
	half := regexp.MustCompile(`y="([\d.]+)" text-anchor="end">50 %`).FindStringSubmatch(svg)
	var y0 float64
	if err := json.Unmarshal([]byte(half[1]), &y0); err != nil {
		t.Fatal(err)
	}
	y0 -= 4
	lastX, lastY, at := 0.0, math.Inf(1), 0.0
	for _, pair := range strings.Split(curve[1], "L") {
		xy := strings.Fields(pair)
		var x, y float64
		if json.Unmarshal([]byte(xy[0]), &x) != nil || json.Unmarshal([]byte(xy[1]), &y) != nil {
			t.Fatalf("%q", pair)
		}
		if lastY > y0 && y <= y0 && !math.IsInf(lastY, 1) {
			at = lastX + (x-lastX)*(lastY-y0)/(lastY-y)
		}
		lastX, lastY = x, y
	}
	if math.Abs(at-limit) > 0.5 {
		t.Errorf("the curve is at one half at x = %.1f, the limit at %.1f", at, limit)
	}
}

// Both pages in a browser: light and dark, on a phone, on paper; nothing is
// complained of and nothing is asked for but the page.
func TestSamplePagesInABrowser(t *testing.T) {
	b := openBrowser(t)
	dir := t.TempDir()
	if err := WriteLearnedFolder(dir, learnedFixture(), nil); err != nil {
		t.Fatal(err)
	}
	if err := WriteSampleForm(dir, formFixture(), nil); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{LearnPage, FormPage} {
		page := filepath.Join(dir, name)
		ground := map[string]string{}
		for _, scheme := range []string{"light", "dark"} {
			b.load(page, 1280, 900, scheme)
			ground[scheme] = look[string](b, `getComputedStyle(document.body).backgroundColor`)
			b.picture(name + "-" + scheme)
		}
		if ground["light"] == ground["dark"] {
			t.Errorf("%s: dark is %s, too", name, ground["dark"])
		}
		b.load(page, 360, 740, "light")
		if got := look[float64](b, `document.documentElement.scrollWidth`); got > 360 {
			t.Errorf("%s is %v px wide on a screen of 360", name, got)
		}
		b.picture(name + "-phone")
		b.load(page, 1280, 900, "dark")
		call(b, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: "print", Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: "dark"}}})
		if got := look[string](b, `getComputedStyle(document.body).backgroundColor`); got != "rgb(255, 255, 255)" {
			t.Errorf("%s on paper: ground %s", name, got)
		}
		b.picture(name + "-print")
		if got := look[int](b, `[...document.querySelectorAll(".look text")].filter(t=>t.getBoundingClientRect().width<2).length`); got != 0 {
			t.Errorf("%s: %d numbers cannot be seen", name, got)
		}
		if pdf, err := chromedp.Run(b.ctx, chromedp.PrintToPDF()); err != nil || len(pdf) < 1000 {
			t.Errorf("%s: %d bytes of paper, %v", name, len(pdf), err)
		}
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	for _, s := range b.heard {
		if !strings.HasSuffix(s, "/"+LearnPage) && !strings.HasSuffix(s, "/"+FormPage) {
			t.Error(s)
		}
	}
}
