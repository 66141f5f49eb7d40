package cli

import (
	"bytes"
	"math"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"burrcast/cmd/internal/report"
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
		paths = append(paths, filepath.Join(dir, "samples.csv"))
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

// What a planner would say of the demo on the default line, drawing by drawing.
func TestDemoTreatments(t *testing.T) {
	want := map[string]struct {
		treatment report.Treatment // of every part
		rules     string           // that have to be among the findings
		parts     int
	}{
		"hopper-front.dxf":                    {"line", "", 1},
		"drive-bracket.dxf":                   {"line", "", 1},
		"clip-nest.dxf":                       {"fixture", "part-length part-light", 2},
		"screen-cover.dxf":                    {"brush", "film-keep film-pierce", 1},
		"vent-plate.dxf":                      {"brush", "formed-up zinc-keep", 1},
		"shaft-flange_S355_12mm_laser-o2.dxf": {"brush", "oxide-edge", 1},
		"seed-rake.dxf":                       {"hand", "notch-reach", 1},
		"key-hanger.dxf":                      {"hand", "joint-nib slot-reach hole-reach", 1},
		"chute-guard.dxf":                     {"line", "", 1},
		"leg-gusset.dxf":                      {"line", "", 1},
		"sieve-plate.dxf":                     {"line", "", 1},
		"side-pair.dxf":                       {"line", "", 2},
		"lever-quadrant.dxf":                  {"brush", "slot-thickness", 1},
		"feed-chute.dxf":                      {"ask", "open-contour", 1},
		"cheek-plate_2mm.dxf":                 {"ask", "input-conflict", 1},
	}
	seen := map[report.Treatment]bool{}
	checkAll(t, func(d *report.Drawing) {
		name := path.Base(d.File)
		w, ok := want[name]
		if !ok {
			t.Errorf("%s is not in the table", name)
			return
		}
		delete(want, name)
		if d.Status != report.OK || len(d.Parts) != w.parts {
			t.Errorf("%s: status %s, %d parts", name, d.Status, len(d.Parts))
		}
		for _, p := range d.Parts {
			seen[p.Treatment] = true
			if p.Treatment != w.treatment {
				t.Errorf("%s %s: %s, not %s", name, p.ID, p.Treatment, w.treatment)
			}
			for rule := range strings.FieldsSeq(w.rules) {
				if !slices.ContainsFunc(p.Findings, func(f report.Finding) bool { return f.Rule == rule }) {
					t.Errorf("%s %s: %s is not among the findings", name, p.ID, rule)
				}
			}
		}
	}, demo)
	for name := range want {
		t.Errorf("%s was not checked", name)
	}
	for _, tr := range report.Treatments {
		if !seen[tr] {
			t.Errorf("no part needs %q", tr)
		}
	}
}

// What the generator draws is what is measured.
func TestDemoMeasures(t *testing.T) {
	const pi = math.Pi
	got := map[string]report.Part{}
	checkAll(t, func(d *report.Drawing) {
		for _, p := range d.Parts {
			got[path.Base(d.File)+" "+p.ID] = p
		}
	}, demo)
	near := func(what string, n *report.Num, want float64) {
		t.Helper()
		if n == nil || math.Abs(float64(*n)-want) > 1e-6*want {
			t.Errorf("%s: %v, not %v", what, n, want)
		}
	}
	hopper := got["hopper-front.dxf P1"]
	near("hopper area", hopper.Area, 620*420-(4-pi)*144-(180*120-(4-pi)*225)-6*pi*49)
	near("hopper outline", hopper.OutlineLength, 2*(620+420)-8*12+2*pi*12)
	near("hopper least width", hopper.MinWidth, 420)

	flange := got["shaft-flange_S355_12mm_laser-o2.dxf P1"]
	near("flange area", flange.Area, pi*(140*140-55*55-8*81))
	near("flange cut", flange.CutLength, pi*(280+110+8*18))

	gusset := got["leg-gusset.dxf P1"] // inches
	near("gusset area", gusset.Area, 25.4*25.4*(81-7.5*7.5/2-(2.5*2.5-(4-pi)*0.16)-3*pi*0.0625))

	rake := got["seed-rake.dxf P1"]
	if len(rake.Notches) != 23 {
		t.Errorf("the rake has %d notches, not 23", len(rake.Notches))
	}
	for _, n := range rake.Notches {
		near("rake "+n.ID, n.Width, 1.4)
	}

	hanger := got["key-hanger.dxf P1"]
	near("hanger area", hanger.Area, 210*90-0.02-4*keyholeArea(14, 5, 26)-4*(26.8*1.2+pi*0.36)-4*pi*0.5625)
	if len(hanger.Joints) != 4 {
		t.Errorf("the hanger has %d joints, not 4", len(hanger.Joints))
	}

	sieve := got["sieve-plate.dxf P1"]
	if len(sieve.Cutouts) != 600 {
		t.Errorf("the sieve has %d holes, not 600", len(sieve.Cutouts))
	}
	near("sieve area", sieve.Area, 300*200-600*pi*2.25)

	clip, washer := got["clip-nest.dxf P2"], got["clip-nest.dxf P1"]
	if clip.Quantity != 35 || washer.Quantity != 8 {
		t.Errorf("%d clips and %d washers, not 35 and 8", clip.Quantity, washer.Quantity)
	}
	near("washer area", washer.Area, pi*(144-42.25))

	left, right := got["side-pair.dxf P1"], got["side-pair.dxf P2"]
	if left.Quantity != 2 || right.Quantity != 1 || right.MirroredOf != "P1" {
		t.Errorf("side plates: %d and %d, mirrored of %q", left.Quantity, right.Quantity, right.MirroredOf)
	}
	if n := len(got["drive-bracket.dxf P1"].Bends); n != 2 {
		t.Errorf("the bracket has %d bends, not 2", n)
	}
}

// keyholeArea is that of a hole of diameter d with a slot of width w above it
// that ends round at length l over the hole's centre.
func keyholeArea(d, w, l float64) float64 {
	r := d / 2
	half := math.Asin(w / d) // the slot's mouth is a chord of the hole
	hole := math.Pi*r*r - r*r*(half-math.Sin(half)*math.Cos(half))
	top := r * math.Cos(half)
	return hole + w*(l-w/2-top) + math.Pi*w*w/8
}
