package width

import (
	"iter"
	"math"
	"math/rand/v2"
	"testing"

	"burrcast/geom"
)

// randomPieces gives the pieces of random regions, material and void, with their
// fields.
func randomPieces(t *testing.T, seed uint64, shapes int) iter.Seq2[*Field, *piece] {
	return func(yield func(*Field, *piece) bool) {
		rng := rand.New(rand.NewPCG(seed, 1))
		for range shapes {
			contours := randomShape(rng)
			for _, region := range [][][]geom.Curve{contours, {geom.ReverseLoop(contours[0])}} {
				f := field(t, region...)
				for m := range f.pieces {
					if !yield(f, &f.pieces[m]) {
						return
					}
				}
			}
		}
	}
}

// Where a passage ends within a piece, the object angle is that of walls within 30
// degrees of parallel, however the place was found.
func TestPassagesEndAtTheAngle(t *testing.T) {
	kinds := map[[2]bool]int{} // whether either element is a vertex's fan, an arc
	for f, pc := range randomPieces(t, 23, 300) {
		if !pc.narrow() {
			continue
		}
		for _, u := range []float64{pc.p0, pc.p1} {
			if u == pc.u0 || u == pc.u1 {
				continue
			}
			e, o := &f.elems[pc.elem], &f.elems[pc.j]
			kinds[[2]bool{e.kind == vertex || o.kind == vertex, e.c.IsArc() || o.c.IsArc()}]++
			p, n := e.at(u)
			r := f.radius(pc.elem, p, n, pc.j)
			c := p.Add(n.Mul(r))
			a, b := p.Sub(c), f.foot(p, n, r, pc.j).Sub(c)
			angle := math.Abs(math.Atan2(geom.Cross(a, b), a.Dot(b)))
			if math.Abs(angle-parallel) > 2e-7 { // of an angle near half a turn by its sides
				t.Fatalf("elements %d and %d: the angle is %.9f degrees", pc.elem, pc.j, angle*180/math.Pi)
			}
		}
	}
	for _, k := range [][2]bool{{true, false}, {false, true}, {true, true}} {
		if kinds[k] < 20 {
			t.Errorf("only %d ends with fan, arc %v", kinds[k], k)
		}
	}
}

// The closed form finds the place that halving finds.
func TestThresholdAgainstHalving(t *testing.T) {
	count := 0
	for f, pc := range randomPieces(t, 29, 400) {
		in0, in1 := pc.c0 <= parallelCos, pc.c1 <= parallelCos
		if pc.j == noFoot || in0 == in1 {
			continue
		}
		e := &f.elems[pc.elem]
		in, out, got := pc.u0, pc.u1, pc.p1
		if in1 {
			in, out, got = out, in, pc.p0
		}
		for u := in + (out-in)/2; u != in && u != out; u = in + (out-in)/2 {
			p, n := e.at(u)
			if r := f.radius(pc.elem, p, n, pc.j); !math.IsInf(r, 1) && f.cosine(pc.elem, p, n, r, pc.j) <= parallelCos {
				in = u
			} else {
				out = u
			}
		}
		count++
		if off := math.Abs(got-in) * max(e.length, math.Abs(e.sweep)*pc.top()); off > 1e-9 {
			t.Errorf("elements %d and %d: the passage ends at %v, halving says %v", pc.elem, pc.j, got, in)
		}
	}
	if count < 1000 {
		t.Errorf("only %d passages end within a piece", count)
	}
}
