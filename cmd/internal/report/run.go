package report

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// Run is what a report was made with. Results of runs that differ in anything
// but Split were not judged alike.
type Run struct {
	Program string            `json:"program"`         // version of the program
	Shop    string            `json:"shop"`            // hash of the shop file in effect
	Flags   map[string]string `json:"flags"`           // those that decide how drawings are read and judged, as given
	Rates   *Rates            `json:"rates"`           // what costs were computed with
	Split   *Split            `json:"split,omitempty"` // nil when the run was asked for every drawing
}

// Split says which share of a job a run did. The share of every drawing follows
// from its content alone, so that machines agree on it without talking.
type Split struct {
	Shards   []int  `json:"shards"`   // done here, from 1, ascending
	Of       int    `json:"of"`       // shards
	Drawings int    `json:"drawings"` // of the whole job, all shards
	Content  string `json:"content"`  // hash of the contents of all, in input order
}

// Words says it for people.
func (s *Split) Words() string {
	numbers := make([]string, len(s.Shards))
	for i, n := range s.Shards {
		numbers[i] = strconv.Itoa(n)
	}
	word := "shard "
	if len(numbers) != 1 {
		word = "shards "
	}
	return fmt.Sprintf("%s%s of %d, of a job of %s", word, strings.Join(numbers, ", "), s.Of, plural(s.Drawings, "drawing"))
}

// Missing lists the shards that are not in it, ascending.
func (s *Split) Missing() []int {
	var out []int
	for n := 1; n <= s.Of; n++ {
		if !slices.Contains(s.Shards, n) {
			out = append(out, n)
		}
	}
	return out
}

// Lack is an input that one drawing lacks.
type Lack struct {
	Name     string   `json:"name"`
	Question string   `json:"question"`
	Unjudged []string `json:"unjudged"` // rules that wait for it
}

// Open lists the questions of one drawing as the tally takes them.
func (d *Drawing) Open() []Question {
	out := make([]Question, len(d.Lacks))
	for i, q := range d.Lacks {
		out[i] = Question{Input: q.Name, Text: q.Question, Unjudged: q.Unjudged, Drawings: 1}
	}
	return out
}

// Line is one line of the JSON lines format: a drawing, on the first line with
// the schema and the run, on the last with what the end of the report says. A run without any
// drawing is one line without the drawing's fields.
type Line struct {
	Schema string `json:"schema,omitempty"`
	Run    *Run   `json:"run,omitempty"`
	*Drawing
	End *End `json:"end,omitempty"`
}

// End is what the last line says of the whole run. Without it a file was cut
// off.
type End struct {
	Incomplete string      `json:"incomplete,omitempty"` // why drawings are missing
	Questions  []Question  `json:"questions"`
	Totals     Totals      `json:"totals"`
	Notes      []string    `json:"notes"`
	Comparison *Comparison `json:"comparison,omitempty"`
	Messages   []Message   `json:"messages,omitempty"`
	Changes    *Changes    `json:"changes,omitempty"`
}

// Start tells a renderer what the run is made with, before the first drawing.
// Those that need it only at the end find it in the tail.
func Start(r Renderer, run *Run) {
	if s, ok := r.(interface{ start(*Run) }); ok {
		s.start(run)
	}
}
