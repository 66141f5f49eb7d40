// Package measure is the vocabulary between geometry and judgement: what is
// known of a part, each value with its error bound and its witness. It holds no
// algorithm and no limit. Lengths are mm, areas mm2, angles degrees, places in
// drawing coordinates converted to mm.
//
// Words, one noun each:
//
//	part     an outline with its cut-outs; equal parts are one with a quantity
//	cut-out  an inner contour: round, slot or window
//	notch    a narrow opening that enters from the outline
//	web      material between two contours; neck: between two stretches of one
//	         contour that joins two wider places; tab: a narrow stretch that
//	         ends free
//	corner   a vertex where the width of material or void runs to zero
//	joint    a short gap left in a contour
//	bend     a fold line, not cut
//	feed     how a part lies at one angle on the conveyor
package measure

import "github.com/golang/geo/r2"

// Value is one measured quantity. The zero Value is "not measured".
type Value struct {
	V       float64
	Err     float64 // bound on the absolute error, same unit
	Known   bool
	Witness Witness
}

// Get returns the value and whether it was measured.
func (v Value) Get() (float64, bool) { return v.V, v.Known }

// Of returns a measured value with an error bound.
func Of(v, err float64) Value { return Value{V: v, Err: err, Known: true} }

// Seen returns v with its witness.
func (v Value) Seen(w Witness) Value { v.Witness = w; return v }

// Witness is the place that proves a value: two points, a circle, or both.
// The zero Witness is none.
type Witness struct {
	A, B   r2.Point // the two touching points
	Center r2.Point
	Radius float64 // of the witness disc; 0 if two points say it all
	Points bool    // A and B are set
}

// Kinds of cut-outs.
const (
	Round  = "round"
	Slot   = "slot"
	Window = "window"
)

// Kinds of material passages.
const (
	Web  = "web"
	Neck = "neck"
	Tab  = "tab"
)

// Sides of a boundary.
const (
	Void     = "void"
	Material = "material"
)

// Drawing is what is known of one file before and after its parts.
type Drawing struct {
	File           string
	Units          string  // name
	UnitsSource    string  // where the units came from
	UnitsAssumed   bool    // nobody stated them
	UnitsDoubt     string  // a contradiction, in words
	SheetWidth     Value   // of a sheet border, if one was drawn
	SheetHeight    Value   //
	LargestGap     float64 // widest gap bridged
	OpenContours   []Place
	Crossings      []Place
	Duplicates     int     // curves dropped because they were drawn twice
	DuplicatesAt   []Place // where each of them starts; may be nil
	RejectedCurves int     // entities that could not be read
	Curves         int     // curves read
	Notes          []string

	Used     Value   // share of the sheet that parts cover, 0 to 1; without a sheet border not measured
	Nearest  []Apart // for every part in a nest its nearest neighbour, nearest first
	Overlaps []Apart // parts that overlap each other
}

// Apart is the least distance of two parts in a nest.
type Apart struct {
	Parts    [2]string // ids
	Distance Value     // with its witness; 0 where they overlap
}

// Place is a point with what is there.
type Place struct {
	At   r2.Point
	Size float64 // mm: gap, length, as Text says
	Text string
	Mend string // what a drafter does about it; may be empty
}

// Part is everything measured of one part.
type Part struct {
	ID         string // "P1", "P2", ... in drawing order
	Quantity   int
	MirroredOf string // id of the part that this one mirrors, or ""
	Incomplete string // why the part cannot be trusted, or ""

	Area          Value
	OutlineLength Value
	CutLength     Value // outline and cut-outs
	MinWidth      Value // least distance between parallel lines that hold the part
	Inscribed     Value // diameter of the largest disc in the material
	BBox          r2.Rect
	Centroid      r2.Point
	Moments       [3]float64 // central second moments Ixx, Iyy, Ixy, mm4
	At            []r2.Point // lower left corner of each of the Quantity places
	Inside        string     // id of the part in whose cut-out the first place lies, or ""
	HeldBy        int        // joints of the outline, by which alone the part hangs in the sheet; 0: cut free

	Cutouts []Cutout
	Notches []Notch
	Webs    []Passage
	Corners []Corner
	Joints  []Joint
	Bends   []Bend
	Forms   []Form
	Feeds   []Feed  // one for every angle measured, ascending from 0
	Reach   []Reach // of the outline, one for every tool diameter asked for

	Lengths []EdgeLength // for every contour, outline first
}

// EdgeLength is the length of one contour.
type EdgeLength struct {
	Contour string // "O" for the outline, else the cut-out's id
	Length  Value
}

// Cutout is an inner contour.
type Cutout struct {
	ID        string // "C1", ...
	Kind      string // Round, Slot or Window
	At        r2.Point
	Area      Value
	Perimeter Value
	Inscribed Value   // diameter of the largest disc that fits
	MinWidth  Value   // the lesser of Inscribed and the least void passage
	Straight  Value   // length of the longest straight passage; slots only
	Reach     []Reach // one for every tool diameter asked for
	Corners   int     // sharp inside corners
	EdgeGap   Value   // least distance to another contour of the part
	Level     Level   // along which MinWidth is kept
}

// Notch is a void passage that enters from the outline.
type Notch struct {
	ID    string // "N1", ...
	At    r2.Point
	Width Value
	Depth Value
	Level Level // along which Width is kept
}

// Passage is a material passage.
type Passage struct {
	ID      string // "W1", ...
	Kind    string // Web, Neck or Tab
	At      r2.Point
	Width   Value
	Length  Value     // of the narrow stretch; of a tab its free length
	Between [2]string // contour ids, the outline first, then as they are numbered
	Hangs   Value     // area of what hangs on a neck or tab, mm2
	Level   Level     // along which Width is kept
}

// Level is the stretch along which a narrowest place keeps its width, between
// walls that keep their distance. The zero Level is a narrowest place that is
// one point.
type Level struct {
	Length Value       // of the way of the disc's centre, mm; not measured at one point
	Ends   [2]r2.Point // the centre at both ends of the way; one point where the way closes
	Walls  [2]Wall     // the two stretches of contour touched on the way
}

// Wall is a stretch of a contour, from the place touched at the start of a way
// to the one touched at its end.
type Wall struct {
	Contour string
	A, B    r2.Point
}

// Corner is a vertex where width runs to zero.
type Corner struct {
	ID      string // "K1", ...
	Contour string // "O" or a cut-out's id
	At      r2.Point
	Angle   float64 // of the side named, degrees
	Side    string  // Void or Material
}

// Joint is a gap left in a contour.
type Joint struct {
	ID      string // "J1", ...
	Contour string
	At      r2.Point
	Gap     Value
	Bridge  bool // drawn as a narrow bridge between two cut-outs, not as a gap
}

// Bend is a fold line.
type Bend struct {
	ID     string // "B1", ...
	A, B   r2.Point
	Length Value
	Up     string // "up", "down" or ""
	UpFrom string // where that was read; "" if nowhere
	Flange Value  // to the nearer outline edge parallel to the bend, mm; not measured if there is none
	Cutout string // id of the nearest cut-out, or ""
	Gap    Value  // to that cut-out's edge, mm
}

// Form is something that stands out of the sheet: a louvre, an emboss.
type Form struct {
	ID   string // "F1", ...
	At   r2.Point
	Box  r2.Rect
	Name string // the layer or block that says so
}

// Feed is how the part lies at one angle: 0 puts drawing X along the feed, and
// the part turns counter-clockwise by Angle.
type Feed struct {
	Angle   float64 // degrees
	Length  float64 // along the feed, mm
	Width   float64 // across the feed, mm
	Section float64 // widest sum of material under a line across the feed, mm
	// The line that proves Section: its points p have p.u = SectionAt, u the feed's
	// direction as the part sees it, turned back by Angle from the drawing's X; mm.
	// Where the section steps there the wider side counts.
	SectionAt float64
	Lead      float64 // from the leading end back to the centre of gravity, mm; 0: not measured
	// Shares of all edge length by the direction that the edge faces (its
	// outward normal): within 45 degrees of the feed, against it, or across.
	Along, Against, Across float64
	// Lying is the share of edge length whose own direction is within 15
	// degrees of the feed: what a drum brush leaves.
	Lying float64
}

// Reach says which share of a contour a disc of one diameter can touch from
// the void side.
type Reach struct {
	Tool    float64 // disc diameter, mm
	Share   Value   // of the contour's length, 0 to 1
	Missing []Stretch
}

// Stretch is a piece of a contour that a tool cannot touch.
type Stretch struct {
	Contour      string
	From, Length float64 // mm along the contour from its first curve's start
	A, B         r2.Point
}
