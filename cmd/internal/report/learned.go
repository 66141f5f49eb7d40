package report

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"io"
)

// LearnSchema names the form of what "learn" writes as JSON.
const LearnSchema = "burrcast-learn/1"

// LearnSchemaJSON is its JSON schema.
//
//go:embed learn.schema.json
var LearnSchemaJSON []byte

// Learned is what inspected samples say. Numbers that are not known are nil.
type Learned struct {
	Schema     string            `json:"schema"`
	Files      []SampleFile      `json:"files"`
	Used       int               `json:"used"`  // samples that count
	Older      int               `json:"older"` // left out by --since
	Problems   []SampleProblem   `json:"problems"`
	Duplicates []SampleDuplicate `json:"duplicates"`
	Groups     []LearnedGroup    `json:"groups"`
	Heights    []LearnedHeight   `json:"heights"`
	Shop       *LearnedShop      `json:"shop"` // nil: nothing was to be written
}

// SampleFile counts what one file holds.
type SampleFile struct {
	File    string   `json:"file"`
	Rows    int      `json:"rows"`
	Samples int      `json:"samples"`
	Waiting int      `json:"waiting"` // not inspected yet
	Bad     int      `json:"bad"`
	Unused  []string `json:"unused_columns"`
}

// SampleProblem is a row or file left out.
type SampleProblem struct {
	File   string `json:"file"`
	Row    int    `json:"row"` // 0: the file as a whole
	Column string `json:"column"`
	Reason string `json:"reason"`
}

// SampleDuplicate is a row that repeats another.
type SampleDuplicate struct {
	File        string `json:"file"`
	Row         int    `json:"row"`
	FirstFile   string `json:"first_file"`
	FirstRow    int    `json:"first_row"`
	Contradicts bool   `json:"contradicts"` // neither counts
}

// LearnedGroup is what the samples of one rule on one line say.
type LearnedGroup struct {
	Rule    string `json:"rule"`
	Title   string `json:"title"`
	Line    string `json:"line"`
	Unit    string `json:"unit"`
	Samples int    `json:"samples"`
	Clean   int    `json:"clean"`
	Mixed   string `json:"mixed"` // what else differs among the samples

	Forecast LearnedForecast `json:"forecast"`
	Default  *Num            `json:"default_limit"`
	Fit      *LearnedFit     `json:"fit"`
	Settled  bool            `json:"settled"`
	Why      string          `json:"why"` // not settled
	More     *int            `json:"more_samples"`
	LookNear *Num            `json:"look_near"`
	Next     *NextPlace      `json:"next"`
	Known    *KnownLimit     `json:"known_limit"`
	Drift    *LearnedDrift   `json:"drift"`

	Points []LearnedPoint `json:"-"` // of plots
}

// LearnedForecast says how often the forecast was right.
type LearnedForecast struct {
	Judged      int           `json:"judged"`
	Computed    int           `json:"computed"` // forecasts not written in the samples
	Right       int           `json:"right"`
	CleanClean  int           `json:"forecast_clean_found_clean"`
	CleanBurr   int           `json:"forecast_clean_found_burr"`
	BurrClean   int           `json:"forecast_burr_found_clean"`
	BurrBurr    int           `json:"forecast_burr_found_burr"`
	Brier       *Num          `json:"brier"`
	Reliability []LearnedBand `json:"reliability"`
}

// LearnedBand is one row of the reliability table.
type LearnedBand struct {
	From     Num  `json:"from"`
	To       Num  `json:"to"`
	Samples  int  `json:"samples"`
	Forecast *Num `json:"mean_forecast"`
	Clean    *Num `json:"share_clean"`
	Low      *Num `json:"share_low"`
	High     *Num `json:"share_high"`
}

// LearnedFit is a fitted limit. The chance of clean at a measure m is
// 1/(1+exp(-intercept - slope ln(m/scale))).
type LearnedFit struct {
	Limit     Num    `json:"limit"`
	Low       *Num   `json:"low"`  // nil: the interval has no low end
	High      *Num   `json:"high"` // nil: no high end
	Share     Num    `json:"share"`
	Words     string `json:"share_words"`
	Safe      *Num   `json:"limit_at_nine_of_ten"`
	SafeLow   *Num   `json:"limit_at_nine_of_ten_low"`
	SafeHigh  *Num   `json:"limit_at_nine_of_ten_high"`
	Intercept Num    `json:"intercept"`
	Slope     Num    `json:"slope"`
	Scale     Num    `json:"scale"`
	Filament  *Num   `json:"filament_mm"`
}

// NextPlace is the place to inspect next, of those that wait.
type NextPlace struct {
	File     string `json:"file"`
	Row      int    `json:"row"`
	Drawing  string `json:"drawing"`
	Part     string `json:"part"`
	Piece    string `json:"piece"`
	Place    string `json:"place"`
	Measured Num    `json:"measured"`
}

// KnownLimit is the limit that the shop file already has from samples.
type KnownLimit struct {
	Limit   Num    `json:"limit"`
	Low     Num    `json:"low"`
	High    Num    `json:"high"`
	Samples int    `json:"samples"`
	Date    string `json:"date"`
}

// LearnedDrift is the test of samples later than the known limit.
type LearnedDrift struct {
	Samples        int  `json:"samples"`
	Contradictions int  `json:"contradictions"`
	Expected       Num  `json:"expected"`
	BurrMore       int  `json:"forecast_clean_found_burr"`
	P              Num  `json:"p"`
	Alpha          Num  `json:"alpha"`
	Flagged        bool `json:"flagged"`
}

// LearnedHeight is a fitted range of burr heights as cut.
type LearnedHeight struct {
	Process      string `json:"process"`
	Family       string `json:"family"`
	Thickness    Num    `json:"thickness_mm"`
	Samples      int    `json:"samples"`
	Median       Num    `json:"median_mm"`
	Low          *Num   `json:"low_mm"`
	High         *Num   `json:"high_mm"`
	ForecastLow  *Num   `json:"forecast_low_mm"`
	ForecastHigh *Num   `json:"forecast_high_mm"`
	Inside       int    `json:"inside_forecast"`
	Settled      bool   `json:"settled"`
	Why          string `json:"why"`
	More         int    `json:"more_heights"`
}

// LearnedShop says what went into the shop file, or would have.
type LearnedShop struct {
	File    string         `json:"file"`
	Written bool           `json:"written"`
	Entries []LearnedEntry `json:"entries"`
}

// LearnedEntry is one fitted number for the shop file.
type LearnedEntry struct {
	What    string `json:"what"`
	Written bool   `json:"written"`
	Why     string `json:"why"` // not written
}

// LearnedPoint is one sample of a plot.
type LearnedPoint struct {
	Measured float64
	Clean    bool
}

// WriteLearned renders what was learnt: text for people or JSON for programs.
func WriteLearned(w io.Writer, format string, l *Learned) error {
	switch format {
	case "json":
		l.Schema = LearnSchema
		data, err := json.MarshalIndent(l.filled(), "", " ")
		if err != nil {
			return err
		}
		_, err = w.Write(append(data, '\n'))
		return err
	case "text":
		_, err := io.WriteString(w, learnedText(l))
		return err
	}
	return fmt.Errorf("no format %q", format)
}

// LearnedFormats are the names that WriteLearned knows.
func LearnedFormats() []string { return []string{"text", "json"} }

// filled has empty lists where the value has none: programs need not tell the
// two apart.
func (l *Learned) filled() *Learned {
	out := *l
	out.Files = orEmpty(out.Files)
	for i := range out.Files {
		out.Files[i].Unused = orEmpty(out.Files[i].Unused)
	}
	out.Problems, out.Duplicates = orEmpty(out.Problems), orEmpty(out.Duplicates)
	out.Groups, out.Heights = orEmpty(out.Groups), orEmpty(out.Heights)
	for i := range out.Groups {
		out.Groups[i].Forecast.Reliability = orEmpty(out.Groups[i].Forecast.Reliability)
	}
	if out.Shop != nil {
		s := *out.Shop
		s.Entries = orEmpty(s.Entries)
		out.Shop = &s
	}
	return &out
}

func orEmpty[T any](list []T) []T {
	if list == nil {
		return []T{}
	}
	return list
}
