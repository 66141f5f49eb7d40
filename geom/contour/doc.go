// Package contour turns loose curves into closed contours and nested regions.
// It joins ends within a stated tolerance, drops duplicates, splits curves that
// cross, names every end that stays open, and sorts what closes into outlines,
// cut-outs and islands. It never searches: every step is a sort, a hash, a tree
// query or a walk, and every loop has a bound.
//
// Words:
//
//	contour  a closed chain of lines and arcs
//	region   an outline with the cut-outs inside it: material on the left of
//	         every contour, so outlines run counter-clockwise, cut-outs clockwise
//	joint    a gap in a contour that is wider than the join tolerance and no
//	         wider than the joint limit: the part stays in the sheet there
//	open     a chain that does not close: loose, a spur that ends on a contour
//	         (a lead-in), a chord from contour to contour (a bend line), or a line
//	         across contours (a centre line)
//	shared   a cut between two parts that lie side by side, drawn once or twice;
//	         the outlines of both run along it
//	notch    of contours: one drawn closed with a side on an outline, which is
//	         opened there
package contour
