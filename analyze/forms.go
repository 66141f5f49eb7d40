package analyze

import (
	"slices"

	"burrcast/geom"

	"github.com/golang/geo/r2"
)

// mostFormPairs bounds the comparisons of forms with each other.
const mostFormPairs = 5_000_000

// joinForms makes one form of figures on one layer whose boxes meet: a louvre
// drawn as four lines, an emboss drawn as rings in each other.
//
// Boxes are swept by x; each is compared with those still open. Joined boxes
// grow, so the sweep is repeated until nothing joins, a few times at most.
func (a *analysis) joinForms() {
	left := mostFormPairs
	for range 8 {
		n := len(a.forms)
		a.forms = sweepForms(a.forms, a.opt.Contour.Join, &left)
		if len(a.forms) == n {
			return
		}
	}
}

func sweepForms(forms []form, near float64, left *int) []form {
	slices.SortStableFunc(forms, func(p, q form) int {
		switch {
		case p.box.X.Lo < q.box.X.Lo:
			return -1
		case p.box.X.Lo > q.box.X.Lo:
			return 1
		}
		return 0
	})
	var out []form
	var open []int // of out
	for _, f := range forms {
		box := f.box.ExpandedByMargin(near)
		joined := false
		kept := open[:0]
		for _, k := range open {
			if *left--; *left > 0 && out[k].box.X.Hi < box.X.Lo {
				continue // passed by
			}
			kept = append(kept, k)
			if !joined && *left > 0 && out[k].name == f.name && out[k].box.Intersects(box) {
				out[k].box = out[k].box.Union(f.box)
				joined = true
			}
		}
		open = kept
		if !joined {
			open = append(open, len(out))
			out = append(out, f)
		}
	}
	return out
}

// formOf returns the box of a path on a layer for forms.
func formOf(curves []geom.Curve, layer string) form {
	box := geom.LoopBounds(curves)
	if box.IsEmpty() {
		box = r2.RectFromPoints(r2.Point{})
	}
	return form{box, layer}
}
