package cli

import (
	"bufio"
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"burrcast/cmd/internal/report"
)

// --open shows the page once it is there, and where nobody named a folder the
// report stands beside the first path.
func TestOpen(t *testing.T) {
	t.Chdir(t.TempDir())
	if err := os.Mkdir("in", 0o755); err != nil {
		t.Fatal(err)
	}
	write(t, filepath.Join("in", "flat.dxf"), plate(0))
	for _, c := range []struct {
		args, folder string
	}{
		{"--open in", "in-report"},
		{"--open in/flat.dxf", "in/flat-report"},
		{"--open in/*.dxf", "burrcast-report"},
		{"--open --report mine in", "mine"},
	} {
		var shown string
		var stdout, stderr bytes.Buffer
		e := &env{ctx: t.Context(), stdout: &stdout, stderr: &stderr, open: func(page string) error {
			shown = page
			_, err := os.Stat(page)
			return err
		}}
		if code := e.check(strings.Fields(c.args)); code != exitClean {
			t.Errorf("check %s: exit code %d, %s", c.args, code, &stderr)
		}
		want, _ := filepath.Abs(filepath.Join(c.folder, report.PageFile))
		if !filepath.IsAbs(shown) || filepath.Clean(shown) != want || strings.Contains(stderr.String(), "cannot") {
			t.Errorf("check %s: shown %s, want %s; %s", c.args, shown, want, &stderr)
		}
	}
	// A system without a program for pages is told of, and changes nothing else.
	var stdout, stderr bytes.Buffer
	e := &env{ctx: t.Context(), stdout: &stdout, stderr: &stderr, open: func(string) error { return errors.New("no program for pages") }}
	if code := e.check([]string{"--open", "in"}); code != exitClean || !strings.Contains(stderr.String(), "hint: it cannot be shown from here: no program for pages") {
		t.Errorf("exit code %d, %s", code, &stderr)
	}
}

// Drawings dropped on the program are checked and shown, and a window that
// would close over a message waits.
func TestDropped(t *testing.T) {
	t.Chdir(t.TempDir())
	flat := write(t, "flat.dxf", plate(0))
	shown := ""
	var stdout, stderr bytes.Buffer
	e := &env{ctx: t.Context(), stdout: &stdout, stderr: &stderr, drop: true, open: func(page string) error {
		shown = filepath.ToSlash(page)
		return nil
	}}
	if code := e.dispatch([]string{flat}); code != exitClean || !strings.HasSuffix(shown, "/flat-report/index.html") {
		t.Errorf("exit code %d, shown %q, %s", code, shown, &stderr)
	}
	shown = ""
	e.drop = false
	if code := e.dispatch([]string{flat}); code != exitClean || shown != "" {
		t.Errorf("from a shell: exit code %d, shown %q", code, shown)
	}
	stdin := strings.NewReader("\nrest")
	e.stdin = stdin
	stderr.Reset()
	e.wait(bufio.NewWriter(&stdout))
	if stderr.String() != "press Enter to close this window " {
		t.Errorf("asked: %q", &stderr)
	}
	if ownsConsole() {
		t.Error("a test has no window of its own")
	}
}

func TestBesides(t *testing.T) {
	t.Chdir(t.TempDir())
	if err := os.MkdirAll("a.b/c", 0o755); err != nil {
		t.Fatal(err)
	}
	here, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range [][2]string{
		{"a.b", "a.b-report"}, {"a.b/", "a.b-report"}, {"x/plate.dxf", "x/plate-report"}, {"x/*.dxf", "burrcast-report"},
		{"-", "burrcast-report"}, {".", here + "-report"},
	} {
		if got := besides(filepath.FromSlash(c[0])); got != filepath.FromSlash(c[1]) {
			t.Errorf("besides %s: %s, want %s", c[0], got, c[1])
		}
	}
}
