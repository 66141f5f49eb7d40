package dxf

import (
	"math"

	"burrcast/geom"
)

// vec is a point or direction in space.
type vec [3]float64

func (a vec) cross(b vec) vec {
	return vec{
		float64(a[1]*b[2]) - float64(a[2]*b[1]),
		float64(a[2]*b[0]) - float64(a[0]*b[2]),
		float64(a[0]*b[1]) - float64(a[1]*b[0]),
	}
}

func (a vec) dot(b vec) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }

func (a vec) sub(b vec) vec { return vec{a[0] - b[0], a[1] - b[1], a[2] - b[2]} }

// norm is the length of a, safe against overflow.
func (a vec) norm() float64 { return math.Hypot(math.Hypot(a[0], a[1]), a[2]) }

// unit returns a with length 1; a must not be zero.
func (a vec) unit() vec {
	n := a.norm()
	return vec{a[0] / n, a[1] / n, a[2] / n}
}

// frame maps points in space: the columns are the images of the axes and of
// the origin.
type frame struct{ x, y, z, o vec }

func scaleFrame(s float64) frame {
	return frame{x: vec{s, 0, 0}, y: vec{0, s, 0}, z: vec{0, 0, s}}
}

// vector returns the image of a direction.
func (f *frame) vector(v vec) vec {
	return vec{
		f.x[0]*v[0] + f.y[0]*v[1] + f.z[0]*v[2],
		f.x[1]*v[0] + f.y[1]*v[1] + f.z[1]*v[2],
		f.x[2]*v[0] + f.y[2]*v[1] + f.z[2]*v[2],
	}
}

// point returns the image of a point.
func (f *frame) point(v vec) vec {
	w := f.vector(v)
	return vec{w[0] + f.o[0], w[1] + f.o[1], w[2] + f.o[2]}
}

// of returns the frame that applies g first and f second.
func (f *frame) of(g frame) frame {
	return frame{x: f.vector(g.x), y: f.vector(g.y), z: f.vector(g.z), o: f.point(g.o)}
}

// objectFrame returns the object coordinate system with extrusion direction n,
// by the arbitrary axis algorithm of the DXF reference: when n is within 1/64
// of the Z axis the x axis is Y x n, else Z x n.
func objectFrame(n vec) frame {
	n = n.unit()
	var x vec
	if math.Abs(n[0]) < 1.0/64 && math.Abs(n[1]) < 1.0/64 {
		x = vec{0, 1, 0}.cross(n)
	} else {
		x = vec{0, 0, 1}.cross(n)
	}
	x = x.unit()
	return frame{x: x, y: n.cross(x).unit(), z: n}
}

// largestSlope is the rise over run up to which a curve counts as flat: the
// length seen from above is then short by 5e-9 at most.
const largestSlope = 1e-4

// plane returns the map of the plane z = level of f as seen from above, and
// whether that plane lies flat.
func (f *frame) plane(level float64) (geom.Affine, bool) {
	a := geom.Affine{
		A: f.x[0], B: f.y[0], Tx: f.o[0] + f.z[0]*level,
		C: f.x[1], D: f.y[1], Ty: f.o[1] + f.z[1]*level,
	}
	if f.x[2] == 0 && f.y[2] == 0 {
		return a, true
	}
	flat := math.Abs(f.x[2]) <= largestSlope*f.x.norm() && math.Abs(f.y[2]) <= largestSlope*f.y.norm()
	return a, flat
}
