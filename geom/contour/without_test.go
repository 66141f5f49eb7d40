package contour

import (
	"math/rand/v2"
	"reflect"
	"testing"

	"burrcast/geom"

	"pgregory.net/rapid"
)

// checkWithout holds Without against building the rest anew.
func checkWithout(t tester, in []geom.Curve, gone []bool) {
	t.Helper()
	got := Build(in, Defaults()).Without(gone)
	var rest []geom.Curve
	var from []int
	for i, c := range in {
		if !gone[i] {
			rest, from = append(rest, c), append(from, i)
		}
	}
	want := Build(rest, Defaults())
	renumber(&want, from)
	got.from, want.from = nil, nil
	if !reflect.DeepEqual(got, want) {
		t.Fatalf("without %v\ngot  %+v\nwant %+v", gone, got, want)
	}
}

// renumber puts from[s] for every source s of the result.
func renumber(r *Result, from []int) {
	to := func(list []int) {
		for i, s := range list {
			if s >= 0 {
				list[i] = from[s]
			}
		}
	}
	// Of rings read in their order the lists of sources may be one.
	again := func(list *[]int) {
		*list = append([]int(nil), *list...)
		to(*list)
	}
	for i := range r.Regions {
		again(&r.Regions[i].Outline.Sources)
		for k := range r.Regions[i].Holes {
			again(&r.Regions[i].Holes[k].Sources)
		}
	}
	for i := range r.Open {
		again(&r.Open[i].Sources)
	}
	for i := range r.Problems {
		again(&r.Problems[i].Sources)
	}
	to(r.Duplicates)
	to(r.Degenerate)
	to(r.Rejected)
}

func TestWithout(t *testing.T) {
	border := rect(-20, -20, 200, 120)
	plate := rect(0, 0, 80, 60)
	hole, sink := geom.Circle(pt(20, 20), 3), geom.Circle(pt(20, 20), 6)
	gap := join([]geom.Curve{line(100, 0, 100, 50), line(100, 50, 150, 50), line(150, 50, 150, 0), line(150, 0, 126, 0), line(124.5, 0, 100, 0)})
	for _, c := range []struct {
		name  string
		in    []geom.Curve
		first int // the curves that go
		count int
		alone bool // nothing else has to be built again
	}{
		{"border", join(border, plate, []geom.Curve{hole}), 0, 4, true},
		{"countersink", join(plate, []geom.Curve{hole, sink}), 5, 1, true},
		{"half a border", join(border, plate), 0, 2, false},
		{"crossed by a centre line", join(plate, []geom.Curve{hole, sink, line(10, 20, 30, 20)}), 5, 1, false},
		{"drawn twice", join(plate, []geom.Curve{hole, sink, sink}), 5, 1, false},
		{"a copy beside it", join(plate, plate), 0, 4, false},
		{"touching", join(plate, []geom.Curve{geom.Circle(pt(10, 20), 4), geom.Circle(pt(18, 20), 4)}), 5, 1, false},
		{"in a gap", join(gap, []geom.Curve{geom.Circle(pt(125.2, 0), 0.3)}), 5, 1, false},
		{"open line", join(plate, []geom.Curve{line(10, 10, 20, 10)}), 4, 1, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			gone := make([]bool, len(c.in))
			for i := range c.count {
				gone[c.first+i] = true
			}
			checkWithout(t, c.in, gone)
			res := Build(c.in, Defaults())
			// Blocks that are known are not made again.
			next := res.Without(gone)
			if alone := &next.from.edges[0] == &res.from.edges[0]; alone != c.alone {
				t.Errorf("gone alone: %t, want %t", alone, c.alone)
			}
			// And what is left can be without more.
			for i := range gone {
				gone[i] = gone[i] || i%3 == 0
			}
			again, once := next.Without(gone), res.Without(gone)
			again.from, once.from = nil, nil
			if !reflect.DeepEqual(again, once) {
				t.Errorf("in two steps\n%+v\nin one\n%+v", again, once)
			}
		})
	}
}

func TestWithoutAnyCurves(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := rapid.SliceOfN(rapid.Custom(anyCurve), 1, 12).Draw(t, "curves")
		// A second drawing beside it, of rings alone.
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 0))
		for range r.IntN(6) {
			in = append(in, geom.Circle(pt(r.Float64()*12-6, r.Float64()*12-6), 0.2+2*r.Float64()))
		}
		gone := make([]bool, len(in))
		for i := range gone {
			gone[i] = r.IntN(4) == 0
		}
		checkWithout(t, in, gone)
	})
}
