package contour

import (
	"math"
	"slices"

	"github.com/golang/geo/r2"
)

// nest finds for every ring the smallest ring round it.
//
//  1. Sort by area, largest first; put the boxes into a tree.
//  2. For each ring take the rings of larger area whose box holds its sample
//     points, smallest first; the first that contains it is its parent.
//  3. Rings at even depth are outlines of regions, rings at odd depth cut-outs
//     of the region that their parent outlines.
//
// Containment is decided by ray parity at middles of the ring's curves, by the
// majority of up to nine of them, so that contours that touch are not misjudged.
// O(n log n) unless very many rings are nested in each other.
func (b *builder) nest() {
	rings := b.loops
	slices.SortStableFunc(rings, func(p, q ring) int { return cmpFloat(math.Abs(q.area), math.Abs(p.area)) })
	boxes := make([]box, len(rings))
	for i := range rings {
		boxes[i] = rings[i].box
	}
	tree := newBoxTree(boxes)
	parent := make([]int, len(rings))
	depth := make([]int, len(rings))
	var candidates []int
	for i := range rings {
		candidates = candidates[:0]
		p := rings[i].Curves[0].At(0.5)
		tree.query(box{p.X, p.Y, p.X, p.Y}.grown(b.opt.Join), func(k int) bool {
			if k < i {
				candidates = append(candidates, k)
			}
			return true
		})
		slices.SortFunc(candidates, func(p, q int) int { return q - p })
		parent[i] = -1
		for _, k := range candidates {
			if within(rings[i].loop, rings[k].loop) {
				parent[i] = k
				depth[i] = depth[k] + 1
				break
			}
		}
	}
	b.regions(rings, parent, depth)
}

// within reports whether most of the sample points of l lie inside outer.
func within(l, outer *loop) bool {
	const samples = 9
	n := len(l.curves)
	in, all := 0, 0
	for k := range min(samples, max(n, 3)) {
		var p r2.Point
		if n >= samples {
			p = l.curves[k*n/samples].At(0.5)
		} else {
			p = l.curves[k%n].At([3]float64{0.5, 0.2, 0.8}[k/n])
		}
		all++
		if outer.contains(p) {
			in++
		}
	}
	return 2*in > all
}

// regions writes the result from rings sorted with parents first.
func (b *builder) regions(rings []ring, parent, depth []int) {
	var outlines []int
	for i := range rings {
		if depth[i]%2 == 0 {
			outlines = append(outlines, i)
		}
	}
	slices.SortStableFunc(outlines, func(p, q int) int {
		if depth[p] != depth[q] {
			return depth[p] - depth[q]
		}
		if c := cmpFloat(rings[p].box.x0, rings[q].box.x0); c != 0 {
			return c
		}
		return cmpFloat(rings[p].box.y0, rings[q].box.y0)
	})
	region := make([]int, len(rings)) // of an outline
	for k, i := range outlines {
		region[i] = k
		c := rings[i].Contour
		if rings[i].area < 0 {
			c = turned(c)
		}
		b.res.Regions = append(b.res.Regions, Region{
			Outline: canonical(c), Depth: depth[i] / 2, Parent: -1, Cutout: -1,
		})
	}
	var holes []int
	for i := range rings {
		if depth[i]%2 == 1 {
			holes = append(holes, i)
		}
	}
	slices.SortStableFunc(holes, func(p, q int) int {
		if c := cmpFloat(rings[p].box.x0, rings[q].box.x0); c != 0 {
			return c
		}
		return cmpFloat(rings[p].box.y0, rings[q].box.y0)
	})
	cutout := make([]int, len(rings)) // of a hole
	for _, i := range holes {
		r := &b.res.Regions[region[parent[i]]]
		c := rings[i].Contour
		if rings[i].area > 0 {
			c = turned(c)
		}
		cutout[i] = len(r.Holes)
		r.Holes = append(r.Holes, canonical(c))
	}
	for _, i := range outlines {
		if h := parent[i]; h >= 0 {
			r := &b.res.Regions[region[i]]
			r.Parent, r.Cutout = region[parent[h]], cutout[h]
		}
	}
	b.placeOpen(rings, depth, region, parent)
}

// placeOpen says in which region's material each open chain lies.
func (b *builder) placeOpen(rings []ring, depth, region, parent []int) {
	if len(b.res.Open) == 0 {
		return
	}
	boxes := make([]box, len(rings))
	for i := range rings {
		boxes[i] = rings[i].box
	}
	tree := newBoxTree(boxes)
	for k := range b.res.Open {
		o := &b.res.Open[k]
		p := o.Curves[len(o.Curves)/2].At(0.5)
		best := -1
		tree.query(box{p.X, p.Y, p.X, p.Y}, func(i int) bool {
			if i > best && rings[i].contains(p) {
				best = i
			}
			return true
		})
		switch {
		case best < 0:
			o.Region = -1
		case depth[best]%2 == 0:
			o.Region = region[best]
		default:
			o.Region = region[parent[best]]
		}
	}
}
