package cli

import (
	"errors"
	"fmt"
	"math"
	"os"
	"slices"
	"strings"

	"burrcast/cmd/internal/report"
	"burrcast/geom/contour"
	"burrcast/geom/dxf"
	"burrcast/rules"

	"github.com/spf13/pflag"
)

// checkFlags is what the flags of check say, before anything is opened.
type checkFlags struct {
	material, thickness, process, edge, line string
	quantity                                 int
	units                                    string
	shop, jobs, against                      string
	format                                   string
	report, samplesForm                      string
	open                                     bool
	compare                                  bool // all lines of the shop file
	join, curveTolerance                     float64
	keepChords                               bool
	chords                                   string // likely, bend or cut
	keepBorder, keepRings                    bool
	failOn                                   string
	workers                                  int
	quiet, noCache                           bool
	help                                     bool
	shard                                    string // I/N
	share                                    shard  // the same, read

	set *pflag.FlagSet // as parsed
}

// flagSet defines the flags of check. Help is printed from it.
func (f *checkFlags) flagSet() *pflag.FlagSet {
	s := pflag.NewFlagSet("check", pflag.ContinueOnError)
	s.SortFlags = false
	s.StringVar(&f.material, "material", "", "`GRADE` or family of the sheet, such as S235, 1.4301 or aluminium")
	s.StringVar(&f.thickness, "thickness", "", "thickness of the sheet in mm, or with its unit: `MM`, 0.06in, \"16 ga steel\"")
	s.StringVar(&f.process, "process", "", "`HOW` it is cut: punch, shear, laser-n2, laser-o2, laser-air, plasma, waterjet")
	s.StringVar(&f.edge, "edge", "", "edge `WANTED`: a preset of the shop file, -0.3 or +0.1 (ISO 13715), P2 (ISO 8501-3)")
	s.StringVar(&f.line, "line", "", "finishing line of the shop file, by `NAME`; all compares all of them, and judges parts and exit code on the default line")
	s.IntVar(&f.quantity, "quantity", 0, "`PIECES` of each part drawn (default: what the drawing says, else 1)")
	s.StringVar(&f.units, "units", "", "`UNIT` of the drawings, against what they say: mm, inch, ...")
	s.StringVar(&f.shop, "shop", "", "shop `FILE` over the built-in one (\"burrcast shop\" prints it)")
	s.StringVar(&f.jobs, "jobs", "", "job table `FILE` (CSV): a drawing or pattern a row, with "+strings.Join(jobColumns[1:], ", "))
	s.StringVar(&f.format, "format", "text", "`FORM` of the report: "+strings.Join(report.Formats(), ", "))
	s.StringVar(&f.report, "report", "", "write a page, a workbook, tables and marked drawings to the folder `DIR`")
	s.StringVar(&f.samplesForm, "samples-form", "", "write a form for a sample run, to be printed and filled in for \"burrcast learn\", to the folder `DIR`")
	s.BoolVar(&f.open, "open", false, "show the page when it is written; without --report it stands beside the first path")
	s.Float64Var(&f.join, "join", contour.Defaults().Join, "ends of lines nearer than `MM` are joined")
	s.Float64Var(&f.curveTolerance, "curve-tolerance", 0.001, "ellipses and splines become arcs within `MM`")
	s.BoolVar(&f.keepChords, "keep-chords", false, "leave chords as drawn: do not turn those that stand for curves into arcs")
	s.StringVar(&f.chords, "chords", "likely", "`READING` of lines from edge to edge of a part where two make sense: bend, cut, or the likelier")
	s.BoolVar(&f.keepBorder, "keep-border", false, "no rectangle is the sheet: parts in it are its cut-outs")
	s.BoolVar(&f.keepRings, "keep-rings", false, "circles round holes are cut: do not take them for countersinks or pockets")
	s.StringVar(&f.against, "against", "", "tell what changed since an older report, `FILE` in JSON or JSON lines")
	s.StringVar(&f.failOn, "fail-on", "hand", "exit with 1 from this `TREATMENT` on: "+treatmentNames())
	s.StringVar(&f.shard, "shard", "", "do the `I/N`-th share only, split by content: on N machines once each, then \"burrcast merge\"")
	s.IntVar(&f.workers, "workers", defaultWorkers(), "drawings worked on at the same time, `N`")
	s.BoolVar(&f.noCache, "no-cache", false, "do every drawing anew, and keep nothing for the next run")
	s.BoolVar(&f.quiet, "quiet", false, "no progress and no hints, errors only")
	s.BoolVarP(&f.help, "help", "h", false, "print this help")
	return s
}

func treatmentNames() string {
	out := make([]string, len(report.Treatments))
	for i, t := range report.Treatments {
		out[i] = string(t)
	}
	return strings.Join(out, ", ")
}

// parse reads the arguments and checks every value that needs no file.
func (f *checkFlags) parse(args []string) (paths []string, err error) {
	s := f.flagSet()
	s.SetOutput(discard{})
	s.Usage = func() {}
	if err := s.Parse(args); err != nil {
		return nil, flagError(s, err)
	}
	if f.help {
		return nil, nil
	}
	f.set = s
	if s.Changed("shard") {
		if f.share, err = parseShard(f.shard); err != nil {
			return nil, err
		}
	}
	switch {
	case s.Changed("quantity") && f.quantity < 1 || f.quantity > mostPieces:
		return nil, fmt.Errorf("--quantity %d: not a number of pieces", f.quantity)
	case f.workers < 1:
		return nil, fmt.Errorf("--workers %d: at least 1 has to work", f.workers)
	case !(f.join >= 0) || math.IsInf(f.join, 0):
		return nil, fmt.Errorf("--join %v: not a length in mm", f.join)
	case f.join > contour.Defaults().JointLimit:
		return nil, fmt.Errorf("--join %v: wider than %v mm a gap is a joint, not a slip of the pen", f.join, contour.Defaults().JointLimit)
	case !(f.curveTolerance >= 1e-7) || f.curveTolerance > 1:
		return nil, fmt.Errorf("--curve-tolerance %v: not between 0.0000001 and 1 mm", f.curveTolerance)
	case !slices.Contains(chordReadings, f.chords):
		return nil, fmt.Errorf("--chords %q: not one of %s", f.chords, strings.Join(chordReadings, ", "))
	case report.Treatment(f.failOn).Rank() < 0:
		return nil, fmt.Errorf("--fail-on %q: not one of %s", f.failOn, treatmentNames())
	case !slices.Contains(report.Formats(), f.format):
		return nil, fmt.Errorf("--format %q: not one of %s", f.format, strings.Join(report.Formats(), ", "))
	case f.units != "" && !slices.ContainsFunc(dxf.UnitNames(), func(n string) bool { return strings.EqualFold(n, f.units) }):
		return nil, fmt.Errorf("--units %q: not one of %s", f.units, strings.Join(dxf.UnitNames(), ", "))
	case s.Changed("report") && strings.TrimSpace(f.report) == "":
		return nil, fmt.Errorf("--report needs the name of a folder")
	case f.share.of > 0 && slices.Contains(s.Args(), stdinPath):
		return nil, fmt.Errorf("--shard cannot split standard input")
	case f.share.of > 0 && strings.EqualFold(strings.TrimSpace(f.line), allLines):
		return nil, fmt.Errorf("--shard and --line all: lines are compared over the whole job, not over a share of it")
	case f.share.of > 0 && f.against != "":
		return nil, fmt.Errorf("--shard and --against: what changed is told of the whole job, not of a share of it")
	case s.Changed("against") && strings.TrimSpace(f.against) == "":
		return nil, fmt.Errorf("--against needs the name of a file")
	case s.Changed("jobs") && strings.TrimSpace(f.jobs) == "":
		return nil, fmt.Errorf("--jobs needs the name of a file")
	case s.Changed("samples-form") && strings.TrimSpace(f.samplesForm) == "":
		return nil, fmt.Errorf("--samples-form needs the name of a folder")
	case s.NArg() == 0:
		return nil, fmt.Errorf("check needs a drawing or a folder")
	}
	return s.Args(), nil
}

// flagError adds what an unknown flag most likely meant.
func flagError(s *pflag.FlagSet, err error) error {
	var all []string
	s.VisitAll(func(f *pflag.Flag) { all = append(all, f.Name) })
	text := err.Error()
	if name, ok := strings.CutPrefix(text, "unknown flag: --"); ok {
		if near := nearest(name, all); near != "" {
			return fmt.Errorf("%s, did you mean --%s?", text, near)
		}
	}
	return err
}

type discard struct{}

func (discard) Write(p []byte) (int, error) { return len(p), nil }

// loadShop reads the shop file over the built-in one, or takes the latter.
func (f *checkFlags) loadShop() (rules.Shop, error) {
	if f.shop == "" {
		return rules.DefaultShop(), nil
	}
	data, err := os.ReadFile(f.shop)
	if err != nil {
		return rules.Shop{}, fmt.Errorf("shop file %s: %w", f.shop, plain(err))
	}
	return rules.LoadShop(f.shop, data)
}

// mostPieces bounds the pieces of one order.
const mostPieces = 1_000_000_000

// lookup checks one input by looking it up.
type lookup struct {
	name string
	look func(value string) error
}

// lookups check what flags and job tables say.
func lookups(shop rules.Shop) []lookup {
	return []lookup{
		{"line", func(v string) error { _, err := shop.Line(v); return err }},
		{"material", func(v string) error { _, err := shop.Material(v); return err }},
		{"thickness", func(v string) error { _, err := rules.ParseThickness(v); return err }},
		{"process", func(v string) error { _, _, err := shop.Process(v); return err }},
		{"edge", func(v string) error { _, err := shop.Edge(v); return vague(err) }},
	}
}

// validate checks the flags that are names of the shop file: a word typed wrong
// on the command line is a mistake now, not a question about every drawing.
func (f *checkFlags) validate(shop rules.Shop) error {
	values := map[string]string{"line": f.line, "material": f.material, "thickness": f.thickness, "process": f.process, "edge": f.edge}
	for _, in := range lookups(shop) {
		if strings.TrimSpace(values[in.name]) == "" {
			continue
		}
		if err := in.look(values[in.name]); err != nil {
			return fmt.Errorf("--%s: %w", in.name, err)
		}
	}
	return nil
}

// vague lets words such as "burr-free" pass: they are a question, not a mistake.
func vague(err error) error {
	if errors.Is(err, rules.ErrVagueEdge) {
		return nil
	}
	return err
}
