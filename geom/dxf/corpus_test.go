package dxf

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// shared returns a folder of drawings that stand beside the project, or skips.
func shared(t testing.TB, name string) string {
	dir := filepath.Join("..", "..", "..", "shared", name)
	if _, err := os.Stat(dir); err != nil {
		t.Skipf("no folder %s beside the project", name)
	}
	return dir
}

// drawings calls f for every drawing below dir.
func drawings(t testing.TB, dir string, f func(path string, data []byte)) {
	t.Helper()
	err := filepath.WalkDir(dir, func(path string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() || !strings.EqualFold(filepath.Ext(path), ".dxf") {
			return err
		}
		data, err := os.ReadFile(path)
		if err == nil {
			f(path, data)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

// TestCorpus reads every real drawing: none may panic, every refusal is an
// *Error, and parts must give paths.
func TestCorpus(t *testing.T) {
	dir := shared(t, "corpus")
	parts, read := 0, 0
	drawings(t, dir, func(path string, data []byte) {
		isPart := strings.Contains(path, string(filepath.Separator)+"parts"+string(filepath.Separator))
		if isPart {
			parts++
		}
		d, err := ReadBytes(data, Options{})
		if err != nil {
			var e *Error
			if !errors.As(err, &e) {
				t.Errorf("%s: %T is no *Error", path, err)
			}
			t.Logf("refused: %s: %v", path, err)
			return
		}
		if isPart {
			read++
		}
		if d.Partial {
			for _, r := range d.Repairs {
				if r.Rejected {
					t.Logf("partial: %s: line %d: %s %s %s", path, r.Line, r.Entity, r.Code, r.Text)
					break
				}
			}
		}
	})
	t.Logf("%d of %d parts read", read, parts)
	if read*100 < parts*98 {
		t.Errorf("%d of %d parts read, want 98 in 100", read, parts)
	}
}
