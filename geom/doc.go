// Package geom holds the small values of planar geometry that everything else
// is built from: directed line segments and circular arcs on r2.Point, rigid
// and affine transforms, and closed-form lengths, areas and distances.
//
// Words:
//
//	curve    a directed line segment or circular arc; a full circle is an arc
//	         of sweep plus or minus 360 degrees
//	chain    curves in order, each starting where the one before it ends
//	loop     a chain that ends where it starts
//	left     the side to the left when travelling along a curve; a loop with
//	         material on its left runs counter-clockwise round an outline and
//	         clockwise round a cut-out
//
// Lengths are millimetres, angles s1.Angle (radians inside). Nothing here does
// I/O and nothing here knows a tolerance: a function that needs one takes it.
package geom
