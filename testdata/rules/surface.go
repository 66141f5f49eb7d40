package main

func surfaceCases() []pair {
	const (
		zinc    = "DX51D+Z275 t=2 LASER-N2 ISO 13715 -0.1/-0.3"
		filmed  = "1.4301 t=2 LASER-N2 ISO 13715 -0.1/-0.3 WITH FILM"
		grained = "1.4301 t=2 LASER-N2 BRUSHED FINISH"
		bright  = "1.4301 t=2 LASER-N2 ISO 13715 -0.1/-0.3"
	)
	return []pair{
		// The finest belt is P150: 100 micrometres over 275/2/7.14 of zinc a side.
		{"zinc-keep", sheet(zinc).on("brush-only"),
			sheet(zinc).expect("zinc-keep", "-", 100, 75, 100/(275/2./7.14), 1, "x zinc")},
		{"film-keep", sheet(filmed).on("brush-only"),
			sheet(filmed).expect("film-keep", "-", 100, 75, 1, 0, "belts")},
		// A grain leaves the angles along the drawing's axes only, and a side of 150 mm
		// lies along the feed at the better of them. The line that makes the grain ends
		// with a fine belt, which lays a last trace of burr over the outline.
		{"grain-wanted", sheet(grained).on("three-heads-grain").expect("belt-rolls-burr", "-", 100, 75, 1, 0, "edges").along(),
			sheet(grained).expect("grain-wanted", "-", 100, 75, 0, 1, "belts").along()},
		{"iron-free", sheet(safe).on("wire-brush"),
			sheet(bright).on("wire-brush").expect("iron-free", "-", 100, 75, 1, 0, "brushes")},
	}
}

// along expects the shorter sides of the plate along the feed of a drum brush.
func (d *drawing) along() *drawing {
	return d.expect("edge-direction", "-", 100, 75, 2*150/(2*(200.+150)), 0.25, "share")
}
