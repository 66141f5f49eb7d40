package cli

import (
	"archive/zip"
	"bytes"
	"compress/gzip"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

// pack FILE.gz FILE, or pack FILE.zip NAME=FILE...: compresses drawings; a name
// may be anything.
func cmdPack(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: pack FILE.gz FILE | pack FILE.zip NAME=FILE...")
	}
	var b bytes.Buffer
	if strings.HasSuffix(args[0], ".gz") {
		z := gzip.NewWriter(&b)
		_, err := z.Write([]byte(ts.ReadFile(args[1])))
		ts.Check(err)
		ts.Check(z.Close())
	} else {
		z := zip.NewWriter(&b)
		for _, arg := range args[1:] {
			name, file, _ := strings.Cut(arg, "=")
			w, err := z.Create(name)
			ts.Check(err)
			_, err = w.Write([]byte(ts.ReadFile(file)))
			ts.Check(err)
		}
		ts.Check(z.Close())
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), b.Bytes(), 0o644))
}

// TestInside: a member's name never leads out of its archive.
func TestInside(t *testing.T) {
	for name, want := range map[string]string{
		"a.dxf": "a.dxf", "d/a.dxf": "d/a.dxf", "../../a.dxf": "a.dxf", "/etc/a.dxf": "etc/a.dxf",
		`..\..\a.dxf`: "a.dxf", `d\a.dxf`: "d/a.dxf", "./d/../a.dxf": "a.dxf",
	} {
		if got := filepath.ToSlash(inside(name)); got != want {
			t.Errorf("%s: %s, want %s", name, got, want)
		}
	}
}

// Archives used by many at once, and more of them than stay open, give what each
// holds.
func TestArchivesAtOnce(t *testing.T) {
	dir := t.TempDir()
	var all []source
	for a := range 2 * mostOpen {
		var b bytes.Buffer
		z := zip.NewWriter(&b)
		for m := range 5 {
			w, err := z.Create(fmt.Sprintf("%d.dxf", m))
			if err != nil {
				t.Fatal(err)
			}
			fmt.Fprintf(w, "drawing %d of archive %d", m, a)
		}
		if err := z.Close(); err != nil {
			t.Fatal(err)
		}
		file := write(t, filepath.Join(dir, fmt.Sprintf("%d.zip", a)), b.String())
		for m := range 5 {
			all = append(all, source{path: fmt.Sprintf("drawing %d of archive %d", m, a), zip: file, member: fmt.Sprintf("%d.dxf", m)})
		}
	}
	c := &checker{archives: &archives{}}
	var group sync.WaitGroup
	for w := range 8 {
		group.Go(func() {
			for i := range 10 * len(all) {
				s := all[(i*(2*w+1))%len(all)]
				if data, err := c.fromArchive(s); err != nil || string(data) != s.path {
					t.Errorf("%q, %v, not %q", data, err, s.path)
				}
			}
		})
	}
	group.Wait()
	if n := len(c.archives.open); n != mostOpen {
		t.Errorf("%d archives are open", n)
	}
	open := c.archives.open
	c.archives.close()
	for _, a := range open {
		if a.file.Close() == nil {
			t.Error("an archive was not closed")
		}
	}
	if _, err := c.fromArchive(source{zip: filepath.Join(dir, "gone.zip")}); err == nil || err.Error() != "no such file or folder" {
		t.Error(err)
	}
}
