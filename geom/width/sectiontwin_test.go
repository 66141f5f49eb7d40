package width

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"sort"
	"testing"

	"burrcast/geom"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"
)

// crossings adds up where the line at x across the feed meets a curve: places
// across the feed, less where the curve runs along it.
func crossings(c geom.Curve, u r2.Point, x float64) float64 {
	v := geom.Left(u)
	sum := 0.0
	if !c.IsArc() {
		p, q := c.Start.Dot(u), c.End.Dot(u)
		if (p < x) == (q < x) {
			return 0
		}
		y := c.Start.Dot(v) + (c.End.Dot(v)-c.Start.Dot(v))*(x-p)/(q-p)
		if p < q {
			return -y
		}
		return y
	}
	d := x - c.Center.Dot(u)
	if math.Abs(d) >= c.Radius {
		return 0
	}
	for _, side := range []float64{1, -1} {
		h := side * math.Sqrt(c.Radius*c.Radius-d*d)
		at := math.Atan2(u.Y, u.X) + math.Atan2(h, d)
		if _, on := c.AngleParam(s1.Angle(at), 0); !on {
			continue
		}
		// Counter-clockwise on the upper half runs back.
		if (c.Sweep > 0) == (side > 0) {
			sum += c.Center.Dot(v) + h
		} else {
			sum -= c.Center.Dot(v) + h
		}
	}
	return sum
}

// plainWidest is the slow and plain answer: add up crossings on lines, between
// all places where a curve ends or turns back, and search between them.
func plainWidest(contours [][]geom.Curve, a float64) float64 {
	u := pt(math.Cos(a), math.Sin(a))
	var ends []float64
	arcs := false
	box := r2.EmptyRect()
	for _, loop := range contours {
		box = box.Union(geom.LoopBounds(loop))
		for _, c := range loop {
			ends = append(ends, c.Start.Dot(u))
			if c.IsArc() {
				arcs = true
				ends = append(ends, c.Center.Dot(u)-c.Radius, c.Center.Dot(u)+c.Radius)
			}
		}
	}
	size := box.Size().Norm()
	slices.Sort(ends)
	at := func(x float64) float64 {
		sum := 0.0
		for _, loop := range contours {
			for _, c := range loop {
				sum += crossings(c, u, x)
			}
		}
		return sum
	}
	best := 0.0
	for i := range len(ends) - 1 {
		lo, hi := ends[i], ends[i+1]
		w := hi - lo
		if w <= 1e-7*size {
			continue
		}
		// Straight stretches are told by two places inside, drawn out to their ends.
		p, q := at(lo+w/4), at(hi-w/4)
		if !arcs {
			best = max(best, p+(p-q)/2, q+(q-p)/2)
			continue
		}
		const n = 12
		var f [n + 1]float64
		for k := range f {
			f[k] = at(min(max(lo+w*float64(k)/n, lo+1e-12*size), hi-1e-12*size))
			best = max(best, f[k])
		}
		for k := range f {
			// Golden section round each sample that is not lower than its neighbours.
			if f[k] < f[max(k-1, 0)] || f[k] < f[min(k+1, n)] || f[k] < 0.98*best {
				continue
			}
			l, r := lo+w*math.Max(1e-9, float64(k-1)/n), lo+w*math.Min(1-1e-9, float64(k+1)/n)
			for range 40 {
				m0, m1 := r-(r-l)*0.6180339887, l+(r-l)*0.6180339887
				y0, y1 := at(m0), at(m1)
				best = max(best, y0, y1)
				if y0 > y1 {
					r = m1
				} else {
					l = m0
				}
			}
		}
	}
	return best
}

// randomPart draws a star-shaped outline of lines and arcs, bulging either way,
// with round and square cut-outs that do not touch each other.
func randomPart(rng *rand.Rand, arcs bool) [][]geom.Curve {
	n := 3 + rng.IntN(30)
	var xy []float64
	for k := range n {
		r := 30 + 20*rng.Float64()
		s, c := math.Sincos(2 * math.Pi * (float64(k) + 0.6*rng.Float64()) / float64(n))
		x, y := r*c, r*s
		if rng.IntN(3) == 0 { // many in line with each other
			x, y = math.Round(x/5)*5, math.Round(y/5)*5
		}
		xy = append(xy, x, y)
	}
	loop := poly(xy...)
	if arcs {
		for i := range loop {
			if rng.IntN(2) == 0 {
				loop[i] = geom.Bulge(loop[i].Start, loop[i].End, 0.4*(rng.Float64()-0.5))
			}
		}
	}
	var cut [][]geom.Curve
	for x := -12.0; x <= 12; x += 8 {
		for y := -12.0; y <= 12; y += 8 {
			switch r := 1 + 2.5*rng.Float64(); rng.IntN(4) {
			case 0:
				if arcs {
					cut = append(cut, circle(x, y, r))
				}
			case 1:
				cut = append(cut, poly(x-r, y-1, x+r, y-1, x+r, y+1, x-r, y+1))
			case 2:
				cut = append(cut, moved(regular(3+rng.IntN(9), r, rng.Float64()), x, y))
			}
		}
	}
	return holes(loop, cut...)
}

func TestWidestAgainstPlain(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	for k := range 40 {
		contours := randomPart(rng, k%2 == 1)
		s := NewSections(contours)
		for _, a := range []float64{0, math.Pi / 2, -math.Pi / 4, rng.Float64() * 7, rng.Float64() * 7} {
			checkWidest(t, fmt.Sprintf("part %d", k), s, contours, a)
		}
	}
}

func checkWidest(t *testing.T, name string, s *Sections, contours [][]geom.Curve, a float64) {
	t.Helper()
	got, at := s.Widest(a)
	want := plainWidest(contours, a)
	// Where the widest place is the extreme of an arc the plain answer, 1e-12 of
	// the part's size beside it, is less by the root of that.
	if got < want*(1-1e-9) || got > want*(1+1e-5) {
		t.Errorf("%s, feed at %.17g: widest %.12g, plainly %.12g", name, a, got, want)
	}
	// The witness: beside the line, on one side, the section is that wide or grows to it.
	u := pt(math.Cos(a), math.Sin(a))
	size := s.tiny * 1e7
	beside := 0.0
	for _, d := range []float64{-1e-6, -1e-8, -1e-10, 0, 1e-10, 1e-8, 1e-6} {
		sum := 0.0
		for _, loop := range contours {
			for _, c := range loop {
				sum += crossings(c, u, at+d*size)
			}
		}
		if math.Abs(sum-got) < math.Abs(beside-got) {
			beside = sum
		}
	}
	if math.Abs(beside-got) > 1e-4*got {
		t.Errorf("%s, feed at %.17g: widest %.12g at %g, where lines have %.12g", name, a, got, at, beside)
	}
}

// rounded is a rectangle with rounded corners whose lower left one is at the origin.
func rounded(w, h, r float64) []geom.Curve {
	at := []r2.Point{pt(r, 0), pt(w-r, 0), pt(w, r), pt(w, h-r), pt(w-r, h), pt(r, h), pt(0, h-r), pt(0, r)}
	var loop []geom.Curve
	for i, p := range at {
		loop = append(loop, geom.Bulge(p, at[(i+1)%len(at)], math.Tan(math.Pi/8)*float64(i%2)))
	}
	return loop
}

// roundedComb is a comb whose teeth end round and whose roots are round.
func roundedComb(teeth int) []geom.Curve {
	end := float64(teeth) * 10
	loop := []geom.Curve{geom.Line(pt(0, 0), pt(end, 0)), geom.Line(pt(end, 0), pt(end, 20))}
	for k := teeth - 1; k >= 0; k-- {
		x := float64(k) * 10
		loop = append(loop,
			geom.Line(pt(x+10, 20), pt(x+10, 40)),
			geom.Bulge(pt(x+10, 40), pt(x+5, 40), 1),
			geom.Line(pt(x+5, 40), pt(x+5, 20)),
			geom.Bulge(pt(x+5, 20), pt(x, 20), -1))
	}
	return append(loop, geom.Line(pt(0, 20), pt(0, 0)))
}

// wave is a strip bent into arcs of one radius, shifted across the feed: seen
// along it, it is as wide everywhere.
func wave(n int) []geom.Curve {
	var loop []geom.Curve
	for k := range n {
		x := float64(k) * 10
		loop = append(loop, geom.Bulge(pt(x, 0), pt(x+10, 0), 0.5*float64(1-k%2*2)))
	}
	end := float64(n) * 10
	loop = append(loop, geom.Line(pt(end, 0), pt(end, 6)))
	for k := n - 1; k >= 0; k-- {
		x := float64(k) * 10
		loop = append(loop, geom.Bulge(pt(x+10, 6), pt(x, 6), -0.5*float64(1-k%2*2)))
	}
	return append(loop, geom.Line(pt(0, 6), pt(0, 0)))
}

// Shapes that take every way through the search, at angles where many edges lie
// just across the feed and at others, in three sizes and away from the origin.
func TestWidestOfShapes(t *testing.T) {
	var perforated [][]geom.Curve
	for k := range 9 {
		perforated = append(perforated, circle(20+20*float64(k), 15, 4), circle(20+20*float64(k), 85, 4), moved(obround(12, 5), 20+20*float64(k), 50))
	}
	shapes := []struct {
		name     string
		contours [][]geom.Curve
	}{
		{"smooth", holes(smoothOutline(300))},
		{"jagged", holes(jaggedOutline(120))},
		{"comb", holes(combOutline(60))},
		{"comb with round ends", holes(roundedComb(9))},
		{"plate", holes(rounded(200, 100, 10), perforated...)},
		{"flange", holes(circle(0, 0, 50), circle(0, 0, 20), circle(35, 0, 5), circle(-35, 0, 5), circle(0, 35, 5), circle(0, -35, 5))},
		{"grid", grid(4, 7)},
		{"ring of chords", holes(regular(200, 50, 0.1), regular(150, 40, 0.2))},
		{"wave", holes(wave(5))},
		{"step", holes(poly(0, 0, 10, 0, 10, 8, 20, 8, 20, 20, 10, 20, 10, 12, 0, 12))},
		{"crescent", holes([]geom.Curve{geom.Bulge(pt(0, 0), pt(60, 0), 1), geom.Bulge(pt(60, 0), pt(0, 0), -0.8)})},
		{"two lobes", holes([]geom.Curve{geom.Bulge(pt(0, 0), pt(30, 0), 0.9), geom.Bulge(pt(30, 0), pt(62, 0), 0.8), geom.Line(pt(62, 0), pt(62, 9)), geom.Bulge(pt(62, 9), pt(0, 9), -0.05), geom.Line(pt(0, 9), pt(0, 0))})},
	}
	for _, sh := range shapes {
		for _, scale := range []float64{1, 1e-3, 1e6} {
			m := geom.Scaling(scale, scale).Then(geom.Translation(pt(3.7*scale, -41*scale)))
			contours := make([][]geom.Curve, len(sh.contours))
			for i, loop := range sh.contours {
				for _, c := range loop {
					contours[i] = append(contours[i], c.Transformed(m))
				}
			}
			s := NewSections(contours)
			angles := []float64{0, math.Pi / 2, -math.Pi, math.Pi / 6, -math.Pi / 4, 0.01, 1e-5, math.Pi/2 - 1e-9, 2.345, -40}
			if scale != 1 {
				angles = angles[:4]
			}
			for _, a := range angles {
				checkWidest(t, fmt.Sprintf("%s at %g", sh.name, scale), s, contours, a)
			}
		}
	}
}

// grid is a plate with round cut-outs in rows.
func grid(rows, columns int) [][]geom.Curve {
	var cut [][]geom.Curve
	for k := range rows * columns {
		cut = append(cut, circle(7+9*float64(k%columns), 8+9*float64(k/columns), 3+0.1*float64(k%3)))
	}
	return holes(rounded(5+9*float64(columns), 7+9*float64(rows), 4), cut...)
}

// One after the other as a part is measured, in both directions and at random,
// the answers are those of a part seen for the first time: what is kept from
// angle to angle only saves time.
func TestWidestKeepsNothingWrong(t *testing.T) {
	rng := rand.New(rand.NewPCG(31, 32))
	parts := map[string][][]geom.Curve{
		"jagged": holes(jaggedOutline(600)), "comb": holes(combOutline(200)), "smooth": holes(smoothOutline(400), circle(0, 0, 20)),
		"grid": grid(6, 8), "comb with round ends": holes(roundedComb(9)), "random": randomPart(rng, true),
		"disc": holes(circle(1, 2, 30)), "flange": holes(circle(0, 0, 50), circle(0, 0, 20), circle(35, 0, 5), circle(-35, 0, 5)),
	}
	tries := 0
	for name, contours := range parts {
		s := NewSections(contours)
		if s.rough != nil {
			tries++
		}
		for k := range 500 {
			a := float64(k) * math.Pi / 180
			if k > 240 {
				a = float64(480-k) * math.Pi / 180
			}
			if k > 400 {
				a = 20 * (rng.Float64() - 0.5)
			}
			got, _ := s.Widest(a)
			want, _ := NewSections(contours).Widest(a)
			if math.Abs(got-want) > 1e-11*want {
				t.Errorf("%s, feed at %.17g: %.15g, seen for the first time %.15g", name, a, got, want)
			}
		}
	}
	if tries == 0 {
		t.Error("no part has a rough cover")
	}
}

// A cover's section is nowhere less than the part's, and it is rough only where
// it says so.
func TestCoverHolds(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 12))
	parts := [][][]geom.Curve{holes(smoothOutline(900), regular(90, 12, 0.3)), holes(roundedComb(30)), holes(wave(40)), holes(jaggedOutline(2000)), grid(5, 5)}
	for range 30 {
		parts = append(parts, randomPart(rng, true))
	}
	for k, contours := range parts {
		s := NewSections(contours)
		if k == 0 && len(s.all.cover.x) > 500 {
			t.Errorf("%d vertices cover a smooth outline of 900", len(s.all.cover.x))
		}
		for _, turned := range []*turned{s.all, s.rough} {
			if turned != nil {
				checkCover(t, fmt.Sprintf("part %d", k), s, turned, rng)
			}
		}
	}
}

func checkCover(t *testing.T, name string, s *Sections, turned *turned, rng *rand.Rand) {
	t.Helper()
	for range 8 {
		a := rng.Float64() * 7
		sin, cos := math.Sincos(a)
		turned.turn(sin, cos)
		for range 100 {
			x := s.tiny * 1e7 * (rng.Float64() - 0.5)
			sum, rough := 0.0, false
			for _, c := range s.curves {
				sum += crossings(c, pt(cos, sin), x)
			}
			for _, o := range turned.cover.rough {
				rough = rough || math.Abs(o.x*cos+o.y*sin-x) <= o.r
			}
			got := turned.at(x)
			if got < sum-1e-9 || !rough && got > sum+1e-9 {
				t.Fatalf("%s, feed at %g: on the line at %g the cover has %.12g, the part %.12g (rough: %t)", name, a, x, got, sum, rough)
			}
		}
	}
}

// at is the cover's section at x.
func (t *turned) at(x float64) float64 {
	i := sort.Search(len(t.marks), func(i int) bool { return t.markAt(i) >= x })
	if i == 0 || i == len(t.marks) {
		return 0
	}
	lo, hi := t.markAt(i-1), t.markAt(i)
	l, r := t.widths[i-1]+t.jumpAt(i-1), t.widths[i]
	return l + (r-l)*((x-lo)/(hi-lo))
}
