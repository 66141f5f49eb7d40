package rules

import (
	"fmt"
	"slices"
	"sort"
	"strings"
)

// Shop is what one workshop says of itself: its lines, stocks, processes, edge
// presets, layer patterns, rates and limits. The tags are the keys of the shop
// file. Lengths are mm, forces N, pressures kPa, times s, speeds as named.
type Shop struct {
	Currency     string                  `toml:"currency"`
	DefaultLine  string                  `toml:"default-line"`
	Lines        map[string]*LineSpec    `toml:"line"`
	Families     map[string]*Family      `toml:"family"`
	Stocks       map[string]*Stock       `toml:"stock"`
	Coatings     map[string]*Coating     `toml:"coating"`
	Processes    map[string]*Process     `toml:"process"`
	Edges        map[string]*EdgePreset  `toml:"edge"`
	LayerRows    []LayerRow              `toml:"layer"` // as in the file
	Layers       []LayerPattern          `toml:"-"`     // the rows one pattern at a time; first match decides
	Rates        Rates                   `toml:"rate"`
	Carrier      CarrierSpec             `toml:"carrier"`
	Alternatives map[string]*Alternative `toml:"alternative"`
	Limits       map[string]float64      `toml:"limit"` // rule name -> limit of this shop

	Fitted map[string]map[string]*FittedLimit `toml:"fitted"` // line -> rule -> limit fitted to samples

	known       map[string]named // names of materials, as read from the file
	words       *phrases         // to look for in notes, as read from the file
	choices     []Edge           // EdgeChoices, as read from the file
	choicesSaid string
}

// Span is a low and a high value, written [low, high] in the shop file.
type Span [2]float64

// Range returns the span as a range.
func (s Span) Range() Range { return Range{s[0], s[1]} }

// Kinds of heads.
const (
	BeltHead    = "belt"
	DrumBrush   = "drum-brush"        // axis across the feed
	DiscBrush   = "disc-brush"        // axes upright, turning
	Oscillating = "oscillating-brush" // upright brushes that also move sideways
)

// Kinds of hold-down.
const (
	HoldRollers = "rollers"
	HoldVacuum  = "vacuum"
	HoldMagnet  = "magnet"
)

// LineSpec is one finishing line: a conveyor and its heads in order.
type LineSpec struct {
	Title         string   `toml:"title"`
	Hold          []string `toml:"hold"`           // what holds the part: rollers, vacuum, magnet
	RollerPitch   float64  `toml:"roller-pitch"`   // mm between roller axes along the feed
	RollerForce   float64  `toml:"roller-force"`   // N of one roller per mm of part width under it
	RollerGap     float64  `toml:"roller-gap"`     // mm between the last roller before a head and the first after it
	Vacuum        float64  `toml:"vacuum"`         // kPa under the belt
	OpenArea      float64  `toml:"open-area"`      // share of the bed that is open holes, 0 to 1
	MagnetPull    float64  `toml:"magnet-pull"`    // kPa on thick flat steel
	MagnetFull    float64  `toml:"magnet-full"`    // mm of steel from which the full pull acts
	Width         float64  `toml:"width"`          // mm, widest part
	Length        Span     `toml:"length"`         // mm along the feed, least and greatest
	LeastWidth    float64  `toml:"least-width"`    // mm across the feed
	Thickness     Span     `toml:"thickness"`      // mm
	Wet           bool     `toml:"wet"`            //
	FrictionDry   float64  `toml:"friction-dry"`   // part on conveyor
	FrictionWet   float64  `toml:"friction-wet"`   //
	ConveyorSpeed Span     `toml:"conveyor-speed"` // m/min
	Spacing       float64  `toml:"spacing"`        // mm between parts, along and across
	Heads         []Head   `toml:"head"`
}

// Head is one working head of a line.
type Head struct {
	Name       string   `toml:"name"`
	Kind       string   `toml:"kind"`
	Hardness   float64  `toml:"hardness"`    // Shore A of a belt's contact drum
	Grades     []string `toml:"grades"`      // at hand, "P80"
	Filament   float64  `toml:"filament"`    // mm, diameter of a brush's filament
	Bundle     float64  `toml:"bundle"`      // mm, what enters a cut-out together; 0: so many filaments as limit bundle-filaments says
	Material   string   `toml:"material"`    // of a brush: abrasive-nylon, flap, steel-wire, stainless-wire
	Speed      Span     `toml:"speed"`       // m/s at the surface
	Force      float64  `toml:"force"`       // N per mm of width under the head
	ForceRatio float64  `toml:"force-ratio"` // drag over pressing force
	Stroke     float64  `toml:"stroke"`      // mm, of an oscillating head
	Rate       float64  `toml:"rate"`        // strokes a minute, of an oscillating head
	Life       float64  `toml:"life"`        // hours a belt or brush lasts
	Price      float64  `toml:"price"`       // of one belt or brush set
	OneSpeed   float64  `toml:"one-speed"`   // m/s at which the shop would run it for every material; 0: the middle of its range
}

// Brush reports whether the head is a brush of any kind.
func (h Head) Brush() bool { return h.Kind != BeltHead }

// Family is a group of materials that are finished alike.
type Family struct {
	Title      string   `toml:"title"`
	BeltSpeed  Span     `toml:"belt-speed"` // m/s
	SpeedNote  string   `toml:"speed-note"` // a disagreement of sources
	Modulus    float64  `toml:"modulus"`    // GPa
	Stock      string   `toml:"stock"`      // the stock that stands for the family
	Words      []string `toml:"words"`      // what people write
	Source     string   `toml:"source"`
	Provenance string   `toml:"provenance"`
}

// Stock is one material.
type Stock struct {
	Title      string   `toml:"title"`
	Family     string   `toml:"family"`
	Density    float64  `toml:"density"` // kg/m3
	Rm         Span     `toml:"rm"`      // MPa
	Yield      float64  `toml:"yield"`   // MPa, low end; 0: taken as 0.6 Rm
	Magnetic   bool     `toml:"magnetic"`
	Coating    string   `toml:"coating"` // coating it always carries, or ""
	Names      []string `toml:"names"`   // grades and aliases
	Source     string   `toml:"source"`
	Provenance string   `toml:"provenance"`
}

// Kinds of coatings.
const (
	ZincCoat  = "zinc"  // on the stock before cutting
	PaintCoat = "paint" // put on after finishing
)

// Coating is something on the sheet, or to be put on it.
type Coating struct {
	Title      string   `toml:"title"`
	Kind       string   `toml:"kind"`
	Mass       float64  `toml:"mass"` // g/m2, both sides together; 0 unknown
	Names      []string `toml:"names"`
	Source     string   `toml:"source"`
	Provenance string   `toml:"provenance"`
}

// Process is one way of cutting.
type Process struct {
	Title      string          `toml:"title"`
	Names      []string        `toml:"names"`
	Oxide      bool            `toml:"oxide"`      // leaves an oxide skin on the cut face
	Side       string          `toml:"side"`       // where the burr stands
	Scope      Span            `toml:"scope"`      // mm of thickness
	LeastHole  Span            `toml:"least-hole"` // multiples of thickness, lenient and strict school
	LeastWeb   Span            `toml:"least-web"`  // the same for webs
	HoleBy     map[string]Span `toml:"hole-by"`    // LeastHole for a family
	Clearance  map[string]Span `toml:"clearance"`  // of a punch, total of both sides, % of thickness, by family
	Burrs      []BurrRow       `toml:"burr"`       // first match decides
	Sampled    []SampledBurr   `toml:"sampled"`    // heights of the shop's own samples; they come before Burrs
	ToolState  string          `toml:"tool-state"` // sharp, normal, worn
	Source     string          `toml:"source"`
	Provenance string          `toml:"provenance"`
}

// BurrRow is one row of a process's burr forecast.
type BurrRow struct {
	Families   []string `toml:"families"` // none: all
	From       float64  `toml:"from"`     // mm, thickness from
	To         float64  `toml:"to"`       // mm, thickness up to; 0 no bound
	Height     Span     `toml:"height"`   // mm
	Share      Span     `toml:"share"`    // of thickness, added to Height
	Kind       string   `toml:"kind"`
	Note       string   `toml:"note"`
	Source     string   `toml:"source"`
	Provenance string   `toml:"provenance"`
}

// EdgePreset is an edge requirement with a name.
type EdgePreset struct {
	Title      string   `toml:"title"`
	Notation   string   `toml:"notation"` // of ISO 13715
	Radius     Span     `toml:"radius"`   // mm wanted
	Grade      string   `toml:"grade"`    // of ISO 8501-3: P1, P2, P3
	Sides      string   `toml:"sides"`    // "burr side" or "both"
	Painted    bool     `toml:"painted"`
	Grain      string   `toml:"grain"` // grade of a wanted grain, "P240"
	Names      []string `toml:"names"`
	Source     string   `toml:"source"`
	Provenance string   `toml:"provenance"`
}

// LayerRow gives one meaning to the layers and line types that its patterns
// match.
type LayerRow struct {
	Names     []string `toml:"names"`      // of layers; none: all
	LineTypes []string `toml:"line-types"` // none: all
	Meaning   string   `toml:"meaning"`
}

// LayerPattern says what the lines of a layer or line type mean. Patterns match
// whole names, ignore case, and know * and ?. An empty pattern matches all.
type LayerPattern struct{ Layer, LineType, Meaning string }

// Rates are the shop's times and prices.
type Rates struct {
	HandHole     Span       `toml:"hand-hole"`   // s a hole, one side
	HandSlot     Span       `toml:"hand-slot"`   // s a slot or notch
	HandCorner   Span       `toml:"hand-corner"` // s an inside corner
	HandNib      Span       `toml:"hand-nib"`    // s a nib
	HandMetre    []HandRate `toml:"hand-metre"`
	PickPlace    Span       `toml:"pick-place"`      // s a piece
	TurnOver     Span       `toml:"turn-over"`       // s a piece
	LargePiece   Span       `toml:"large-piece"`     // s a piece that two people carry
	LargeMass    float64    `toml:"large-mass"`      // kg from which two people carry
	Loader       float64    `toml:"loader"`          // s a piece that the loader needs
	LineHour     Span       `toml:"line-hour"`       // currency an hour
	BenchHour    Span       `toml:"bench-hour"`      //
	Abrasive     Span       `toml:"abrasive-hour"`   // belts and brushes, currency an hour of running
	Carrier      Span       `toml:"carrier-seconds"` // s a piece for tray, tape or carrier
	HiddenFactor float64    `toml:"hidden-factor"`   // full cost of bench burr work over its pay; shown, not applied
	WearExponent float64    `toml:"wear-exponent"`   // life of a belt falls with (speed/right speed) to this power
}

// CarrierSpec is how this shop leaves parts joined in a carrier of sheet.
type CarrierSpec struct {
	Web          float64 `toml:"web"`           // between parts, in thicknesses
	LeastWeb     float64 `toml:"least-web"`     // mm, the larger of both counts
	Frame        float64 `toml:"frame"`         // mm of sheet left all round
	Joints       Span    `toml:"joints"`        // a part, least and most
	JointSpacing float64 `toml:"joint-spacing"` // mm of outline for one joint
	JointShare   float64 `toml:"joint-share"`   // width of a joint, in thicknesses
	JointWidth   Span    `toml:"joint-width"`   // mm, its bounds
	Most         float64 `toml:"most"`          // parts along or across
}

// What an alternative to the line is for.
const (
	ForOxide = "oxide"   // takes oxide off the cut faces
	ForHold  = "holding" // finishes parts that no conveyor holds
)

// Alternative is another way than the line, as this shop prices it: pickling,
// blasting, tumbling. A price of 0 means that the shop did not price it.
type Alternative struct {
	Title      string   `toml:"title"`
	For        []string `toml:"for"`
	Families   []string `toml:"families"`  // it suits; none: all
	Largest    float64  `toml:"largest"`   // mm, longest part; 0: no bound
	Burr       float64  `toml:"burr"`      // mm, highest burr it takes off; 0: no bound
	PerPiece   Span     `toml:"per-piece"` // currency
	PerKg      Span     `toml:"per-kg"`
	PerM2      Span     `toml:"per-m2"` // of both faces together
	Zinc       bool     `toml:"zinc"`   // may be done to zinc-coated parts
	Note       string   `toml:"note"`
	Source     string   `toml:"source"`
	Provenance string   `toml:"provenance"`
}

// HandRate is the bench's time for a metre of edge up to a thickness.
type HandRate struct {
	To      float64 `toml:"to"` // mm; 0 no bound
	Seconds Span    `toml:"seconds"`
}

// Line returns a line by name, "" meaning the default line.
func (s Shop) Line(name string) (*LineSpec, error) {
	if name == "" {
		name = s.DefaultLine
	}
	if l, ok := s.Lines[name]; ok { // as names are mostly written
		return l, nil
	}
	for key, l := range s.Lines {
		if fold(key) == fold(name) {
			return l, nil
		}
	}
	return nil, fmt.Errorf("no line named %q in the shop file%s", name, didYouMean(name, s.LineNames()))
}

// LineName returns the key of the line that Line(name) returns.
func (s Shop) LineName(name string) string {
	if name == "" {
		name = s.DefaultLine
	}
	if _, ok := s.Lines[name]; ok { // as names are mostly written
		return name
	}
	for key := range s.Lines {
		if fold(key) == fold(name) {
			return key
		}
	}
	return name
}

// LineNames lists the lines, sorted.
func (s Shop) LineNames() []string { return sortedKeys(s.Lines) }

// ProcessNames lists the processes, sorted.
func (s Shop) ProcessNames() []string { return sortedKeys(s.Processes) }

// Process looks a process up by name or alias. It returns its key.
func (s Shop) Process(name string) (string, *Process, error) {
	if p, ok := s.Processes[name]; ok { // as names are mostly written
		return name, p, nil
	}
	want := fold(name)
	for _, key := range sortedKeys(s.Processes) {
		p := s.Processes[key]
		if fold(key) == want {
			return key, p, nil
		}
	}
	for _, key := range sortedKeys(s.Processes) {
		p := s.Processes[key]
		for _, n := range p.Names {
			if fold(n) == want {
				return key, p, nil
			}
		}
	}
	if slices.Contains(anyLaser, want) {
		return "", nil, fmt.Errorf("process %q does not say the gas: laser-n2, laser-o2 or laser-air", name)
	}
	return "", nil, fmt.Errorf("no process named %q in the shop file%s", name, didYouMean(name, s.ProcessNames()))
}

// anyLaser are words for a laser cut that leave the gas open; burr and oxide
// hang on it, so nobody guesses.
var anyLaser = []string{"laser", "lasercut", "lasercutting", "laserschneiden", "lasern", "gelasert", "fibrelaser", "fiberlaser",
	"decoupelaser", "découpelaser", "cortelaser", "tagliolaser"}

// Coating looks a coating up by key, name or zinc mass ("Z275"). It returns its
// title.
func (s Shop) Coating(name string) (Coating, error) {
	want := fold(name)
	for _, key := range sortedKeys(s.Coatings) {
		c := s.Coatings[key]
		if fold(key) == want {
			return *c, nil
		}
		for _, n := range c.Names {
			if fold(n) == want {
				return *c, nil
			}
		}
	}
	if mass, ok := ParseZinc(name); ok {
		return Coating{Title: "zinc, " + strings.ToUpper(strings.TrimSpace(name)), Kind: ZincCoat, Mass: mass,
			Source: "named mass of both sides together", Provenance: LookedUp}, nil
	}
	return Coating{}, fmt.Errorf("no coating named %q in the shop file%s", name, didYouMean(name, sortedKeys(s.Coatings)))
}

// Tools lists the diameters, in mm and ascending, of the brush bundles of a
// line: the discs whose reach must be measured. A line of belts alone has none.
// An unknown line has none either.
func (s Shop) Tools(line string) []float64 {
	l, err := s.Line(line)
	if err != nil {
		return nil
	}
	var tools []float64
	for _, h := range l.Heads {
		if d := s.bundle(h); d > 0 {
			tools = append(tools, d)
		}
	}
	sort.Float64s(tools)
	return slices.Compact(tools)
}

// bundle returns what of a head must enter a cut-out, in mm; 0 for a belt.
func (s Shop) bundle(h Head) float64 {
	switch {
	case !h.Brush():
		return 0
	case h.Bundle > 0:
		return h.Bundle
	default:
		n := defaultBundle
		if v, ok := s.Limits["bundle-filaments"]; ok {
			n = v
		}
		return n * h.Filament
	}
}

// defaultBundle: filaments must enter a cut-out together to work its edge;
// "several filament diameters" is reasoning, no source has a number.
const defaultBundle = 3.0

func sortedKeys[T any](m map[string]T) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	return keys
}

// fold makes names comparable: lower case, without spaces, dots, dashes and
// underlines.
func fold(s string) string {
	return strings.Map(func(r rune) rune {
		switch r {
		case ' ', '-', '_', '.', '\t', '/', '\u00a0':
			return -1
		}
		return r
	}, strings.ToLower(s))
}

// didYouMean returns `, did you mean "x"?` for the nearest of names, or "".
func didYouMean(name string, names []string) string {
	if n := nearest(name, names); n != "" {
		return fmt.Sprintf(", did you mean %q?", n)
	}
	return ""
}

// nearest returns the name with the fewest edits from want, "" if all are far.
func nearest(want string, names []string) string {
	best, at := len(want)/2+2, ""
	for _, n := range names {
		if d := edits(strings.ToLower(want), strings.ToLower(n)); d < best {
			best, at = d, n
		}
	}
	return at
}

// edits is the number of letters to insert, drop, change or swap with the next
// (optimal string alignment).
func edits(a, b string) int {
	before, last, row := make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(a); i++ {
		row[0] = i
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			row[j] = min(last[j-1]+cost, last[j]+1, row[j-1]+1)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
		before, last, row = last, row, before
	}
	return last[len(b)]
}
