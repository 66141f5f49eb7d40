package cli

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"testing"

	"burrcast/cmd/internal/report"
)

var update = flag.Bool("update", false, "rewrite the readme's picture")

// checked is one drawing as check judges it, before it is written.
func checked(t *testing.T, path string) report.Drawing {
	t.Helper()
	var f checkFlags
	// Pictures are made for a report alone.
	if _, err := f.parse([]string{"--report", t.TempDir(), path}); err != nil {
		t.Fatal(err)
	}
	shop, err := f.loadShop()
	if err != nil {
		t.Fatal(err)
	}
	return newChecker(&f, shop, &env{}).drawing(source{path: path}).drawing
}

// The readme's picture is what the program draws of the demo, byte for byte.
func TestReadmePicture(t *testing.T) {
	d := checked(t, filepath.Join(demo, "key-hanger.dxf"))
	if len(d.Parts) != 1 {
		t.Fatalf("%d parts, status %s", len(d.Parts), d.Status)
	}
	got := []byte(report.PartSVG(&d.Parts[0], d.Parts[0].Drawing, report.SVGOptions{Title: "key-hanger.dxf, part P1"}))
	path := root + "/testdata/readme/part.svg"
	if *update {
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	want = bytes.ReplaceAll(want, []byte("\r\n"), []byte("\n"))
	if !bytes.Equal(got, want) {
		t.Errorf("%s is not what the program draws: go test ./cmd/internal/cli -run TestReadmePicture -update", path)
	}
}

// Every part of the demo can be drawn, and what lies in it is in its picture.
func TestDemoPictures(t *testing.T) {
	paths, err := filepath.Glob(filepath.Join(demo, "*.dxf"))
	if err != nil || len(paths) < 12 {
		t.Fatalf("%d drawings, %v", len(paths), err)
	}
	for _, path := range paths {
		d := checked(t, path)
		for i := range d.Parts {
			p := &d.Parts[i]
			if len(p.Drawing.Contours) != 1+len(p.Cutouts) || len(p.Drawing.Joints) != len(p.Joints) || len(p.Drawing.Bends) != len(p.Bends) {
				t.Errorf("%s %s: %d contours, %d joints, %d bends to draw", d.File, p.ID, len(p.Drawing.Contours), len(p.Drawing.Joints), len(p.Drawing.Bends))
			}
			if report.PartSVG(p, p.Drawing, report.SVGOptions{}) == "" {
				t.Errorf("%s %s: no picture", d.File, p.ID)
			}
		}
	}
}
