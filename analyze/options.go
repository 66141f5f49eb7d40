package analyze

import (
	"burrcast/analyze/measure"
	"burrcast/geom"
	"burrcast/geom/contour"
)

// Options says how a drawing is to be understood and measured. The zero value
// of a field asks for its default, except where said.
type Options struct {
	Contour contour.Options
	Tools   []float64 // disc diameters, mm, whose reach is measured
	Layers  []LayerRule

	// Chords says what lines from edge to edge of a part are where the drawing
	// allows two readings: by default the more likely, case by case.
	Chords contour.Reading
	// KeepChords leaves chords in contours as they are. Else runs of them that
	// stand for a curve become tangent arcs (see geom.RefitChords), their corners
	// within CurveTolerance, mm (0: its default) of them, which is told.
	KeepChords     bool
	CurveTolerance float64
	// KeepBorder keeps rectangles that look like the sheet as parts.
	KeepBorder bool
	// KeepRings keeps what is drawn round holes as contours: else the outer of two
	// small circles round one centre is taken for a countersink, and a contour
	// round bolt holes for a pocket.
	KeepRings bool
}

// LayerRule says what the lines of a layer or line type mean. Patterns match
// whole names, ignore case, and know * and ?.
type LayerRule struct {
	Layer, LineType string // empty matches all
	Meaning         Meaning
}

// Meaning is what a line is for.
type Meaning string

// What a line can mean.
const (
	Cut          Meaning = "cut"
	BendLine     Meaning = "bend"
	Etch         Meaning = "etch"
	NoteLine     Meaning = "note"
	Border       Meaning = "border"
	FormLine     Meaning = "form"
	Construction Meaning = "construction"
	Ignore       Meaning = "ignore"
)

// Taken is what a run of curves that is no contour of a part was taken for.
type Taken string

// What curves can be taken for.
const (
	TakenBend   Taken = "bend"
	TakenEtch   Taken = "etch"
	LeadIn      Taken = "lead-in"      // from scrap to a contour: cut, but no edge of a part
	PierceMark  Taken = "pierce"       // a tiny circle at the free end of a lead-in
	ScrapCut    Taken = "scrap-cut"    // from edge to edge through scrap
	CentreLine  Taken = "centre-line"  // runs over contours and ends free
	Overshoot   Taken = "overshoot"    // a stretch of a contour's line beyond its corner
	SinkMark    Taken = "countersink"  // the outer of two circles round one centre
	PocketMark  Taken = "pocket"       // round holes that would else be loose discs
	SheetBorder Taken = "sheet-border" // and what else is on its layer
	OpenContour Taken = "open-contour" // should close and does not
)

// Line is a run of curves that is no contour.
type Line struct {
	Taken  Taken
	Curves []geom.Curve

	sources []int // candidates they come from; nil if their layer decided
}

// Result is a drawing understood.
type Result struct {
	Drawing  measure.Drawing
	Parts    []Part
	Lines    []Line // what is no contour
	Messages []Message
	Meanings map[string]Meaning // layer -> what its lines were taken for
}

// Part is a measured part with the curves it was measured on, so that it can be
// drawn. Contours[0] is the outline; the others follow Measure.Cutouts.
type Part struct {
	Measure  measure.Part
	Contours [][]geom.Curve
	Bends    []geom.Curve
	Etch     []geom.Curve

	region   int            // that it was built from
	merged   [][]geom.Curve // Contours with pieces of one line or circle joined
	ids      []string       // of each contour
	err      float64        // bound on the curves' distance from the drawn ones, mm
	fitted   float64        // the same of arcs that stand for ellipses and splines; 0 if there are none
	shape    shape
	mirrorOf int // index of the part this one mirrors, or -1
}

// Message is something to tell about a drawing.
type Message struct {
	Code string // "open-contour", "crossing", "no-contour", ...
	Text string
	Line int // in the file; 0 if unknown
}
