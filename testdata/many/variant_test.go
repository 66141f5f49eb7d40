package main

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"burrcast/analyze"
	"burrcast/geom/dxf"
)

// A copy is another file with the same parts, moved.
func TestVariant(t *testing.T) {
	files, err := filepath.Glob("../demo/*.dxf")
	if err != nil || len(files) < 10 {
		t.Fatalf("%v, %v", files, err)
	}
	measured := func(text []byte) analyze.Result {
		d, err := dxf.ReadBytes(text, dxf.Options{})
		if err != nil {
			t.Fatal(err)
		}
		return analyze.Analyze(d, analyze.Options{})
	}
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		moved, ok := shifted(text, 1.5, -2.5)
		if !ok {
			t.Errorf("%s is not moved", file)
			continue
		}
		a, b := measured(text), measured(moved)
		if len(a.Parts) != len(b.Parts) || len(a.Parts) == 0 {
			t.Errorf("%s: %d parts, moved %d", file, len(a.Parts), len(b.Parts))
			continue
		}
		// Units are mm or inch: by how much depends on them.
		unit := 1.0
		if d, _ := dxf.ReadBytes(text, dxf.Options{}); d.Units.Name == "inch" {
			unit = 25.4
		}
		for i := range a.Parts {
			p, q := a.Parts[i].Measure, b.Parts[i].Measure
			if d := q.Area.V - p.Area.V; d > 1e-2 || d < -1e-2 {
				t.Errorf("%s: the area changes by %g", file, d)
			}
			if len(p.Cutouts) != len(q.Cutouts) || len(p.Notches) != len(q.Notches) {
				t.Errorf("%s: other features", file)
			}
			d := q.BBox.Lo().Sub(p.BBox.Lo())
			if dx, dy := d.X-1.5*unit, d.Y+2.5*unit; dx > 1e-3 || dx < -1e-3 || dy > 1e-3 || dy < -1e-3 {
				t.Errorf("%s: moved by %v", file, d)
			}
		}
		if bytes.Equal(variant(text, 1), variant(text, 2)) || bytes.Equal(variant(text, 1), text) {
			t.Errorf("%s: equal copies", file)
		}
	}
}

// What cannot be moved is told apart by a comment, and reads the same.
func TestVariantByComment(t *testing.T) {
	text := []byte("0\nSECTION\n2\nENTITIES\n0\nCIRCLE\n10\n0\n20\n0\n40\n5\n230\n-1\n0\nENDSEC\n0\nEOF\n")
	if _, ok := shifted(text, 1, 1); ok {
		t.Error("another plane is moved as if it were this one")
	}
	d, err := dxf.ReadBytes(variant(text, 3), dxf.Options{})
	if err != nil || len(d.Paths) != 1 {
		t.Errorf("%v, %v", d, err)
	}
}

func TestMany(t *testing.T) {
	out := filepath.Join(t.TempDir(), "out")
	size, err := many(out, 1234, []string{"../demo"})
	if err != nil {
		t.Fatal(err)
	}
	files, err := filepath.Glob(filepath.Join(out, "*", "*.dxf"))
	if err != nil || len(files) != 1234 {
		t.Fatalf("%d files, %v", len(files), err)
	}
	seen := map[string]bool{}
	var sum int64
	for _, f := range files {
		text, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		if seen[string(text)] {
			t.Errorf("%s is there twice", f)
		}
		seen[string(text)] = true
		sum += int64(len(text))
	}
	if sum != size {
		t.Errorf("%d bytes, not %d", sum, size)
	}
}
