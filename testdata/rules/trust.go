package main

import "math"

// drawingCases are those of the group that is named drawing.
func drawingCases() []pair {
	const (
		noThickness = "S235 LASER-N2 ISO 13715 -0.1/-0.3"
		noMaterial  = "t=2 LASER-N2 ISO 13715 -0.1/-0.3"
		noProcess   = "S235 t=2 ISO 13715 -0.1/-0.3"
		tooThick    = "S235 t=15 PUNCHED ISO 13715 -0.1/-0.3"
	)
	holes := func(x float64) *drawing { return sheet(safe).circle(90, 75, 20).circle(x, 75, 20) }
	// Two holes of 20 mm, 15 mm apart, cross above and below the middle between them;
	// one place is told.
	rise := math.Sqrt(sq(10) - sq(7.5))
	lacking := sheet(safe)
	lacking.put(0, "ARC", 8, "CUT", 10, 100.0, 20, 75.0, 30, 0.0, 40, "ten", 50, 0.0, 51, 180.0)
	unitless := sheet(safe)
	unitless.units = 0
	torn := newDrawing(safe).plate(0, 0, 8, 6)
	torn.units, torn.metric = inch, true
	// A hole with a gap of 7 mm; its end above is told.
	open := func() *drawing {
		d := sheet(safe)
		d.arc(100, 75, 20, 10, 350)
		return d.expect("open-contour", "-", 100+20*cos(10), 75+20*sin(10), 1, 0, "contours")
	}
	plates := func(x float64) *drawing { return newDrawing(safe).plate(0, 0, 100, 60).plate(x, 20, 100, 60) }
	return []pair{
		{"open-contour", sheet(safe), open()},
		{"crossing-contour", holes(130), holes(105).expect("crossing-contour", "-", 97.5, 75+rise, 1, 0, "crossings").told("part-incomplete")},
		{"contours-touch", holes(130), holes(110).expect("contours-touch", "W", 100, 75, 0, 0.01, "mm")},
		{"part-tiny", sheet(safe), sheet(safe).circle(230, 75, 2).expect("part-tiny", "-", 230, 75, 2, 3, "mm")},
		{"part-incomplete", sheet(safe), open().told("part-incomplete")},
		{"entity-skipped", sheet(safe), lacking.expect("entity-skipped", "-", 100, 75, 1, 0, "entities")},
		{"duplicate-lines", sheet(safe).circle(100, 75, 20),
			sheet(safe).circle(100, 75, 20).circle(100, 75, 20).expect("duplicate-lines", "-", 100, 75, 1, 0, "curves")},
		{"units-assumed", sheet(safe), unitless.ask("units")},
		{"units-conflict", sheet(safe), torn.expect("units-conflict", "-", 4*25.4, 3*25.4, 1, 0, "count")},
		{"thickness-missing", sheet(safe), sheet(noThickness).ask("thickness")},
		{"material-missing", sheet(safe), sheet(noMaterial).ask("material")},
		{"process-missing", sheet(safe), sheet(noProcess).ask("process")},
		// The built-in shop file has punching up to 12 mm.
		{"input-conflict", sheet(safe), sheet(tooThick).expect("input-conflict", "-", 100, 75, 1, 0, "count")},
		{"parts-overlap", plates(150), plates(90).expect("parts-overlap", "-", 50, 30, 1, 0, "parts").
			expect("crossing-contour", "-", 100, 20, 1, 0, "crossings")},
	}
}
