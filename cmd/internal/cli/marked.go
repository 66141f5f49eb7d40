package cli

import (
	"fmt"

	"burrcast/cmd/internal/report"
	"burrcast/geom/dxf"

	"github.com/golang/geo/r2"
)

// markColors are the colour indices of treatments in a marked drawing; the
// number beside a mark and the legend say the same.
var markColors = map[report.Treatment]int{"ask": 6, "hand": 30, "fixture": 42, "brush": 5, "line": 3}

// marked marks the findings of a drawing's parts in its file, which data holds
// and drawn was read from.
func marked(data []byte, opt dxf.Options, drawn *dxf.Drawing, d *report.Drawing) (err error) {
	var m dxf.Marks
	for i := range d.Parts {
		p := &d.Parts[i]
		m.Edges = append(m.Edges, p.Drawing.Burred...)
		for _, f := range report.Places(p) {
			label := fmt.Sprint(f.Number)
			if len(d.Parts) > 1 {
				label = p.ID + "." + label
			}
			m.Places = append(m.Places, dxf.Mark{At: r2.Point{X: float64(f.X), Y: float64(f.Y)}, Label: label, Color: markColors[f.Treatment]})
		}
		m.Legend = append(m.Legend, report.LegendLines(p)...)
	}
	if len(m.Edges) > 0 {
		m.Legend = append(m.Legend, "layer "+dxf.EdgeLayer+": edge that stays burred after the line")
	}
	d.Marked, d.MarkedAnew, err = dxf.Marked(data, drawn, m, opt)
	return err
}
