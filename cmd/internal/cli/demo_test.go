package cli

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"
)

// demo is the folder of the demo shop's drawings.
const demo = root + "/testdata/demo"

// The drawings in the tree are what the generator writes, byte for byte.
func TestDemoIsGenerated(t *testing.T) {
	dir := t.TempDir()
	cmd := exec.Command("go", "run", "./testdata/demo", "-o", dir)
	cmd.Dir = root
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("go run: %v\n%s", err, out)
	}
	list := func(dir string) []string {
		paths, err := filepath.Glob(filepath.Join(dir, "*.dxf"))
		if err != nil || len(paths) < 12 {
			t.Fatalf("%d drawings in %s, %v", len(paths), dir, err)
		}
		for i := range paths {
			paths[i] = filepath.Base(paths[i])
		}
		return paths
	}
	made, kept := list(dir), list(demo)
	if !slices.Equal(made, kept) {
		t.Fatalf("the generator writes\n%v, the tree holds\n%v", made, kept)
	}
	for _, name := range made {
		want, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil {
			t.Fatal(err)
		}
		got, err := os.ReadFile(filepath.Join(demo, name))
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(got, want) {
			t.Errorf("%s is not what the generator writes: go run ./testdata/demo", name)
		}
	}
}

// audit opens drawings with a reader of its own kind and prints the names of
// those that it has anything to say about.
const audit = `
import sys, ezdxf
for name in sys.argv[1:]:
    found = ezdxf.readfile(name).audit()
    if found.errors or found.fixes:
        print(name, [e.message for e in found.errors + found.fixes])
`

// The demo is sound DXF in the eyes of an independent library, not only in ours.
func TestDemoIsSound(t *testing.T) {
	python := ""
	for _, name := range []string{"python3", "/usr/bin/python3"} {
		if exec.Command(name, "-c", "import ezdxf").Run() == nil {
			python = name
			break
		}
	}
	if python == "" {
		if os.Getenv("BURRCAST_WITNESS") == "all" {
			t.Fatal("python3-ezdxf is missing")
		}
		t.Skip("python3-ezdxf is not installed")
	}
	paths, err := filepath.Glob(filepath.Join(demo, "*.dxf"))
	if err != nil || len(paths) < 12 {
		t.Fatalf("%d drawings, %v", len(paths), err)
	}
	out, err := exec.Command(python, append([]string{"-c", audit}, paths...)...).CombinedOutput()
	if err != nil || len(out) > 0 {
		t.Errorf("%v\n%s", err, out)
	}
}
