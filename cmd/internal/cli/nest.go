package cli

import (
	"burrcast/analyze/measure"
	"burrcast/cmd/internal/report"
)

// nestOf is nil for a drawing with one part.
func nestOf(d measure.Drawing) *report.Nest {
	if len(d.Nearest) == 0 && len(d.Overlaps) == 0 && !d.Used.Known {
		return nil
	}
	n := &report.Nest{Used: num(d.Used), Nearest: []report.Apart{}, Overlaps: [][2]string{}}
	for _, a := range d.Nearest {
		from, to := a.Distance.Witness.A, a.Distance.Witness.B
		n.Nearest = append(n.Nearest, report.Apart{Parts: a.Parts, Distance: num(a.Distance),
			From: [2]report.Num{snap(from.X), snap(from.Y)}, To: [2]report.Num{snap(to.X), snap(to.Y)}})
	}
	for _, o := range d.Overlaps {
		n.Overlaps = append(n.Overlaps, o.Parts)
	}
	return n
}

// bendOf is a bend with its flange and the cut-out nearest to it.
func bendOf(b *measure.Bend) report.Bend {
	return report.Bend{ID: b.ID, Length: num(b.Length), Direction: b.Up, DirectionFrom: b.UpFrom, Flange: num(b.Flange), Cutout: b.Cutout, Gap: num(b.Gap)}
}

func formsOf(forms []measure.Form) []report.Form {
	return each(forms, func(f *measure.Form) report.Form {
		x, y := at(f.At)
		return report.Form{ID: f.ID, X: x, Y: y, Name: f.Name}
	})
}
