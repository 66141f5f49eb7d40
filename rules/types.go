package rules

import "github.com/golang/geo/r2"

// Treatment is what a finding or a part needs, in ascending severity.
type Treatment int

// The treatments in order of severity.
const (
	Line    Treatment = iota // runs as it is
	Brush                    // needs a brush head or an extra brush pass
	Fixture                  // needs holding
	Hand                     // bench work
	Ask                      // a question must be answered first
)

// Verdict is the outcome of one rule on one feature.
type Verdict int

// The verdicts. A missing measure or input gives Unknown, never a guess.
const (
	NotApplicable Verdict = iota
	Pass
	Fail
	Unknown
)

// Finding is one place on one part where a rule did not pass.
type Finding struct {
	Rule       string
	Treatment  Treatment
	Feature    string // id of the feature, or "" for the part as a whole
	At         r2.Point
	Measured   float64
	Limit      float64
	Unit       string // "mm", "share", "ratio", ...
	Why        string // one sentence
	Do         string // what to do, one sentence
	Source     string
	Provenance string // looked up, memory, common practice, arithmetic, reasoning, shop
}

// Question is an input that nobody gave.
type Question struct {
	Input    string   // "thickness", "material", "process", "edge"
	Text     string   // the question, for people
	Unjudged []string // rules that cannot be judged without it, sorted
}

// Range is a low and a high value.
type Range struct{ Low, High float64 }

// Given is an input with the place it was read from.
type Given struct {
	Value  string
	Source string // "flag", "job table", "note on layer TEXT", "file name", ""
}

// Job is what is known of one drawing's order. An empty Value is unknown.
type Job struct {
	Material  Given
	Thickness Given // mm, or a gauge with its series: "16 ga steel"
	Process   Given
	Edge      Given
	Line      Given
	Coating   Given
	Film      Given
	Quantity  int // pieces per drawing's part count; 0 means as drawn

	Conflicts []Conflict // inputs that two places state differently
}

// Burr is the forecast of what the cutting process leaves on a part.
type Burr struct {
	Process, Side, Kind string  // Kind: "rollover burr", "dross", "oxide", ...
	Low, High           float64 // mm
	Note                string  // what sources disagree on, or what changes the range
	Source, Provenance  string
}

// BurrPlace is a place where the burr is likely at the high end of the forecast.
type BurrPlace struct {
	Feature   string
	At        r2.Point
	Low, High float64 // mm
	Why       string

	contour string  // that it is on
	length  float64 // mm of edge; 0: the place alone
}

// Step is one step of the route.
type Step struct {
	Step     string    // "cut", "belt", "brush", "turn over", "bench", ...
	Head     string    // name of the head, or ""
	Settings []Setting // in order
	Note     string
}

// Setting is one starting value, to be proved on samples.
type Setting struct{ Name, Value, Source string }

// FeedChoice is the angle chosen and what it gives.
type FeedChoice struct {
	Angle      float64 // degrees
	Length     float64 // mm along the feed
	Width      float64 // mm across
	HoldMargin float64 // holding force over drag, safety included; valid if HoldKnown
	HoldKnown  bool
	HoldDry    float64 // the same margin dry and wet; valid if HoldKnown
	HoldWet    float64
	Worked     float64 // share of edge length that the heads work, 0 to 1
	Gain       string  // against angle 0, in words, or ""
}

// Judgement is the verdict on one part.
type Judgement struct {
	Findings    []Finding // sorted: severity descending, rule, feature
	Questions   []Question
	Burr        *Burr         // nil when process, material or thickness is unknown
	BurrAt      []BurrPlace   // where it is likely heaviest, in feature order
	BurrMap     []BurrStretch // the same over all edges: every contour, then the places
	Feed        FeedChoice
	FeedOptions []FeedOption // how else the part could be run; nil where feeds were not measured
	Route       []Step
	LineTime    Range // seconds per piece
	HandTime    Range // seconds per piece
	Cost        Range // in the shop's currency, per piece
	Abrasive    Range // of it, belts and brushes
	Wear        []Wear
	Carrier     *Carrier // nil unless the part needs holding and an array reaches the limits
	Ways        []Way    // to finish what cannot be held, or to take oxide off; cheapest first
	Treatment   Treatment
	Verdicts    map[string]Verdict // worst verdict of every rule
}
