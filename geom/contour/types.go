package contour

import (
	"burrcast/geom"

	"github.com/golang/geo/r2"
)

// Options says what counts as touching. Defaults() fills it.
type Options struct {
	Join       float64 // ends nearer than this are one point, mm
	JointLimit float64 // a wider gap up to this is a joint, mm
	Chords     Reading // of lines from edge to edge that allow two readings
}

// Reading says what lines from edge to edge of a contour are.
type Reading int

// Readings. What the drawing itself settles (dividers.go) no reading changes.
const (
	Likely   Reading = iota // the more likely, case by case
	AllMarks                // bends and marks: the contour stays whole
	AllCuts                 // cuts that neighbouring parts share
)

// Defaults returns the tolerances of the trade: 0.05 mm and 2 mm.
func Defaults() Options { return Options{Join: 0.05, JointLimit: 2} }

// Contour is a closed chain. Consecutive curves share their end points bit for
// bit, also the last with the first.
type Contour struct {
	Curves  []geom.Curve
	Sources []int   // of each curve, its index in the input; -1 for a bridged joint
	Gap     float64 // widest gap bridged, mm
	Joints  []Joint
}

// Joint is a gap left in a contour; the contour is closed across it by a line.
type Joint struct {
	A, B  r2.Point // ends of the gap
	Width float64  // mm
}

// Region is an outline with its cut-outs.
type Region struct {
	Outline Contour   // counter-clockwise
	Holes   []Contour // clockwise
	Depth   int       // 0 for an outermost region, 1 for an island in its cut-out, ...
	Parent  int       // region whose cut-out holds this one, or -1
	Cutout  int       // index of that cut-out in the parent, or -1
}

// Open is a chain that does not close.
type Open struct {
	Curves  []geom.Curve
	Sources []int
	Kind    string   // Loose, Spur, Chord or Across
	Gap     float64  // distance between its ends or to the nearest other open end, mm
	From    r2.Point // the end where that gap begins
	To      r2.Point // and the end across it
	Other   bool     // that end is another chain's
	Region  int      // region whose material or cut-outs it lies in, or -1
}

// Problem is a place that a drafter has to look at. Codes:
//
//	crossing       two contours cross, or one crosses itself
//	touching       two contours touch at a point, or one touches itself
//	overlap        a closed chain without area
//	gap-cluster    ends lie too close together to say which belong together
//	chord          lines across a contour were read as marks (dividers.go)
//	notch          a closed contour with a side on an outline was read as a notch
//	shared-cut     lines across a contour were read as cuts between parts
//	not-converged  a bound on the work was reached
//	not-finite     an input is not a finite number
//	out-of-range   an input is larger than a thousand kilometres
type Problem struct {
	Code    string
	At      r2.Point
	Sources []int // inputs involved
	Text    string
}

// Result is what the curves turned out to be. Every input curve is accounted
// for: in contours and open chains (in several if it was split or if parts share
// it), or else exactly once as a duplicate, as too short to matter, or as
// refused.
type Result struct {
	Regions    []Region // outermost first, then by position
	Open       []Open
	Duplicates []int // inputs dropped because an equal or covering curve exists
	Degenerate []int // inputs dropped because they have no length, or no more than Join and no neighbour
	Rejected   []int // inputs refused because a number is not finite or out of range
	Problems   []Problem
	LargestGap float64 // widest gap bridged anywhere, mm

	from *builder // what Without goes on from
}
