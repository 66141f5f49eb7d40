package width

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"burrcast/geom"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"
)

// crossing is a place where the line at x across the feed meets a curve, and
// whether the curve runs along the feed there.
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
			f[k] = at(lo + w*(1e-9+(1-2e-9)*float64(k)/n))
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
				cut = append(cut, regular(3+rng.IntN(9), r, rng.Float64()))
				for i := range cut[len(cut)-1] {
					c := &cut[len(cut)-1][i]
					*c = c.Moved(pt(x, y))
				}
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
	// Where the widest place is the extreme of an arc the plain answer, a little
	// beside it, is less by the root of how much.
	if got < want*(1-1e-9) || got > want*(1+1e-9) && got-want > 2e-4*want {
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
