package analyze

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"burrcast/analyze/measure"
	"burrcast/geom"
	"burrcast/geom/dxf"

	"github.com/golang/geo/r2"
)

// loopOf samples a closed curve at n places.
func loopOf(n int, at func(a float64) r2.Point) []r2.Point {
	var out []r2.Point
	for i := range n {
		out = append(out, at(2*math.Pi*float64(i)/float64(n)))
	}
	return out
}

// oneByOne draws loops line by line, each line a path, in any order and either
// way round.
func oneByOne(rng *rand.Rand, loops ...[]r2.Point) *dxf.Drawing {
	d := &dxf.Drawing{Units: dxf.Units{Millimetres: 1, Name: "mm", Source: "given"}}
	for _, pts := range loops {
		for i, p := range pts {
			c := geom.Line(p, pts[(i+1)%len(pts)])
			if rng.IntN(2) == 0 {
				c = c.Reversed()
			}
			d.Paths = append(d.Paths, dxf.Path{Curves: []geom.Curve{c}, Layer: "CUT", LineType: "CONTINUOUS", Entity: "LINE", Line: 1})
		}
	}
	rng.Shuffle(len(d.Paths), func(i, k int) { d.Paths[i], d.Paths[k] = d.Paths[k], d.Paths[i] })
	for i := range d.Paths {
		d.Paths[i].Line = 10 * (i + 1)
	}
	return d
}

func told(res Result, code string) *Message {
	for i := range res.Messages {
		if res.Messages[i].Code == code {
			return &res.Messages[i]
		}
	}
	return nil
}

// TestRefitContours: areas, lengths and discs of contours drawn chord by chord are
// those of the curve, in whatever order they were drawn; with KeepChords they
// are those of the chords, and nothing is told.
func TestRefitContours(t *testing.T) {
	const a, b, hole = 60.0, 40.0, 12.5
	ellipse := loopOf(900, func(t float64) r2.Point { return r2.Point{X: a * math.Cos(t), Y: b * math.Sin(t)} })
	circle := loopOf(72, func(t float64) r2.Point {
		return r2.Point{X: 7, Y: -3}.Add(r2.Point{X: hole * math.Cos(t), Y: hole * math.Sin(t)})
	})
	area := math.Pi * (a*b - hole*hole)
	chords := func(n int, a, b float64) float64 { return float64(n) / 2 * math.Sin(2*math.Pi/float64(n)) * a * b }
	for seed := range uint64(12) {
		d := oneByOne(rand.New(rand.NewPCG(seed, 7)), ellipse, circle)
		res := Analyze(d, Options{})
		if len(res.Parts) != 1 || len(res.Parts[0].Measure.Cutouts) != 1 {
			t.Fatalf("seed %d: %d parts, %+v", seed, len(res.Parts), res.Messages)
		}
		m := &res.Parts[0].Measure
		if got := m.Area.V; math.Abs(got-area) > 1e-3*m.CutLength.V || math.Abs(got-area) > m.Area.Err {
			t.Errorf("seed %d: area %.6f +- %g, want %.6f", seed, got, m.Area.Err, area)
		}
		c := &m.Cutouts[0]
		if d, ok := c.Inscribed.Get(); !ok || c.Kind != measure.Round || math.Abs(d-2*hole) > 1e-9 {
			t.Errorf("seed %d: the hole is %s with a disc of %g", seed, c.Kind, d)
		}
		msg := told(res, "chords-refitted")
		if msg == nil || msg.Line < 10 || msg.Line > 10*len(d.Paths) {
			t.Errorf("seed %d: %+v", seed, res.Messages)
		}
		checkAccount(t, d, Options{})

		res = Analyze(d, Options{KeepChords: true})
		want := chords(900, a, b) - chords(72, hole, hole)
		if m := &res.Parts[0].Measure; math.Abs(m.Area.V-want) > 1e-9*want || told(res, "chords-refitted") != nil {
			t.Errorf("seed %d, chords kept: area %.9f, want %.9f", seed, m.Area.V, want)
		}
	}
}

// TestRefitSources: every chord keeps its region, a chord that was refitted finds
// its contour, and the error of a part holds the rise of its chords.
func TestRefitSources(t *testing.T) {
	plate := []r2.Point{{X: -50, Y: -30}, {X: 50, Y: -30}, {X: 50, Y: 30}, {X: -50, Y: 30}}
	circle := loopOf(48, func(t float64) r2.Point { return r2.Point{X: 10 * math.Cos(t), Y: 10 * math.Sin(t)} })
	d := oneByOne(rand.New(rand.NewPCG(5, 5)), plate, circle)
	a := understand(d, Options{})
	if len(a.built.Regions) != 1 || len(a.built.Regions[0].Holes) != 1 || len(a.built.Regions[0].Holes[0].Curves) != 1 {
		t.Fatalf("%+v", a.built.Regions)
	}
	for s := range a.cut {
		if !slices.Equal(a.owner[s], []int{0}) {
			t.Errorf("chord %d belongs to %v", s, a.owner[s])
		}
		long := a.cut[s].Length() > 5
		if at, ok := a.contourOf(s); !ok || at.Region != 0 || long != (at.Cutout < 0) {
			t.Errorf("chord %d is found at %+v, %v", s, at, ok)
		}
	}
	if rise := 10 * (1 - math.Cos(math.Pi/48)); math.Abs(a.errorOf(0)-rise) > 1e-5 {
		t.Errorf("error %g, the chords rise %g", a.errorOf(0), rise)
	}
	if a.refits.did.Chords != 48 || a.refits.contours != 1 || len(a.refits.head) != 47 {
		t.Errorf("%+v", a.refits)
	}
}

// TestRefitKeepsMeetings: bends and joints end on the contour where they did.
func TestRefitKeepsMeetings(t *testing.T) {
	for _, name := range []string{"bend-ends-within-a-chord", "joint-in-a-round-of-lines", "shared-cut-of-chords"} {
		d, err := dxf.Read(open(t, "testdata/reading/"+name+".dxf"), dxf.Options{})
		if err != nil {
			t.Fatal(err)
		}
		opt := Options{Layers: shopLayers()}
		with := understand(d, opt)
		opt.KeepChords = true
		without := understand(d, opt)
		if len(with.built.Open) != len(without.built.Open) || len(with.built.Regions) != len(without.built.Regions) {
			t.Fatalf("%s: %d open, %d without refitting", name, len(with.built.Open), len(without.built.Open))
		}
		for i := range with.built.Open {
			if !slices.Equal(with.built.Open[i].Curves, without.built.Open[i].Curves) {
				t.Errorf("%s: chain %d changed", name, i)
			}
			for _, p := range []r2.Point{with.built.Open[i].Curves[0].Start, with.built.Open[i].Curves[0].End} {
				near := math.Inf(1)
				for _, c := range with.built.Regions[0].Outline.Curves {
					_, q := c.Closest(p)
					near = min(near, q.Sub(p).Norm())
				}
				if near > 1e-9 {
					t.Errorf("%s: chain %d ends %g from the contour", name, i, near)
				}
			}
		}
		for i := range with.built.Regions {
			c, o := &with.built.Regions[i].Outline, &without.built.Regions[i].Outline
			if !slices.Equal(c.Joints, o.Joints) {
				t.Errorf("%s: joints %+v, were %+v", name, c.Joints, o.Joints)
			}
			for k := range c.Curves {
				if c.Curves[k].End != c.Curves[(k+1)%len(c.Curves)].Start {
					t.Errorf("%s: gap behind curve %d", name, k)
				}
			}
			if len(c.Curves) != len(c.Sources) {
				t.Errorf("%s: %d curves of %d sources", name, len(c.Curves), len(c.Sources))
			}
		}
	}
}
