package rules

import (
	"maps"
	"slices"
	"sync"
)

// Provenance words, one for every number.
const (
	LookedUp    = "looked up"       // seen in a public page
	Memory      = "memory"          // recalled; the source was not seen
	Practice    = "common practice" // rule of thumb of the trade
	Arithmetic  = "arithmetic"      // computed from values named beside it
	Reasoning   = "reasoning"       // an inference, no source
	ShopsOwn    = "shop"            // the shop's own number
	ShopSamples = "shop samples"    // fitted to places that the shop inspected
)

// Groups of rules, in the order of lists.
const (
	GroupReach   = "reach"
	GroupCut     = "cut quality"
	GroupHold    = "hold-down"
	GroupFragile = "fragile"
	GroupSurface = "surface"
	GroupEdge    = "edge"
	GroupDrawing = "drawing"
)

// Groups lists the groups in order.
func Groups() []string {
	return []string{GroupReach, GroupCut, GroupHold, GroupFragile, GroupSurface, GroupEdge, GroupDrawing}
}

// Rule is one documented row: what is measured, against which limit, and what
// follows.
type Rule struct {
	Name       string
	Title      string
	Group      string
	Measured   string  // what is measured
	Formula    string  // how it is compared
	Default    float64 // the limit unless the shop file says otherwise
	Unit       string
	Applies    string // when
	Treatment  Treatment
	Why        string
	Do         string
	Source     string
	Provenance string
	Example    string

	judge func(*judging, *Rule)
	edge  bool // hangs on the edge requirement
	at    int  // in the registry
}

// ruleRows gathers the groups' rows, in the order of groups.
func ruleRows() []Rule {
	return slices.Concat(reachRules(), cutRules(), nearRules(), holdRules(), lieRules(), jointRules(), fragileRules(), surfaceRules(),
		edgeRules(), bendRules(), drawingRules(), overlapRules())
}

// registry is every rule, in the order of groups and by name.
type registry struct {
	rows   []Rule
	byName map[string]*Rule
}

var (
	built     registry // by buildOnce; it never changes then
	buildOnce sync.Once
)

// rules is the registry.
func rules() *registry {
	buildOnce.Do(func() {
		reg := registry{rows: ruleRows(), byName: map[string]*Rule{}}
		for i := range reg.rows {
			reg.rows[i].at = i
			reg.rows[i].edge = slices.Contains(edgeBound(), reg.rows[i].Name)
			reg.byName[reg.rows[i].Name] = &reg.rows[i]
		}
		built = reg
	})
	return &built
}

// edgeBound names the rules that hang on the edge requirement; the others say
// the same of a part under every one that wants no grain.
func edgeBound() []string {
	return []string{"hole-reach", "slot-reach", "notch-reach", "corner-reach", "joint-nib", "oxide-edge", "burr-height", "grain-wanted",
		"edge-unstated", "radius-too-big", "radius-reach", "belt-rolls-burr"}
}

func rows() []Rule { return rules().rows }

// ruleNamed returns a rule of the registry, which must have it.
func ruleNamed(name string) *Rule {
	r := rules().byName[name]
	if r == nil {
		panic("implementation error: no rule " + name)
	}
	return r
}

// Rules returns every rule, in the order of groups.
func Rules() []Rule { return slices.Clone(rows()) }

// Lookup returns the rule of a name.
func Lookup(name string) (Rule, bool) {
	if r, ok := rules().byName[name]; ok {
		return *r, true
	}
	return Rule{}, false
}

// extraLimits are limits that are no rule's own: parameters that several rules
// share.
var extraLimits = map[string]string{
	"bundle-filaments": "filaments that must enter a cut-out together, in filament diameters (3, reasoning)",
	"reach-share":      "share of a contour that the brush must touch (0.95, reasoning)",
	"hold-safety":      "safety factor of the slip balance (1.5, looked up for smooth and tight contact)",
	"skew-tolerance":   "degrees by which an operator misses a feed angle (5, reasoning)",
}

// ExtraLimits lists the limits of the shop file that are no rule's own, with
// what they mean.
func ExtraLimits() map[string]string { return maps.Clone(extraLimits) }

func knownLimit(name string) bool { return slices.Contains(limitNames(), name) }

func limitNames() []string {
	names := sortedKeys(extraLimits)
	for _, r := range rows() {
		names = append(names, r.Name)
	}
	return names
}
