// Package width measures how wide a region is, everywhere along its boundary,
// by tangent discs in closed form on lines and arcs.
//
// Words:
//
//	region    what lies to the left of its contours: material, or a void
//	element   a piece of boundary a disc can touch: a curve, or a reflex vertex
//	          (one that points into the region) with its fan of normals
//	disc      the largest disc that touches the boundary at one point and holds
//	          no boundary point inside; its diameter is the local width there
//	foot      the other place where that disc touches
//	run       a stretch of an element along which the foot stays on one element;
//	          there the radius is one closed formula
//	piece     a part of a run along which the radius only grows or only falls
//	angle     of a disc: between its two touching points, seen from its centre
//	passage   a connected set of discs whose angle is at least 150 degrees
//	saddle    a disc whose two feet lie opposite each other and that grows when
//	          moved either way along the passage: the narrowest place of a web
//	          or neck
//	strip     a stretch of an element whose discs are not known yet
//	twin      the piece with the same discs on the element opposite
//	level     the stretch along which a disc between two walls keeps its size
//
// Method. For every element the radius as a function of the place along it is
// the lower envelope of the closed formulas against all other elements. The
// envelopes of all elements are found together, from the corners inwards: where
// three elements that follow each other touch one disc and a tree over the
// boundary says that it is empty, the middle one is done. Every disc in which
// runs meet is looked at once, and nothing can be missed between two of them
// (close.go). Where that does not come to an end, because the boundary crosses
// or touches itself or through rounding, the envelopes are traced on what is
// left: ask a box tree at a few places and, between two with different feet, at
// the crossing of their two formulas, until the crossing holds (closerest.go,
// envelope.go).
// Everything else follows from the runs: the inscribed circle
// is their greatest radius, a passage's width the least one whose angle allows,
// the share a tool can reach the stretches where the radius is large enough.
// No grid is used, so parallel walls cost nothing extra. The formulas are those
// of the shrinking ball (Ma, Bae, Choi, Visual Computer 28, 2012) written out
// for lines and arcs; the filter by angle is that of Foskey, Lin and Manocha
// (2003).
//
// Accuracy: the formulas lose a few digits where the disc is much larger than
// the distance of its feet; on shapes of ordinary proportions results are right
// to about 1e-11 of the region's size. A drawing's own rounding counts on top.
package width
