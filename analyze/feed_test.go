package analyze

import (
	"fmt"
	"math"
	"testing"

	"burrcast/analyze/measure"
	"burrcast/geom"
	"burrcast/geom/dxf"

	"github.com/golang/geo/r2"
)

// BenchmarkFeeds measures parts at all feed angles: extents, widest sections,
// edges by direction.
func BenchmarkFeeds(b *testing.B) {
	feeds := func(b *testing.B, w *work) {
		w.part, w.room = &measure.Part{}, new(room)
		w.totals()
		b.ReportAllocs()
		for b.Loop() {
			w.part.Feeds = nil
			w.feeds()
		}
	}
	for _, o := range outlines {
		for _, n := range []int{100, 1000, 10000, 100000} {
			b.Run(fmt.Sprintf("%s/%d", o.name, n), func(b *testing.B) { feeds(b, newBenchPart(b, o.make(n))) })
		}
	}
	// A plate as shops have them: rounded corners and two rows of round holes.
	b.Run("plate", func(b *testing.B) {
		corner := math.Tan(math.Pi / 8)
		at := []r2.Point{{X: 10}, {X: 190}, {X: 200, Y: 10}, {X: 200, Y: 90}, {X: 190, Y: 100}, {X: 10, Y: 100}, {Y: 90}, {Y: 10}}
		loops := [][]geom.Curve{nil}
		for i, p := range at {
			loops[0] = append(loops[0], geom.Bulge(p, at[(i+1)%len(at)], corner*float64(i%2)))
		}
		for k := range 9 {
			for _, y := range []float64{15, 85} {
				loops = append(loops, geom.ReverseLoop([]geom.Curve{geom.Circle(r2.Point{X: 20 + 20*float64(k), Y: y}, 4)}))
			}
		}
		feeds(b, &work{loops: loops, merged: loops, ids: make([]string, len(loops))})
	})
}

// A right triangle with legs of 30 mm along X and 60 mm along Y has its centre of
// gravity a third of each leg from the right angle, wherever it lies in the
// drawing.
func TestLead(t *testing.T) {
	const triangle = "0\nSECTION\n2\nENTITIES\n0\nLWPOLYLINE\n8\nCUT\n90\n3\n70\n1\n10\n500\n20\n700\n10\n530\n20\n700\n10\n500\n20\n760\n0\nENDSEC\n0\nEOF\n"
	d, err := dxf.ReadBytes([]byte(triangle), dxf.Options{Units: "mm"})
	if err != nil {
		t.Fatal(err)
	}
	r := Analyze(d, Options{})
	if len(r.Parts) != 1 {
		t.Fatalf("%d parts", len(r.Parts))
	}
	for _, f := range r.Parts[0].Measure.Feeds {
		// At 0 the corner at X 30 leads; at 90 the feed runs against Y, so that
		// the leg along X leads.
		want, ok := map[float64]float64{0: 20, 90: 20}[f.Angle]
		if ok && math.Abs(f.Lead-want) > 1e-9 {
			t.Errorf("at %g degrees the centre of gravity lies %g mm behind the front, want %g", f.Angle, f.Lead, want)
		}
		if !(f.Lead > 0) || f.Lead >= f.Length {
			t.Errorf("at %g degrees: lead %g, length %g", f.Angle, f.Lead, f.Length)
		}
	}
}

// Lines drawn twice are counted, and their places are told.
func TestDuplicatesHaveAPlace(t *testing.T) {
	const line = "0\nLINE\n8\nCUT\n10\n0\n20\n0\n11\n50\n21\n0\n"
	const rest = "0\nLINE\n8\nCUT\n10\n50\n20\n0\n11\n50\n21\n40\n0\nLINE\n8\nCUT\n10\n50\n20\n40\n11\n0\n21\n0\n"
	d, err := dxf.ReadBytes([]byte("0\nSECTION\n2\nENTITIES\n"+line+line+rest+"0\nENDSEC\n0\nEOF\n"), dxf.Options{Units: "mm"})
	if err != nil {
		t.Fatal(err)
	}
	m := Analyze(d, Options{}).Drawing
	if m.Duplicates != 1 || len(m.DuplicatesAt) != 1 {
		t.Fatalf("%d duplicates, %d places", m.Duplicates, len(m.DuplicatesAt))
	}
	if p := m.DuplicatesAt[0].At; p.X != 0 || p.Y != 0 {
		t.Errorf("place %v", p)
	}
}

// The material on the line named is as wide as the section said: by the crossings
// of a plain polygon with that line, on the wider of its two sides.
func TestSectionWitness(t *testing.T) {
	outline := []r2.Point{{X: 500, Y: 700}, {X: 620, Y: 700}, {X: 620, Y: 730}, {X: 560, Y: 740}, {X: 560, Y: 800}, {X: 505, Y: 790}}
	window := []r2.Point{{X: 515, Y: 715}, {X: 515, Y: 760}, {X: 540, Y: 760}, {X: 550, Y: 720}}
	loops := [][]geom.Curve{nil, nil}
	for k, ring := range [][]r2.Point{outline, window} {
		for i, p := range ring {
			loops[k] = append(loops[k], geom.Line(p, ring[(i+1)%len(ring)]))
		}
	}
	w := &work{loops: loops, merged: loops, ids: []string{outlineID, "C1"}, part: &measure.Part{}, room: new(room)}
	w.totals()
	w.feeds()
	on := func(u r2.Point, x float64) float64 {
		sum, across := 0.0, r2.Point{X: -u.Y, Y: u.X}
		for _, ring := range [][]r2.Point{outline, window} {
			for i, p := range ring {
				q := ring[(i+1)%len(ring)]
				a, b := p.Dot(u)-x, q.Dot(u)-x
				if (a < 0) != (b < 0) {
					y := p.Add(q.Sub(p).Mul(a / (a - b))).Dot(across)
					if a < 0 { // travels along: material beyond it
						y = -y
					}
					sum += y
				}
			}
		}
		return sum
	}
	for _, f := range w.part.Feeds {
		sin, cos := math.Sincos(-f.Angle * math.Pi / 180)
		u := r2.Point{X: cos, Y: sin}
		got := max(on(u, f.SectionAt-1e-6), on(u, f.SectionAt+1e-6))
		if math.Abs(got-f.Section) > 1e-3 {
			t.Errorf("feed at %g: section %g, on the line at %g %g", f.Angle, f.Section, f.SectionAt, got)
		}
	}
	if len(w.part.Feeds) < feedSteps {
		t.Errorf("%d feeds", len(w.part.Feeds))
	}
}
