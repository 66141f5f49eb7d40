package cli

import (
	"maps"
	"slices"
	"strings"

	"burrcast/cmd/internal/report"
	"burrcast/geom/dxf"
	"burrcast/rules"

	"github.com/spf13/pflag"
)

// The manual and the completions of every shell are made from what is here: the
// table of verbs, the flags of each, and the words that may follow.

// option is a flag as the manual and the completions see it.
type option struct {
	name  string
	short string
	value string // what it takes, as help calls it; empty if it takes nothing
	about string
	fixed string // default that is the same on every machine, or empty
	words []string
	dir   bool // it takes a folder
	file  bool // it takes a file
}

// options lists the flags of a verb.
func (v verb) options() []option {
	if v.flags == nil {
		return nil
	}
	var out []option
	v.flags().VisitAll(func(f *pflag.Flag) {
		value, about := pflag.UnquoteUsage(f)
		o := option{name: f.Name, short: f.Shorthand, value: value, about: about}
		if f.Value.Type() == "bool" {
			o.value = ""
		} else if f.DefValue != "" && f.DefValue != "0" && f.Name != "workers" {
			o.fixed = f.DefValue
		}
		o.dir = strings.HasPrefix(value, "DIR")
		o.file = strings.HasPrefix(value, "FILE")
		if o.value != "" {
			o.words = wordsOf(f.Name)
			if v.name == "learn" && f.Name == "format" {
				o.words = report.LearnedFormats()
			}
		}
		out = append(out, o)
	})
	return out
}

// wordsOf lists the words that a flag may take, where they can be told.
func wordsOf(flag string) []string {
	shop := rules.DefaultShop()
	switch flag {
	case "format":
		return report.Formats()
	case "fail-on":
		return strings.Split(treatmentNames(), ", ")
	case "chords":
		return chordReadings
	case "units":
		return dxf.UnitNames()
	case "line":
		return append(shop.LineNames(), allLines)
	case "process":
		return shop.ProcessNames()
	case "edge":
		return slices.Sorted(maps.Keys(shop.Edges))
	case "material":
		return slices.Compact(slices.Sorted(func(yield func(string) bool) {
			for _, names := range [][]string{slices.Collect(maps.Keys(shop.Families)), slices.Collect(maps.Keys(shop.Stocks))} {
				for _, n := range names {
					if !yield(n) {
						return
					}
				}
			}
		}))
	}
	return nil
}

// follows lists the words that may follow a verb; files says that files may.
func (v verb) follows() (words []string, files bool) {
	switch v.name {
	case "explain":
		for _, r := range rules.Rules() {
			words = append(words, r.Name)
		}
		return words, false
	case "help":
		for _, o := range verbs() {
			words = append(words, o.name)
		}
		return words, false
	case "completion":
		return shellNames, false
	}
	return nil, v.args != ""
}
