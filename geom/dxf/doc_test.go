package dxf

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// TestCodesAreListed holds the package comment to the codes that the sources
// give to repairs, both ways.
func TestCodesAreListed(t *testing.T) {
	doc, err := os.ReadFile("doc.go")
	if err != nil {
		t.Fatal(err)
	}
	_, list, ok := strings.Cut(string(doc), "Codes of repairs")
	if !ok {
		t.Fatal("no list")
	}
	listed := map[string]bool{}
	for _, w := range regexp.MustCompile(`\b[a-z]+(-[a-z]+)+\b`).FindAllString(list, -1) {
		listed[w] = true
	}
	used := map[string]bool{}
	call := regexp.MustCompile(`(?:note\(|noteEntity\([^"\n]*|refuse\(|mend\([^"\n]*|reject\([^"\n]*|Code: *|code[A-Z][a-z]+ = )"([a-z]+(?:-[a-z]+)+)"`)
	files, _ := filepath.Glob("*.go")
	for _, f := range files {
		if strings.HasSuffix(f, "_test.go") {
			continue
		}
		src, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range call.FindAllStringSubmatch(string(src), -1) {
			used[m[1]] = true
			if !listed[m[1]] {
				t.Errorf("%s: code %s is not in the package comment", f, m[1])
			}
		}
	}
	for c := range listed {
		if !used[c] {
			t.Errorf("code %s is listed and not used", c)
		}
	}
	if len(used) < 30 {
		t.Errorf("only %d codes found", len(used))
	}
}
