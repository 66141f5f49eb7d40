package dxf

import (
	"burrcast/geom"

	"github.com/golang/geo/r2"
)

// Drawing is what one file says.
type Drawing struct {
	Version string // as in the header, "AC1015"; empty if the file names none
	Units   Units
	Paths   []Path // cut candidates of model space, in file order, mm
	Notes   []Note
	Skipped []Skipped // sorted by type, then layer
	Repairs []Repair  // in file order; also rejected entities
	Layers  []Layer   // in table order, then as met
	Partial bool      // an entity that draws was rejected
}

// Units says how drawing units became millimetres.
type Units struct {
	Millimetres float64 // length of one drawing unit
	Name        string  // "mm", "inch", ...
	Source      string  // "header $INSUNITS", "header $MEASUREMENT", "assumed from size", "given"
	Doubt       string  // a contradiction in words, empty if there is none
}

// Path is a run of connected curves drawn by one entity.
type Path struct {
	Curves   []geom.Curve
	Closed   bool    // the entity says that it closes; the closing curve is included
	Layer    string  // the layer it is seen on; block contents on layer 0 take the insert's
	LineType string  // upper case, "CONTINUOUS" if nothing else is said
	Color    int     // colour index, layer colour resolved
	Entity   string  // DXF type, "LWPOLYLINE"
	Handle   string  // empty if the file has none
	Line     int     // first line (or byte offset in a binary file) of the entity
	Chords   int     // chords of a polyline that arcs of this path stand for; Error then holds their rise
	Error    float64 // bound on the distance from the entity's true curve, mm; 0 when exact
}

// Note is a text, with format codes removed.
type Note struct {
	Text   string
	At     r2.Point // insertion point, mm
	Height float64  // mm
	Layer  string
	Line   int
	Paper  bool // stands on the sheet beside model space, as in a title block; its place is on the sheet
}

// Skipped counts entities that draw no path.
type Skipped struct {
	Type, Layer string
	Count       int
	Why         string // "not a curve", "layer frozen", "paper space", ...
}

// Repair is one located record of a mended or rejected place.
type Repair struct {
	Code     string // "missing-endsec", "bad-number", ...
	Line     int
	Entity   string
	Handle   string
	Layer    string
	Text     string // for people
	Rejected bool   // the entity was left out
}

// Layer is one layer as the drawing defines it.
type Layer struct {
	Name     string
	Color    int
	LineType string
	Off      bool
	Frozen   bool
	NoPlot   bool
}
