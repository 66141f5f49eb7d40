package cli

import (
	"archive/zip"
	"bytes"
	"compress/gzip"
	"os"
	"path/filepath"
	"strings"
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
