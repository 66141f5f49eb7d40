package cli

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// root is the top of the project, seen from this package.
const root = "../../.."

// imports lists, for every package of the project, those of the project that it
// reaches, tests left out.
func imports(t *testing.T) map[string][]string {
	t.Helper()
	cmd := exec.Command("go", "list", "-f", `{{.ImportPath}}{{range .Deps}} {{.}}{{end}}`, "./...")
	cmd.Dir = root
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("go list: %v\n%s", err, &stderr)
	}
	all := map[string][]string{}
	for line := range strings.Lines(string(out)) {
		words := strings.Fields(line)
		name, ok := strings.CutPrefix(words[0], "burrcast/")
		if !ok {
			t.Fatalf("a package outside the project: %s", words[0])
		}
		ours := []string{}
		for _, dep := range words[1:] {
			if dep, ok := strings.CutPrefix(dep, "burrcast/"); ok {
				ours = append(ours, dep)
			}
		}
		all[name] = ours
	}
	return all
}

func TestImportsRunOneWay(t *testing.T) {
	// What each package may reach; a package that is not named may not exist.
	geometry := []string{"geom", "geom/dxf", "geom/contour", "geom/width"}
	understanding := append([]string{"analyze/measure"}, geometry...)
	judging := []string{"analyze/measure"}
	all := slices.Concat(understanding, []string{"analyze", "rules", "rules/samples"})
	allowed := map[string][]string{
		"geom":                {},
		"geom/dxf":            {"geom"},
		"geom/contour":        {"geom"},
		"geom/width":          {"geom"},
		"analyze/measure":     {},
		"analyze":             understanding,
		"rules":               judging,
		"rules/samples":       append([]string{"rules"}, judging...),
		"cmd/internal/report": geometry, // pictures and marked drawings
		"cmd/internal/store":  {},
		"cmd/internal/cli":    append([]string{"cmd/internal/report", "cmd/internal/store"}, all...),
		"cmd/burrcast":        append([]string{"cmd/internal/report", "cmd/internal/store", "cmd/internal/cli"}, all...),
	}
	got := imports(t)
	for name, deps := range got {
		may, known := allowed[name]
		if !known {
			t.Errorf("package %s has no place in the house", name)
			continue
		}
		for _, dep := range deps {
			if !slices.Contains(may, dep) {
				t.Errorf("%s must not reach %s", name, dep)
			}
		}
	}
	for name := range allowed {
		if _, ok := got[name]; !ok {
			t.Errorf("package %s is missing", name)
		}
	}
}

func TestTopLevel(t *testing.T) {
	agreed := []string{"DEVELOPERS.md", "LICENSE", "README.md", "analyze", "cmd", "geom", "go.mod", "go.sum", "rules", "testdata"}
	entries, err := os.ReadDir(root)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, e := range entries {
		switch name := e.Name(); {
		case strings.HasPrefix(name, "."):
		case name == "burrcast", name == "burrcast.exe": // what "go build ./cmd/burrcast" leaves, and git ignores
		default:
			got = append(got, name)
		}
	}
	if !slices.Equal(got, agreed) {
		t.Errorf("the top level holds\n%v, not\n%v", got, agreed)
	}
}

func TestMainIsSmall(t *testing.T) {
	text, err := os.ReadFile(filepath.Join(root, "cmd/burrcast/main.go"))
	if err != nil {
		t.Fatal(err)
	}
	_, body, ok := strings.Cut(string(text), "func main() {")
	if !ok {
		t.Fatal("no main function")
	}
	if n := strings.Count(body, "\n"); n > 10 {
		t.Errorf("main has %d lines", n)
	}
	files, err := filepath.Glob(filepath.Join(root, "cmd/burrcast/*.go"))
	if err != nil || len(files) != 1 {
		t.Errorf("cmd/burrcast holds %v, %v", files, err)
	}
}
