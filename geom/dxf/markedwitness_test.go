package dxf

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// twice reports a handle that a file has twice; other programs give one of the
// two another.
func twice(data []byte) bool {
	seen := map[string]bool{}
	for _, tag := range tagsOf(data) {
		if strings.HasPrefix(tag, "5 ") {
			if seen[tag] {
				return true
			}
			seen[tag] = true
		}
	}
	return false
}

// Another program finds no fault in marked drawings that it does not find in
// the drawings, and the same entities in them, tag for tag.
func TestMarkedBesideEzdxf(t *testing.T) {
	interpreter := python(t)
	dir := t.TempDir()
	n := 0
	everyDrawing(t, func(path string, data []byte) {
		const large = 1 << 18 // takes that program long
		d, err := ReadBytes(data, Options{})
		if err != nil || len(data) > large {
			return
		}
		out, why, err := Marked(data, d, marksOn(d), Options{})
		if err != nil || why != "" {
			return
		}
		plain, err := unpack(data, Options{}.withDefaults())
		if err != nil {
			t.Fatal(err)
		}
		for name, data := range map[string][]byte{"-was.dxf": plain, "-is.dxf": out, ".txt": fmt.Appendf(nil, "%s\n%v", path, twice(plain))} {
			if err := os.WriteFile(filepath.Join(dir, fmt.Sprint(n)+name), data, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		n++
	})
	// Where a file has no handles, that program counts them out by itself, and it
	// adds owners and blocks of its own.
	const script = `
import sys, os, ezdxf, logging
from ezdxf.lldxf.tagwriter import TagCollector
logging.disable(logging.CRITICAL)
def tags(e, handles):
    skip = (330,) if handles else (5, 330, 360, 105)
    try:
        return [str(t) for t in TagCollector.dxftags(e) if t.code not in skip]
    except Exception as x: # it reads what it does not write
        return [e.dxftype(), str(x)]
def layer(e):
    return e.dxf.layer if e.dxf.is_supported("layer") and e.dxf.hasattr("layer") else ""
def entities(doc, handles):
    return [(block.name, tags(e, handles and block.is_any_layout)) for block in doc.blocks for e in block
        if not layer(e).startswith("BURRCAST_")]
def faults(doc):
    audit = doc.audit()
    return sorted(str(e.code) for e in audit.errors + audit.fixes)
compared = clean = 0
for i in range(int(sys.argv[2])):
    base = os.path.join(sys.argv[1], str(i))
    name, twice = open(base + ".txt").read().split("\n")
    try:
        was = ezdxf.readfile(base + "-was.dxf")
    except Exception as e:
        continue
    try:
        now = ezdxf.readfile(base + "-is.dxf")
    except Exception as e:
        print("FAIL", name, "does not open:", e)
        continue
    handles = was.dxfversion > "AC1009" and twice == "false"
    a, b = entities(was, handles), entities(now, handles)
    if a != b:
        print("FAIL", name, len(a), "entities,", len(b), "marked;", [x for x in zip(a, b) if x[0] != x[1]][:1])
        continue
    compared += 1
    old, new = faults(was), faults(now)
    if new != old:
        print("FAIL", name, "audit", old, "became", new)
    elif not new:
        clean += 1
print("compared", compared, clean)
`
	said, err := exec.Command(interpreter, "-c", script, dir, fmt.Sprint(n)).CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, said)
	}
	for line := range strings.Lines(string(said)) {
		if strings.HasPrefix(line, "FAIL") {
			t.Error(strings.TrimSpace(line[:min(len(line), 600)]))
		}
	}
	var compared, clean int
	if _, err := fmt.Sscanf(string(said[max(0, strings.LastIndex(string(said), "compared ")):]), "compared %d %d", &compared, &clean); err != nil {
		t.Fatalf("%v\n%s", err, said)
	}
	t.Logf("%d marked drawings, %d opened and compared, %d without any fault", n, compared, clean)
	if compared < 15 || compared < n/2 || clean < compared/2 {
		t.Errorf("only %d of %d compared, %d without any fault", compared, n, clean)
	}
}

// The library's reader opens marked drawings as it opens the drawings, and finds
// the same entities and ours.
func TestMarkedBesideLibrary(t *testing.T) {
	opened := 0
	each := func(path string, data []byte) {
		was, ok := yofuRead(data)
		if !ok {
			return
		}
		d, err := ReadBytes(data, Options{})
		if err != nil {
			return
		}
		m := marksOn(d)
		out, why, err := Marked(data, d, m, Options{})
		if err != nil || why != "" {
			return
		}
		is, ok := yofuRead(out)
		if !ok {
			t.Errorf("%s: does not open any more", path)
			return
		}
		opened++
		if got, want := len(is.Entities()), len(was.Entities())+2*len(m.Places)+len(m.Edges)+len(m.Legend); got != want {
			t.Errorf("%s: %d entities, want %d", path, got, want)
		}
	}
	// Not the broken ones, which that reader is not made for.
	drawings(t, filepath.Join("..", "..", "testdata", "demo"), each)
	if dir := filepath.Join("..", "..", "..", "shared", "corpus"); !testing.Short() {
		if _, err := os.Stat(dir); err == nil {
			drawings(t, dir, each)
		}
	}
	t.Logf("%d opened", opened)
	if opened < 3 {
		t.Errorf("only %d opened", opened)
	}
}
