// Package contour turns loose curves into closed contours and nested regions.
// It joins ends within a stated tolerance, drops duplicates, splits curves that
// cross, names every end that stays open, and sorts what closes into outlines,
// cut-outs and islands. It never searches: every step is a sort, a hash or a
// walk.
//
// Words:
//
//	contour  a closed chain of lines and arcs
//	region   an outline with the cut-outs inside it: material on the left of
//	         every contour, so outlines run counter-clockwise, cut-outs clockwise
//	joint    a gap in a contour that is wider than the join tolerance and no
//	         wider than the joint limit: the part stays in the sheet there
//	open     a chain that does not close
package contour
