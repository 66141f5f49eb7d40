package width

import (
	"math"
	"sort"

	"github.com/golang/geo/r2"
)

// Saddle is a disc whose two feet lie opposite each other and that grows when
// moved either way: the narrowest place of a web or neck.
type Saddle struct {
	Disc Disc
	// Loop says that the two sides meet again elsewhere: a web beside a cut-out.
	// Otherwise the saddle divides the region and Growth says by how much, in mm
	// of diameter, the smaller of the two sides opens.
	Loop    bool
	Growth  float64
	A, B    Place // of the disc's two feet
	Passage int   // that it lies in
	piece   int32
}

// link joins two pieces whose discs meet at radius r.
type link struct {
	r      float64
	a, b   int32
	saddle bool
	u      float64 // of a saddle, its place on the element of piece b
}

// saddles finds the saddles as Features names them.
//
//  1. Pieces are linked with their neighbours on the contour and with the piece
//     that holds their foot on the wall opposite.
//  2. Links are taken by falling radius, saddles after the others at one radius,
//     joining sets of pieces: what is joined is connected by discs that large.
//  3. A saddle between two sets that both hold a larger disc divides the region
//     there; a saddle within one set closes a loop.
func (f *Field) saddles(grow float64) []Saddle {
	links := f.links()
	set := newSets(len(f.pieces))
	birth := make([]float64, len(f.pieces))
	unbounded := int32(-1)
	for m := range f.pieces {
		birth[m] = f.pieces[m].top()
		if f.pieces[m].j == noFoot {
			if unbounded >= 0 {
				set.union(unbounded, int32(m))
			}
			unbounded = int32(m)
		}
	}
	var out []Saddle
	seen := newPlaces(1e-7 * f.far)
	walls := make(flatPairs)
	for _, l := range links {
		a, b := set.find(l.a), set.find(l.b)
		if l.saddle {
			pc := &f.pieces[l.b]
			d := f.discOn(pc, l.u)
			if known := !seen.add(d.Center); known || pc.flat && !walls.add(f, pc, d.Center) {
				set.union(a, b)
				continue
			}
			small := math.Min(birth[a], birth[b])
			// A cusp is a corner, not a neck.
			cusp := l.r <= 1e-9*f.far && f.elems[pc.elem].contour == f.elems[pc.j].contour
			if !cusp && (a == b || small > l.r*(1+grow)) {
				s := Saddle{Disc: f.placed(d), Loop: a == b, Growth: 2 * (small - l.r), A: f.place(pc.elem, l.u), piece: l.b}
				s.B = f.footPlace(pc, l.u)
				out = append(out, s)
			}
		}
		if a != b {
			top := math.Max(birth[a], birth[b])
			birth[set.union(a, b)] = top
		}
	}
	sort.SliceStable(out, func(i, k int) bool { return out[i].Disc.Radius < out[k].Disc.Radius })
	return out
}

func (f *Field) footPlace(pc *piece, u float64) Place {
	p, n := f.elems[pc.elem].at(u)
	r := f.radius(pc.elem, p, n, pc.j)
	q := f.foot(p, n, r, pc.j)
	return f.place(pc.j, f.elems[pc.j].paramOf(q, p.Add(n.Mul(r))))
}

// links returns all links by falling radius.
func (f *Field) links() []link {
	var links []link
	for _, ring := range f.ring {
		for k, b := range ring {
			a := ring[(k+len(ring)-1)%len(ring)]
			p, q := &f.pieces[a], &f.pieces[b]
			r := math.Min(p.r1, q.r0)
			l := link{r: r, a: a, b: b, u: q.u0}
			opposed := math.Max(p.a1, q.a0) > math.Pi-1e-5 && q.j != noFoot && q.j != q.elem
			switch {
			case q.split && q.flat && p.flat && p.elem == q.elem:
				l.saddle = true
			case opposed && p.r0 > r*(1+1e-9) && q.r1 > r*(1+1e-9):
				l.saddle = true
			}
			links = append(links, l)
		}
	}
	index := f.pieceIndex()
	for m := range f.pieces {
		pc := &f.pieces[m]
		if pc.j == noFoot || pc.j == pc.elem {
			continue
		}
		w := 1e-4
		if pc.r1 > pc.r0 {
			w = 1 - w
		}
		if o, ok := f.mirror(index, pc, pc.u0+w*(pc.u1-pc.u0)); ok {
			links = append(links, link{r: math.Min(pc.top(), f.pieces[o].top()), a: int32(m), b: o})
		}
	}
	// A saddle waits for the other links of its radius, rounding included.
	key := func(l *link) float64 {
		if l.saddle {
			return l.r * (1 - 1e-9)
		}
		return l.r
	}
	sort.SliceStable(links, func(i, k int) bool { return key(&links[i]) > key(&links[k]) })
	return links
}

// places remembers points, so that one found from both walls counts once.
type places struct {
	cell float64
	seen map[[2]int64]r2.Point
}

func newPlaces(cell float64) *places {
	return &places{cell, make(map[[2]int64]r2.Point)}
}

// add returns false when a point nearer than a cell's size is known.
func (s *places) add(p r2.Point) bool {
	x, y := int64(math.Floor(p.X/s.cell)), int64(math.Floor(p.Y/s.cell))
	for dx := int64(-1); dx <= 1; dx++ {
		for dy := int64(-1); dy <= 1; dy++ {
			if q, ok := s.seen[[2]int64{x + dx, y + dy}]; ok && q.Sub(p).Norm() < s.cell {
				return false
			}
		}
	}
	s.seen[[2]int64{x, y}] = p
	return true
}

// flatPairs remembers the flat passages counted, by their two walls: the middle
// of one is not sharply placed.
type flatPairs map[[2]int32][]flatSeen

type flatSeen struct {
	center r2.Point
	length float64
}

// add returns false when a flat passage between the same two walls is known
// within its own length of center.
func (s flatPairs) add(f *Field, pc *piece, center r2.Point) bool {
	key := [2]int32{min(pc.elem, pc.j), max(pc.elem, pc.j)}
	length := 2 * (pc.u1 - pc.u0) * f.elems[pc.elem].length
	for _, q := range s[key] {
		if q.center.Sub(center).Norm() < (q.length+length)/2*0.999 || f.elems[pc.elem].kind != lineElem {
			return false
		}
	}
	s[key] = append(s[key], flatSeen{center, length})
	return true
}
