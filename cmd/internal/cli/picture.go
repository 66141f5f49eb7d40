package cli

import (
	"burrcast/analyze"
	"burrcast/cmd/internal/report"
	"burrcast/geom"
)

// drawingOf is what a part looks like: the curves that it was measured on.
func drawingOf(p *analyze.Part) report.PartDrawing {
	d := report.PartDrawing{Contours: p.Contours, Bends: p.Bends, Etch: p.Etch}
	for _, j := range p.Measure.Joints {
		if w := j.Gap.Witness; w.Points {
			d.Joints = append(d.Joints, geom.Line(w.A, w.B))
		}
	}
	for _, f := range p.Measure.Forms {
		d.Forms = append(d.Forms, f.Box)
	}
	return d
}
