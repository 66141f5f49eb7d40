package report

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// written renders a report into a folder.
func written(t *testing.T, dir string, r *Report) {
	t.Helper()
	var names []string
	for _, d := range r.Drawings {
		names = append(names, d.File)
	}
	f, err := OpenFolder(dir, names)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Abort()
	for i := range r.Drawings {
		if err := f.Drawing(&r.Drawings[i]); err != nil {
			t.Fatal(err)
		}
	}
	if err := f.Close(r.tail()); err != nil {
		t.Fatal(err)
	}
}

// list names what is below a folder, with "/".
func listed(t *testing.T, dir string) []string {
	t.Helper()
	var names []string
	err := filepath.WalkDir(dir, func(path string, e fs.DirEntry, err error) error {
		if err == nil && !e.IsDir() {
			rel, _ := filepath.Rel(dir, path)
			names = append(names, filepath.ToSlash(rel))
		}
		return err
	})
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		t.Fatal(err)
	}
	return names
}

func TestFolder(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "new", "report")
	written(t, dir, fixture())
	for _, file := range []string{ProgramFile, TableFile, PageFile} {
		got, err := os.ReadFile(filepath.Join(dir, file))
		if err != nil {
			t.Fatal(err)
		}
		if file == PageFile {
			got = styleAndScript.ReplaceAll(got, []byte("..."))
		}
		golden(t, "fixture"+filepath.Ext(file), got)
	}
	before := listed(t, dir)
	// A second run replaces the first, file by file.
	written(t, dir, fixture())
	if diff := cmp.Diff(before, listed(t, dir)); diff != "" {
		t.Errorf("after the second run:\n%s", diff)
	}
	for _, name := range before {
		if strings.HasSuffix(name, ".tmp") {
			t.Errorf("%s is left over", name)
		}
	}
}

// A run that ends early leaves the folder as it was.
func TestFolderAborted(t *testing.T) {
	dir := t.TempDir()
	old := filepath.Join(dir, TableFile)
	if err := os.WriteFile(old, []byte("old"), 0o644); err != nil {
		t.Fatal(err)
	}
	f, err := OpenFolder(dir, nil)
	if err != nil {
		t.Fatal(err)
	}
	if err := f.Drawing(&fixture().Drawings[0]); err != nil {
		t.Fatal(err)
	}
	f.Abort()
	if got := listed(t, dir); !slices.Equal(got, []string{TableFile}) {
		t.Errorf("left: %v", got)
	}
	if text, err := os.ReadFile(old); err != nil || string(text) != "old" {
		t.Errorf("the old table: %q, %v", text, err)
	}

	made := filepath.Join(dir, "made")
	if f, err = OpenFolder(made, nil); err != nil {
		t.Fatal(err)
	}
	f.Abort()
	if _, err := os.Stat(made); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("the folder that the run made stays: %v", err)
	}
}

// Nothing that a run reads is written over, under whatever name it comes.
func TestFolderNeverOverAnInput(t *testing.T) {
	dir := t.TempDir()
	csv := filepath.Join(dir, TableFile)
	if err := os.WriteFile(csv, []byte("jobs"), 0o644); err != nil {
		t.Fatal(err)
	}
	link := filepath.Join(t.TempDir(), "link")
	names := []string{filepath.ToSlash(csv), filepath.ToSlash(dir) + "/x/../" + TableFile, filepath.ToSlash(dir) + "/Report.CSV"}
	if err := os.Symlink(dir, link); err == nil {
		names = append(names, filepath.ToSlash(link)+"/"+TableFile)
	} else if runtime.GOOS != "windows" {
		t.Fatal(err)
	}
	for _, name := range names {
		if _, err := OpenFolder(dir, []string{name}); !errors.Is(err, errOverInput) {
			t.Errorf("%s as a drawing: %v", name, err)
		}
		if _, err := OpenFolder(dir, nil, name); !errors.Is(err, errOverInput) {
			t.Errorf("%s as another input: %v", name, err)
		}
	}
	if text, err := os.ReadFile(csv); err != nil || string(text) != "jobs" {
		t.Errorf("the input: %q, %v", text, err)
	}
	if got := listed(t, dir); !slices.Equal(got, []string{TableFile}) {
		t.Errorf("left: %v", got)
	}
}

func TestFolderThatCannotBe(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "file")
	if err := os.WriteFile(file, nil, 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := OpenFolder(file, nil); err == nil || !strings.Contains(err.Error(), "not a directory") && runtime.GOOS != "windows" {
		t.Errorf("a file as the folder: %v", err)
	}
	if err := os.Mkdir(filepath.Join(dir, ProgramFile), 0o755); err != nil {
		t.Fatal(err)
	}
	if _, err := OpenFolder(dir, nil); err == nil || !strings.Contains(err.Error(), "a folder is in the way") {
		t.Errorf("a folder in the way: %v", err)
	}
}

func TestMarkedNames(t *testing.T) {
	for _, c := range []struct{ drawings, want string }{
		{"a.dxf", "a.dxf"},
		{"in/a.dxf in/b.DXF", "a.dxf b.DXF"},
		{"in/x/a.dxf in/y/a.dxf in/a.dxf", "x/a.dxf y/a.dxf a.dxf"},
		{"in/a.dxf in/A.dxf", "a.dxf A-2.dxf"},
		{"../one/a.dxf ../../two/a.dxf", "one/a.dxf up/two/a.dxf"},
		{"/abs/a.dxf ./rel/b.dxf", "abs/a.dxf rel/b.dxf"},
		{"C:/in/a.dxf D:/in/a.dxf", "C_/in/a.dxf D_/in/a.dxf"},
		{"stdin", "stdin.dxf"},
		{"in/plate.cut", "plate.cut.dxf"},
	} {
		drawings := strings.Fields(c.drawings)
		names := markedNames(drawings)
		var got []string
		for _, d := range drawings {
			got = append(got, names[d])
		}
		if strings.Join(got, " ") != c.want {
			t.Errorf("%s: %v, want %s", c.drawings, got, c.want)
		}
	}
}

// What waits in files leaves nothing behind, whether a run ends well, fails or is
// given up.
func TestFolderLeavesNoSpool(t *testing.T) {
	r := fixture()
	for _, end := range []string{"closed", "aborted"} {
		dir := filepath.Join(t.TempDir(), "out")
		f, err := OpenFolder(dir, nil)
		if err != nil {
			t.Fatal(err)
		}
		waiting := []*spool{&f.renders[0].(*pageRenderer).spool, &f.renders[1].(*jsonRenderer).spool,
			&f.renders[2].(*bookRenderer).quotes.spool, &f.renders[2].(*bookRenderer).asks.spool}
		for _, s := range waiting {
			s.most = 1
		}
		for i := range r.Drawings {
			if err := f.Drawing(&r.Drawings[i]); err != nil {
				t.Fatal(err)
			}
		}
		for i, s := range waiting {
			if s.file == nil || filepath.Dir(s.file.Name()) != dir {
				t.Errorf("spool %d is not beside the report", i)
			}
		}
		if end == "closed" {
			if err := f.Close(r.tail()); err != nil {
				t.Fatal(err)
			}
		}
		f.Abort()
		left, err := filepath.Glob(filepath.Join(dir, ".*"))
		if err != nil || len(left) > 0 {
			t.Errorf("%s: %v left, %v", end, left, err)
		}
		for i, s := range waiting {
			if s.file != nil {
				t.Errorf("%s: spool %d is open", end, i)
			}
		}
	}
}

// Marked drawings wait on the disk for the report to be whole, and hold nothing
// in memory until then: a folder may have tens of thousands.
func TestMarkedDrawingsWaitWithoutMemory(t *testing.T) {
	f, err := OpenFolder(t.TempDir(), nil)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Abort()
	held := func() uint64 {
		runtime.GC()
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		return m.HeapAlloc
	}
	before, text := held(), make([]byte, 1000)
	for i := range 300 {
		if err := f.mark(fmt.Sprintf("%d.dxf", i), text); err != nil {
			t.Fatal(err)
		}
	}
	if more := (int64(held()) - int64(before)) / 300; more > 4000 {
		t.Errorf("%d bytes wait for each drawing", more)
	}
	runtime.KeepAlive(f)
}
