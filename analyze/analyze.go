package analyze

import (
	"fmt"

	"burrcast/analyze/measure"
	"burrcast/geom"
	"burrcast/geom/contour"
	"burrcast/geom/dxf"

	"github.com/golang/geo/r2"
)

// Analyze understands and measures a drawing.
//
//  1. Decide from layer and line type what each path means (meaning.go).
//  2. Build contours and regions from what is cut; sheet borders (border.go),
//     countersinks and pockets (rings.go) are set aside and the rest built again;
//     pierce marks (pierce.go) and overshot corners are dropped.
//  3. Sort what stays open into bends, marks, lead-ins and open contours
//     (lines.go), and tell what is wrong in words a drafter can act on (mend.go).
//  4. Measure every region (part.go), find equal parts and count them (equal.go);
//     then bends (bends.go), joints (joints.go) and the nest (nest.go).
//  5. Doubt units that lie (units.go).
//
// It does not fail: what cannot be understood is in the messages.
func Analyze(d *dxf.Drawing, opt Options) Result {
	a := understand(d, opt)
	a.measureParts()
	a.measureBends()
	a.findJoints()
	a.measureNest()
	a.doubtUnits()
	return a.res
}

// understand does everything that comes before measuring.
func understand(d *dxf.Drawing, opt Options) *analysis {
	a := &analysis{opt: opt.withDefaults(), dxf: d}
	a.res.Meanings = make(map[string]Meaning)
	a.sortPaths()
	a.build()
	a.setBorderAside()
	a.setSinksAside()
	a.setPocketsAside()
	a.dropPierces()
	a.dropCorners()
	a.joinForms()
	a.sortOpen()
	a.describe()
	return a
}

// analysis carries the work of one Analyze.
type analysis struct {
	opt         Options
	dxf         *dxf.Drawing
	res         Result
	cut         []geom.Curve // candidates for contours
	path        []int        // of each, its path in the drawing
	aside       []bool       // of each, whether it was taken out of the contours
	bends       []layered
	etch        []layered
	forms       []form
	sheets      [][]geom.Curve // outlines of sheet borders
	overlapping [][2]int       // regions that cross each other
	leads       map[int]bool   // open chains that start at a pierce
	overshoots  int
	built       contour.Result       // its sources number a.cut
	locator     *contour.Locator     // see where
	owner       [][]int              // of each candidate, the regions with a contour of it
	doubt       map[int]string       // region -> why it cannot be trusted
	marks       map[int]*regionMarks // region -> lines found in it
	refits      refits               // chords that became arcs
}

// layered is a curve that a layer or line type gives its meaning.
type layered struct {
	geom.Curve
	layer string
}

// form is a closed or open figure on a layer for forms.
type form struct {
	box  r2.Rect
	name string
}

// regionMarks are the lines found inside a region that are not cut.
type regionMarks struct{ bends, etch []geom.Curve }

func (o Options) withDefaults() Options {
	def := contour.Defaults()
	if o.Contour.Join <= 0 {
		o.Contour.Join = def.Join
	}
	if o.Contour.JointLimit <= 0 {
		o.Contour.JointLimit = def.JointLimit
	}
	return o
}

// sortPaths hands every path to what its layer and line type mean.
func (a *analysis) sortPaths() {
	type kind struct{ layer, lineType string }
	seen := make(map[kind]Meaning)
	n := 0
	for i := range a.dxf.Paths {
		p := &a.dxf.Paths[i]
		k := kind{p.Layer, p.LineType}
		m, ok := seen[k]
		if !ok {
			m = meaningOf(a.opt.Layers, p.Layer, p.LineType)
			seen[k] = m
			a.res.Meanings[p.Layer] = m
		}
		if m == Cut || m == Border {
			n += len(p.Curves)
		}
	}
	a.cut, a.path = make([]geom.Curve, 0, n), make([]int, 0, n)
	for i := range a.dxf.Paths {
		p := &a.dxf.Paths[i]
		m := seen[kind{p.Layer, p.LineType}]
		switch m {
		case Cut, Border:
			for _, c := range p.Curves {
				a.cut = append(a.cut, c)
				a.path = append(a.path, i)
			}
		case BendLine:
			for _, c := range p.Curves {
				a.bends = append(a.bends, layered{c, p.Layer})
			}
		case Etch:
			for _, c := range p.Curves {
				a.etch = append(a.etch, layered{c, p.Layer})
			}
		case FormLine:
			a.forms = append(a.forms, formOf(p.Curves, p.Layer))
		}
	}
}

// build finds the contours of all candidates that were not set aside.
func (a *analysis) build() {
	if a.aside == nil {
		a.aside = make([]bool, len(a.cut))
		a.built = contour.Build(a.cut, a.tolerances())
	} else {
		a.built = a.built.Without(a.aside)
	}
	a.refits = refits{}
	if a.index(); a.refit() {
		a.index()
	}
}

// tolerances returns what the contours are built with. On a drawing not much
// larger than the tolerances they are held to a share of its size, or its details
// would be taken for gaps.
func (a *analysis) tolerances() contour.Options {
	opt := a.opt.Contour
	opt.Chords = a.opt.Chords
	least := max(200*opt.Join, 20*opt.JointLimit)
	starts := r2.EmptyRect()
	for i := range a.cut {
		if starts = starts.AddPoint(a.cut[i].Start); starts.Size().Norm() > least {
			return opt
		}
	}
	if size := geom.LoopBounds(a.cut).Size().Norm(); size > 0 {
		opt.Join = min(opt.Join, size/200)
		opt.JointLimit = min(opt.JointLimit, size/20)
	}
	return opt
}

// index finds owners again, and places once they are asked for.
func (a *analysis) index() {
	a.locator = nil
	a.owner = make([][]int, len(a.cut))
	room := make([]int, len(a.cut)) // for one region each; more are rare
	for s := range a.owner {
		a.owner[s] = room[s : s : s+1]
	}
	for i := range a.built.Regions {
		for _, c := range contoursOf(&a.built.Regions[i]) {
			for _, s := range c.Sources {
				a.own(s, i)
				for _, o := range a.refits.stood[s] {
					a.own(o, i)
				}
			}
		}
	}
}

// where says where places lie in the regions as they now are.
func (a *analysis) where() *contour.Locator {
	if a.locator == nil {
		a.locator = contour.NewLocator(a.built.Regions)
	}
	return a.locator
}

// own enters that region i has a contour of source s.
func (a *analysis) own(s, i int) {
	if s >= 0 && (len(a.owner[s]) == 0 || a.owner[s][len(a.owner[s])-1] != i) {
		a.owner[s] = append(a.owner[s], i)
	}
}

// contoursOf returns the outline and the cut-outs of a region.
func contoursOf(r *contour.Region) []*contour.Contour {
	out := []*contour.Contour{&r.Outline}
	for k := range r.Holes {
		out = append(out, &r.Holes[k])
	}
	return out
}

// layer returns the layer that an input of the contour builder was drawn on.
func (a *analysis) layer(source int) string {
	if source < 0 || source >= len(a.path) {
		return ""
	}
	return a.dxf.Paths[a.path[source]].Layer
}

// describe fills in the drawing's own measures and messages.
func (a *analysis) describe() {
	m := &a.res.Drawing
	m.Units, m.UnitsSource = a.dxf.Units.Name, a.dxf.Units.Source
	m.UnitsDoubt = a.dxf.Units.Doubt
	m.UnitsAssumed = a.dxf.Units.Source == "assumed from size"
	m.LargestGap = a.built.LargestGap
	m.Duplicates = len(a.built.Duplicates)
	for _, src := range a.built.Duplicates {
		if src >= 0 && src < len(a.cut) {
			m.DuplicatesAt = append(m.DuplicatesAt, measure.Place{At: a.cut[src].Start})
		}
	}
	m.Curves = len(a.cut) + len(a.bends) + len(a.etch)
	for _, n := range a.dxf.Notes {
		m.Notes = append(m.Notes, n.Text)
	}
	for _, r := range a.dxf.Repairs {
		if r.Rejected {
			m.RejectedCurves++
		}
	}
	if n := len(a.built.Duplicates); n > 0 {
		a.say("duplicate-lines", 0, "%d lines are drawn twice; each was taken once", n)
	}
	a.tellRefits()
	a.tellProblems()
	a.account()
	if len(a.built.Regions) == 0 {
		switch {
		case len(a.dxf.Paths) == 0:
			a.say("no-curve", 0, "the drawing holds no curve that could be cut")
		case len(a.cut) == 0:
			a.say("no-cut", 0, "no layer of the drawing counts as cut; see the layer patterns of the shop file")
		default:
			a.say("no-contour", 0, "no closed contour: %d curves, none of which close within %g mm", len(a.cut), a.opt.Contour.Join)
		}
	}
}

func (a *analysis) line(sources []int) int {
	if len(sources) == 0 || sources[0] < 0 || sources[0] >= len(a.path) {
		return 0
	}
	return a.dxf.Paths[a.path[sources[0]]].Line
}

func (a *analysis) say(code string, line int, format string, args ...any) {
	a.res.Messages = append(a.res.Messages, Message{Code: code, Line: line, Text: fmt.Sprintf(format, args...)})
}

// at writes a place for people.
func at(p r2.Point) string { return fmt.Sprintf("(%.3f, %.3f)", p.X, p.Y) }

// measureParts begins every region, merges equal parts, measures the rest of
// each and numbers them.
func (a *analysis) measureParts() {
	begun := make([]Part, len(a.built.Regions))
	for i := range begun {
		begun[i] = a.begin(i)
	}
	for i, p := range mergeEqual(begun) {
		if err := a.finish(&p); err != nil {
			a.say("unmeasured-part", 0, "the part at %s could not be measured: %v", at(p.Measure.BBox.Lo()), err)
			p.Measure.Incomplete = "it could not be measured: " + err.Error()
		}
		p.Measure.ID = fmt.Sprintf("P%d", i+1)
		if p.mirrorOf >= 0 {
			p.Measure.MirroredOf = fmt.Sprintf("P%d", p.mirrorOf+1)
		}
		a.res.Parts = append(a.res.Parts, p)
	}
}

// errorOf bounds how far the curves of a region lie from what was drawn, mm.
func (a *analysis) errorOf(i int) float64 {
	reg := &a.built.Regions[i]
	e := reg.Outline.Gap
	for k := range reg.Holes {
		e = max(e, reg.Holes[k].Gap)
	}
	a.sources(i, func(s int) { e = max(e, a.dxf.Paths[a.path[s]].Error, a.refits.rise[s]) })
	size := geom.LoopBounds(reg.Outline.Curves)
	return e + mergeShare*size.Size().Norm() + 4e-16*(size.Hi().Norm()+size.Lo().Norm())
}

// fittedWithin bounds how far the arcs of a region that stand for ellipses and
// splines lie from them, mm; 0 if there are none.
func (a *analysis) fittedWithin(i int) float64 {
	e := 0.0
	a.sources(i, func(s int) { e = max(e, a.dxf.Paths[a.path[s]].Error) })
	return e
}

// sources calls f for the drawn curves that the contours of a region came from.
func (a *analysis) sources(i int, f func(s int)) {
	reg := &a.built.Regions[i]
	of := func(c *contour.Contour) {
		for _, s := range c.Sources {
			if s >= 0 && s < len(a.path) {
				f(s)
			}
		}
	}
	of(&reg.Outline)
	for k := range reg.Holes {
		of(&reg.Holes[k])
	}
}
