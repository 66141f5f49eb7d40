package main

import "math"

// Of the built-in line of belt and drum brush, and of wet-vacuum, which is alike.
const (
	vacuum  = 12 * 1e-3 * 0.25 // N/mm2: 12 kPa over a quarter of the bed
	press   = 0.4              // N/mm, of the belt
	ratio   = 0.4              // drag over pressing force
	safety  = 1.5
	dry     = 0.5
	wet     = 0.2
	gravity = 9.81
	steel   = 7850e-9 // kg/mm3
	almg3   = 2660e-9
)

func holdCases() []pair {
	round := func(note string, diameter float64) *drawing {
		return newDrawing(note).circle(100, 100, diameter)
	}
	const (
		thick = "S235 t=25 LASER-N2 ISO 13715 -0.1/-0.3"
		more  = "S235 t=30 LASER-N2 ISO 13715 -0.1/-0.3"
		ten   = "S235 t=10 LASER-N2 ISO 13715 -0.1/-0.3"
		light = "AlMg3 t=0.5 LASER-N2 ISO 13715 -0.1/-0.3"
		alu   = "AlMg3 t=1 LASER-N2 ISO 13715 +0.5"
	)
	// Wet, a disc of 60 mm in 2 mm steel: the belt stands across its whole width.
	slip := func() float64 {
		pressing := press * 60
		holding := pressing + vacuum*disc(60) + disc(60)*2*steel*gravity
		return wet * holding / (safety * ratio * pressing)
	}
	// A disc of 50 mm and 25 mm thick: weight and vacuum 25 mm from its end against
	// the drag at its top face.
	tips := func() float64 {
		holding := disc(50)*25*steel*gravity + vacuum*disc(50)
		return holding * 25 / (safety * ratio * press * 50 * 25)
	}
	// Tines of 6 mm, gaps of 8 mm, a back of 40 mm; two pieces.
	rakes := func(depth float64) *drawing {
		d := newDrawing(safe)
		for _, x := range []float64{0, 200} {
			top := 40 + depth
			d.loop(x, 0, x+62, 0, x+62, top, x+56, top, x+56, 40, x+48, 40, x+48, top, x+42, top, x+42, 40, x+34, 40, x+34, top,
				x+28, top, x+28, 40, x+20, 40, x+20, top, x+14, top, x+14, 40, x+6, 40, x+6, top, x, top)
		}
		return d
	}
	// 300 x 300 mm on two joints in the middles of two edges.
	hung := func(note string, gap float64) *drawing {
		g := gap / 2
		return newDrawing(note).path("CUT", 150+g, 0, 300, 0, 300, 300, 150+g, 300).path("CUT", 150-g, 300, 0, 300, 0, 0, 150-g, 0)
	}
	return []pair{
		{"part-length", round(safe, 50),
			round(safe, 40).expect("part-length", "-", 100, 100, 40, 50, "mm")},
		{"part-width", newDrawing(safe).plate(0, 0, 300, 25),
			newDrawing(safe).plate(0, 0, 300, 12).expect("part-width", "-", 150, 6, 12, 25, "mm")},
		{"part-wide", newDrawing(safe).plate(0, 0, 1500, 1300).on("belt-and-disc-brush-wet"),
			newDrawing(safe).plate(0, 0, 1500, 1400).on("belt-and-disc-brush-wet").expect("part-wide", "-", 750, 700, 1400, 1300, "mm")},
		{"part-long", newDrawing(safe).plate(0, 0, 2900, 880).on("wide-pitch"),
			newDrawing(safe).plate(0, 0, 3500, 880).on("wide-pitch").expect("part-long", "-", 1750, 440, 3500, 3000, "mm")},
		{"part-thick", sheet(thick),
			sheet(more).expect("part-thick", "-", 100, 75, 30, 25, "mm")},
		// At a pitch of 150 mm no roller is always on 100 mm.
		{"roller-grip", round(safe, 150).on("wide-pitch"),
			round(safe, 100).on("wide-pitch").expect("roller-grip", "-", 100, 100, 0, 1, "rollers")},
		{"hold-slip", round(safe, 60),
			round(safe, 60).on("wet-vacuum").expect("hold-slip", "-", 100, 100, slip(), 1, "margin")},
		{"part-light", round("AlMg3 t=1 LASER-N2 ISO 13715 -0.1/-0.3", 50),
			round(light, 50).expect("part-light", "-", 100, 100, disc(50)*0.5*almg3*1000, 5, "g")},
		{"part-tips", round(ten, 50),
			round(thick, 50).expect("part-tips", "-", 100, 100, tips(), 1, "margin")},
		{"part-interlocks", rakes(4),
			rakes(60).expect("part-interlocks", "N", 10, 100, 60, 5, "mm")},
		// Shear of 0.577 of the yield of 80 MPa in two joints of 0.3 mm x 1 mm,
		// against the drag over the plate's diagonal.
		{"joint-hold", hung(safe, 0.5).joined(0.5, 300),
			hung(alu, 0.3).expect("joint-hold", "-", 150, 150, safety*ratio*press*300*math.Sqrt2/(2*0.3*1*0.577*80), 1, "x strength")},
	}
}

// joined expects the nibs of two joints in the middles of two edges.
func (d *drawing) joined(gap, side float64) *drawing {
	return d.expect("joint-nib", "J", side/2, 0, min(gap, 0.4), 0.1, "mm").expect("joint-nib", "J", side/2, side, min(gap, 0.4), 0.1, "mm")
}
