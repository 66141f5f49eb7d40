package cli

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"burrcast/analyze"
	"burrcast/geom/dxf"
	"burrcast/rules"

	"github.com/golang/geo/r2"
)

// ruleDrawings is the folder with a passing and a failing drawing of every rule;
// its generator says what the comments in them mean.
const ruleDrawings = root + "/testdata/rules"

// drawingless are the rules of which no failing or passing drawing can exist, with
// the reason.
var drawingless = map[string]string{}

// expectation is what a rule drawing says of itself.
type expectation struct {
	rule, want, line string
	findings         []expected
	asks, told       []string
}

type expected struct {
	rule, kind      string
	at              r2.Point
	measured, limit float64
	unit            string
}

func (e expected) String() string {
	return fmt.Sprintf("%s %s at (%.6g, %.6g) %.6g against %.6g %s", e.rule, e.kind, e.at.X, e.at.Y, e.measured, e.limit, e.unit)
}

// meets reports whether a finding is the one expected: places within a
// thousandth of a millimetre, numbers within a part in 100,000.
func (e expected) meets(f rules.Finding) bool {
	kind := "-"
	if f.Feature != "" {
		kind = f.Feature[:1]
	}
	close := func(got, want float64) bool { return math.Abs(got-want) <= 1e-5*math.Max(1, math.Abs(want)) }
	return f.Rule == e.rule && kind == e.kind && f.At.Sub(e.at).Norm() < 1e-3 && close(f.Measured, e.measured) && close(f.Limit, e.limit) && f.Unit == e.unit
}

func seen(f rules.Finding) string {
	return fmt.Sprintf("%s %s at (%.6g, %.6g) %.6g against %.6g %s", f.Rule, f.Feature, f.At.X, f.At.Y, f.Measured, f.Limit, f.Unit)
}

// readExpectation reads the comments at the head of a drawing.
func readExpectation(t *testing.T, data []byte) expectation {
	t.Helper()
	var e expectation
	lines := strings.Split(strings.ReplaceAll(string(data), "\r\n", "\n"), "\n")
	for i := 0; i+1 < len(lines) && strings.TrimSpace(lines[i]) == "999"; i += 2 {
		w := strings.Fields(lines[i+1])
		switch {
		case len(w) == 3 && w[0] == "rule":
			e.rule, e.want = w[1], w[2]
		case len(w) == 2 && w[0] == "line":
			e.line = w[1]
		case len(w) == 2 && w[0] == "ask":
			e.asks = append(e.asks, w[1])
		case len(w) == 2 && w[0] == "told":
			e.told = append(e.told, w[1])
		case len(w) >= 8 && w[0] == "expect":
			var v [4]float64
			for k := range v {
				n, err := strconv.ParseFloat(w[3+k], 64)
				if err != nil {
					t.Fatal(err)
				}
				v[k] = n
			}
			e.findings = append(e.findings, expected{w[1], w[2], r2.Point{X: v[0], Y: v[1]}, v[2], v[3], strings.Join(w[7:], " ")})
		default:
			t.Fatalf("comment %q is not understood", lines[i+1])
		}
	}
	return e
}

// judgeRuleDrawing takes a drawing the whole way: read, analyzed, judged.
func judgeRuleDrawing(t *testing.T, path string, shop rules.Shop) (expectation, []rules.Judgement) {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	e := readExpectation(t, data)
	f := checkFlags{}
	if _, err := f.parse([]string{path}); err != nil {
		t.Fatal(err)
	}
	f.line = e.line
	c := newChecker(&f, shop, &env{})
	s := source{path: path}
	d, err := dxf.Read(bytes.NewReader(data), c.read)
	if err != nil {
		t.Fatal(err)
	}
	res := analyze.Analyze(d, c.optionsFor(s))
	job := c.job(d.Notes, s)
	var list []rules.Judgement
	for _, p := range res.Parts {
		j, err := rules.Judge(res.Drawing, p.Measure, job, shop)
		if err != nil {
			t.Fatal(err)
		}
		list = append(list, j)
	}
	return e, list
}

func ruleShop(t *testing.T) rules.Shop {
	t.Helper()
	path := filepath.Join(ruleDrawings, "shop.toml")
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	shop, err := rules.LoadShop(path, data)
	if err != nil {
		t.Fatal(err)
	}
	return shop
}

// Every rule has a drawing that fails it, at the place and with the numbers that
// the drawing itself says, and one that passes it and was judged. What either is
// told besides must be expected, too.
func TestEveryRuleHasDrawings(t *testing.T) {
	shop := ruleShop(t)
	known := map[string]bool{}
	for _, r := range rules.Rules() {
		for _, want := range []string{"pass", "fail"} {
			name := r.Name + "-" + want + ".dxf"
			known[name] = true
			if why, ok := drawingless[r.Name+"-"+want]; ok {
				if why == "" {
					t.Errorf("%s: no reason why there is no drawing", name)
				}
				continue
			}
			t.Run(strings.TrimSuffix(name, ".dxf"), func(t *testing.T) {
				e, judged := judgeRuleDrawing(t, filepath.Join(ruleDrawings, name), shop)
				if e.rule != r.Name || e.want != want {
					t.Fatalf("the drawing says that it is for %s %s", e.rule, e.want)
				}
				checkExpectation(t, r, e, judged)
			})
		}
	}
	paths, err := filepath.Glob(filepath.Join(ruleDrawings, "*.dxf"))
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range paths {
		if !known[filepath.Base(p)] {
			t.Errorf("%s is of no rule", filepath.Base(p))
		}
	}
}

func checkExpectation(t *testing.T, r rules.Rule, e expectation, judged []rules.Judgement) {
	t.Helper()
	if len(judged) == 0 {
		t.Fatal("no part")
	}
	open := slices.Clone(e.findings)
	verdict, asked := rules.NotApplicable, map[string]bool{}
	for _, j := range judged {
		for _, f := range j.Findings {
			i := slices.IndexFunc(open, func(x expected) bool { return x.meets(f) })
			if i < 0 {
				t.Errorf("not expected: %s", seen(f))
				continue
			}
			open = slices.Delete(open, i, i+1)
		}
		for _, q := range j.Questions {
			asked[q.Input] = true
			if !slices.Contains(e.asks, q.Input) {
				t.Errorf("asks for %s: %s", q.Input, q.Text)
			}
			if e.want == "fail" && slices.Contains(q.Unjudged, r.Name) && verdict == rules.NotApplicable {
				verdict = rules.Unknown
			}
		}
		if v := j.Verdicts[r.Name]; v == rules.Fail || verdict == rules.NotApplicable {
			verdict = v
		}
	}
	for _, x := range open {
		t.Errorf("not found: %s", x)
	}
	for _, input := range e.asks {
		if !asked[input] {
			t.Errorf("does not ask for %s", input)
		}
	}
	for _, rule := range e.told {
		if !slices.ContainsFunc(judged, func(j rules.Judgement) bool { return j.Verdicts[rule] == rules.Fail }) {
			t.Errorf("%s does not fail", rule)
		}
	}
	own := slices.Contains(e.told, r.Name) || slices.ContainsFunc(e.findings, func(x expected) bool { return x.rule == r.Name })
	switch {
	case e.want == "pass" && own:
		t.Error("a passing drawing expects a finding of its own rule")
	case e.want == "pass" && verdict != rules.Pass:
		t.Errorf("verdict %d, want pass", verdict)
	case e.want == "fail" && own && verdict != rules.Fail:
		t.Errorf("verdict %d, want fail", verdict)
	case e.want == "fail" && !own && (len(e.asks) == 0 || verdict != rules.Unknown):
		t.Errorf("verdict %d; a failing drawing without a finding must leave its rule to a question", verdict)
	}
}

// What explain prints as a rule's example is its failing drawing: measure and
// limit with three digits and their unit.
func TestExamplesAreTheDrawings(t *testing.T) {
	for _, r := range rules.Rules() {
		data, err := os.ReadFile(filepath.Join(ruleDrawings, r.Name+"-fail.dxf"))
		if err != nil {
			t.Error(err)
			continue
		}
		e := readExpectation(t, data)
		want := ": asked"
		if i := slices.IndexFunc(e.findings, func(x expected) bool { return x.rule == r.Name }); i >= 0 {
			x := e.findings[i]
			want = three(x.measured) + " " + x.unit + " against " + three(x.limit) + " " + x.unit + ", "
		} else if slices.Contains(e.told, r.Name) {
			want = e.findings[0].rule
		}
		if !strings.Contains(r.Example, want) {
			t.Errorf("%s: the example %q does not say %q", r.Name, r.Example, want)
		}
		_, out, _ := burrcast(t, "explain", r.Name)
		said := strings.Join(strings.Fields(out), " ")
		for _, text := range []string{r.Formula, r.Source, r.Provenance, r.Example} {
			if !strings.Contains(said, strings.Join(strings.Fields(text), " ")) {
				t.Errorf("explain %s lacks %q", r.Name, text)
			}
		}
	}
}

// three writes a number with three digits, whole ones in full.
func three(v float64) string {
	if v == math.Trunc(v) {
		return fmt.Sprintf("%.0f", v)
	}
	return fmt.Sprintf("%.3g", v)
}

// The drawings in the tree are what the generator writes, byte for byte.
func TestRuleDrawingsAreGenerated(t *testing.T) {
	dir := t.TempDir()
	cmd := exec.Command("go", "run", "./testdata/rules", "-o", dir)
	cmd.Dir = root
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("go run: %v\n%s", err, out)
	}
	made, err := filepath.Glob(filepath.Join(dir, "*.dxf"))
	if err != nil || len(made) < 2*len(rules.Rules())-len(drawingless) {
		t.Fatalf("the generator writes %d drawings, %v", len(made), err)
	}
	for _, path := range made {
		want, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		got, err := os.ReadFile(filepath.Join(ruleDrawings, filepath.Base(path)))
		if err != nil {
			t.Error(err)
			continue
		}
		if !bytes.Equal(got, want) {
			t.Errorf("%s is not what the generator writes: go run ./testdata/rules", filepath.Base(path))
		}
	}
}
