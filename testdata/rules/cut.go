package main

func cutCases() []pair {
	const (
		loose   = "S235 t=2 LASER-N2 ISO 13715 +0.5"
		oxygen  = "S235 t=2 LASER-O2 ISO 8501-3 P2"
		filmed  = "1.4301 t=2 LASER-N2 ISO 13715 -0.1/-0.3 WITH FILM"
		plasma  = "S235 t=6 PLASMA CUT ISO 13715 +0.1"
		nitro   = "S235 t=2 LASER-N2 ISO 8501-3 P2"
		laserLo = 0.7 // two job shops, in thicknesses
	)
	joint := func(note string) *drawing { // a gap of 0.5 mm in the middle of the lower edge
		return newDrawing(note).path("CUT", 100.25, 0, 200, 0, 200, 150, 0, 150, 0, 0, 99.75, 0)
	}
	return []pair{
		{"hole-thickness", sheet(six).circle(100, 75, 6),
			sheet(six).circle(100, 75, 3).expect("hole-thickness", "C", 100, 75, 3./6, laserLo, "x thickness")},
		{"slot-thickness", sheet(six).slot(100, 75, 30, 6),
			sheet(six).slot(100, 75, 30, 3).expect("slot-thickness", "C", 100, 75, 3./6, laserLo, "x thickness")},
		// Two holes of 20 mm, their nearest points 3 mm apart.
		{"web-thickness", sheet(six).circle(80, 75, 20).circle(106, 75, 20),
			sheet(six).circle(80, 75, 20).circle(103, 75, 20).expect("web-thickness", "W", 91.5, 75, 3./6, laserLo, "x thickness")},
		{"joint-nib", joint(loose),
			joint(safe).expect("joint-nib", "J", 100, 0, 0.4, 0.1, "mm")},
		{"oxide-edge", sheet(nitro),
			sheet(oxygen).expect("oxide-edge", "-", 100, 75, 1, 0, "skins")},
		{"film-pierce", sheet(filmed).circle(80, 75, 10).circle(96, 75, 10).on("brush-only"),
			sheet(filmed).circle(80, 75, 10).circle(93, 75, 10).on("brush-only").
				expect("film-pierce", "C", 80, 75, 3, 5, "mm").expect("film-pierce", "C", 93, 75, 3, 5, "mm")},
		// Plasma dross of up to 2 mm: a belt of P60 takes it off, one of P80 does not.
		{"burr-height", sheet(plasma),
			sheet(plasma).on("three-heads-grain").expect("burr-height", "-", 100, 75, 2, 0.5, "mm")},
		// Two discs of 80 mm: their nearest points are 3 mm and 1 mm apart.
		{"parts-near", newDrawing(safe).circle(40, 40, 80).circle(123, 40, 80),
			newDrawing(safe).circle(40, 40, 80).circle(121, 40, 80).expect("parts-near", "-", 80, 40, 1./2, laserLo, "x thickness")},
	}
}
