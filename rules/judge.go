package rules

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"burrcast/analyze/measure"

	"github.com/golang/geo/r2"
)

// judging is one part under judgement: what was measured, what was given, and
// what follows so far.
type judging struct {
	Inputs
	d      measure.Drawing
	p      measure.Part
	job    Job
	shop   Shop
	burr   *Burr
	lifted []string     // for each head of the line: why it must not touch the part, or ""
	feed   measure.Feed // as chosen
	fed    bool         // feed was measured
	hold   holding      // at the feed chosen
	choice FeedChoice

	balance  balance
	kg       float64 // of a piece
	weighed  bool    // kg is known
	unworked float64 // share of the cut length that the finest brush cannot touch

	findings []Finding
	verdicts []Verdict           // in the order of the registry
	unjudged map[string][]string // input -> rules
}

// Judge judges one part of a drawing as a finishing planner would. An error is
// for a job that names a line the shop does not have.
func Judge(d measure.Drawing, p measure.Part, job Job, shop Shop) (Judgement, error) {
	b, out, err := judgePart(d, p, job, shop)
	if err != nil {
		return out, err
	}
	out.Verdicts = make(map[string]Verdict, len(b.verdicts))
	for i := range b.verdicts {
		out.Verdicts[rows()[i].Name] = b.verdicts[i]
	}
	out.Questions = b.questions()
	if b.speck() {
		return out, nil
	}
	out.BurrAt = b.burrPlaces()
	out.FeedOptions = b.feedOptions()
	out.BurrMap = b.burrMap(out.BurrAt)
	b.advise(&out)
	out.Route = b.route(out)
	return out, nil
}

// judgePart finds what fails and what that costs; what to do about it is left to
// Judge.
func judgePart(d measure.Drawing, p measure.Part, job Job, shop Shop) (*judging, Judgement, error) {
	in, err := Resolve(job, shop)
	if err != nil {
		return nil, Judgement{}, err
	}
	b := newJudging(in, d, p, job, shop)
	b.choice = b.chooseFeed()
	b.run(func(*Rule) bool { return true })
	return b, b.conclude(), nil
}

// newJudging gets a part ready for the rules, but for its feed: what does not
// hang on the edge requirement.
func newJudging(in Inputs, d measure.Drawing, p measure.Part, job Job, shop Shop) *judging {
	b := &judging{Inputs: in, d: d, p: p, job: job, shop: shop.OnLine(in.LineName), verdicts: make([]Verdict, len(rows()))}
	b.burr = b.forecast()
	b.liftHeads()
	b.kg, b.weighed = b.weigh()
	b.balance = b.newBalance()
	b.unworked = b.unreachedShare()
	return b
}

// run judges the part by some of the rules.
func (b *judging) run(some func(*Rule) bool) {
	speck := b.speck()
	for i := range rows() {
		r := &rows()[i]
		if some(r) && (!speck || r.Group == GroupDrawing) { // what is no part is not finished either
			r.judge(b, r)
		}
	}
}

// conclude finds what the findings come to and what they cost.
func (b *judging) conclude() Judgement {
	out := Judgement{Burr: b.burr, Feed: b.choice}
	out.Findings = sortFindings(b.findings)
	for _, f := range out.Findings {
		out.Treatment = max(out.Treatment, f.Treatment)
	}
	if !b.speck() {
		b.timeAndCost(&out)
	}
	return out
}

// verdict is the worst verdict so far of a rule.
func (b *judging) verdict(name string) Verdict { return b.verdicts[ruleNamed(name).at] }

// advise puts what holds the part into the findings that ask for it: the first
// tells the carrier and the cheapest way, the others refer to it.
func (b *judging) advise(out *Judgement) {
	first := ""
	for i := range out.Findings {
		f := &out.Findings[i]
		rule := ruleNamed(f.Rule)
		small := f.Treatment == Hand && f.Rule == "part-length"
		if f.Treatment != Fixture && !small || rule.Group != GroupHold || f.Rule == "part-thick" {
			continue
		}
		switch {
		case out.Carrier == nil:
			return
		case first == "":
			first = f.Rule
			f.Do = "leave " + out.Carrier.Words() + "; or otherwise, cheapest first: " + cheapest(out.Ways, ForHold, b.shop.Currency)
			if b.verdict("joint-hold") == Pass {
				f.Do = fmt.Sprintf("finish it in its sheet, in which its %d joints hold it, and break it out afterwards; else ", b.p.HeldBy) + f.Do
			}
			if !b.takes(b.Line) { // too small here; as it is elsewhere, perhaps
				if names := b.otherLines(b.takes); names != "" {
					f.Do += "; its size is no trouble on " + names
				}
			}
		default:
			f.Do = "the carrier, or another way named under " + first + ", holds it too"
		}
	}
}

// JudgeDrawing judges what belongs to the drawing and not to one of its parts:
// its drawing rules, wherever on the sheet they fail, and its questions.
func JudgeDrawing(d measure.Drawing, job Job, shop Shop) ([]Finding, []Question, error) {
	in, err := Resolve(job, shop)
	if err != nil {
		return nil, nil, err
	}
	b := &judging{Inputs: in, d: d, job: job, shop: shop, verdicts: make([]Verdict, len(rows()))}
	b.p.BBox = r2.EmptyRect()
	for i := range rows() {
		if r := &rows()[i]; r.Group == GroupDrawing {
			r.judge(b, r)
		}
	}
	return sortFindings(b.findings), b.questions(), nil
}

// MergeQuestions makes one list of the questions of many parts or drawings: one
// for each input and text, with all the rules that it leaves unjudged.
func MergeQuestions(lists ...[]Question) []Question {
	var merged []Question
	at := map[[2]string]int{}
	for _, list := range lists {
		for _, q := range list {
			key := [2]string{q.Input, q.Text}
			i, ok := at[key]
			if !ok {
				at[key] = len(merged)
				merged = append(merged, Question{Input: q.Input, Text: q.Text, Unjudged: slices.Clone(q.Unjudged)})
				continue
			}
			merged[i].Unjudged = append(merged[i].Unjudged, q.Unjudged...)
		}
	}
	for i := range merged {
		slices.Sort(merged[i].Unjudged)
		merged[i].Unjudged = slices.Compact(merged[i].Unjudged)
	}
	sortQuestions(merged)
	return merged
}

// inputOrder is the order of questions: what leaves most unjudged first.
var inputOrder = []string{"units", "thickness", "material", "process", "edge", "coating"}

func sortQuestions(qs []Question) {
	slices.SortStableFunc(qs, func(a, b Question) int {
		return cmp.Or(cmp.Compare(slices.Index(inputOrder, a.Input), slices.Index(inputOrder, b.Input)), cmp.Compare(a.Text, b.Text))
	})
}

// sortFindings orders findings by severity, rule and feature, and drops equals.
func sortFindings(fs []Finding) []Finding {
	slices.SortStableFunc(fs, func(a, b Finding) int {
		return cmp.Or(-cmp.Compare(a.Treatment, b.Treatment), cmp.Compare(a.Rule, b.Rule), compareIDs(a.Feature, b.Feature),
			cmp.Compare(a.At.X, b.At.X), cmp.Compare(a.At.Y, b.At.Y), cmp.Compare(a.Why, b.Why))
	})
	return slices.CompactFunc(fs, func(a, b Finding) bool {
		return a.Rule == b.Rule && a.Feature == b.Feature && a.At == b.At && a.Measured == b.Measured && a.Why == b.Why
	})
}

// compareIDs orders C2 before C10.
func compareIDs(a, b string) int {
	return cmp.Or(cmp.Compare(len(a), len(b)), cmp.Compare(a, b))
}

// see records a verdict; the worst of a rule stays: fail, unknown, pass, not
// applicable.
func (b *judging) see(r *Rule, v Verdict) {
	rank := [...]int{NotApplicable: 0, Pass: 1, Unknown: 2, Fail: 3}
	if rank[v] > rank[b.verdicts[r.at]] {
		b.verdicts[r.at] = v
	}
}

// need records that a rule cannot be judged without an input.
func (b *judging) need(r *Rule, input string) {
	b.see(r, Unknown)
	if b.unjudged == nil {
		b.unjudged = map[string][]string{}
	}
	if !slices.Contains(b.unjudged[input], r.Name) {
		b.unjudged[input] = append(b.unjudged[input], r.Name)
	}
}

// limit returns a rule's limit: the shop's own, else def.
func (b *judging) limit(r *Rule, def float64) float64 {
	if v, ok := b.shop.Limits[r.Name]; ok {
		return v
	}
	return def
}

// shared returns a limit that several rules use.
func (b *judging) shared(name string, def float64) float64 {
	if v, ok := b.shop.Limits[name]; ok {
		return v
	}
	return def
}

// fail records a finding; empty texts are the rule's own.
func (b *judging) fail(r *Rule, t Treatment, f Finding) {
	b.see(r, Fail)
	f.Rule, f.Treatment = r.Name, t
	f.Unit = cmp.Or(f.Unit, r.Unit)
	f.Why, f.Do = cmp.Or(f.Why, r.Why), cmp.Or(f.Do, r.Do)
	if _, own := b.shop.Limits[r.Name]; own {
		f.Source, f.Provenance = "limit of the shop file", ShopsOwn
		if fit, ok := b.shop.FittedOn(b.LineName, r.Name); ok {
			f.Source, f.Provenance = fit.words(), ShopSamples
		}
	}
	f.Source, f.Provenance = cmp.Or(f.Source, r.Source), cmp.Or(f.Provenance, r.Provenance)
	b.findings = append(b.findings, f)
}

// atLeast judges a measured value against a least limit and reports whether it
// fails; within the measure's error it passes.
func (b *judging) atLeast(r *Rule, v measure.Value, limit float64) (fails bool) {
	x, ok := v.Get()
	switch {
	case !ok || math.IsNaN(x):
		b.see(r, Unknown)
		return false
	case x < limit-v.Err-1e-9*limit:
		return true
	}
	b.see(r, Pass)
	return false
}

// mass returns the mass of one piece in kg.
func (b *judging) mass() (float64, bool) { return b.kg, b.weighed }

func (b *judging) weigh() (float64, bool) {
	a, ok := b.p.Area.Get()
	if !ok || !b.ThicknessKnown || !b.MaterialKnown {
		return 0, false
	}
	return a * b.Thickness.MM * 1e-9 * b.Material.Stock.Density, true
}

// questions makes the questions of a part: one an input that was not given.
func (b *judging) questions() []Question {
	var qs []Question
	for _, input := range inputOrder {
		text := b.doubtText(input)
		if text == "" && len(b.unjudged[input]) == 0 {
			continue
		}
		rules := slices.Clone(b.unjudged[input])
		slices.Sort(rules)
		if text == "" {
			text = questionText(input, b)
		}
		qs = append(qs, Question{Input: input, Text: text, Unjudged: rules})
	}
	sortQuestions(qs)
	return qs
}

func (b *judging) doubtText(input string) string {
	for _, d := range b.Doubts {
		if d.Input == input && !d.Conflict {
			return d.Text
		}
	}
	return ""
}

func questionText(input string, b *judging) string {
	switch input {
	case "thickness":
		return "how thick is the sheet? (mm or inch; a gauge number only with its series, \"16 ga steel\")"
	case "material":
		return "which material? (a grade such as 1.4301 or S235, or a family such as steel, stainless, aluminium)"
	case "process":
		return "how is it cut? (" + strings.Join(b.shop.ProcessNames(), ", ") + ")"
	case "units":
		return fmt.Sprintf("the drawing states no unit; %s was assumed (%s): is that right?", cmp.Or(b.d.Units, "mm"), cmp.Or(b.d.UnitsSource, "from size"))
	case "edge":
		lead := "what edge is wanted?"
		if b.EdgeVague {
			lead = fmt.Sprintf("what edge does %q mean? It states no size that could be checked;", b.job.Edge.Value)
		}
		return lead + " choose: " + b.shop.choicesText()
	case "coating":
		return "what coats the sheet, or will coat the part?"
	}
	return "what is the " + input + "?"
}
