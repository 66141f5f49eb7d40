// Package analyze understands a drawing: what its lines mean, which contours
// make which part, and what each part measures. It decides nothing about
// finishing; package rules does, from the measures alone.
//
// Words:
//
//	drawing  one file as package geom/dxf reads it
//	meaning  what the lines of a layer or line type are for: cut, bend, etch, ...
//	part     an outline with its cut-outs; equal parts are one with a quantity
//	line     a run of curves that is no contour of a part, with what it was
//	         taken for: a bend, an etched line, a lead-in, ...
//	message  something to tell about the drawing, with a stable code
//
// Analyze goes through these steps, a file each:
//
//	curves -> what each layer means (meaning.go)
//	       -> closed contours, nested (package geom/contour)
//	       -> sheet border aside (border.go, nest.go)
//	       -> bends, etched lines, lead-ins, open contours (lines.go, bends.go)
//	       -> parts measured (part.go, cutout.go, feature.go, feed.go)
//	       -> equal parts counted (equal.go)
//
// What is measured, with error bounds and witnesses, has a package of its own,
// analyze/measure. Package rules judges it; its example shows the whole way from
// a file to minutes and cost.
package analyze
