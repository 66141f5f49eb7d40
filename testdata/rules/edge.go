package main

func edgeCases() []pair {
	const (
		vague = "S235 t=2 LASER-N2 DEBURR ALL EDGES"
		most  = "S235 t=2 LASER-N2 ISO 13715 +0.1"
	)
	graded := func(thickness string) *drawing { // grade P3 wants a radius of 2 mm
		return sheet("S235 t="+thickness+" LASER-N2 ISO 8501-3 P3").expect("radius-reach", "-", 100, 75, 2, 0.5, "mm")
	}
	bent := func(x float64) *drawing { // a bend at X = 60, a hole of 10 mm to its right
		d := sheet(safe).circle(x, 75, 10)
		d.lineOn("BEND", 60, 0, 60, 150)
		return d
	}
	return []pair{
		{"edge-unstated", sheet(safe), sheet(vague).ask("edge")},
		{"radius-too-big", graded("4"), graded("3").expect("radius-too-big", "-", 100, 75, 2*2/3., 1, "x thickness")},
		{"radius-reach", sheet(safe), graded("5")},
		// The belt touches two edges last: the hole's and the outline's.
		{"belt-rolls-burr", sheet(most).circle(100, 75, 20),
			sheet(most).circle(100, 75, 20).on("belt-only").expect("belt-rolls-burr", "-", 100, 75, 2, 0, "edges")},
		{"bend-edge", bent(70), bent(68).expect("bend-edge", "B", 63, 75, 3./2, 2.5, "x thickness")},
	}
}
