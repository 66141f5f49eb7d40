package rules

import (
	"bytes"
	"flag"
	"os"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "rewrite the generated page of rules")

// The page in the tree is what the rules say now.
func TestPage(t *testing.T) {
	const path = "RULES.md"
	if *update {
		if err := os.WriteFile(path, []byte(Page()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	kept, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	kept = bytes.ReplaceAll(kept, []byte("\r\n"), []byte("\n"))
	if string(kept) != Page() {
		t.Error("RULES.md is stale: go test ./rules -run TestPage -update")
	}
}

func TestPageTellsEveryRule(t *testing.T) {
	page := Page()
	for _, r := range Rules() {
		for _, want := range []string{"\n### " + r.Name + "\n", "](#" + r.Name + ")", markdown.Replace(r.Formula), markdown.Replace(r.Example), markdown.Replace(r.Source)} {
			if !strings.Contains(page, want) {
				t.Errorf("%s: the page lacks %q", r.Name, want)
			}
		}
	}
	for name := range ExtraLimits() {
		if !strings.Contains(page, "**"+name+"**") {
			t.Errorf("the page lacks the limit %s", name)
		}
	}
	if strings.Contains(page, "\t") || strings.Contains(page, "\n\n\n") {
		t.Error("the page holds tabs or empty lines in a row")
	}
}
