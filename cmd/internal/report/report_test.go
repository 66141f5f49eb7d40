package report

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"flag"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"
	"github.com/santhosh-tekuri/jsonschema/v6"
	"pgregory.net/rapid"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// golden compares with a file, whatever the line ends of its checkout.
func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	want = bytes.ReplaceAll(want, []byte("\r\n"), []byte("\n"))
	if diff := cmp.Diff(string(want), string(got)); diff != "" {
		t.Errorf("%s (-want +got):\n%s", name, diff)
	}
}

func render(t *testing.T, format string, s Style, r *Report) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := Write(&b, format, s, r); err != nil {
		t.Fatalf("%s: %v", format, err)
	}
	return b.Bytes()
}

func schemas(t *testing.T) (whole, line *jsonschema.Schema) {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(SchemaJSON))
	if err != nil {
		t.Fatal(err)
	}
	const id = "urn:burrcast:report:1"
	c := jsonschema.NewCompiler()
	c.DefaultDraft(jsonschema.Draft2020)
	if err := c.AddResource(id, doc); err != nil {
		t.Fatal(err)
	}
	return c.MustCompile(id), c.MustCompile(id + "#/$defs/line")
}

func validate(s *jsonschema.Schema, text []byte) error {
	v, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	if err != nil {
		return err
	}
	return s.Validate(v)
}

// strict decodes and refuses what the types do not know.
func strict(text []byte, v any) error {
	d := json.NewDecoder(bytes.NewReader(text))
	d.DisallowUnknownFields()
	return d.Decode(v)
}

func TestGolden(t *testing.T) {
	for _, c := range []struct{ format, file string }{
		{"text", "fixture.txt"}, {"json", "fixture.json"}, {"jsonl", "fixture.jsonl"}, {"csv", "fixture.csv"},
	} {
		golden(t, c.file, render(t, c.format, Style{}, fixture()))
	}
	golden(t, "empty.json", render(t, "json", Style{}, &Report{}))
	if len(Formats()) != 4 {
		t.Errorf("formats %v: one has no golden file", Formats())
	}
	if _, err := New("yaml", nil, Style{}); err == nil {
		t.Error("a format that does not exist is opened")
	}
}

func TestSchemaAcceptsEveryOutput(t *testing.T) {
	whole, line := schemas(t)
	for _, r := range []*Report{fixture(), {}} {
		text := render(t, "json", Style{}, r)
		if err := validate(whole, text); err != nil {
			t.Errorf("json: %v", err)
		}
		for text := range bytes.Lines(render(t, "jsonl", Style{}, r)) {
			if err := validate(line, text); err != nil {
				t.Errorf("jsonl: %v", err)
			}
		}
	}
}

// A schema that refuses nothing would prove nothing.
func TestSchemaRefuses(t *testing.T) {
	whole, _ := schemas(t)
	text := string(render(t, "json", Style{}, fixture()))
	for name, change := range map[string][2]string{
		"an unknown key":       {`"file": "parts/rake.dxf"`, `"file": "parts/rake.dxf", "colour": "red"`},
		"a missing key":        {`"outline_length_mm": 2740.4,`, ``},
		"a number in quotes":   {`"area_mm2": 5200`, `"area_mm2": "5200"`},
		"an unknown treatment": {`"treatment": "hand"`, `"treatment": "bench"`},
		"another schema":       {`"burrcast/1"`, `"burrcast/2"`},
		"null for a list":      {`"joints": []`, `"joints": null`},
		"half a range":         {"\"cost\": [\n            1.5,\n            4.25\n          ]", `"cost": [1.5]`},
		"three sizes":          {"\"bbox_mm\": [\n            214.6,", "\"bbox_mm\": [1,\n            214.6,"},
		"an unknown setting":   {`"source": "grain against burr"`, `"origin": "grain against burr"`},
	} {
		changed := strings.Replace(text, change[0], change[1], 1)
		if changed == text {
			t.Fatalf("%s: nothing to change", name)
		}
		if validate(whole, []byte(changed)) == nil {
			t.Errorf("the schema accepts %s", name)
		}
	}
}

func TestRoundTrip(t *testing.T) {
	text := render(t, "json", Style{}, fixture())
	var back Report
	if err := strict(text, &back); err != nil {
		t.Fatal(err)
	}
	if again := render(t, "json", Style{}, &back); !bytes.Equal(text, again) {
		t.Errorf("read back and written again (-first +second):\n%s", cmp.Diff(string(text), string(again)))
	}
	if got := back.Drawings[2].Parts[0].Route[0].Settings; len(got) != 2 || got[0].Name != "grade" {
		t.Errorf("settings out of order: %v", got)
	}
	var d Drawing
	if strict([]byte(`{"file":"a","mood":1}`), &d) == nil {
		t.Error("an unknown field is decoded")
	}
}

func TestNum(t *testing.T) {
	for v, want := range map[float64]string{
		0: "0", math.Copysign(0, -1): "0", 50: "50", 49.99999999999999: "50", 0.1 + 0.2: "0.3", -2.5: "-2.5",
		1e21: "1e+21", 1e-9: "1e-09", math.Pi: "3.14159265359", 123456789.123456: "123456789.123",
		600000: "600000", 1.00000000001: "1.00000000001",
	} {
		if got := Num(v).String(); got != want {
			t.Errorf("%v is written %s, not %s", v, got, want)
		}
	}
	for _, v := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		if Known(v, true) != nil {
			t.Errorf("%v is taken for known", v)
		}
		if _, err := json.Marshal(Num(v)); err == nil {
			t.Errorf("%v is written", v)
		}
	}
	if Known(1, false) != nil {
		t.Error("a value that was not measured is known")
	}
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.Float64().Draw(t, "v")
		var back float64
		if err := json.Unmarshal([]byte(Num(v).String()), &back); err != nil {
			t.Fatalf("%v: %v", v, err)
		}
		if math.Abs(back-v) > 1e-11*math.Abs(v) {
			t.Fatalf("%v is written as %v", v, back)
		}
	})
}

func TestTextColumns(t *testing.T) {
	long := strings.Repeat("overlong-folder/", 20) + "part.dxf"
	check := func(fatal func(string, ...any), text string) {
		for line := range strings.Lines(text) {
			line = strings.TrimSuffix(line, "\n")
			if n := utf8.RuneCountInString(line); n > 100 {
				fatal("%d columns: %s", n, line)
			}
			if strings.TrimRight(line, " ") != line {
				fatal("blanks at the end: %q", line)
			}
		}
	}
	r := fixture()
	r.Drawings[2].File = long
	r.Drawings[4].Messages[0].Text = long + " cannot be read"
	text := string(render(t, "text", Style{}, r))
	check(t.Errorf, text)
	if !strings.Contains(strings.ReplaceAll(strings.ReplaceAll(text, "\n", ""), " ", ""), long) {
		t.Error("a long path is cut short")
	}
	rapid.Check(t, func(t *rapid.T) {
		r := fixture()
		r.Drawings[2].File = rapid.String().Draw(t, "file")
		r.Drawings[2].Parts[0].Findings[1].Why = rapid.String().Draw(t, "why")
		r.Drawings[3].Messages[0].Text = rapid.StringN(0, 400, -1).Draw(t, "message")
		var b bytes.Buffer
		if err := Write(&b, "text", Style{}, r); err != nil {
			t.Fatal(err)
		}
		check(t.Fatalf, b.String())
		if strings.ContainsAny(b.String(), "\x1b\r\x00") {
			t.Fatal("a control character reaches the terminal")
		}
	})
}

func TestTextOrder(t *testing.T) {
	text := string(render(t, "text", Style{}, fixture()))
	last := -1
	for _, word := range []string{"5 drawings", "? ", "UNREAD ", "ASK ", "HAND ", "FIXTURE ", "BRUSH ", "LINE ", "- Aluminium dust"} {
		at := strings.Index(text, "\n"+word)
		if word == "5 drawings" {
			at = strings.Index(text, word)
		}
		if at <= last {
			t.Errorf("%q is at %d, not after %d", word, at, last)
		}
		last = at
	}
}

func TestColourOnlyWhenAsked(t *testing.T) {
	plain := string(render(t, "text", Style{}, fixture()))
	colour := string(render(t, "text", Style{Color: true}, fixture()))
	if strings.Contains(plain, "\x1b") {
		t.Error("colour without being asked")
	}
	if !strings.Contains(colour, "\x1b[1;31mHAND") {
		t.Error("no colour when asked")
	}
	for _, code := range []string{"\x1b[1;35m", "\x1b[1;31m", "\x1b[1;33m", "\x1b[1;36m", "\x1b[1;32m", "\x1b[0m"} {
		colour = strings.ReplaceAll(colour, code, "")
	}
	if colour != plain {
		t.Error("colour changes the text")
	}
}

func TestSpoolKeepsMemoryBounded(t *testing.T) {
	var s spool
	defer s.drop()
	piece := bytes.Repeat([]byte("0123456789abcdef"), 1<<16)
	n := spoolMemory/len(piece) + 5
	for range n {
		if _, err := s.Write(piece); err != nil {
			t.Fatal(err)
		}
	}
	if s.file == nil || s.memory.Cap() > 0 {
		t.Fatal("nothing went to the file")
	}
	name := s.file.Name()
	var out bytes.Buffer
	if err := s.copyTo(&out); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(out.Bytes(), bytes.Repeat(piece, n)) {
		t.Error("the spool gives back something else")
	}
	s.drop()
	if _, err := os.Stat(name); !os.IsNotExist(err) {
		t.Errorf("the file is still there: %v", err)
	}
}

func TestCSV(t *testing.T) {
	r := fixture()
	r.Drawings[2].File = "=cmd|' /c calc'!A1.dxf"
	rows, err := csv.NewReader(bytes.NewReader(render(t, "csv", Style{}, r))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if want := 1 + 6; len(rows) != want { // the pair has two parts, the letter none
		t.Fatalf("%d rows, not %d", len(rows), want)
	}
	at := map[string]int{}
	for i, name := range rows[0] {
		at[name] = i
	}
	rake := rows[4]
	for name, want := range map[string]string{
		"file": "'=cmd|' /c calc'!A1.dxf", "quantity": "12", "treatment": "hand", "thickness": "2", "edge": "-0.3",
		"rules": "notch-reach; tab-bend; film-pierce; joint-nib", "hand_s_high": "240", "hold_margin": "1.25",
	} {
		if got := rake[at[name]]; got != want {
			t.Errorf("%s is %q, not %q", name, got, want)
		}
	}
	if letter := rows[6]; letter[at["status"]] != "unreadable" || letter[at["part"]] != "" || letter[at["messages"]] == "" {
		t.Errorf("the unreadable drawing's row: %q", letter)
	}
}

func TestTally(t *testing.T) {
	got := fixture().Totals
	want := Totals{Drawings: 5, Parts: 5, Pieces: 18, ByTreatment: ByTreatment{1, 1, 1, 1, 1},
		Hand: Range{12 * 96, 12 * 240}, Line: Range{12*4 + 5*20, 12*6.5 + 5*31}, Cost: Range{12*1.5 + 5*0.4, 12*4.25 + 5*0.9}}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("totals (-want +got):\n%s", diff)
	}
	questions := fixture().Questions
	if len(questions) != 2 || questions[0].Input != "thickness" || questions[0].Drawings != 2 ||
		!cmp.Equal(questions[0].Unjudged, []string{"hole-thickness", "slot-thickness"}) {
		t.Errorf("questions: %+v", questions)
	}
}

func TestTreatmentRank(t *testing.T) {
	if Treatment("bench").Rank() != -1 || Treatment("line").Rank() != 0 || Treatment("ask").Rank() != 4 {
		t.Error("ranks are off")
	}
}

// Where sources disagree on what parts hang on, the text says so at its end, under
// a head of its own; without any it says nothing.
func TestDisagreementsInText(t *testing.T) {
	r := fixture()
	text := func(list ...Disagreement) string {
		var b bytes.Buffer
		out, err := New("text", &b, Style{})
		if err != nil {
			t.Fatal(err)
		}
		if err := out.Drawing(&r.Drawings[0]); err != nil {
			t.Fatal(err)
		}
		if err := out.Close(Tail{Notes: []string{"last words"}, Disagreements: list}); err != nil {
			t.Fatal(err)
		}
		return b.String()
	}
	if got := text(); strings.Contains(got, "disagree") {
		t.Errorf("out of nothing:\n%s", got)
	}
	got := text(Disagreement{About: "smallest hole", Says: []string{"0.7 t: two", "1.0 t: others"}, Used: "both", Parts: 3})
	_, tail, ok := strings.Cut(got, "sources disagree on numbers")
	if !ok || !strings.Contains(tail, "~ Smallest hole: 0.7 t: two; 1.0 t: others. Used: both (3 parts)\n\n- Last words.\n") {
		t.Errorf("got\n%s", got)
	}
}

// Whole numbers and most others take ways of their own; what is written is what twelve digits are.
func TestNumPlain(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 9))
	plain := func(v float64) string {
		if v == 0 {
			return "0"
		}
		if a := math.Abs(v); a < 1e-6 || a >= 1e15 {
			return strconv.FormatFloat(v, 'g', digits, 64)
		}
		r, err := strconv.ParseFloat(strconv.FormatFloat(v, 'e', digits-1, 64), 64)
		if err != nil {
			t.Fatal(err)
		}
		return strconv.FormatFloat(r, 'f', -1, 64)
	}
	for i := range 100000 {
		v := (random.Float64() - 0.5) * math.Pow(10, float64(random.IntN(34)-12))
		if i%3 == 0 {
			v = math.Round(v)
		}
		if got, want := Num(v).String(), plain(v); got != want {
			t.Fatalf("%v: %s, want %s", v, got, want)
		}
	}
}
