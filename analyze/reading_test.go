package analyze

import (
	"bufio"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"burrcast/geom/dxf"
	"burrcast/rules"
)

// shopLayers returns the layer patterns of the built-in shop file.
func shopLayers() []LayerRule {
	var out []LayerRule
	for _, p := range rules.DefaultShop().Layers {
		out = append(out, LayerRule{Layer: p.Layer, LineType: p.LineType, Meaning: Meaning(p.Meaning)})
	}
	return out
}

// wants reads what a drawing of testdata/reading expects of itself; see draw.py.
func wants(t *testing.T, file string) (list [][2]string) {
	t.Helper()
	f, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	for s := bufio.NewScanner(f); s.Scan(); {
		if w, ok := strings.CutPrefix(s.Text(), "want "); ok {
			name, value, _ := strings.Cut(w, " ")
			list = append(list, [2]string{name, value})
		}
	}
	if len(list) == 0 {
		t.Fatal("the drawing wants nothing")
	}
	return list
}

// facts are what a drawing was found to be, by the names of draw.py.
func facts(res Result) map[string]float64 {
	out := map[string]float64{"parts": float64(len(res.Parts))}
	for _, l := range res.Lines {
		out[string(l.Taken)]++
	}
	if v, ok := res.Drawing.Used.Get(); ok {
		out["used"] = v
	}
	if n := res.Drawing.Nearest; len(n) > 0 {
		out["apart"] = n[0].Distance.V
	}
	for _, p := range res.Parts {
		m := &p.Measure
		out["pieces"] += float64(m.Quantity)
		out["cutouts"] += float64(len(m.Cutouts))
		out["area"] += m.Area.V
		out["length"] += m.CutLength.V
		out["forms"] += float64(len(m.Forms))
		out["held"] += float64(m.HeldBy)
		if m.Incomplete != "" {
			out["incomplete"]++
		}
		for _, j := range m.Joints {
			if j.Bridge {
				out["bridges"]++
			} else {
				out["joints"]++
			}
		}
		for _, b := range m.Bends {
			if v, ok := b.Flange.Get(); ok {
				out["flange"] = v
			}
			if v, ok := b.Gap.Get(); ok {
				out["gap"] = v
			}
		}
	}
	return out
}

func TestReadings(t *testing.T) {
	files, err := filepath.Glob("testdata/reading/*.dxf")
	if err != nil || len(files) < 50 {
		t.Fatalf("%d drawings, %v", len(files), err)
	}
	for _, file := range files {
		t.Run(strings.TrimSuffix(filepath.Base(file), ".dxf"), func(t *testing.T) {
			d, err := dxf.Read(open(t, file), dxf.Options{})
			if err != nil {
				t.Fatal(err)
			}
			res := Analyze(d, Options{Layers: shopLayers()})
			checkWants(t, res, wants(t, file))
			checkAccount(t, d, Options{Layers: shopLayers()})
			if t.Failed() {
				for _, m := range res.Messages {
					t.Logf("%s: %s", m.Code, m.Text)
				}
			}
		})
	}
}

func open(t *testing.T, file string) *os.File {
	t.Helper()
	f, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { f.Close() })
	return f
}

func checkWants(t *testing.T, res Result, list [][2]string) {
	t.Helper()
	got := facts(res)
	var codes, told []string
	for _, m := range res.Messages {
		codes = append(codes, m.Code)
		told = append(told, m.Text)
	}
	slices.Sort(codes)
	codes = slices.Compact(codes)
	var wanted []string
	asked := make(map[string]bool)
	for _, w := range list {
		name, value := w[0], w[1]
		asked[name] = true
		switch name {
		case "message":
			wanted = append(wanted, value)
		case "text":
			if !strings.Contains(strings.Join(told, "\n"), value) {
				t.Errorf("nothing says %q", value)
			}
		case "doubt":
			if have := res.Drawing.UnitsDoubt; value == "none" && have != "" || value != "none" && !strings.Contains(have, value) {
				t.Errorf("doubt %q, want %q", have, value)
			}
		case "up":
			if b := res.Parts[0].Measure.Bends[0]; b.Up != value || b.UpFrom == "" {
				t.Errorf("bend goes %q (%q), want %q", b.Up, b.UpFrom, value)
			}
		default:
			v, err := strconv.ParseFloat(value, 64)
			if err != nil {
				t.Fatalf("want %s %s: %v", name, value, err)
			}
			if math.Abs(got[name]-v) > 1e-9*math.Max(1, v) {
				t.Errorf("%s = %g, want %g", name, got[name], v)
			}
		}
	}
	slices.Sort(wanted)
	if !slices.Equal(codes, wanted) {
		t.Errorf("messages %v, want %v", codes, wanted)
	}
	for _, name := range []string{"incomplete", "joints", "bridges", "forms", string(OpenContour), string(TakenBend), string(TakenEtch),
		string(LeadIn), string(PierceMark), string(ScrapCut), string(CentreLine), string(Overshoot), string(SheetBorder), string(SinkMark), string(PocketMark)} {
		if !asked[name] && got[name] != 0 {
			t.Errorf("%s = %g that nobody wants", name, got[name])
		}
	}
}

// checkAccount checks that every candidate for a contour is one, or was taken
// for something, or was dropped for a reason: nothing vanishes. What is not cut
// is no part of a contour.
func checkAccount(t interface{ Errorf(string, ...any) }, d *dxf.Drawing, opt Options) {
	a := understand(d, opt)
	seen := make([]bool, len(a.cut))
	mark := func(list []int) {
		for _, s := range list {
			if s >= 0 {
				seen[s] = true
			}
		}
	}
	for i := range a.built.Regions {
		for _, c := range contoursOf(&a.built.Regions[i]) {
			mark(c.Sources)
			for _, s := range c.Sources {
				if s >= 0 && a.aside[s] {
					t.Errorf("curve %d was set aside and is in a contour", s)
				}
			}
		}
	}
	for _, l := range a.res.Lines {
		mark(l.sources)
	}
	for _, list := range a.refits.stood {
		mark(list)
	}
	mark(a.built.Duplicates)
	mark(a.built.Degenerate)
	mark(a.built.Rejected)
	for i, ok := range seen {
		if !ok {
			t.Errorf("curve %d, %+v, is not accounted for", i, a.cut[i])
		}
	}
}
