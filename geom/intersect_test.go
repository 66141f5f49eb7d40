package geom

import (
	"math"
	"testing"

	"github.com/golang/geo/s1"
)

func TestClosestAgainstSampling(t *testing.T) {
	r := source(t)
	for range 300 {
		c, p := someCurve(r), somewhere(r)
		f, q := c.Closest(p)
		if !nearPoint(c.At(f), q, 1e-12) {
			t.Errorf("%+v: fraction %g is %v, point %v", c, f, c.At(f), q)
		}
		d := q.Sub(p).Norm()
		const n = 2000
		best := math.Inf(1)
		for _, s := range samples(c, n) {
			best = min(best, s.Sub(p).Norm())
		}
		if d > best+1e-12 || d < best-c.Length()/n {
			t.Errorf("%+v from %v: %g, sampled %g", c, p, d, best)
		}
	}
}

// sampledContacts counts the places along c where its distance to d runs to
// zero: the least of every small piece, refined by thirds.
func sampledContacts(c, d Curve) int {
	const n = 4000
	n0 := 0
	gap := func(f float64) float64 {
		_, q := d.Closest(c.At(f))
		return q.Sub(c.At(f)).Norm()
	}
	for i := range n {
		lo, hi := float64(i)/n, float64(i+1)/n
		if gap((lo+hi)/2) > c.Length()/n {
			continue
		}
		for range 60 {
			a, b := lo+(hi-lo)/3, hi-(hi-lo)/3
			if gap(a) < gap(b) {
				hi = b
			} else {
				lo = a
			}
		}
		m := (lo + hi) / 2
		if gap(m) < 1e-9 && m > float64(i)/n && m < float64(i+1)/n {
			n0++
		}
	}
	return n0
}

func TestIntersectAgainstSampling(t *testing.T) {
	r := source(t)
	total := 0
	for range 900 {
		c, d := someCurve(r), someCurve(r)
		got := Intersect(c, d, 1e-12)
		back := Intersect(d, c, 1e-12)
		if len(got) != len(back) {
			t.Errorf("%d contacts, %d the other way round", len(got), len(back))
		}
		for i, k := range got {
			if !nearPoint(c.At(k.T), k.At, 1e-9) || !nearPoint(d.At(k.U), k.At, 1e-9) {
				t.Errorf("%+v and %+v: contact %+v is at %v and %v", c, d, k, c.At(k.T), d.At(k.U))
			}
			if i > 0 && k.T < got[i-1].T {
				t.Errorf("contacts out of order: %+v", got)
			}
		}
		if want := sampledContacts(c, d); len(got) != want {
			t.Errorf("%+v and %+v: %d contacts, sampled %d", c, d, len(got), want)
		}
		total += len(got)
	}
	if total < 100 {
		t.Errorf("only %d contacts tried", total)
	}
}

func TestIntersectTouchAndEnds(t *testing.T) {
	circle := Circle(pt(0, 0), 5)
	tests := []struct {
		name     string
		c, d     Curve
		contacts int
		touch    bool
	}{
		{"tangent line", Line(pt(-3, 5), pt(3, 5)), circle, 1, true},
		{"tangent line ends at the contact", Line(pt(0, 5), pt(3, 5)), circle, 1, true},
		{"secant", Line(pt(-9, 4), pt(9, 4)), circle, 2, false},
		{"line misses", Line(pt(-9, 5.1), pt(9, 5.1)), circle, 0, false},
		{"line inside", Line(pt(-1, 0), pt(1, 0)), circle, 0, false},
		{"circles touch outside", Circle(pt(8, 0), 3), circle, 1, true},
		{"circles touch inside", Circle(pt(2, 0), 3), circle, 1, true},
		{"circles touch inside, larger first", circle, Circle(pt(2, 0), 3), 1, true},
		{"circles cross", Circle(pt(6, 0), 3), circle, 2, false},
		{"concentric", Circle(pt(0, 0), 3), circle, 0, false},
		{"same circle", circle, circle, 0, false},
		{"parallel", Line(pt(0, 0), pt(9, 0)), Line(pt(0, 1), pt(9, 1)), 0, false},
		{"same line", Line(pt(0, 0), pt(9, 0)), Line(pt(3, 0), pt(12, 0)), 0, false},
		{"corner", Line(pt(0, 0), pt(9, 0)), Line(pt(9, 0), pt(9, 9)), 1, false},
		{"tee", Line(pt(0, 0), pt(9, 0)), Line(pt(4, 0), pt(4, 9)), 1, false},
		{"short of a tee", Line(pt(0, 0), pt(9, 0)), Line(pt(4, 1e-6), pt(4, 9)), 0, false},
		{"no length", Line(pt(1, 1), pt(1, 1)), Line(pt(0, 0), pt(2, 2)), 0, false},
		{"arc on the far side", Line(pt(-9, 4), pt(9, 4)), Arc(pt(0, 0), 5, math.Pi, math.Pi), 0, false},
		{"half circle", Line(pt(0, -9), pt(0, 9)), Arc(pt(0, 0), 5, 0, math.Pi), 1, false},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			for _, a := range []float64{0, 0.7, 2} {
				m := Rotation(s1.Angle(a)).Then(Translation(pt(3, -2)))
				for _, pair := range [][2]Curve{{tt.c, tt.d}, {tt.d, tt.c}, {tt.c.Reversed(), tt.d.Reversed()}} {
					got := Intersect(pair[0].Transformed(m), pair[1].Transformed(m), 1e-9)
					if len(got) != tt.contacts {
						t.Fatalf("turned by %g: %+v", a, got)
					}
					for _, k := range got {
						if k.Touch != tt.touch {
							t.Errorf("turned by %g: %+v", a, k)
						}
					}
				}
			}
		})
	}
}
