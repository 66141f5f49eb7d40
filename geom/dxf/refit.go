package dxf

import (
	"fmt"

	"burrcast/geom"
)

const codeRefitted = "chords-refitted"

// refits sums what was refitted in a drawing; the first entity stands for all.
type refits struct {
	first *entity
	layer string
	paths int
	did   geom.Refitted
}

// refitChords replaces chords in a draft that stand for a curve and returns how
// many. Only polylines draw runs of chords; what single lines draw is known
// once they are joined.
func (x *expander) refitChords(d *draft, layer string) int {
	switch d.e.kind {
	case kindLWPolyline, kindPolyline, kindSpline, kindFace:
	default:
		return 0
	}
	opt := geom.DefaultRefit()
	if x.opt.KeepChords || len(d.curves) < opt.Chords {
		return 0
	}
	opt.Tolerance = x.opt.CurveTolerance
	curves, _, did := geom.RefitChords(d.curves, d.closed, opt)
	if did.Runs == 0 {
		return 0
	}
	d.curves = curves
	d.error = max(d.error, did.Rise)
	r := &x.refit
	if r.first == nil {
		r.first, r.layer = d.e, layer
	}
	r.paths++
	r.did = r.did.Plus(did)
	return did.Chords
}

// tellRefits records what was refitted.
func (x *expander) tellRefits() {
	r := &x.refit
	if r.first == nil {
		return
	}
	e := r.first
	x.d.Repairs = append(x.d.Repairs, Repair{
		Code: codeRefitted, Line: e.line, Entity: x.names[e.typ], Handle: e.handle, Layer: r.layer,
		Text: fmt.Sprintf("%d chords in %d polylines stand for curves and became %d arcs; corners at most %.2g mm and chords %.2g mm from them",
			r.did.Chords, r.paths, r.did.Arcs, r.did.Deviation, r.did.Rise),
	})
}
