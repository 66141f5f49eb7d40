package cli

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"burrcast/cmd/internal/report"
	"burrcast/rules"
	"burrcast/rules/samples"

	"github.com/spf13/pflag"
)

// learnFlags is what the flags of learn say.
type learnFlags struct {
	shop, format, report, since string
	drawings                    []string
	share                       float64
	write, quiet, help          bool

	from time.Time // --since, read
}

var learnIntro = fmt.Sprintf(`Samples are filled-in forms of "burrcast check --samples-form" (.xlsx), or tables
with the same columns (CSV with commas, semicolons or tabs, decimal point or
comma): drawing, part, place, rule, line, measured and outcome (clean or burr)
at least. With --drawings the drawing says what a row leaves blank. A row that
cannot be used is named and left out.

For every rule and line: how often the forecast was right, the limit at which
half of the places come clean with its 95 %% interval, the limit forecast so far,
how many more samples would settle it, and which place to inspect next. A limit
is settled from %d samples on, %d of either outcome among them, where its
interval spans at most %g to 1; a burr height from %d measured heights on.
`, samples.LeastSamples, samples.LeastEither, samples.WidestLimit, samples.LeastHeights)

func (f *learnFlags) flagSet() *pflag.FlagSet {
	s := pflag.NewFlagSet("learn", pflag.ContinueOnError)
	s.SortFlags = false
	s.StringVar(&f.shop, "shop", "", "shop `FILE` over the built-in one, whose limits stand beside the fitted ones")
	s.BoolVar(&f.write, "write", false, "write what is settled into the shop file, as a commented block; nothing is written without it")
	s.StringArrayVar(&f.drawings, "drawings", nil, "drawing or folder, `PATH`, that says what rows leave blank, and where to inspect next; may be given again")
	s.StringVar(&f.since, "since", "", "leave out samples inspected before `DATE`, such as before a new brush: 2026-03-31")
	s.Float64Var(&f.share, "share", 0.5, "`SHARE` of the places that come clean at a limit, 0.5 to 0.99")
	s.StringVar(&f.format, "format", "text", "`FORM` of the report: "+strings.Join(report.LearnedFormats(), ", "))
	s.StringVar(&f.report, "report", "", "write a page with plots, and the JSON, to the folder `DIR`")
	s.BoolVar(&f.quiet, "quiet", false, "no hints, errors only")
	s.BoolVarP(&f.help, "help", "h", false, "print this help")
	return s
}

func (f *learnFlags) parse(args []string) ([]string, error) {
	s := f.flagSet()
	s.SetOutput(discard{})
	s.Usage = func() {}
	if err := s.Parse(args); err != nil {
		return nil, flagError(s, err)
	}
	if f.help {
		return nil, nil
	}
	if f.since != "" {
		d, err := time.Parse(time.DateOnly, f.since)
		if err != nil {
			return nil, fmt.Errorf("--since %q: not a date such as 2026-03-31", f.since)
		}
		f.from = d
	}
	switch {
	case !(f.share >= 0.5) || f.share > 0.99:
		return nil, fmt.Errorf("--share %v: not between 0.5 and 0.99", f.share)
	case !slices.Contains(report.LearnedFormats(), f.format):
		return nil, fmt.Errorf("--format %q: not one of %s", f.format, strings.Join(report.LearnedFormats(), ", "))
	case s.Changed("report") && strings.TrimSpace(f.report) == "":
		return nil, errors.New("--report needs the name of a folder")
	case f.write && f.shop == "":
		return nil, errors.New("--write needs --shop, the file to write to")
	case s.NArg() == 0:
		return nil, errors.New("learn needs samples: forms filled in (.xlsx) or tables (.csv)")
	}
	return s.Args(), nil
}

// learn reads inspected samples and says what they say of the forecast.
func (e *env) learn(args []string) int {
	var f learnFlags
	names, err := f.parse(args)
	if err != nil {
		return e.fail(err, "\"burrcast help learn\" lists the flags")
	}
	if f.help {
		return e.help([]string{"learn"})
	}
	shop, text := rules.DefaultShop(), []byte(nil)
	if f.shop != "" {
		if text, err = os.ReadFile(f.shop); err != nil {
			return e.fail(fmt.Errorf("shop file %s: %w", f.shop, plain(err)), "\"burrcast shop\" prints one to start from; an empty file will do")
		}
		if shop, err = rules.LoadShop(f.shop, text); err != nil {
			return e.fail(err)
		}
	}
	if names, err = sampleFiles(names); err != nil {
		return e.fail(err)
	}
	today := time.Now()
	places, tables, err := e.placesOf(f.drawings, shop)
	if err != nil {
		return e.fail(err)
	}
	for _, name := range names {
		tables = append(tables, e.readSamples(name, samples.Context{Shop: shop, Today: today, Places: places})...)
	}
	result := samples.Learn(tables, shop, samples.Options{Share: f.share, Since: f.from, Places: places})
	out := learnedOf(tables, result)
	if f.write {
		if out.Shop, err = writeFitted(f.shop, text, result, today); err != nil {
			return e.fail(fmt.Errorf("nothing was written: %w", err))
		}
	}
	if f.report != "" {
		if err := report.WriteLearnedFolder(f.report, out, append(slices.Clone(names), f.shop)); err != nil {
			return e.fail(fmt.Errorf("cannot write the report: %w", err))
		}
	}
	if err := report.WriteLearned(e.stdout, f.format, out); err != nil {
		return e.fail(fmt.Errorf("cannot write the report: %w", err))
	}
	e.learnHints(&f, out)
	switch {
	case len(out.Problems) > 0:
		return exitUnread
	case slices.ContainsFunc(out.Groups, func(g report.LearnedGroup) bool { return g.Drift != nil && g.Drift.Flagged }):
		return exitFound
	}
	return exitClean
}

// learnHints tells on standard error what a program's format does not tell
// people, and what they may do next.
func (e *env) learnHints(f *learnFlags, out *report.Learned) {
	if f.format != "text" {
		for _, p := range out.Problems {
			e.say("error", p.Words())
		}
	}
	if f.quiet {
		return
	}
	for _, file := range out.Files {
		if len(file.Unused) > 0 {
			e.say("hint", fmt.Sprintf("%s: columns that mean nothing here: %s", file.File, strings.Join(file.Unused, ", ")))
		}
	}
	if out.Shop != nil {
		for _, entry := range out.Shop.Entries {
			if !entry.Written {
				e.say("hint", fmt.Sprintf("not written: %s: %s", entry.What, entry.Why))
			}
		}
	} else if slices.ContainsFunc(out.Groups, func(g report.LearnedGroup) bool { return g.Settled }) {
		e.say("hint", "nothing was written; --write with --shop FILE puts what is settled into the shop file")
	}
	if f.report != "" {
		e.say("hint", "the page is "+filepath.ToSlash(filepath.Join(f.report, report.LearnPage)))
	}
}

// placesOf measures drawings and lists the places that samples are taken of. A
// drawing that cannot be read is a table with nothing but its problem.
func (e *env) placesOf(paths []string, shop rules.Shop) (*samples.Places, []samples.Table, error) {
	if len(paths) == 0 {
		return nil, nil, nil
	}
	shop.Fitted = nil // the forecast as it was before these samples taught anything
	var f checkFlags
	f.flagSet() // its defaults
	f.samplesForm = stdinPath
	w := walk(paths)
	if len(w.found) == 0 {
		return nil, nil, fmt.Errorf("no drawings in %s", strings.Join(w.empty, ", "))
	}
	var list []samples.KnownPlace
	var unread []samples.Table
	err := inOrder(e.ctx, f.workers, w.found, newChecker(&f, shop, e).drawing, func(r outcome) error {
		d := &r.drawing
		if d.Status == report.Unreadable {
			unread = append(unread, samples.Table{File: d.File, Problems: []samples.Problem{{File: d.File, Reason: reason(d)}}})
		}
		for _, s := range r.sampled {
			for _, p := range s.places {
				list = append(list, s.known(d, p, shop))
			}
		}
		return nil
	})
	if err == nil && interrupted(e.ctx) {
		err = errors.New("interrupted while the drawings were measured")
	}
	return samples.NewPlaces(list), unread, err
}

// sampleFiles expands patterns that the shell left alone.
func sampleFiles(args []string) ([]string, error) {
	var out []string
	for _, arg := range args {
		if _, err := os.Lstat(arg); err != nil && arg != stdinPath && hasWildcard(arg) {
			names, err := expand(arg)
			if err != nil {
				return nil, err
			}
			if len(names) == 0 {
				return nil, fmt.Errorf("no file matches %s", arg)
			}
			out = append(out, names...)
			continue
		}
		out = append(out, arg)
	}
	return out, nil
}

// mostSamples bounds the size of one file of samples.
const mostSamples = 64 << 20

// readSamples reads one file. What is wrong with it as a whole is a problem of
// its table, so that one bad file does not stop the others.
func (e *env) readSamples(name string, ctx samples.Context) []samples.Table {
	shown := source{path: name}.name()
	bad := func(err error) []samples.Table {
		return []samples.Table{{File: shown, Problems: []samples.Problem{{File: shown, Reason: err.Error()}}}}
	}
	data, err := e.sampleBytes(name)
	switch {
	case err != nil:
		return bad(err)
	case !bytes.HasPrefix(data, []byte("PK\x03\x04")):
		return []samples.Table{samples.ReadCSV(shown, data, ctx)}
	}
	sheets, err := report.ReadSheets(data)
	if err != nil {
		return bad(err)
	}
	var tables []samples.Table
	for i, s := range sheets {
		rows := make([]samples.Row, len(s.Rows))
		for k, cells := range s.Rows {
			rows[k] = samples.Row{N: k + 1, Cells: cells}
		}
		// A workbook has other sheets, too: one without the columns is passed by.
		if t := samples.ReadRows(shown, rows, ctx); t.Rows > 0 || len(t.Problems) == 0 || i == len(sheets)-1 && len(tables) == 0 {
			tables = append(tables, t)
		}
	}
	return tables
}

func (e *env) sampleBytes(name string) ([]byte, error) {
	var r io.Reader = e.stdin
	if name != stdinPath {
		info, err := os.Stat(name)
		switch {
		case err != nil:
			return nil, plain(err)
		case info.IsDir():
			return nil, errors.New("is a folder, not a file of samples")
		}
		f, err := os.Open(name)
		if err != nil {
			return nil, plain(err)
		}
		defer f.Close()
		r = f
	} else if r == nil {
		return nil, errors.New("standard input is closed")
	}
	data, err := io.ReadAll(io.LimitReader(r, mostSamples+1))
	switch {
	case err != nil:
		return nil, plain(err)
	case len(data) > mostSamples:
		return nil, fmt.Errorf("larger than %d MB, which is no file of samples", mostSamples>>20)
	}
	return data, nil
}

// writeFitted puts what is settled into the shop file.
func writeFitted(name string, text []byte, r samples.Result, today time.Time) (*report.LearnedShop, error) {
	out, entries, changed, err := samples.Rewrite(name, text, r, today)
	if err != nil {
		return nil, err
	}
	shop := &report.LearnedShop{File: filepath.ToSlash(name), Written: changed}
	for _, en := range entries {
		shop.Entries = append(shop.Entries, report.LearnedEntry{What: en.What, Written: en.Written, Why: en.Why})
	}
	if !changed {
		return shop, nil
	}
	return shop, replace(name, out)
}

// replace puts new content in place of a file, whole or not at all. A link stays
// a link, and the file keeps its permissions.
func replace(name string, data []byte) error {
	target, err := filepath.EvalSymlinks(name)
	if err != nil {
		return plain(err)
	}
	info, err := os.Stat(target)
	if err != nil {
		return plain(err)
	}
	f, err := os.CreateTemp(filepath.Dir(target), "."+filepath.Base(target)+".*.tmp")
	if err != nil {
		return plain(err)
	}
	defer os.Remove(f.Name()) // does nothing once it has its place
	_, err = f.Write(data)
	if err == nil {
		err = f.Chmod(info.Mode().Perm())
	}
	if err == nil {
		err = f.Sync()
	}
	if closing := f.Close(); err == nil {
		err = closing
	}
	if err == nil {
		err = os.Rename(f.Name(), target)
	}
	if err != nil {
		return plain(err)
	}
	return nil
}
