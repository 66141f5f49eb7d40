package cli

import (
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// tree makes empty files in a new folder and goes there.
func tree(t *testing.T, names ...string) {
	t.Helper()
	t.Chdir(t.TempDir())
	for _, name := range names {
		if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(name, nil, 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

func names(w *walker) []string {
	out := []string{}
	for _, s := range w.found {
		name := s.name()
		if s.err != nil {
			name += " (" + s.err.Error() + ")"
		}
		out = append(out, name)
	}
	return out
}

func TestWalk(t *testing.T) {
	tree(t, "b.dxf", "a.DXF", "notes.txt", ".hidden.dxf", "sub/z.dxf", "sub/deep/c.Dxf", ".git/x.dxf", "none/readme.md", "[1].dxf", "x.cut")
	for _, c := range []struct {
		args  string
		want  string
		empty string
	}{
		{".", "[1].dxf a.DXF b.dxf sub/deep/c.Dxf sub/z.dxf", ""},
		{"sub b.dxf", "sub/deep/c.Dxf sub/z.dxf b.dxf", ""},
		{"b.dxf ./b.dxf b.dxf", "b.dxf", ""},
		{"sub sub/z.dxf sub", "sub/deep/c.Dxf sub/z.dxf", ""},
		{"notes.txt", "notes.txt", ""},
		{"none", "", "none"},
		{"none sub/deep", "sub/deep/c.Dxf", "none"},
		{"*.dxf", "[1].dxf a.DXF b.dxf", ""},
		{"A.d?f", "a.DXF", ""},
		{"*", "[1].dxf a.DXF b.dxf sub/deep/c.Dxf sub/z.dxf", ""},
		{"SUB/*.dxf", "SUB/*.dxf", ""},
		{"S*/*.DXF", "sub/z.dxf", ""},
		{"*/DEEP/*.dxf", "sub/deep/c.Dxf", ""},
		{"*.cut", "x.cut", ""},
		{"*.step", "", "*.step"},
		{"[1].dxf", "[1].dxf", ""},
		{".hid*", ".hidden.dxf", ""},
		{".hidden.dxf", ".hidden.dxf", ""},
		{"-", "stdin", ""},
	} {
		if strings.HasPrefix(c.args, "SUB/") {
			if _, err := os.Stat("SUB"); err == nil {
				continue // a file system that ignores case by itself
			}
			c.want = "sub/z.dxf"
		}
		w := walk(strings.Fields(c.args))
		if diff := cmp.Diff(c.want, strings.Join(names(w), " ")); diff != "" {
			t.Errorf("%s (-want +got):\n%s", c.args, diff)
		}
		if got := strings.Join(w.empty, " "); got != c.empty {
			t.Errorf("%s: empty %q, not %q", c.args, got, c.empty)
		}
	}
	if got := names(walk([]string{"gone.dxf", "b.dxf"})); got[0] != "gone.dxf (no such file or folder)" || got[1] != "b.dxf" {
		t.Errorf("a missing file: %q", got)
	}
	if got := names(walk([]string{"a[.dxf"})); len(got) != 1 || !strings.Contains(got[0], "pattern") {
		t.Errorf("a broken pattern: %q", got)
	}
}

func TestWalkLinks(t *testing.T) {
	tree(t, "in/a.dxf", "out/b.dxf")
	for link, target := range map[string]string{"in/loop": "..", "in/other": filepath.Join("..", "out"), "in/c.dxf": filepath.Join("..", "out", "b.dxf"), "in/dead.dxf": "nowhere"} {
		if err := os.Symlink(target, link); err != nil {
			if runtime.GOOS == "windows" {
				t.Skip("links need a right that this user does not have")
			}
			t.Fatal(err)
		}
	}
	got := names(walk([]string{"in"}))
	want := []string{"in/a.dxf", "in/c.dxf", "in/dead.dxf (no such file or folder)", "in/loop/out/b.dxf"}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

func TestWalkFolderWithoutPermission(t *testing.T) {
	tree(t, "shut/a.dxf", "open/b.dxf")
	if err := os.Chmod("shut", 0); err != nil {
		t.Fatal(err)
	}
	defer os.Chmod("shut", 0o755)
	if _, err := os.ReadDir("shut"); err == nil {
		t.Skip("this user may read everything")
	}
	got := names(walk([]string{"."}))
	want := []string{"open/b.dxf", "shut (no permission to read it)"}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}
