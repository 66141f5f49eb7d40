package contour

import (
	"math"
	"slices"

	"burrcast/geom"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"
)

// Build sorts loose curves into nested regions.
//
//  1. Refuse curves that are not finite or out of range; drop those without
//     length.
//  2. Drop what is drawn twice (cover.go, shadows.go).
//  3. Join ends, from fine to coarse (nodes.go).
//  4. Find T-junctions, crossings and places that touch (contacts.go).
//  5. Bridge joints (joints.go).
//  6. Rings of plain passages are contours as drawn, in O(n). Whatever else hangs
//     together is solved as a planar graph (groups.go, planar.go), where lines
//     across an outline are told from cuts that two parts share (dividers.go).
//  7. Nest contours, turn outlines counter-clockwise and cut-outs clockwise
//     (nest.go).
//
// Ends within rounding of each other (1e-9 mm, and 16 units in the last place
// of the largest coordinate) are joined without touching the curves' centres
// and radii, so that an exact drawing measures exactly. The whole takes
// O((n + k) log n) for n curves that meet at k places; n and k are bounded, and a
// bound that bites is reported as "not-converged".
//
// A border round a nest makes the parts cut-outs of the border's region. To
// read such a drawing, go on Without the sources of the border.
func Build(curves []geom.Curve, opt Options) Result { return buildRest(curves, opt, nil) }

// buildRest leaves out the curves marked as gone.
func buildRest(curves []geom.Curve, opt Options, gone []bool) Result {
	opt.Join, opt.JointLimit = sane(opt.Join), sane(opt.JointLimit)
	b := &builder{opt: opt, in: curves, gone: gone, twice: make(map[int][]int), said: make(map[string]int)}
	b.met = make([]bool, len(curves))
	b.admit()
	b.dropCovered()
	b.joinEnds()
	b.findContacts()
	b.dropShadows()
	b.joinCorners()
	b.components()
	b.resolveContacts()
	b.bridgeJoints()
	b.solveGroups()
	return b.finish()
}

// builder carries the work of one Build.
type builder struct {
	opt    Options
	in     []geom.Curve
	gone   []bool        // by input, those left out; nil for none
	met    []bool        // by input: another curve had to do with it (without.go)
	base   float64       // ends nearer than this are equal up to rounding
	twice  map[int][]int // by input: other inputs that run along it
	edges  []edge        // the bridged joints last
	nodes  []node
	spread []box    // of nodes, the box of the ends as drawn, once any are united
	tree   *boxTree // of the edges, without joints
	near   *pairs   // of its boxes, within b.closeBy()
	slack  float64  // how far edges reach beyond their boxes in the tree, mm

	vertexContacts []vertexContact
	crossings      []crossing

	comp       disjoint // components of edges that share nodes
	simple     []bool   // by root: every node has two ends
	splits     map[int][]split
	tied       map[int]bool // nodes at the loose end of a T-junction
	links      [][2]int     // edges that other contacts make one group
	deferred   []deferredSplit
	firstJoint int     // edges from here on are joints
	solving    solving // scratch of one group after another
	chain      []end   // scratch of walk

	curveRoom  arena[geom.Curve]
	sourceRoom arena[int]
	loopRoom   arena[loop]
	ringRoom   arena[ring]

	crossed bool // two contours cross each other
	blocks  []block
	said    map[string]int // problems by code
	res     Result
}

// edge is a curve, or a piece of one, between two nodes.
type edge struct {
	c      geom.Curve
	box    box     // of c
	length float64 // of c, mm
	src    int     // index of the input
	a, b   int     // nodes of start and end; -1 for a full circle
	gap    float64 // closed by making one arc a full circle, mm
	gone   bool    // dropped as a duplicate after nodes were made
}

func newEdge(c geom.Curve, src int) edge {
	return edge{c: c, box: boxOf(c.Bounds()), length: c.Length(), src: src, a: -1, b: -1}
}

// reshape gives the edge another curve.
func (e *edge) reshape(c geom.Curve) {
	if c != e.c {
		e.c, e.box, e.length = c, boxOf(c.Bounds()), c.Length()
	}
}

// ring is a closed contour before nesting.
type ring struct {
	Contour
	*loop
}

// maxCoordinate is the largest coordinate read, mm: a thousand kilometres.
// Beyond it a double no longer holds the tolerances of the trade.
const maxCoordinate = 1e9

// fewJoints is how many bridged joints find room behind the edges.
const fewJoints = 16

// sane returns a tolerance as given, or the nearest that makes sense.
func sane(tol float64) float64 {
	if !(tol > 0) {
		return 0
	}
	return min(tol, 1e6)
}

func angle(a float64) s1.Angle { return s1.Angle(a) }

func angleOf(v r2.Point) s1.Angle { return s1.Angle(math.Atan2(v.Y, v.X)) }

// maxProblems bounds the problems of one kind that a result lists.
const maxProblems = 1000

func (b *builder) problem(code string, at r2.Point, sources []int, text string) {
	if b.said[code]++; b.said[code] > maxProblems {
		return
	}
	b.res.Problems = append(b.res.Problems, Problem{Code: code, At: at, Sources: sources, Text: text})
}

// admit turns the inputs that can be used into edges.
func (b *builder) admit() {
	largest := 0.0
	b.edges = make([]edge, 0, len(b.in)+fewJoints)
	for i := range b.in {
		c := &b.in[i]
		if b.isGone(i) {
			continue
		}
		switch size := coordinateSize(c); {
		case !c.Finite():
			b.res.Rejected = append(b.res.Rejected, i)
			b.problem("not-finite", r2.Point{}, []int{i}, "a coordinate or an angle is not a finite number")
		case size > maxCoordinate:
			b.res.Rejected = append(b.res.Rejected, i)
			b.problem("out-of-range", r2.Point{}, []int{i}, "a coordinate is larger than a thousand kilometres")
		default:
			b.edges = append(b.edges, newEdge(*c, i))
			largest = max(largest, size)
		}
	}
	b.base = 1e-9 + 16*0x1p-52*largest
	b.opt.Join = max(b.opt.Join, b.base)
	b.edges = slices.DeleteFunc(b.edges, func(e edge) bool { return e.length <= 4*b.base }) // settle counts them
}

func coordinateSize(c *geom.Curve) float64 {
	m := max(math.Abs(c.Start.X), math.Abs(c.Start.Y), math.Abs(c.End.X), math.Abs(c.End.Y))
	if c.IsArc() {
		m = max(m, math.Abs(c.Center.X)-c.Radius, math.Abs(c.Center.Y)-c.Radius)
	}
	return m
}
