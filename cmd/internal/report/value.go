package report

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"strconv"
)

// Schema names the form of the JSON output.
const Schema = "burrcast/1"

// Statuses of a drawing.
const (
	OK         = "ok"
	Partial    = "partial"
	Unreadable = "unreadable"
)

// Report is everything that one run says. Lengths are mm, areas mm2, angles
// degrees, times seconds a piece, costs in the shop's currency a piece. A nil
// number was not measured or cannot be known.
type Report struct {
	Schema    string     `json:"schema"`
	Questions []Question `json:"questions"`
	Drawings  []Drawing  `json:"drawings"`
	Totals    Totals     `json:"totals"`
	Notes     []string   `json:"notes"`

	Comparison *Comparison `json:"comparison,omitempty"` // of all lines, if it was asked for

	Messages []Message `json:"messages,omitempty"` // of the run as a whole
	Changes  *Changes  `json:"changes,omitempty"`  // against an older report, if one was given

	Run        *Run   `json:"run,omitempty"`        // what it was made with
	Incomplete string `json:"incomplete,omitempty"` // why drawings are missing, or empty

	// Rates are what costs were computed with. Programs find them in the run.
	Rates Rates `json:"-"`
}

// Rates are the shop's prices, in its currency an hour, as low and high. A
// piece costs its seconds on the line at the one, its seconds on the bench at
// the other, and what it wears off belts and brushes.
type Rates struct {
	Currency string `json:"currency"`
	Line     Range  `json:"line_hour"`
	Bench    Range  `json:"bench_hour"`
}

// Question is an input that nobody gave, asked once for the whole run.
type Question struct {
	Input    string   `json:"input"`
	Text     string   `json:"text"`
	Unjudged []string `json:"unjudged"` // rules that wait for it
	Drawings int      `json:"drawings"` // in how many drawings it is open
}

// Drawing is one file.
type Drawing struct {
	File     string    `json:"file"` // with "/"
	Status   string    `json:"status"`
	Messages []Message `json:"messages"`
	Units    Units     `json:"units"`
	Skipped  []Skipped `json:"skipped"`
	Sheet    *Sheet    `json:"sheet,omitempty"`
	Nest     *Nest     `json:"nest,omitempty"`
	Parts    []Part    `json:"parts"`

	// Encoded is what Encode writes, if that is done already; whatever else stands
	// here is then not written by the JSON formats.
	Encoded []byte `json:"-"`

	// Marked is the drawing in its own format with our marks; nil for none.
	Marked []byte `json:"-"`

	// MarkedAnew says why Marked is not the drawing's own file, and what it lacks;
	// empty if it is.
	MarkedAnew string `json:"-"`

	Inputs  []Input  `json:"inputs,omitempty"`  // what it was judged with; messages tell them, too
	Lacks   []Lack   `json:"lacks,omitempty"`   // what it lacks
	Hazards []string `json:"hazards,omitempty"` // what safety notes are about, a word each
	Index   int      `json:"index,omitempty"`   // its number in the whole job, from 1; in a shard only
}

// Input is something given about a drawing, with the place it was read from.
type Input struct {
	Name   string `json:"name"`
	Value  string `json:"value"`
	Source string `json:"source"`
}

// Message is something to tell about a drawing.
type Message struct {
	Code string `json:"code"`
	Line int    `json:"line,omitempty"` // in the file
	Text string `json:"text"`
}

// Units says what a drawing unit is and who says so.
type Units struct {
	Name   string `json:"name"`
	Source string `json:"source"`
}

// Skipped counts entities that draw nothing to cut.
type Skipped struct {
	Type  string `json:"type"`
	Layer string `json:"layer"`
	Count int    `json:"count"`
}

// Sheet is a border drawn round the parts.
type Sheet struct {
	Width  *Num `json:"width_mm"`
	Height *Num `json:"height_mm"`
}

// Part is one part of a drawing with everything said about it.
type Part struct {
	ID            string `json:"id"`
	Quantity      int    `json:"quantity"` // as drawn, times the pieces ordered
	MirroredOf    string `json:"mirrored_of,omitempty"`
	Area          *Num   `json:"area_mm2"`
	OutlineLength *Num   `json:"outline_length_mm"`
	CutLength     *Num   `json:"cut_length_mm"`
	BBox          [2]Num `json:"bbox_mm"`
	MinWidth      *Num   `json:"min_width_mm"`
	Incomplete    string `json:"incomplete"`               // why it cannot be trusted, or empty
	Inside        string `json:"inside,omitempty"`         // the part in whose cut-out it lies
	HeldBy        int    `json:"held_by_joints,omitempty"` // joints by which alone it hangs in the sheet

	Cutouts []Cutout `json:"cutouts"`
	Notches []Notch  `json:"notches"`
	Webs    []Web    `json:"webs"`
	Corners []Corner `json:"corners"`
	Joints  []Joint  `json:"joints"`
	Bends   []Bend   `json:"bends"`
	Forms   []Form   `json:"forms,omitempty"`

	Feed      *Feed     `json:"feed"`
	Findings  []Finding `json:"findings"`
	Burr      *Burr     `json:"burr"`
	Route     []Step    `json:"route"`
	Time      Time      `json:"time"`
	Cost      Range     `json:"cost"`
	Treatment Treatment `json:"treatment"`

	Abrasive    *Range       `json:"abrasive,omitempty"`     // of the cost, belts and brushes
	EdgeChoices []EdgeChoice `json:"edge_choices,omitempty"` // where no edge was stated
	Ways        []Way        `json:"ways,omitempty"`         // cheapest first

	// Drawing is what pictures of the part are drawn from. No format for programs
	// has it.
	Drawing PartDrawing `json:"-"`
}

// Cutout is an inner contour.
type Cutout struct {
	ID        string `json:"id"`
	Kind      string `json:"kind"`
	X         Num    `json:"x_mm"`
	Y         Num    `json:"y_mm"`
	Area      *Num   `json:"area_mm2"`
	Perimeter *Num   `json:"perimeter_mm"`
	Inscribed *Num   `json:"inscribed_diameter_mm"`
	MinWidth  *Num   `json:"min_width_mm"`
}

// Notch is a narrow opening from the outline.
type Notch struct {
	ID    string `json:"id"`
	X     Num    `json:"x_mm"`
	Y     Num    `json:"y_mm"`
	Width *Num   `json:"width_mm"`
	Depth *Num   `json:"depth_mm"`
}

// Web is a narrow run of material: a web, a neck or a tab.
type Web struct {
	ID      string   `json:"id"`
	Kind    string   `json:"kind"`
	X       Num      `json:"x_mm"`
	Y       Num      `json:"y_mm"`
	Width   *Num     `json:"width_mm"`
	Length  *Num     `json:"length_mm"`
	Between []string `json:"between"` // contour ids, "O" for the outline
}

// Corner is a vertex where width runs to zero.
type Corner struct {
	ID    string `json:"id"`
	X     Num    `json:"x_mm"`
	Y     Num    `json:"y_mm"`
	Angle Num    `json:"angle_deg"`
	Side  string `json:"side"`
}

// Joint is a gap left in a contour.
type Joint struct {
	ID  string `json:"id"`
	X   Num    `json:"x_mm"`
	Y   Num    `json:"y_mm"`
	Gap *Num   `json:"gap_mm"`

	Contour string `json:"contour,omitempty"`
	Bridge  bool   `json:"bridge,omitempty"` // drawn as a narrow bridge between two cut-outs
}

// Bend is a fold line.
type Bend struct {
	ID     string `json:"id"`
	Length *Num   `json:"length_mm"`

	Direction     string `json:"direction,omitempty"` // "up", "down" or not known
	DirectionFrom string `json:"direction_from,omitempty"`
	Flange        *Num   `json:"flange_mm,omitempty"` // to the nearer outline edge along the bend
	Cutout        string `json:"cutout,omitempty"`    // the nearest
	Gap           *Num   `json:"gap_mm,omitempty"`    // to its edge
}

// Feed is how the part should lie on the conveyor.
type Feed struct {
	Angle      Num  `json:"angle_deg"`
	Length     Num  `json:"length_mm"`
	Width      Num  `json:"width_mm"`
	HoldMargin *Num `json:"hold_margin"`
	Worked     *Num `json:"edge_worked_share"`
}

// Finding is one place where a rule did not pass.
type Finding struct {
	Rule       string    `json:"rule"`
	Treatment  Treatment `json:"treatment"`
	Feature    string    `json:"feature"` // empty for the part as a whole
	X          Num       `json:"x_mm"`
	Y          Num       `json:"y_mm"`
	Measured   *Num      `json:"measured"`
	Limit      *Num      `json:"limit"`
	Unit       string    `json:"unit"`
	Why        string    `json:"why"`
	Do         string    `json:"do"`
	Source     string    `json:"source"`
	Provenance string    `json:"provenance"`
}

// Burr is the forecast of what cutting leaves.
type Burr struct {
	Process string `json:"process"`
	Side    string `json:"side"`
	Kind    string `json:"kind"`
	Low     Num    `json:"low_mm"`
	High    Num    `json:"high_mm"`
	Source  string `json:"source"`

	Note string        `json:"note,omitempty"` // what sources disagree on, or what changes the range
	Map  []BurrStretch `json:"map,omitempty"`  // every contour, then the places that stand out
}

// Step is one step of the route.
type Step struct {
	Step     string   `json:"step"`
	Head     string   `json:"head,omitempty"`
	Settings Settings `json:"settings"`
	Note     string   `json:"note"`
}

// Setting is one starting value with the place it comes from.
type Setting struct {
	Name   string `json:"-"`
	Value  string `json:"value"`
	Source string `json:"source"`
}

// Settings is written as one object, name by name, in order.
type Settings []Setting

// Time is how long one piece takes.
type Time struct {
	Line Range `json:"line_s"`
	Hand Range `json:"hand_s"`
}

// Range is a low and a high value.
type Range [2]Num

// Rounded is the range as it is written.
func (r Range) Rounded() Range { return Range{r[0].Rounded(), r[1].Rounded()} }

// Treatment is one of "line", "brush", "fixture", "hand", "ask", in this order
// of severity.
type Treatment string

// Treatments in order of severity.
var Treatments = [...]Treatment{"line", "brush", "fixture", "hand", "ask"}

// Rank is the place of a treatment in the order of severity, from 0, or -1 for
// one that does not exist.
func (t Treatment) Rank() int {
	for i, u := range Treatments {
		if t == u {
			return i
		}
	}
	return -1
}

// Totals counts the whole run.
type Totals struct {
	Drawings    int         `json:"drawings"`
	Parts       int         `json:"parts"`
	Pieces      int         `json:"pieces"`
	ByTreatment ByTreatment `json:"by_treatment"`
	Hand        Range       `json:"hand_s"` // of all pieces
	Line        Range       `json:"line_s"`
	Cost        Range       `json:"cost"` // of all pieces, in the shop's currency
}

// ByTreatment counts parts, not pieces.
type ByTreatment struct {
	Line    int `json:"line"`
	Brush   int `json:"brush"`
	Fixture int `json:"fixture"`
	Hand    int `json:"hand"`
	Ask     int `json:"ask"`
}

// count is the counter of one treatment.
func (b *ByTreatment) count(t Treatment) *int {
	return [...]*int{&b.Line, &b.Brush, &b.Fixture, &b.Hand, &b.Ask}[t.Rank()]
}

// Of says how many parts have a treatment.
func (b ByTreatment) Of(t Treatment) int { return *b.count(t) }

// Num is a number of the report, rounded once, when it is made (Number), to twelve
// significant digits: more than any measure's error allows, and few enough that
// equal answers read equal on every processor.
type Num float64

// digits that a number is written with.
const digits = 12

// Number makes a value that is finite a number of the report.
func Number(v float64) Num { return Num(v).Rounded() }

// Rounded is the number as it is written. Sums are taken of rounded numbers and
// rounded again, so that results that were written and read add up to the same.
// Zero has no sign.
func (n Num) Rounded() Num {
	v := float64(n)
	a := math.Abs(v)
	switch {
	case v == 0:
		return 0 // not -0
	case a < 1e11 && v == math.Trunc(v): // fewer digits than are kept
		return n
	case a >= 1e-3 && a < 1e11:
		k := digits - 1
		for ; a*powers[k] >= powers[digits]; k-- {
		}
		for ; a*powers[k] < powers[digits-1]; k++ {
		}
		// All powers of ten here are exact: the quotient is the double nearest to a
		// decimal of twelve digits. The product is right to 1e-4, so it may be
		// rounded unless it is about halfway.
		scaled := v * powers[k]
		whole := math.Round(scaled)
		if math.Abs(scaled-whole) < 0.5-1e-3 {
			return Num(whole / powers[k])
		}
	}
	r, err := strconv.ParseFloat(strconv.FormatFloat(v, 'e', digits-1, 64), 64)
	if err != nil {
		return n
	}
	return Num(r)
}

// powers of ten up to what a number of twelve digits from 1e-3 is scaled by.
var powers = [...]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15}

// String is the number as every format for programs writes it.
func (n Num) String() string {
	v := float64(n.Rounded())
	if a := math.Abs(v); v == 0 || a >= 1e-6 && a < 1e15 {
		return strconv.FormatFloat(v, 'f', -1, 64)
	}
	return strconv.FormatFloat(v, 'g', digits, 64)
}

// Known turns a value and whether it is one into a number of the report.
// Values that are not finite are not known.
func Known(v float64, ok bool) *Num {
	if !ok || math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	n := Number(v)
	return &n
}

// MarshalJSON writes the settings as one object in their order.
func (s Settings) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	b.WriteByte('{')
	for i, set := range s {
		if i > 0 {
			b.WriteByte(',')
		}
		name, err := json.Marshal(set.Name)
		if err != nil {
			return nil, err
		}
		value, err := json.Marshal(set)
		if err != nil {
			return nil, err
		}
		b.Write(name)
		b.WriteByte(':')
		b.Write(value)
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}

// UnmarshalJSON reads the object back in its order and refuses unknown fields.
func (s *Settings) UnmarshalJSON(data []byte) error {
	d := json.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	if t, err := d.Token(); err != nil || t != json.Delim('{') {
		return fmt.Errorf("settings are not an object: %v %w", t, err)
	}
	*s = Settings{}
	for d.More() {
		t, err := d.Token()
		if err != nil {
			return err
		}
		set := Setting{Name: t.(string)}
		if err := d.Decode(&set); err != nil {
			return err
		}
		*s = append(*s, set)
	}
	return nil
}
