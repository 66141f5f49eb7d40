package cli

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"burrcast/cmd/internal/report"
)

// Results are joined in an order that follows from what they hold, never from
// the order in which they are named:
//
//  1. Shards of one job (equal contents, equal N) are one group: its drawings
//     come by their number in the job, which is the order of the unsplit run.
//  2. Other results whose drawings are in the order of a walk (by path, folder
//     by folder) are woven into one group in that order, however the drawings
//     were dealt out. A result in an order of its own is a group of its own.
//  3. Groups come by the path of their first drawing.
//  4. A drawing that is in several results must say the same in all of them; it
//     is counted once, where it comes first.

// group is a block of drawings in the joined report.
type group struct {
	results []*result
	split   *report.Split // of its shards together; nil for other results
}

// joined is what results come to, before the drawings are read.
type joined struct {
	groups     []*group
	run        *report.Run
	incomplete []string         // why drawings are missing
	messages   []report.Message // of the runs as a whole, each once
	changes    bool             // a result was set against an older one
	twice      map[string]bool  // drawings that are in several results
	keepIndex  bool             // it is a part of one job still
}

// join checks that results belong together and puts them in order. Missing
// drawings are an error unless they are accepted.
func join(results []*result, accept bool) (*joined, error) {
	slices.SortFunc(results, func(a, b *result) int {
		return cmp.Or(bytes.Compare(a.print[:], b.print[:]), cmp.Compare(a.number, b.number), cmp.Compare(a.file, b.file))
	})
	j := &joined{twice: map[string]bool{}}
	results = slices.DeleteFunc(results, func(r *result) bool {
		nothing := accept && r.end == nil && len(r.names) == 0
		if nothing {
			j.incomplete = append(j.incomplete, "a result "+r.cut)
		}
		return nothing
	})
	if len(results) == 0 {
		return nil, errors.New("nothing to join: every result " + errEnds.Error())
	}
	for _, r := range results {
		if err := alike(results[0], r); err != nil {
			return nil, err
		}
	}
	run := *results[0].run
	run.Split = nil
	j.run = &run
	if err := j.group(results); err != nil {
		return nil, err
	}
	if err := j.whole(accept); err != nil {
		return nil, err
	}
	for _, r := range results {
		if r.end != nil {
			j.changes = j.changes || r.end.Changes != nil
			for _, m := range r.end.Messages {
				if !slices.Contains(j.messages, m) {
					j.messages = append(j.messages, m)
				}
			}
		}
		switch {
		case r.end == nil && !accept:
			return nil, fmt.Errorf("%s: %w", r.name(), cutError(r.cut))
		case r.end == nil:
			j.incomplete = append(j.incomplete, "a result "+r.cut)
		case r.end.Totals.Drawings != len(r.names):
			return nil, fmt.Errorf("%s: holds %d drawings, and its totals say %d", r.name(), len(r.names), r.end.Totals.Drawings)
		case r.end.Incomplete != "" && !accept:
			return nil, fmt.Errorf("%s: %s%w", r.name(), r.end.Incomplete, errMissing)
		case r.end.Incomplete != "":
			j.incomplete = append(j.incomplete, r.end.Incomplete)
		}
	}
	slices.Sort(j.incomplete)
	return j, j.compareTwice(results)
}

// errMissing marks errors about drawings that are missing; it says nothing.
var errMissing = errors.New("")

// cutError says how a result was cut off.
type cutError string

func (e cutError) Error() string { return string(e) }
func (e cutError) Unwrap() error { return errEnds }

// alike refuses results that were not made in the same way.
func alike(a, b *result) error {
	refuse := func(what string, args ...any) error {
		names := []string{a.name(), b.name()}
		slices.Sort(names)
		return fmt.Errorf("%s and %s: %s", names[0], names[1], fmt.Sprintf(what, args...))
	}
	switch {
	case b.schema != "" && b.schema != report.Schema:
		return fmt.Errorf("%s: of schema %s, and this program writes %s", b.name(), b.schema, report.Schema)
	case b.run == nil && b.end == nil:
		return fmt.Errorf("%s: %w", b.name(), cutError(b.cut))
	case b.run == nil:
		return fmt.Errorf("%s: does not say what it was made with", b.name())
	case b.end != nil && b.end.Comparison != nil:
		return fmt.Errorf("%s: compares lines over its own drawings (--line all); run the whole job for that", b.name())
	case a.schema != b.schema:
		return refuse("different schemas")
	case a.run.Shop != b.run.Shop:
		return refuse("made with different shop files")
	case a.run.Program != b.run.Program:
		return refuse("made by different versions of the program (%s, %s)", a.run.Program, b.run.Program)
	case !maps.Equal(a.run.Flags, b.run.Flags):
		return refuse("made with different flags: %s", difference(a.run.Flags, b.run.Flags))
	}
	return nil
}

// difference names the first flag that differs.
func difference(a, b map[string]string) string {
	names := slices.Sorted(maps.Keys(a))
	names = append(names, slices.Sorted(maps.Keys(b))...)
	say := func(m map[string]string, name string) string {
		if v, ok := m[name]; ok {
			return "--" + name + " " + v
		}
		return "no --" + name
	}
	for _, n := range names {
		if va, in := a[n]; va != b[n] || in != has(b, n) {
			said := []string{say(a, n), say(b, n)}
			slices.Sort(said)
			return said[0] + ", " + said[1]
		}
	}
	return "none" // not reached: the maps differ
}

func has(m map[string]string, name string) bool { _, ok := m[name]; return ok }

// group gathers shards of one job and puts the groups in order.
func (j *joined) group(results []*result) error {
	jobs := map[string]*group{}
	woven := &group{}
	for _, r := range results {
		s := r.run.Split
		switch {
		case s == nil && slices.IsSortedFunc(r.names, comparePaths):
			woven.results = append(woven.results, r)
			continue
		case s == nil:
			j.groups = append(j.groups, &group{results: []*result{r}})
			continue
		}
		key := s.Content + " " + strconv.Itoa(s.Of)
		g := jobs[key]
		if g == nil {
			g = &group{split: &report.Split{Of: s.Of, Drawings: s.Drawings, Content: s.Content}}
			jobs[key] = g
			j.groups = append(j.groups, g)
		}
		g.results = append(g.results, r)
		g.split.Shards = append(g.split.Shards, s.Shards...)
		slices.Sort(g.split.Shards)
		g.split.Shards = slices.Compact(g.split.Shards)
	}
	if len(woven.results) > 0 {
		j.groups = append(j.groups, woven)
	}
	slices.SortStableFunc(j.groups, func(a, b *group) int {
		return cmp.Or(comparePaths(a.first(), b.first()),
			bytes.Compare(a.results[0].print[:], b.results[0].print[:]), cmp.Compare(a.results[0].number, b.results[0].number))
	})
	for _, g := range j.groups {
		if err := g.check(); err != nil {
			return err
		}
	}
	return nil
}

// first is the path of a group's first drawing.
func (g *group) first() string {
	if f := g.streams(); len(f.list) > 0 {
		return f.list[0].name()
	}
	return ""
}

// name is a file that stands for the group in messages.
func (g *group) name() string {
	names := make([]string, len(g.results))
	for i, r := range g.results {
		names[i] = r.name()
	}
	return slices.Min(names)
}

// comparePaths orders paths as folders are walked: step by step.
func comparePaths(a, b string) int {
	for i := range min(len(a), len(b)) {
		if x, y := a[i], b[i]; x != y {
			switch {
			case x == '/':
				return -1
			case y == '/':
				return 1
			}
			return cmp.Compare(x, y)
		}
	}
	return cmp.Compare(len(a), len(b))
}

// check wants the numbers of a job's drawings to make sense.
func (g *group) check() error {
	if g.split == nil {
		return nil
	}
	type place struct {
		name string
		r    *result
	}
	seen := map[int]place{}
	for _, r := range g.results {
		last := 0
		for i, n := range r.indexes {
			if n <= last || n > g.split.Drawings {
				return fmt.Errorf("%s: drawing %s has number %d of %d, after number %d", r.name(), r.names[i], n, g.split.Drawings, last)
			}
			last = n
			if p, ok := seen[n]; ok && p.name != r.names[i] {
				return fmt.Errorf("%s and %s: drawing %d of the job is %s in the one and %s in the other", p.r.name(), r.name(), n, p.name, r.names[i])
			}
			seen[n] = place{r.names[i], r}
		}
	}
	return nil
}

// whole wants every shard of every job.
func (j *joined) whole(accept bool) error {
	var open []*group
	for _, g := range j.groups {
		if g.split != nil && len(g.split.Shards) < g.split.Of {
			open = append(open, g)
		}
	}
	if len(open) > 0 && !accept {
		missing := open[0].split.Missing()
		names := make([]string, 0, 12)
		for i, n := range missing {
			if i == 10 {
				names = append(names, fmt.Sprintf("and %d more", len(missing)-i))
				break
			}
			names = append(names, strconv.Itoa(n))
		}
		word := "shard %s of %d is missing"
		if len(missing) > 1 {
			word = "shards %s of %d are missing"
		}
		if len(open) > 1 {
			a, b := open[0].name(), open[1].name()
			return fmt.Errorf("%s and %s: shards of different jobs: drawings changed between the runs, or the machines saw different ones", min(a, b), max(a, b))
		}
		return fmt.Errorf(word+"%w", strings.Join(names, ", "), open[0].split.Of, errMissing)
	}
	if len(open) == 1 && len(j.groups) == 1 {
		j.keepIndex, j.run.Split = true, open[0].split
		return nil
	}
	for _, g := range open {
		j.incomplete = append(j.incomplete, "only "+g.split.Words())
	}
	return nil
}

// compareTwice finds the drawings that are in several results, and wants each
// to say the same in all. Only the results that hold such drawings are read.
func (j *joined) compareTwice(results []*result) error {
	seen := map[string]bool{}
	for _, r := range results {
		for _, n := range r.names {
			if seen[n] {
				j.twice[n] = true
			}
			seen[n] = true
		}
	}
	if len(j.twice) == 0 {
		return nil
	}
	type said struct {
		print [sha256.Size]byte
		r     *result
	}
	prints := map[string]said{}
	for _, r := range results {
		if !slices.ContainsFunc(r.names, func(n string) bool { return j.twice[n] }) {
			continue
		}
		err := r.each(func(d *report.Drawing) error {
			if !j.twice[d.File] {
				return nil
			}
			d.Index = 0
			text, err := json.Marshal(d)
			if err != nil {
				return handed{err}
			}
			print := sha256.Sum256(text)
			if p, ok := prints[d.File]; ok && p.print != print {
				a, b := p.r.name(), r.name()
				return handed{fmt.Errorf("%s and %s: they say different things of drawing %s", min(a, b), max(a, b), d.File)}
			}
			prints[d.File] = said{print, r}
			return nil
		})
		if err != nil {
			return err
		}
	}
	return nil
}

// names lists the drawings once each, as far as anybody can see in advance.
func (j *joined) names() []string {
	var out []string
	for _, g := range j.groups {
		for _, r := range g.results {
			out = append(out, r.names...)
		}
	}
	return out
}

// each hands on all drawings in order, each once.
func (j *joined) each(hand func(*report.Drawing) error) error {
	done := map[string]bool{}
	for _, g := range j.groups {
		err := g.each(func(d *report.Drawing) error {
			if j.twice[d.File] {
				if done[d.File] {
					return nil
				}
				done[d.File] = true
			}
			if !j.keepIndex {
				d.Index = 0
			}
			return hand(d)
		})
		if err != nil {
			return err
		}
	}
	return nil
}
