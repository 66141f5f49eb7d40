// Package dxf reads flat-pattern drawings in the DXF format into exact lines
// and arcs, tolerantly and honestly: structure is repaired and recorded,
// numbers are never guessed, and whatever is not read is counted by type and
// layer.
//
// Words:
//
//	drawing  one DXF file
//	path     a run of connected curves drawn by one entity, in millimetres
//	note     a text of the drawing, as plain text
//	repair   a defect of the file's structure that was mended, with its place
//	skipped  entities that draw no path, counted by type and layer
package dxf
