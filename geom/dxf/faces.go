package dxf

import (
	"math"

	"burrcast/geom"

	"github.com/golang/geo/r2"
)

// Faces (3DFACE, and the faces of polyface and polygon meshes) draw a flat part
// as patches of its area. Its outline is what bounds them: the edges that one
// face alone has. Laid out as x y z of four corners; a triangle has its third
// corner twice.

// Bits of group code 70 of a VERTEX of a polyface mesh.
const (
	vertexMesh = 64  // a place in space
	vertexFace = 128 // with vertexMesh a place, alone a face
)

// finishFace lays out a 3DFACE.
func (p *parser) finishFace(e *entity) {
	g := &p.g
	if !p.need(e, 10, 20, 11, 21, 12, 22) {
		return
	}
	v := [12]float64{}
	for i := range 4 {
		v[3*i], v[3*i+1], v[3*i+2] = g.f[10+i], g.f[20+i], g.real(30+i, 0)
	}
	if !g.has(13) || !g.has(23) {
		copy(v[9:], v[6:9])
	}
	p.put(e, v[:]...)
}

// mesh reads the vertices of a mesh and adds its faces as entities of their
// own; e is the POLYLINE that holds them.
func (p *parser) mesh(e *entity, form int) {
	columns, rows := p.g.int(72, 0), p.g.int(71, 0)
	var places []float64
	var list [][4]int
	broken := false
	for p.ok && word(p.s.val()) == kindVertex {
		var v entity
		p.fields(kindVertex, &v)
		if v.axis >= 0 {
			p.nums = p.nums[:v.axis]
		}
		bits := p.g.int(70, 0)
		switch {
		case v.flags&flagRejected != 0:
			broken = true
		case form&polyPolyface != 0 && bits&vertexFace != 0 && bits&vertexMesh == 0:
			f := [4]int{p.g.int(71, 0), p.g.int(72, 0), p.g.int(73, 0), p.g.int(74, 0)}
			for i, n := range f {
				f[i] = max(n, -n) // negative where the edge is not shown
			}
			list = append(list, f)
		case !p.need(&v, 10, 20):
			broken = true
		case bits&vertexFrame == 0:
			places = append(places, p.g.f[10], p.g.f[20], p.g.real(30, 0))
		}
	}
	n := len(places) / 3
	if form&polyMesh != 0 && rows > 1 && columns > 1 && rows <= n && columns <= n && rows*columns == n {
		for r := range rows - 1 {
			for c := range columns - 1 {
				i := r*columns + c + 1
				list = append(list, [4]int{i, i + 1, i + columns + 1, i + columns})
			}
		}
	}
	p.endSequence(e)
	if broken || len(list) == 0 || e.flags&flagRejected != 0 {
		e.kind = kindOther
		p.ents = append(p.ents, *e)
		return
	}
	for _, f := range list {
		if f[3] == 0 {
			f[3] = f[2]
		}
		one := *e
		one.kind, one.off, one.n = kindFace, len(p.nums), 12
		ok := true
		for _, k := range f {
			ok = ok && k >= 1 && k <= n
		}
		if !ok {
			one.kind = kindOther
			p.ents = append(p.ents, one)
			continue
		}
		for _, k := range f {
			p.nums = append(p.nums, places[3*k-3:3*k]...)
		}
		p.ents = append(p.ents, one)
	}
}

// faceGroup holds the faces of one look; one outline is drawn for all.
type faceGroup struct {
	path  Path // without curves
	e     *entity
	faces [][4]vec
}

type faceKey struct {
	layer, ltype string
	color        int
}

// face keeps a face until all of a drawing are known.
func (x *expander) face(e *entity, f *frame, layer int, ctx context) {
	key := faceKey{x.d.Layers[layer].Name, x.lineType(e, layer, ctx), x.color(e, layer, ctx)}
	i, ok := x.faceOf[key]
	if !ok {
		i = len(x.faces)
		x.faceOf[key] = i
		x.faces = append(x.faces, faceGroup{e: e, path: Path{
			Layer: key.layer, LineType: key.ltype, Color: key.color,
			Entity: x.names[e.typ], Handle: e.handle, Line: e.line, Closed: true,
		}})
	}
	if x.curves += 4; x.curves > x.opt.MaxCurves {
		x.fail(e.line, "more than %d lines and arcs", x.opt.MaxCurves)
		return
	}
	n := x.p.nums[e.off : e.off+e.n]
	var c [4]vec
	for k := range c {
		c[k] = f.point(vec(n[3*k : 3*k+3]))
	}
	x.faces[i].faces = append(x.faces[i].faces, c)
}

// outlines draws what bounds the faces, group by group.
func (x *expander) outlines() {
	for i := range x.faces {
		x.outline(&x.faces[i])
	}
}

func (x *expander) outline(g *faceGroup) {
	leave := func(why string) {
		x.skipped[skipKey{typ: g.path.Entity, layer: g.path.Layer, why: why}] += len(g.faces)
	}
	low, high := math.Inf(1), math.Inf(-1)
	for _, f := range g.faces {
		for _, p := range f {
			low, high = min(low, p[2]), max(high, p[2])
		}
	}
	if !(high-low <= heightSlack) {
		if len(x.d.Paths) == 0 {
			x.unflat++
		}
		leave("faces that do not lie flat")
		return
	}
	loops := bounds(g.faces)
	if len(loops) == 0 {
		leave("faces without an outline")
		return
	}
	for _, loop := range loops {
		if !bearable(loop) {
			leave("faces beyond bearable coordinates")
			return
		}
	}
	for _, loop := range loops {
		d := draft{x: x, e: g.e, curves: loop, closed: true}
		path := g.path
		path.Chords = x.refitChords(&d, path.Layer)
		path.Curves, path.Error = d.curves, d.error
		x.d.Paths = append(x.d.Paths, path)
	}
	x.mend(g.e, "faces-outlined", "%d flat faces are read as the %d closed lines that bound them", len(g.faces), len(loops))
}

// bounds returns the closed chains of edges that one face alone has. Corners
// nearer than a millionth of a mm are one. The time is linear in the faces.
//
//  1. Every edge counts for the face it is met in; one met an even number of
//     times lies inside (or was drawn twice) and is dropped.
//  2. At each corner the edges left come in pairs; chains follow them until they
//     are back. What does not close is no outline and is dropped.
func bounds(faces [][4]vec) [][]geom.Curve {
	const grid = 1e-6
	type place [2]int64
	at := map[place]int{}
	var pts []r2.Point
	corner := func(v vec) int {
		key := place{int64(math.Round(v[0] / grid)), int64(math.Round(v[1] / grid))}
		i, ok := at[key]
		if !ok {
			i = len(pts)
			at[key] = i
			pts = append(pts, point2(v))
		}
		return i
	}
	type edge struct{ a, b int }
	odd := map[edge]bool{}
	var order []edge
	for _, f := range faces {
		var c []int
		for _, v := range f {
			if k := corner(v); len(c) == 0 || c[len(c)-1] != k && c[0] != k {
				c = append(c, k)
			}
		}
		if len(c) < 3 {
			continue
		}
		for i, a := range c {
			e := edge{a, c[(i+1)%len(c)]}
			key := edge{min(e.a, e.b), max(e.a, e.b)}
			if _, met := odd[key]; !met {
				order = append(order, e)
			}
			odd[key] = !odd[key]
		}
	}
	links := make([][]int, len(pts)) // edges at each corner, by place in order
	used := make([]bool, len(order))
	for i, e := range order {
		if !odd[edge{min(e.a, e.b), max(e.a, e.b)}] {
			used[i] = true
			continue
		}
		links[e.a], links[e.b] = append(links[e.a], i), append(links[e.b], i)
	}
	var out [][]geom.Curve
	for i, e := range order {
		if used[i] {
			continue
		}
		used[i] = true
		loop := []geom.Curve{geom.Line(pts[e.a], pts[e.b])}
		for here := e.b; here != e.a; {
			next := -1
			for len(links[here]) > 0 && next < 0 {
				k := links[here][0]
				links[here] = links[here][1:]
				if !used[k] {
					next = k
				}
			}
			if next < 0 {
				loop = nil
				break
			}
			used[next] = true
			there := order[next].a + order[next].b - here
			loop = append(loop, geom.Line(pts[here], pts[there]))
			here = there
		}
		if len(loop) >= 3 {
			out = append(out, loop)
		}
	}
	return out
}
