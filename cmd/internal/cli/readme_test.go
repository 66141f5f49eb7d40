package cli

import (
	"bytes"
	"os"
	"strings"
	"testing"
)

// The readme's examples are what the program prints. A line "..." in one stands
// for any number of lines.
func TestReadmeExamples(t *testing.T) {
	text, err := os.ReadFile(root + "/README.md")
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir(root)
	blocks := strings.Split(strings.ReplaceAll(string(text), "\r\n", "\n"), "```console\n$ burrcast ")[1:]
	if len(blocks) < 3 {
		t.Fatalf("%d examples", len(blocks))
	}
	for _, block := range blocks {
		command, want, _ := strings.Cut(block, "\n")
		want, _, closed := strings.Cut(want, "```")
		if !closed {
			t.Fatalf("the example %q does not end", command)
		}
		var stdout, stderr bytes.Buffer
		if code := Run(t.Context(), strings.Fields(command), nil, &stdout, &stderr); code == exitCannot {
			t.Errorf("burrcast %s: %s", command, &stderr)
			continue
		}
		if line, ok := elided(strings.Split(strings.TrimSpace(want), "\n"), strings.Split(strings.TrimSpace(stdout.String()), "\n")); !ok {
			t.Errorf("burrcast %s prints\n%s\nthe readme's line does not follow: %s", command, &stdout, line)
		}
	}
}

// elided matches lines in order; "..." skips as many as are needed. It returns
// the line that was not found.
func elided(want, got []string) (string, bool) {
	skip := false
	for _, w := range want {
		if w == "..." {
			skip = true
			continue
		}
		for skip && len(got) > 0 && got[0] != w {
			got = got[1:]
		}
		if len(got) == 0 || got[0] != w {
			return w, false
		}
		got, skip = got[1:], false
	}
	return "the end", skip || len(got) == 0
}

func TestElided(t *testing.T) {
	got := []string{"a", "b", "c"}
	for _, c := range []struct {
		want string
		ok   bool
	}{
		{"a b c", true}, {"a ... c", true}, {"... c", true}, {"a ...", true}, {"...", true}, {"a b ... c", true},
		{"a b", false}, {"b c", false}, {"a c", false}, {"a ... d", false}, {"... b", false}, {"a b c d", false},
	} {
		if _, ok := elided(strings.Fields(c.want), got); ok != c.ok {
			t.Errorf("%s: %v", c.want, ok)
		}
	}
}
