package rules

import (
	"math"
	"strings"
	"testing"

	"burrcast/analyze/measure"

	"github.com/golang/geo/r2"
)

const fittedFile = `
[fitted.belt-and-drum-brush.hole-reach]
limit = 3.0
interval = [2.7, 3.3]
share = 0.5
steepness = 9
filament = 0.8
samples = 44
date = "2026-03-31"

[[process.laser-n2.sampled]]
families = ["stainless"]
thickness = 2
height = [0.02, 0.11]
samples = 14
date = "2026-03-30"
`

func holePart(d float64) measure.Part {
	return measure.Part{ID: "P1", Quantity: 1, Area: measure.Of(20000, 0), OutlineLength: measure.Of(600, 0),
		BBox: r2.RectFromPoints(r2.Point{}, r2.Point{X: 200, Y: 100}), Cutouts: []measure.Cutout{
			{ID: "C1", Kind: measure.Round, Inscribed: measure.Of(d, 0), MinWidth: measure.Of(d, 0), Perimeter: measure.Of(math.Pi*d, 0),
				Reach: []measure.Reach{{Tool: 2.4, Share: measure.Of(1, 0)}}},
		}}
}

func findingOf(t *testing.T, shop Shop, p measure.Part, job Job, rule string) (Finding, bool) {
	t.Helper()
	j, err := Judge(measure.Drawing{}, p, job, shop)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range j.Findings {
		if f.Rule == rule {
			return f, true
		}
	}
	return Finding{}, false
}

// A limit fitted to samples decides on its line, and says where it comes from;
// on another line nothing changes.
func TestFittedLimitDecides(t *testing.T) {
	shop, err := LoadShop("shop.toml", []byte(fittedFile))
	if err != nil {
		t.Fatal(err)
	}
	if f, ok := findingOf(t, DefaultShop(), holePart(2.8), Job{}, "hole-reach"); ok {
		t.Fatalf("a hole of 2.8 mm fails by default: %+v", f)
	}
	f, ok := findingOf(t, shop, holePart(2.8), Job{}, "hole-reach")
	if !ok || f.Limit != 3 || f.Provenance != ShopSamples || !strings.Contains(f.Source, "44 samples up to 2026-03-31") || !strings.Contains(f.Source, "2.7 to 3.3") {
		t.Errorf("with a fitted limit of 3 mm: %v %+v", ok, f)
	}
	if f, ok := findingOf(t, shop, holePart(3.1), Job{}, "hole-reach"); ok {
		t.Errorf("a hole of 3.1 mm fails a limit of 3: %+v", f)
	}
	if f, ok := findingOf(t, shop, holePart(2.8), Job{Line: Given{Value: "three-heads-grain"}}, "hole-reach"); ok {
		t.Errorf("the limit of one line counts on another: %+v", f)
	}
}

// A finer brush than the one sampled enters narrower places in proportion.
func TestFittedLimitGoesWithTheFilament(t *testing.T) {
	shop, err := LoadShop("shop.toml", []byte(fittedFile))
	if err != nil {
		t.Fatal(err)
	}
	shop.Lines["belt-and-drum-brush"].Heads[1].Filament = 0.6
	f, ok := shop.FittedOn("belt-and-drum-brush", "hole-reach")
	if !ok || math.Abs(f.Limit-2.25) > 1e-12 || math.Abs(f.Interval[0]-2.025) > 1e-12 || f.Filament != 0.6 {
		t.Errorf("%v %+v", ok, f)
	}
}

// Measured heights stand before the process's forecast where material and
// thickness are those that were measured, and the tool's state is in them.
func TestFittedBurrHeights(t *testing.T) {
	shop, err := LoadShop("shop.toml", []byte(fittedFile))
	if err != nil {
		t.Fatal(err)
	}
	p := shop.Processes["laser-n2"]
	p.ToolState = "worn"
	steel, stainless := Material{}, Material{}
	for name, m := range map[string]*Material{"S235": &steel, "1.4301": &stainless} {
		if *m, err = shop.Material(name); err != nil {
			t.Fatal(err)
		}
	}
	b := ForecastBurr("laser-n2", p, stainless, 2.05)
	if b.Low != 0.02 || b.High != 0.11 || b.Provenance != ShopSamples || !strings.Contains(b.Source, "14 heights") || b.Kind != "fine burr" {
		t.Errorf("%+v", b)
	}
	for _, c := range []struct {
		m Material
		t float64
	}{{steel, 2}, {stainless, 2.2}, {stainless, 1.5}} {
		if b := ForecastBurr("laser-n2", p, c.m, c.t); b.Provenance == ShopSamples {
			t.Errorf("%s %g mm: %+v", c.m.Family, c.t, b)
		}
	}
}

func TestFittedTablesAreChecked(t *testing.T) {
	for _, c := range []struct{ old, new, want string }{
		{"limit = 3.0", "limit = 3.5", "outside its interval"},
		{"[fitted.belt-and-drum-brush.", "[fitted.belt-and-drum-brushes.", "did you mean"},
		{"hole-reach", "part-length", "no rule of this name is fitted"},
		{"samples = 44", "samples = 0", "above 0"},
		{"2026-03-31", "31.3.2026", "not a date"},
		{"share = 0.5", "share = 1", "between 0 and 1"},
		{"steepness = 9", "", "steepness"},
		{"interval = [2.7, 3.3]", "interval = [3.3, 2.7]", "above high"},
		{"samples = 14", "smaples = 14", "unknown key"},
		{`families = ["stainless"]`, `families = ["glass"]`, "no family"},
		{"thickness = 2", "thickness = 0", "above 0"},
	} {
		if !strings.Contains(fittedFile, c.old) {
			t.Fatalf("no %q", c.old)
		}
		_, err := LoadShop("shop.toml", []byte(strings.Replace(fittedFile, c.old, c.new, 1)))
		if err == nil || !strings.Contains(err.Error(), c.want) || !strings.HasPrefix(err.Error(), "shop.toml:") {
			t.Errorf("%q: %v", c.new, err)
		}
	}
}

// Every place is listed once, under the rule that is nearest to failing, and its
// forecast is the judgement's.
func TestSampledPlaces(t *testing.T) {
	p := holePart(2.3)
	p.Cutouts = append(p.Cutouts,
		measure.Cutout{ID: "C2", Kind: measure.Round, Inscribed: measure.Of(6, 0), MinWidth: measure.Of(6, 0)},
		measure.Cutout{ID: "C3", Kind: measure.Slot, Inscribed: measure.Of(2.5, 0), MinWidth: measure.Of(2.5, 0)},
		measure.Cutout{ID: "C4", Kind: measure.Round})
	p.Notches = []measure.Notch{{ID: "N1", Width: measure.Of(1.4, 0), Depth: measure.Of(20, 0)}, {ID: "N2", Width: measure.Of(1.4, 0), Depth: measure.Of(1, 0)}}
	p.Corners = []measure.Corner{{ID: "K1", Contour: "O", Angle: 30, Side: measure.Void}, {ID: "K2", Contour: "C1", Angle: 30, Side: measure.Void}}
	p.Webs = []measure.Passage{{ID: "W1", Kind: measure.Web, Width: measure.Of(5, 0)}, {ID: "W2", Kind: measure.Tab, Width: measure.Of(5, 0)}}
	job := Job{Material: Given{Value: "S235"}, Thickness: Given{Value: "8"}, Process: Given{Value: "laser-n2"}}
	got, err := SampledPlaces(measure.Drawing{}, p, job, DefaultShop())
	if err != nil {
		t.Fatal(err)
	}
	want := map[string]string{"C1": "hole-thickness", "C2": "hole-thickness", "C3": "slot-thickness", "N1": "slot-thickness", "N2": "slot-thickness", "K1": "corner-reach", "W1": "web-thickness"}
	for _, s := range got {
		if want[s.Feature] != s.Rule {
			t.Errorf("%s under %s, not %s", s.Feature, s.Rule, want[s.Feature])
		}
		delete(want, s.Feature)
		_, fails := findingOf(t, DefaultShop(), p, job, s.Rule)
		if !s.Clean && !fails {
			t.Errorf("%s: forecast burr, and %s does not fail", s.Feature, s.Rule)
		}
	}
	for id := range want {
		t.Errorf("%s is not listed", id)
	}
	broken := p
	broken.Incomplete = "a cut-out is open"
	if got, err := SampledPlaces(measure.Drawing{}, broken, job, DefaultShop()); err != nil || len(got) > 0 {
		t.Errorf("an incomplete part: %d places, %v", len(got), err)
	}
	job.Thickness.Value = "1"
	got, err = SampledPlaces(measure.Drawing{}, p, job, DefaultShop())
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range got {
		switch s.Feature {
		case "C1":
			if s.Rule != "hole-reach" || s.Clean || math.Abs(s.Limit-2.4) > 1e-12 || s.Filament != 0.8 || s.Unit != "mm" {
				t.Errorf("%+v", s)
			}
		case "C3":
			if s.Rule != "slot-reach" || !s.Clean {
				t.Errorf("%+v", s)
			}
		case "K1":
			if s.Sense != -1 || s.Clean || s.Filament != 0 {
				t.Errorf("%+v", s)
			}
		}
	}
}
