package cli

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"burrcast/cmd/internal/report"
	"burrcast/rules"

	"github.com/spf13/pflag"
)

// mergeFlags is what the flags of merge say.
type mergeFlags struct {
	format, report, failOn string
	open, incomplete       bool
	quiet, help            bool
}

func (f *mergeFlags) flagSet() *pflag.FlagSet {
	s := pflag.NewFlagSet("merge", pflag.ContinueOnError)
	s.SortFlags = false
	s.StringVar(&f.format, "format", "text", "`FORM` of the report: "+strings.Join(report.Formats(), ", "))
	s.StringVar(&f.report, "report", "", "write a page, a workbook and tables to the folder `DIR`, without pictures")
	s.BoolVar(&f.open, "open", false, "show the page when it is written")
	s.BoolVar(&f.incomplete, "incomplete", false, "join results that were cut off or interrupted, and shards without the others")
	s.StringVar(&f.failOn, "fail-on", "hand", "exit with 1 from this `TREATMENT` on: "+treatmentNames())
	s.BoolVar(&f.quiet, "quiet", false, "no hints, errors only")
	s.BoolVarP(&f.help, "help", "h", false, "print this help")
	return s
}

func (f *mergeFlags) parse(args []string) ([]string, error) {
	s := f.flagSet()
	s.SetOutput(discard{})
	s.Usage = func() {}
	if err := s.Parse(args); err != nil {
		return nil, flagError(s, err)
	}
	switch {
	case f.help:
	case report.Treatment(f.failOn).Rank() < 0:
		return nil, fmt.Errorf("--fail-on %q: not one of %s", f.failOn, treatmentNames())
	case !slices.Contains(report.Formats(), f.format):
		return nil, fmt.Errorf("--format %q: not one of %s", f.format, strings.Join(report.Formats(), ", "))
	case s.Changed("report") && strings.TrimSpace(f.report) == "":
		return nil, errors.New("--report needs the name of a folder")
	case f.open && f.report == "":
		return nil, errors.New("--open needs --report, which writes the page")
	case s.NArg() == 0:
		return nil, errors.New("merge needs results, in JSON or JSON lines")
	}
	return s.Args(), nil
}

// merge joins results of several runs into one report.
func (e *env) merge(args []string) int {
	var f mergeFlags
	files, err := f.parse(args)
	if err != nil {
		return e.fail(err, "\"burrcast help merge\" lists the flags")
	}
	if f.help {
		return e.help([]string{"merge"})
	}
	results, spools, err := e.surveyAll(files)
	defer func() {
		for _, s := range spools {
			os.Remove(s)
		}
	}()
	if err != nil {
		return e.fail(err)
	}
	j, err := join(results, f.incomplete)
	if err != nil {
		var hints []string
		if !f.incomplete && (errors.Is(err, errEnds) || errors.Is(err, errMissing)) {
			hints = append(hints, "--incomplete joins what is there")
		}
		return e.fail(err, hints...)
	}
	return e.writeJoined(j, &f, files)
}

// surveyAll learns what every file holds. What can be read only once is copied
// first; the copies are the caller's to remove.
func (e *env) surveyAll(files []string) (results []*result, spools []string, err error) {
	names, err := expandAll(files)
	if err != nil {
		return nil, nil, err
	}
	for _, file := range names {
		path := file
		switch info, err := os.Stat(file); {
		case file == stdinPath:
			if e.stdin == nil {
				return nil, spools, errors.New("standard input is closed")
			}
			copied, err := spooled(e.stdin)
			if spools = append(spools, copied); err != nil {
				return nil, spools, fmt.Errorf("standard input: %w", err)
			}
			file, path = "stdin", copied
		case err != nil:
			return nil, spools, fmt.Errorf("%s: %w", filepath.ToSlash(file), plain(err))
		case info.IsDir():
			return nil, spools, fmt.Errorf("%s: a folder, not a result", filepath.ToSlash(file))
		case !info.Mode().IsRegular():
			pipe, err := os.Open(file)
			if err != nil {
				return nil, spools, fmt.Errorf("%s: %w", filepath.ToSlash(file), plain(err))
			}
			copied, err := spooled(pipe)
			pipe.Close()
			if spools = append(spools, copied); err != nil {
				return nil, spools, fmt.Errorf("%s: %w", filepath.ToSlash(file), err)
			}
			path = copied
		}
		found, err := survey(file, path)
		if err != nil {
			return nil, spools, err
		}
		results = append(results, found...)
	}
	return results, spools, nil
}

// expandAll expands patterns that the shell left alone.
func expandAll(files []string) ([]string, error) {
	var out []string
	for _, f := range files {
		if _, err := os.Lstat(f); err == nil || !hasWildcard(f) {
			out = append(out, f)
			continue
		}
		found, err := expand(f)
		if err != nil {
			return nil, err
		}
		if len(found) == 0 {
			return nil, fmt.Errorf("%s: no such file", filepath.ToSlash(f))
		}
		out = append(out, found...)
	}
	return out, nil
}

// writeJoined writes the one report and returns the exit code.
func (e *env) writeJoined(j *joined, f *mergeFlags, inputs []string) int {
	out, err := report.New(f.format, e.stdout, report.Style{Color: e.color})
	if err != nil {
		return e.fail(err)
	}
	var dir folder = noFolder{}
	if f.report != "" {
		if dir, err = report.OpenFolder(f.report, j.names(), inputs...); err != nil {
			return e.fail(unwritten(err))
		}
	}
	defer dir.Abort()
	report.Start(out, j.run)
	var tally report.Tally
	var hazards wordSet
	var differ disagreements
	failFrom := report.Treatment(f.failOn).Rank()
	found, unread := false, false
	err = j.each(func(d *report.Drawing) error {
		if interrupted(e.ctx) {
			return errors.New("interrupted")
		}
		if d.Status == report.Unreadable {
			unread = true
			e.say("error", d.File+": "+reason(d))
		}
		found = found || worst(d) >= failFrom
		tally.Add(d, d.Open())
		hazards.add(d.Hazards)
		differ.add(d)
		return unwritten(errors.Join(dir.Drawing(d), out.Drawing(d)))
	})
	tail := report.Tail{Questions: tally.Questions(), Totals: tally.Totals(), Notes: rules.HazardNotes(hazards.words),
		Disagreements: differ.list(), Run: j.run, Messages: j.messages, Incomplete: strings.Join(j.incomplete, "; ")}
	if j.run.Rates != nil {
		tail.Rates = *j.run.Rates
	}
	tail.Notes = scope(tail)
	if err == nil {
		err = unwritten(dir.Close(tail))
	}
	if err == nil {
		err = unwritten(out.Close(tail))
	}
	if err != nil {
		return e.fail(err)
	}
	if !f.quiet && j.changes {
		e.say("hint", "what changed against older reports is not joined: each result tells it of its own drawings")
	}
	if !f.quiet && tail.Incomplete != "" {
		e.say("hint", "not everything is in the report: "+tail.Incomplete)
	}
	check := checkFlags{report: f.report, open: f.open, quiet: f.quiet}
	e.show(&check)
	switch {
	case unread:
		return exitUnread
	case found:
		return exitFound
	}
	return exitClean
}

// unwritten tells errors of writing from those of reading.
func unwritten(err error) error {
	if err == nil {
		return nil
	}
	return fmt.Errorf("cannot write the report: %w", err)
}
