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
//	tag      a group code and its value: two lines of an ASCII file
//	stray    a line where a group code must stand and does not
//
// A file passes through these steps:
//
//	bytes -> unpack (packed.go)   out of a gzip file or zip archive, bounded
//	      -> sniff (read.go)      which form: ASCII, binary, UTF-16, none
//	      -> scanner (scan.go)    tags, pieces of the file, nothing copied
//	      -> parser (parse.go)    sections, tables, blocks, entities as numbers
//	      -> expander (expand.go) blocks in place, layers, planes
//	      -> draft (curves.go)    curves in mm, one path an entity
//
// Codes of repairs, mended:
//
//	missing-endsec missing-eof missing-endblk missing-seqend stray-endsec
//	unnamed-section outside-section outside-block junk-before junk-after-eof
//	blank-line bad-code doubled-line-ends swapped-xy real-for-integer
//	vertex-count zero-extrusion equal-angles open-spline width-ignored
//	faces-outlined orphan-seqend fit-points-only paper-space-read turned-flat
//	chords-refitted unknown-code-page more-repairs
//
// and of entities left out:
//
//	bad-number huge-number missing-number bad-vertex broken-entity truncated
//	orphan-vertex no-vertices bad-radius zero-axis zero-scale
//	bad-spline broken-curve too-many-arcs missing-block block-cycle
//	external-reference not-flat
package dxf
