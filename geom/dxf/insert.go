package dxf

import (
	"fmt"
	"math"
	"strings"
)

// insert expands a block: base point, then scales, then rotation, then every
// cell of the array, then the object coordinate system of the insert.
func (x *expander) insert(e *entity, f *frame, layer int, ctx context) {
	n := x.p.nums[e.off : e.off+e.n]
	name := x.names[e.name]
	shown := x.d.Layers[layer].Name
	if why := anonymous(name); why != "" {
		if !x.sheet {
			x.skip(e, shown, why)
		}
		return
	}
	at, ok := x.blocks[strings.ToUpper(name)]
	if !ok {
		x.reject(e, shown, "missing-block", fmt.Sprintf("block %q is not in the drawing", name))
		return
	}
	b := &x.p.blocks[at]
	switch {
	case b.external:
		x.reject(e, shown, "external-reference", fmt.Sprintf("block %q is kept in the file %q", name, b.path))
		return
	case b.open:
		x.reject(e, shown, "block-cycle", fmt.Sprintf("block %q contains itself", name))
		return
	case x.depth >= x.opt.MaxDepth:
		x.fail(e.line, "blocks are nested more than %d deep", x.opt.MaxDepth)
		return
	case math.IsNaN(b.base[0] + b.base[1] + b.base[2]):
		x.reject(e, shown, "bad-number", fmt.Sprintf("the base point of block %q is unreadable", name))
		return
	}
	if b.end == b.start {
		return
	}
	inner := context{layer: layer, color: x.color(e, layer, ctx), ltype: x.lineType(e, layer, ctx)}
	g := *f
	if e.axis >= 0 {
		g = f.of(objectFrame(vec(x.p.nums[e.axis : e.axis+3])))
	}
	// A missing scale is 1; a scale of 0 would flatten the block to nothing.
	sx, sy, sz := n[3], n[4], n[5]
	if sx == 0 || sy == 0 {
		x.reject(e, shown, "zero-scale", fmt.Sprintf("block %q is scaled to nothing", name))
		return
	}
	if sz == 0 {
		sz = 1
	}
	sin, cos := sincosDegrees(n[6])
	cell := frame{
		x: vec{sx * cos, sx * sin, 0},
		y: vec{-sy * sin, sy * cos, 0},
		z: vec{0, 0, sz},
	}
	base := cell.vector(vec{-b.base[0], -b.base[1], -b.base[2]})
	b.open = true
	x.depth++
	columns, rows := int(n[7]), int(n[8])
	for r := 0; r < rows && x.err == nil; r++ {
		for c := 0; c < columns && x.err == nil; c++ {
			dx, dy := float64(c)*n[9], float64(r)*n[10]
			cell.o = vec{
				n[0] + dx*cos - dy*sin + base[0],
				n[1] + dx*sin + dy*cos + base[1],
				n[2] + base[2],
			}
			h := g.of(cell)
			x.walk(x.p.ents[b.start:b.end], &h, inner)
		}
	}
	x.depth--
	b.open = false
}

// anonymous says why the contents of a block that a program made for itself
// are not cut: the picture of a dimension, the lines of a hatch or a table.
func anonymous(name string) string {
	if len(name) < 2 || name[0] != '*' {
		return ""
	}
	switch name[1] {
	case 'D', 'd':
		return "picture of a dimension"
	case 'X', 'x':
		return "picture of a hatch"
	case 'T', 't':
		return "picture of a table"
	}
	return ""
}

// sincosDegrees is exact at multiples of 90 degrees, where drawings expect
// sides to stay parallel to the axes.
func sincosDegrees(a float64) (sin, cos float64) {
	switch math.Mod(a, 360) {
	case 0:
		return 0, 1
	case 90, -270:
		return 1, 0
	case 180, -180:
		return 0, -1
	case 270, -90:
		return -1, 0
	}
	return math.Sincos(a * math.Pi / 180)
}
