package cli

import (
	"bytes"
	"compress/gzip"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"burrcast/cmd/internal/report"
)

// runTo runs check and writes what it says to a file.
func runTo(t *testing.T, file string, args ...string) string {
	t.Helper()
	format := "jsonl"
	if strings.Contains(file, ".json") && !strings.Contains(file, ".jsonl") {
		format = "json"
	}
	code, out, errs := burrcast(t, append([]string{"check", "--quiet", "--format", format}, args...)...)
	if code == exitCannot {
		t.Fatalf("%v: %s", args, errs)
	}
	data := []byte(out)
	if strings.HasSuffix(file, ".gz") {
		var b bytes.Buffer
		w := gzip.NewWriter(&b)
		w.Write(data)
		if err := w.Close(); err != nil {
			t.Fatal(err)
		}
		data = b.Bytes()
	}
	if err := os.WriteFile(file, data, 0o644); err != nil {
		t.Fatal(err)
	}
	return file
}

// merged runs merge and wants it to work.
func merged(t *testing.T, args ...string) string {
	t.Helper()
	code, out, errs := burrcast(t, append([]string{"merge", "--quiet"}, args...)...)
	if code == exitCannot {
		t.Fatalf("merge %v: %s", args, errs)
	}
	return out
}

// The union of the shards is the unsplit run, byte for byte, in every format,
// whatever form the results have and in whatever order they are named.
func TestShardsMakeTheWhole(t *testing.T) {
	drawings, err := filepath.Abs(demo)
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir(t.TempDir())
	args := []string{drawings, write(t, "letter.dxf", "a letter"), "missing.dxf"}
	whole := map[string]string{}
	codes := map[string]int{}
	for _, format := range report.Formats() {
		codes[format], whole[format], _ = burrcast(t, append([]string{"check", "--quiet", "--format", format}, args...)...)
	}
	random := rand.New(rand.NewPCG(8, 8))
	endings := []string{".jsonl", ".json", ".jsonl.gz", ".json.gz"}
	for _, of := range []int{1, 3, 7} {
		var files []string
		for n := 1; n <= of; n++ {
			file := fmt.Sprintf("%d-of-%d%s", n, of, endings[random.IntN(len(endings))])
			files = append(files, runTo(t, file, append([]string{"--shard", fmt.Sprintf("%d/%d", n, of)}, args...)...))
		}
		for _, format := range report.Formats() {
			random.Shuffle(len(files), func(a, b int) { files[a], files[b] = files[b], files[a] })
			code, out, errs := burrcast(t, append([]string{"merge", "--quiet", "--format", format}, files...)...)
			if out != whole[format] || code != codes[format] {
				t.Errorf("%s of %v: exit code %d, not %d; %d bytes, not %d\n%s", format, files, code, codes[format], len(out), len(whole[format]), errs)
			}
		}
		// Joined in two steps it is the same.
		if of == 7 {
			for i, some := range [][]string{files[:2], files[2:6]} {
				part := merged(t, append([]string{"--incomplete", "--format", "jsonl"}, some...)...)
				write(t, fmt.Sprintf("part-%d.jsonl", i), part)
				if !strings.Contains(part, `"shards":[`) {
					t.Errorf("a part does not say which shards it holds")
				}
			}
			if out := merged(t, "--format", "json", "part-1.jsonl", files[6], "part-0.jsonl"); out != whole["json"] {
				t.Error("joined in two steps it is another report")
			}
		}
	}
	// A result alone, read and written, is itself in every format.
	runTo(t, "whole.json", args...)
	for _, format := range report.Formats() {
		if out := merged(t, "--format", format, "whole.json"); out != whole[format] {
			t.Errorf("%s of a single result differs", format)
		}
	}
	schema, _, err := compileSchema()
	if err != nil {
		t.Fatal(err)
	}
	if err := validate(schema, []byte(merged(t, "--incomplete", "--format", "json", "part-0.jsonl"))); err != nil {
		t.Error(err)
	}
}

// Runs over different folders come out as one run over all of them.
func TestMergeFolders(t *testing.T) {
	t.Chdir(t.TempDir())
	for _, dir := range []string{"a", "a.x", "b"} {
		os.Mkdir(dir, 0o755)
		for i := range 3 {
			write(t, fmt.Sprintf("%s/%d.dxf", dir, i), plate(0, 200, 150, 10*float64(i+1)))
		}
	}
	want := runTo(t, "all.jsonl", "a", "a.x", "b")
	var files []string
	for _, dir := range []string{"b", "a.x", "a"} {
		files = append(files, runTo(t, dir+".jsonl", dir))
	}
	all, err := os.ReadFile(want)
	if err != nil {
		t.Fatal(err)
	}
	for _, order := range [][]string{{"b.jsonl", "a.jsonl", "a.x.jsonl"}, {"a.x.jsonl", "b.jsonl", "a.jsonl"}, {"*.jsonl"}} {
		if order[0] == "*.jsonl" {
			os.Remove("all.jsonl")
		}
		if out := merged(t, append([]string{"--format", "jsonl"}, order...)...); out != string(all) {
			t.Errorf("%v joined is another report", order)
		}
	}
	// One behind the other in one file they are the same results.
	var together []byte
	for _, f := range files {
		data, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		together = append(together, data...)
	}
	write(t, "together.jsonl", string(together))
	if out := merged(t, "--format", "jsonl", "together.jsonl"); out != string(all) {
		t.Error("results in one file are joined to another report")
	}
	var stdout, stderr bytes.Buffer
	if code := Run(t.Context(), []string{"merge", "--format", "jsonl", "--quiet", "-"}, bytes.NewReader(together), &stdout, &stderr); code == exitCannot || stdout.String() != string(all) {
		t.Errorf("from standard input: %d %s", code, &stderr)
	}
	// What is in two results and says the same is counted once.
	runTo(t, "more.jsonl", "a.x", "b/1.dxf")
	if out := merged(t, "--format", "jsonl", "more.jsonl", "together.jsonl", "a.jsonl"); out != string(all) {
		t.Error("drawings that are in two results are counted twice or lost")
	}
	write(t, "b/1.dxf", plate(0))
	runTo(t, "later.jsonl", "b/1.dxf")
	refused(t, "later.jsonl and together.jsonl (result 1 in it): they say different things of drawing b/1.dxf", "later.jsonl", "together.jsonl")
	if left, _ := filepath.Glob(filepath.Join(os.TempDir(), program+"-*.tmp")); slices.ContainsFunc(left, func(f string) bool {
		info, err := os.Stat(f)
		return err == nil && info.Size() == int64(len(together))
	}) {
		t.Errorf("left behind: %v", left)
	}
}

// However drawings are dealt out to runs, joined they come as a walk finds them.
func TestMergeWeaves(t *testing.T) {
	t.Chdir(t.TempDir())
	random := rand.New(rand.NewPCG(4, 2))
	hands := make([][]string, 5)
	for _, dir := range []string{"job/a", "job/a.x", "job/a/b", "job"} {
		if err := os.MkdirAll(dir, 0o755); err != nil {
			t.Fatal(err)
		}
		for i := range 4 {
			h := random.IntN(len(hands)-1) + i%2
			hands[h] = append(hands[h], write(t, fmt.Sprintf("%s/%d.dxf", dir, i), plate(0, 200, 150, 10*float64(i+1))))
		}
	}
	_, want, _ := burrcast(t, "check", "--quiet", "--format", "jsonl", "job")
	var files []string
	for h, names := range hands {
		slices.SortFunc(names, comparePaths)
		files = append(files, runTo(t, fmt.Sprintf("hand-%d.jsonl", h), names...))
	}
	if out := merged(t, append([]string{"--format", "jsonl"}, files...)...); out != want {
		t.Error("drawings dealt out and joined come in another order")
	}
}

func TestComparePaths(t *testing.T) {
	paths := []string{"", "/", "/a", "a", "a/", "a/b", "a/b.dxf", "a.x", "a-", "a!/z", "b", "ä/1", "a//b", "A/b"}
	for _, a := range paths {
		for _, b := range paths {
			if got, want := comparePaths(a, b), slices.Compare(strings.Split(a, "/"), strings.Split(b, "/")); got != want && a != "" && b != "" {
				t.Errorf("%q and %q: %d, not %d", a, b, got, want)
			}
		}
	}
}

// refused wants merge to say why not, with nothing on standard output, however
// the files are ordered.
func refused(t *testing.T, want string, args ...string) {
	t.Helper()
	for range 2 {
		code, out, errs := burrcast(t, append([]string{"merge", "--format", "jsonl"}, args...)...)
		if code != exitCannot || out != "" || !strings.Contains(errs, "burrcast: error: "+want) {
			t.Errorf("merge %v: exit code %d, %q, not %q", args, code, errs, want)
		}
		slices.Reverse(args)
	}
}

func TestMergeRefuses(t *testing.T) {
	t.Chdir(t.TempDir())
	for i := range 6 {
		write(t, fmt.Sprintf("%d.dxf", i), plate(0, 200, 150, 10*float64(i+1)))
	}
	write(t, "own.toml", "[limit]\nhole-reach = 3.0\n")
	write(t, "same.toml", "# the same, said otherwise\nlimit.hole-reach = 3\n")
	a := runTo(t, "a.jsonl", "0.dxf", "1.dxf")
	text, err := os.ReadFile(a)
	if err != nil {
		t.Fatal(err)
	}
	changed := func(name, old, with string) string {
		t.Helper()
		out := strings.Replace(string(text), old, with, 1)
		if out == string(text) {
			t.Fatalf("%s: nothing to change", name)
		}
		return write(t, name, strings.ReplaceAll(out, `1.dxf`, `9.dxf`))
	}

	refused(t, "a.jsonl and own.jsonl: made with different shop files", a, runTo(t, "own.jsonl", "--shop", "own.toml", "2.dxf"))
	if out := merged(t, runTo(t, "same.json", "--shop", "same.toml", "3.dxf"), "own.jsonl"); !strings.HasPrefix(out, "2 drawings") {
		t.Errorf("shop files that say the same: %s", out)
	}
	refused(t, "a.jsonl and steel.jsonl: made with different flags: --material S235, no --material", a, runTo(t, "steel.jsonl", "--material", "S235", "2.dxf"))
	refused(t, "alu.jsonl and steel.jsonl: made with different flags: --material AlMg3, --material S235", "steel.jsonl", runTo(t, "alu.jsonl", "--material", "AlMg3", "2.dxf"))
	refused(t, "a.jsonl and other.jsonl: made by different versions of the program", a, changed("other.jsonl", `"program":"`, `"program":"not-`))
	refused(t, "two.jsonl: of schema burrcast/2, and this program writes burrcast/1", a, changed("two.jsonl", report.Schema, "burrcast/2"))
	refused(t, "a.jsonl and none.jsonl: different schemas", a, changed("none.jsonl", `"schema":"burrcast/1",`, ``))
	refused(t, "lines.json: compares lines over its own drawings", runTo(t, "lines.json", "--line", "all", "2.dxf"))
	refused(t, "count.jsonl: holds 2 drawings, and its totals say 7", changed("count.jsonl", `"totals":{"drawings":2`, `"totals":{"drawings":7`))
	refused(t, `key.jsonl: json: unknown field "mood"`, changed("key.jsonl", `"units":`, `"mood":1,"units":`))
	refused(t, "0.dxf: not a result of burrcast", "0.dxf")
	refused(t, "list.json: not a result of burrcast", write(t, "list.json", "[1,2]"))
	refused(t, "thing.json: not a result of burrcast", write(t, "thing.json", `{"name":"x"}`+"\n"))
	refused(t, "bare.jsonl: does not say what it was made with", write(t, "bare.jsonl", `{"file":"x.dxf","end":{"totals":{"drawings":1}}}`))
	refused(t, "gone.jsonl: no such file or folder", a, "gone.jsonl")
	refused(t, ".: a folder, not a result", ".")

	// Shards.
	for n := 1; n <= 3; n++ {
		runTo(t, fmt.Sprintf("s%d.jsonl", n), "--shard", fmt.Sprintf("%d/3", n), "0.dxf", "1.dxf", "2.dxf", "3.dxf")
		runTo(t, fmt.Sprintf("z%d.jsonl", n), "--shard", fmt.Sprintf("%d/3", n), "0.dxf", "1.dxf", "2.dxf", "4.dxf")
	}
	refused(t, "shard 2 of 3 is missing", "s1.jsonl", "s3.jsonl")
	refused(t, "shards 1, 3 of 3 are missing", "s2.jsonl")
	refused(t, "s1.jsonl and z3.jsonl: shards of different jobs", "s1.jsonl", "s2.jsonl", "z3.jsonl")

	// Numbers that make no sense.
	runTo(t, "n.jsonl", "--shard", "1/1", "0.dxf", "1.dxf")
	if text, err = os.ReadFile("n.jsonl"); err != nil {
		t.Fatal(err)
	}
	refused(t, "back.jsonl: drawing 1.dxf has number 1 of 2, after number 1", write(t, "back.jsonl", strings.Replace(string(text), `"index":2`, `"index":1`, 1)))
	refused(t, "far.jsonl: drawing 1.dxf has number 3 of 2, after number 1", write(t, "far.jsonl", strings.Replace(string(text), `"index":2`, `"index":3`, 1)))
	refused(t, "n.jsonl and name.jsonl: drawing 2 of the job is 1.dxf in the one and x.dxf in the other",
		write(t, "name.jsonl", strings.Replace(string(text), `"file":"1.dxf"`, `"file":"x.dxf"`, 1)), "n.jsonl")
}

// A result that was cut off is known by its missing end, wherever the cut is.
func TestMergeCutOff(t *testing.T) {
	t.Chdir(t.TempDir())
	for i := range 5 {
		write(t, fmt.Sprintf("%d.dxf", i), plate(0, 200, 150, 10*float64(i+1)))
	}
	for _, name := range []string{"a.jsonl", "a.json", "a.jsonl.gz"} {
		file := runTo(t, name, "0.dxf", "1.dxf", "2.dxf")
		good := runTo(t, "good.jsonl", "3.dxf", "4.dxf")
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		step := max(1, len(text)/40)
		most := 0
		for cut := 0; cut < len(text)-1; cut += step {
			write(t, "cut-"+name, string(text[:cut]))
			code, out, errs := burrcast(t, "merge", "--format", "jsonl", "cut-"+name, good)
			if code != exitCannot || out != "" || !strings.Contains(errs, "cut-"+name+": ends before its totals") ||
				!strings.Contains(errs, "hint: --incomplete joins what is there") {
				t.Fatalf("%s cut at %d of %d: exit code %d, %s", name, cut, len(text), code, errs)
			}
			code, out, errs = burrcast(t, "merge", "--format", "json", "--incomplete", "cut-"+name, good)
			if name == "a.json" && code == exitCannot && strings.Contains(errs, "does not say what it was made with") {
				continue // it is cut within its head
			}
			var r report.Report
			if err := json.Unmarshal([]byte(out), &r); err != nil || code == exitCannot {
				t.Fatalf("%s cut at %d: exit code %d, %v\n%s", name, cut, code, err, errs)
			}
			most = max(most, len(r.Drawings))
			if !strings.Contains(r.Incomplete, "a result ends before its totals") || r.Totals.Drawings != len(r.Drawings) || len(r.Drawings) < 2 ||
				!strings.Contains(errs, "hint: not everything is in the report: a result ends before its totals") {
				t.Fatalf("%s cut at %d: %d drawings, incomplete %q\n%s", name, cut, len(r.Drawings), r.Incomplete, errs)
			}
			if again := merged(t, "--format", "json", "--incomplete", good, "cut-"+name); again != out {
				t.Fatalf("%s cut at %d: the order of the files matters", name, cut)
			}
		}
		if most < 4 {
			t.Errorf("%s: of a result cut near its end %d drawings are joined", name, most-2)
		}
	}
	// A run that was interrupted says so itself.
	text, err := os.ReadFile("good.jsonl")
	if err != nil {
		t.Fatal(err)
	}
	write(t, "stopped.jsonl", strings.Replace(string(text), `"end":{`, `"end":{"incomplete":"interrupted after 2 of 9 drawings",`, 1))
	refused(t, "stopped.jsonl: interrupted after 2 of 9 drawings", "stopped.jsonl")
	if out := merged(t, "--incomplete", "stopped.jsonl"); !strings.Contains(out, "\nInterrupted after 2 of 9 drawings.\n") {
		t.Errorf("the text does not tell:\n%s", out)
	}
}

// The report folder of joined results holds what results hold: no pictures.
func TestMergeReportFolder(t *testing.T) {
	drawings, err := filepath.Abs(demo)
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir(t.TempDir())
	burrcast(t, "check", "--quiet", "--report", "want", drawings)
	for n := 1; n <= 2; n++ {
		runTo(t, fmt.Sprintf("%d.jsonl", n), "--shard", fmt.Sprintf("%d/2", n), drawings)
	}
	code, _, errs := burrcast(t, "merge", "--report", "got", "2.jsonl", "1.jsonl")
	if code != exitFound || !strings.Contains(errs, "the report is in got/index.html") {
		t.Errorf("exit code %d, %s", code, errs)
	}
	for _, name := range []string{report.ProgramFile, report.TableFile} {
		want, err := os.ReadFile(filepath.Join("want", name))
		if err != nil {
			t.Fatal(err)
		}
		got, err := os.ReadFile(filepath.Join("got", name))
		if err != nil || !bytes.Equal(got, want) {
			t.Errorf("%s differs, %v", name, err)
		}
	}
	page, err := os.ReadFile(filepath.Join("got", report.PageFile))
	if err != nil || bytes.Count(page, []byte("<details class=\"part\"")) < 15 {
		t.Errorf("the page lists too little, %v", err)
	}
	if _, err := os.Stat(filepath.Join("got", report.MarkedDir)); err == nil {
		t.Error("there are marked drawings, out of nothing")
	}
	if _, err := os.Stat(filepath.Join("got", report.BookFile)); err != nil {
		t.Error(err)
	}
	// Never over a result.
	os.Mkdir("over", 0o755)
	text, err := os.ReadFile("1.jsonl")
	if err != nil {
		t.Fatal(err)
	}
	write(t, "over/report.json", string(text))
	code, _, errs = burrcast(t, "merge", "--report", "over", "over/report.json", "2.jsonl")
	if after, _ := os.ReadFile("over/report.json"); code != exitCannot || !bytes.Equal(after, text) {
		t.Errorf("exit code %d, %s", code, errs)
	}
}
