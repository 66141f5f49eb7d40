package analyze

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"strings"
	"testing"

	"burrcast/geom"
	"burrcast/geom/dxf"

	"github.com/golang/geo/r2"
)

// chordError is how far the witness's chords stray from the arcs, mm.
const chordError = 1e-5

// randomPart is a star-shaped outline of lines and arcs with cut-outs that do
// not touch: circles, obrounds, polygons.
func randomPart(rng *rand.Rand) [][]geom.Curve {
	n := 6 + rng.IntN(18)
	pts := make([]r2.Point, n)
	for k := range pts {
		r := 40 + 40*rng.Float64()
		s, c := math.Sincos(2 * math.Pi * (float64(k) + 0.7*rng.Float64()) / float64(n))
		pts[k] = r2.Point{X: r * c, Y: r * s}
	}
	var outline []geom.Curve
	for k := range pts {
		b := 0.0
		if rng.IntN(3) == 0 {
			b = 0.25 * (rng.Float64() - 0.5)
		}
		outline = append(outline, geom.Bulge(pts[k], pts[(k+1)%n], b))
	}
	part := [][]geom.Curve{outline}
	for k := range rng.IntN(6) {
		s, c := math.Sincos(float64(k) * 2 * math.Pi / 5)
		turn := geom.Rotation(geom.Bulge(r2.Point{}, r2.Point{X: 1}, rng.Float64()).Sweep)
		m := turn.Then(geom.Translation(r2.Point{X: 12 * c, Y: 12 * s}))
		var h []geom.Curve
		switch size := 1 + 3*rng.Float64(); rng.IntN(3) {
		case 0:
			h = []geom.Curve{geom.Circle(r2.Point{}, size)}
		case 1:
			w := 1 + rng.Float64()
			a, b := r2.Point{X: -size, Y: -w}, r2.Point{X: size, Y: -w}
			d, e := r2.Point{X: size, Y: w}, r2.Point{X: -size, Y: w}
			h = []geom.Curve{geom.Line(a, b), geom.Bulge(b, d, 1), geom.Line(d, e), geom.Bulge(e, a, 1)}
		default:
			sides := 3 + rng.IntN(5)
			at := func(i int) r2.Point {
				s, c := math.Sincos(2 * math.Pi * float64(i%sides) / float64(sides))
				return r2.Point{X: size * c, Y: size * s}
			}
			for i := range sides {
				h = append(h, geom.Line(at(i), at(i+1)))
			}
		}
		for i := range h {
			h[i] = h[i].Transformed(m)
		}
		part = append(part, h)
	}
	return part
}

// flattened returns the loop as points whose chords keep within chordError.
func flattened(loop []geom.Curve) []r2.Point {
	var out []r2.Point
	for _, c := range loop {
		n := 1
		if c.IsArc() {
			step := 2 * math.Acos(1-chordError/c.Radius)
			n = max(1, int(math.Ceil(math.Abs(float64(c.Sweep))/step)))
		}
		for k := range n {
			out = append(out, c.At(float64(k)/float64(n)))
		}
	}
	return out
}

// witness runs a program from outside, or skips the test where it is missing; it
// fails where BURRCAST_WITNESS asks for all witnesses.
func witness(t *testing.T, stdin []byte, command ...string) []byte {
	t.Helper()
	cmd := exec.Command(command[0], command[1:]...)
	cmd.Stdin = bytes.NewReader(stdin)
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	if err == nil {
		return out
	}
	if os.Getenv("BURRCAST_WITNESS") == "all" {
		t.Fatalf("%s: %v\n%s", command[0], err, stderr.String())
	}
	t.Skipf("witness %s is not here: %v", command[0], err)
	return nil
}

// python returns a Python that has the module, preferring the system's own.
func python(module string) string {
	for _, p := range []string{"/usr/bin/python3", "python3"} {
		if exec.Command(p, "-c", "import "+module).Run() == nil {
			return p
		}
	}
	return "python3"
}

func analyzed(t *testing.T, part [][]geom.Curve) Part {
	t.Helper()
	d := &dxf.Drawing{}
	for _, loop := range part {
		d.Paths = append(d.Paths, dxf.Path{Curves: loop, Closed: true, Entity: "LWPOLYLINE"})
	}
	res := Analyze(d, Options{})
	if len(res.Parts) != 1 || len(res.Parts[0].Measure.Cutouts) != len(part)-1 {
		t.Fatalf("%d parts for one with %d cut-outs: %v", len(res.Parts), len(part)-1, res.Messages)
	}
	return res.Parts[0]
}

// TestAgainstShapely compares areas, lengths, least widths and the distances of
// cut-outs from the nearest edge with python3-shapely on 500 random parts.
func TestAgainstShapely(t *testing.T) {
	const seed, count = 21, 500
	rng := rand.New(rand.NewPCG(seed, 0))
	var rings [][][][2]float64
	var parts []Part
	for range count {
		p := analyzed(t, randomPart(rng))
		parts = append(parts, p)
		var flat [][][2]float64
		for _, loop := range p.Contours {
			var ring [][2]float64
			for _, q := range flattened(loop) {
				ring = append(ring, [2]float64{q.X, q.Y})
			}
			flat = append(flat, ring)
		}
		rings = append(rings, flat)
	}
	in, err := json.Marshal(rings)
	if err != nil {
		t.Fatal(err)
	}
	var got []struct {
		Area, Length, Width float64
		Gaps                []float64
		Valid               bool
	}
	if err := json.Unmarshal(witness(t, in, python("shapely"), "testdata/witness.py"), &got); err != nil {
		t.Fatal(err)
	}
	for k, w := range got {
		m := &parts[k].Measure
		if !w.Valid {
			t.Fatalf("seed %d part %d is not valid for the witness", seed, k)
		}
		near := func(what string, ours, theirs, tol float64) {
			t.Helper()
			if math.Abs(ours-theirs) > tol {
				t.Errorf("seed %d part %d: %s %.9g, witness %.9g", seed, k, what, ours, theirs)
			}
		}
		near("area", m.Area.V, w.Area, chordError*m.CutLength.V)
		// A chord is shorter than its arc by 8/3 of sagitta squared over chord: a
		// few 1e-7 of the length on the smallest circles.
		near("length", m.CutLength.V, w.Length, 5e-7*m.CutLength.V)
		near("least width", m.MinWidth.V, w.Width, 2*chordError)
		for i := range m.Cutouts {
			near(fmt.Sprintf("gap of cut-out %d", i+1), m.Cutouts[i].EdgeGap.V, w.Gaps[i], 2*chordError)
		}
	}
}

// TestAgainstGEOS compares inscribed circles of materials and cut-outs with the
// search of geos-bin on the same parts. Its search stops at a stated tolerance.
func TestAgainstGEOS(t *testing.T) {
	const seed, count, stop = 21, 500, 1e-3
	rng := rand.New(rand.NewPCG(seed, 0))
	var wkt strings.Builder
	var want []float64
	ring := func(loop []geom.Curve) string {
		var b strings.Builder
		b.WriteByte('(')
		pts := flattened(loop)
		for _, p := range append(pts, pts[0]) {
			if b.Len() > 1 {
				b.WriteByte(',')
			}
			fmt.Fprintf(&b, "%.12g %.12g", p.X, p.Y)
		}
		b.WriteByte(')')
		return b.String()
	}
	for range count {
		p := analyzed(t, randomPart(rng))
		var rings []string
		for k, loop := range p.Contours {
			rings = append(rings, ring(loop))
			if k > 0 {
				fmt.Fprintf(&wkt, "POLYGON(%s)\n", ring(loop))
				want = append(want, p.Measure.Cutouts[k-1].Inscribed.V)
			}
		}
		fmt.Fprintf(&wkt, "POLYGON(%s)\n", strings.Join(rings, ","))
		want = append(want, p.Measure.Inscribed.V)
	}
	file := t.TempDir() + "/parts.wkt"
	if err := os.WriteFile(file, []byte(wkt.String()), 0o600); err != nil {
		t.Fatal(err)
	}
	out := witness(t, nil, "geosop", "-a", file, "-p", "12", "-f", "wkt", "maxInscribedCircle", fmt.Sprint(stop))
	lines := strings.Split(strings.TrimSpace(string(out)), "\n")
	if len(lines) != len(want) {
		t.Fatalf("%d answers for %d polygons", len(lines), len(want))
	}
	for k, line := range lines {
		var a, b r2.Point
		if _, err := fmt.Sscanf(line, "LINESTRING (%f %f, %f %f)", &a.X, &a.Y, &b.X, &b.Y); err != nil {
			t.Fatalf("answer %q: %v", line, err)
		}
		theirs := 2 * a.Sub(b).Norm()
		// The search may fall short by its tolerance, and chords take or give a little.
		if want[k] < theirs-4*chordError || want[k] > theirs+2*stop+4*chordError {
			t.Errorf("seed %d polygon %d: inscribed circle %.9g, witness %.9g", seed, k, want[k], theirs)
		}
	}
}
