package samples

import (
	"cmp"
	"math"
	"path"
	"slices"
	"strings"
	"time"

	"burrcast/rules"
)

// Options says how samples are learnt from.
type Options struct {
	Share  float64   // of places that come clean at a limit; 0: one half
	Places *Places   // of drawings, to choose the next place among; nil: none
	Since  time.Time // samples inspected earlier, or at no known date, are left out; zero: none
}

// Result is what samples say.
type Result struct {
	Used       int // samples that count
	Older      int // left out by Options.Since
	Duplicates []Duplicate
	Groups     []Group
	Heights    []HeightGroup
}

// Duplicate is a sample of a piece and place that was read before.
type Duplicate struct {
	Sample      Sample
	First       Sample
	Contradicts bool // the two outcomes differ: neither counts
}

// Group is the samples of one rule on one line.
type Group struct {
	Rule, Line string
	Unit       string
	Sense      float64
	Samples    []Sample
	Clean      int
	Mixed      string // what else differs among the samples, or ""

	Forecasts  []Forecasted // one a sample: as written, else computed
	Computed   int          // of them computed now
	Confusion  Confusion
	Brier      float64
	Bands      []Band
	Default    float64 // limit of the shop file without samples; valid if HasDefault
	HasDefault bool

	Filament float64 // mm, that limits are given for; 0: they do not go with it
	Scale    float64 // what measures are divided by before the logarithm
	Share    float64 // of places that come clean at the limit
	Curve    Curve   // over the logarithm of measure by Scale; valid if Fitted
	Limit    Limit   // on the same axis; valid if Fitted
	Safe     Limit   // where nine of ten come clean
	HasSafe  bool    // Safe is another place than Limit
	Fitted   bool
	WhyNot   string // why there is no curve

	Settled bool
	Why     string // why not settled
	More    int    // samples that would settle it; valid if HasMore
	HasMore bool

	Next     *Sample // of the places that wait the one to inspect next
	LookNear float64 // measure near which to look; valid if Fitted

	Known *rules.FittedLimit // the limit fitted earlier, from the shop file; nil for none
	Drift *Drift             // of samples later than it; nil where there is none
}

// In turns a place on the axis of the fit into a measure.
func (g *Group) In(x float64) float64 { return g.Scale * math.Exp(x) }

// Now is the measure of a sample as if the brush that the line has now had worked
// it.
func (g *Group) Now(s Sample) float64 { return s.Measured * g.Scale / g.scaleOf(s) }

// safeShare is the other share at which a limit is told: nine of ten clean.
const safeShare = 0.9

// reliabilityBands is how many rows a reliability table has.
const reliabilityBands = 5

// Steepness is that of the chance forecast where no samples were fitted: a place
// a quarter above its limit comes clean six times in seven. Reasoning, no source.
const Steepness = 8

// Chance is the forecast that a place comes clean: one half at the limit, and
// logistic over the logarithm of measure by limit. Steepness 0 means Steepness.
func Chance(measured, limit, sense, steepness float64) float64 {
	return logistic(cmp.Or(steepness, Steepness) * sense * math.Log(measured/limit))
}

// ForecastOf is the chance that a shop forecasts for a place now: with the limit
// and the steepness that were fitted on its line, else with the shop's limit.
func ForecastOf(shop rules.Shop, rule, line string, measured, limit float64) float64 {
	k := kindOf(rule)
	if f, ok := shop.FittedOn(line, rule); ok {
		return fittedChance(f, k.Sense, measured, f.Filament)
	}
	return Chance(measured, limit, k.Sense, 0)
}

// fittedChance is a fitted curve's chance under a brush of a filament.
func fittedChance(f rules.FittedLimit, sense, measured, filament float64) float64 {
	limit := f.Limit
	if f.Filament > 0 && filament > 0 {
		limit *= filament / f.Filament
	}
	return logistic(logit(f.Share) + sense*f.Steepness*math.Log(measured/limit))
}

func kindOf(rule string) *rules.SampledRule {
	for _, k := range rules.SampledRules() {
		if k.Name == rule {
			return &k
		}
	}
	return nil
}

// Learn compares the forecast with what was found and fits limits and heights.
// Tables are taken in order; what a later one repeats is a duplicate.
func Learn(tables []Table, shop rules.Shop, opt Options) Result {
	opt.Share = cmp.Or(opt.Share, 0.5)
	var out Result
	var all []Sample
	for _, t := range tables {
		all = append(all, t.Samples...)
	}
	all, out.Duplicates = unique(all)
	if !opt.Since.IsZero() {
		n := len(all)
		all = slices.DeleteFunc(all, func(s Sample) bool { return s.Date.Before(opt.Since) })
		out.Older = n - len(all)
	}
	out.Used = len(all)
	var open []Sample
	for _, t := range tables {
		open = append(open, t.Waiting...)
	}
	untouched := opt.Places.notSampled(all, open)
	for _, k := range rules.SampledRules() {
		for _, line := range linesOf(all, k.Name) {
			g := Group{Rule: k.Name, Line: line, Sense: k.Sense, Share: opt.Share}
			for _, s := range all {
				if s.Rule == k.Name && s.Line == line {
					g.Samples = append(g.Samples, s)
				}
			}
			var waiting []Sample
			for _, s := range slices.Concat(open, untouched) {
				if s.Rule == k.Name && s.Line == line {
					waiting = append(waiting, s)
				}
			}
			g.learn(shop, k, waiting)
			out.Groups = append(out.Groups, g)
		}
	}
	out.Heights = heightGroups(all, shop)
	return out
}

func linesOf(all []Sample, rule string) []string {
	var lines []string
	for _, s := range all {
		if s.Rule == rule && !slices.Contains(lines, s.Line) {
			lines = append(lines, s.Line)
		}
	}
	slices.Sort(lines)
	return lines
}

// unique drops samples of a piece and place that were read before, and both
// where their outcomes differ. A piece is told by order, number and day: the
// first piece of the next lot is another piece.
func unique(all []Sample) (kept []Sample, duplicates []Duplicate) {
	type key struct{ drawing, part, order, piece, place, rule, line, day string }
	first := map[key]int{}
	broken := map[int]bool{}
	for i, s := range all {
		k := key{drawing: strings.ToLower(path.Clean(strings.ReplaceAll(s.Drawing, `\`, "/"))), part: strings.ToLower(s.Part),
			order: strings.ToLower(s.Order), piece: strings.ToLower(s.Piece), place: strings.ToLower(s.Place), rule: s.Rule, line: s.Line}
		if !s.Date.IsZero() {
			k.day = s.Date.Format(time.DateOnly)
		}
		j, seen := first[k]
		if !seen {
			first[k] = i
			continue
		}
		d := Duplicate{Sample: s, First: all[j], Contradicts: s.Clean != all[j].Clean}
		duplicates = append(duplicates, d)
		broken[i] = true
		if d.Contradicts {
			broken[j] = true
		}
	}
	for i, s := range all {
		if !broken[i] {
			kept = append(kept, s)
		}
	}
	return kept, duplicates
}

func (g *Group) learn(shop rules.Shop, k rules.SampledRule, waiting []Sample) {
	rule, _ := rules.Lookup(g.Rule)
	g.Unit = rule.Unit
	g.Scale = 1
	brush, hasBrush := shop.FinestBrush(g.Line)
	if k.Filaments && hasBrush {
		g.Filament, g.Scale = brush.Filament, brush.Filament
	}
	g.defaults(shop)
	if f := shop.Fitted[g.Line][g.Rule]; f != nil {
		if now, ok := shop.FittedOn(g.Line, g.Rule); ok {
			g.Known = &now
		}
	}
	trials := make([]Trial, len(g.Samples))
	for i, s := range g.Samples {
		if s.Clean {
			g.Clean++
		}
		trials[i] = Trial{X: math.Log(s.Measured / g.scaleOf(s)), N: 1, Clean: outcome(s.Clean)}
		g.forecast(shop, s)
	}
	g.Confusion, g.Brier, g.Bands = Confuse(g.Forecasts), Brier(g.Forecasts), Reliability(g.Forecasts, reliabilityBands)
	g.Mixed = mixed(g.Samples)
	g.drift()
	g.fit(trials)
	g.plan(waiting)
}

// scaleOf is the filament that worked a place, where the rule goes with it.
func (g *Group) scaleOf(s Sample) float64 {
	if g.Filament > 0 && s.Filament > 0 {
		return s.Filament
	}
	return g.Scale
}

// defaults finds the limit that counts without samples, if it is one for all.
func (g *Group) defaults(shop rules.Shop) {
	for i, s := range g.Samples {
		v, ok := shop.LimitOf(g.Rule, g.Line, shop.Processes[s.Process], s.Family)
		if !ok || i > 0 && v != g.Default {
			g.Default, g.HasDefault = 0, false
			return
		}
		g.Default, g.HasDefault = v, true
	}
}

// forecast takes the forecast that was written beside a sample, else computes
// one as the shop would have made it before any were fitted.
func (g *Group) forecast(shop rules.Shop, s Sample) {
	p, ok := s.Chance.Get()
	if !ok {
		limit, known := shop.LimitOf(g.Rule, g.Line, shop.Processes[s.Process], s.Family)
		if !known {
			return
		}
		if g.Filament > 0 {
			limit *= g.scaleOf(s) / g.Filament
		}
		p = Chance(s.Measured, limit, g.Sense, 0)
		g.Computed++
	}
	g.Forecasts = append(g.Forecasts, Forecasted{Chance: p, Clean: s.Clean})
}

// drift tests the samples that were inspected after those of the limit fitted
// earlier.
func (g *Group) drift() {
	if g.Known == nil {
		return
	}
	last, err := time.Parse(time.DateOnly, g.Known.Date)
	if err != nil {
		panic("implementation error: the shop file's date was checked")
	}
	var later []Forecasted
	for _, s := range g.Samples {
		if s.Date.After(last) {
			later = append(later, Forecasted{Chance: fittedChance(*g.Known, g.Sense, s.Measured, g.scaleOf(s)), Clean: s.Clean})
		}
	}
	if len(later) > 0 {
		d := TestDrift(later)
		g.Drift = &d
	}
}

func (g *Group) fit(trials []Trial) {
	c, err := FitCurve(trials, true)
	if err != nil {
		g.WhyNot = err.Error()
		return
	}
	g.Curve, g.Fitted = c, true
	g.Limit = FitLimit(trials, c, g.Share)
	if g.Share != safeShare {
		g.Safe, g.HasSafe = FitLimit(trials, c, safeShare), true
	}
	if c.B*g.Sense <= 0 {
		g.Fitted, g.WhyNot = false, "the samples run against the rule: what should come cleaner does not"
	}
}

// plan says whether the limit is settled, and if not, what would settle it.
func (g *Group) plan(waiting []Sample) {
	n := len(g.Samples)
	if !g.Fitted {
		g.Why = g.WhyNot
		if n < LeastSamples {
			g.Why = fewer(n, LeastSamples, "sample")
			g.More, g.HasMore = LeastSamples-n, true
		}
		return
	}
	g.Settled, g.Why = Settled(n, g.Clean, g.Curve, g.Limit, g.Sense)
	if !g.Settled {
		g.More, g.HasMore = More(n, g.Clean, g.Curve, g.Limit, g.Sense)
	}
	g.LookNear = g.In(g.Limit.X)
	xs := make([]float64, len(waiting))
	for i, s := range waiting {
		xs[i] = math.Log(s.Measured / g.scaleOf(s))
	}
	if i := Next(g.Curve, xs); i >= 0 {
		g.Next = &waiting[i]
	}
}

// mixed says in words what differs among samples that are fitted together.
func mixed(list []Sample) string {
	var processes, families []string
	for _, s := range list {
		if s.Process != "" && !slices.Contains(processes, s.Process) {
			processes = append(processes, s.Process)
		}
		if s.Family != "" && !slices.Contains(families, s.Family) {
			families = append(families, s.Family)
		}
	}
	slices.Sort(processes)
	slices.Sort(families)
	var words []string
	if len(processes) > 1 {
		words = append(words, strings.Join(processes, ", "))
	}
	if len(families) > 1 {
		words = append(words, strings.Join(families, ", "))
	}
	return strings.Join(words, "; ")
}
