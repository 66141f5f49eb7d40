package main

// drawings is the shop's whole folder. The shop, Quillmere Seed Cleaners, is
// invented, and so are its machines and its parts.
func drawings() []*drawing {
	return []*drawing{
		hopperFront(),
		driveBracket(),
		clipNest(),
		screenCover(),
		ventPlate(),
		shaftFlange(),
		seedRake(),
		keyHanger(),
		chuteGuard(),
		legGusset(),
		sievePlate(),
		sidePair(),
		leverQuadrant(),
		feedChute(),
		cheekPlate(),
	}
}

// hopperFront is the easy one: a large panel whose openings are all wide.
func hopperFront() *drawing {
	d := newDrawing("hopper-front.dxf", r2000, millimetre)
	m := &d.model
	d.loop(m, "CUT", rounded(0, 0, 620, 420, 12))
	d.loop(m, "CUT", rounded(220, 150, 180, 120, 15))
	for _, x := range []float64{25, 310, 595} {
		m.circle("CUT", x, 25, 14)
		m.circle("CUT", x, 395, 14)
	}
	m.text("NOTES", 30, -20, 6, "QUILLMERE SEED CLEANERS - HOPPER FRONT")
	m.text("NOTES", 30, -32, 6, "S235 t=2  LASER N2  EDGES ISO 13715 -0.3")
	return d
}

// driveBracket is drawn in the old style, with fold lines on a layer of their own.
func driveBracket() *drawing {
	d := newDrawing("drive-bracket.dxf", r12, 0)
	d.crlf = true
	d.layer("BEND", "DASHED", 5)
	m := &d.model
	m.strokes("CUT", []point{
		{6, 0, 0}, {214, 0, quarter}, {220, 6, 0}, {220, 60, 0}, {260, 60, 0}, {260, 120, 0},
		{220, 120, 0}, {220, 174, quarter}, {214, 180, 0}, {6, 180, quarter}, {0, 174, 0}, {0, 6, quarter},
	})
	m.line("BEND", 60, 0, 60, 180)
	m.line("BEND", 160, 0, 160, 180)
	for _, y := range []float64{30, 90, 150} {
		m.circle("CUT", 30, y, 11)
	}
	m.circle("CUT", 110, 90, 48)
	m.strokes("CUT", slot(190, 40, 26, 9, 90))
	m.strokes("CUT", slot(190, 140, 26, 9, 90))
	m.circle("CUT", 240, 90, 13)
	m.text("NOTES", 0, -20, 5, "DRIVE BRACKET   MATERIAL: DC01   THICKNESS: 3 MM")
	m.text("NOTES", 0, -30, 5, "UNITS MM")
	return d
}

// clipNest is a sheet full of clips that no conveyor holds.
func clipNest() *drawing {
	d := newDrawing("clip-nest.dxf", r2000, millimetre)
	d.layer("BORDER", "CONTINUOUS", 8)
	m := &d.model
	d.loop(m, "BORDER", rectangle(0, 0, 260, 160))
	clip := d.block("CLIP")
	d.loop(clip, "0", []point{{2, 0, 0}, {26, 0, quarter}, {28, 2, 0}, {28, 16, 0}, {18, 16, 0}, {18, 12, -half},
		{10, 12, 0}, {10, 16, 0}, {0, 16, 0}, {0, 2, quarter}})
	clip.circle("0", 6, 5, 4.2)
	clip.circle("0", 22, 5, 4.2)
	m.insert("CUT", "CLIP", place{x: 10, y: 10, columns: 7, rows: 5, dx: 35, dy: 22})
	for i := range 8 {
		x := 20 + 30*float64(i)
		m.circle("CUT", x, 138, 24)
		m.circle("CUT", x, 138, 13)
	}
	m.text("NOTES", 10, -12, 5, "SIEVE CLIPS AND WASHERS, DC01 t=1.5, LASER N2")
	return d
}

// screenCover is stainless under film, with rows of holes nearer than the film likes.
func screenCover() *drawing {
	d := newDrawing("screen-cover.dxf", r2000, millimetre)
	m := &d.model
	d.loop(m, "CUT", rounded(0, 0, 380, 240, 8))
	hole := d.block("ROW")
	hole.circle("0", 0, 0, 10)
	m.insert("CUT", "ROW", place{x: 60, y: 60, columns: 20, rows: 5, dx: 13.5, dy: 30})
	for _, x := range []float64{15, 365} {
		for _, y := range []float64{15, 225} {
			m.circle("CUT", x, y, 9)
		}
	}
	m.text("NOTES", 0, -16, 5, "SCREEN COVER  EN 1.4301 t=1.5  BRUSHED FACE, FILM ONE SIDE, LASER N2")
	return d
}

// ventPlate is zinc-coated and has louvres that stand up from the sheet.
func ventPlate() *drawing {
	d := newDrawing("vent-plate.dxf", r2000, millimetre)
	d.layer("LOUVRE", "CONTINUOUS", 6)
	m := &d.model
	d.loop(m, "CUT", rounded(0, 0, 320, 260, 5))
	louvre := d.block("LOUVRE-70")
	d.loop(louvre, "LOUVRE", rounded(0, 0, 70, 12, 4))
	m.insert("LOUVRE", "LOUVRE-70", place{x: 35, y: 40, columns: 3, rows: 8, dx: 90, dy: 24})
	for _, x := range []float64{14, 306} {
		for _, y := range []float64{14, 130, 246} {
			m.circle("CUT", x, y, 7)
		}
	}
	m.text("NOTES", 0, -16, 5, "VENT PLATE, DX51D+Z275, t=1.0, PUNCHED")
	return d
}

// shaftFlange leaves its stock to the file's name.
func shaftFlange() *drawing {
	d := newDrawing("shaft-flange_S355_12mm_laser-o2.dxf", r12, millimetre)
	m := &d.model
	m.circle("CUT", 0, 0, 280)
	m.circle("CUT", 0, 0, 110)
	for i := range 8 {
		p := turned([]point{{x: 105}}, 0, 0, 22.5+45*float64(i))[0]
		m.circle("CUT", p.x, p.y, 18)
	}
	m.text("NOTES", -60, -165, 7, "SHAFT FLANGE - PRIMED AND PAINTED, ISO 8501-3 P2")
	return d
}

// seedRake has long slender teeth with slits between them.
func seedRake() *drawing {
	d := newDrawing("seed-rake.dxf", r2000, millimetre)
	m := &d.model
	const teeth, pitch, gap, long = 24, 9.0, 1.4, 55.0
	pts := []point{{0, 0, 0}, {teeth*pitch - gap, 0, 0}}
	for i := teeth - 1; i >= 0; i-- {
		right := float64(i)*pitch + pitch - gap
		left := float64(i) * pitch
		pts = append(pts, point{right, 40 + long, 0}, point{left, 40 + long, 0})
		if i > 0 {
			pts = append(pts, point{left, 40, 0}, point{left - gap, 40, 0})
		}
	}
	d.loop(m, "CUT", pts)
	m.circle("CUT", 20, 18, 8.5)
	m.circle("CUT", 194, 18, 8.5)
	m.text("NOTES", 0, -14, 4, "SEED RAKE, EN 1.4301, THICKNESS 0.8 MM, LASER N2, BURR FREE")
	return d
}

// keyHanger has keyholes, narrow slots, tiny holes and joints.
func keyHanger() *drawing {
	d := newDrawing("key-hanger.dxf", r2000, millimetre)
	m := &d.model
	// The outline stays joined to its sheet by four gaps of 0.4 mm.
	m.line("CUT", 0.2, 0, 104.8, 0)
	m.line("CUT", 105.2, 0, 210, 0)
	m.line("CUT", 210, 0, 210, 44.8)
	m.line("CUT", 210, 45.2, 210, 90)
	m.line("CUT", 210, 90, 105.2, 90)
	m.line("CUT", 104.8, 90, 0, 90)
	m.line("CUT", 0, 90, 0, 45.2)
	m.line("CUT", 0, 44.8, 0, 0.2)
	m.line("CUT", 0, 0.2, 0.2, 0)
	for i := range 4 {
		x := 30 + 50*float64(i)
		d.loop(m, "CUT", keyhole(x, 26, 14, 5, 26))
		d.loop(m, "CUT", slot(x, 74, 28, 1.2, 0))
		m.circle("CUT", x, 64, 1.5)
	}
	m.text("NOTES", 0, -14, 4, "KEY HANGER  S235  2 MM  LASER O2")
	return d
}

// chuteGuard has a free-form outline and elliptic windows.
func chuteGuard() *drawing {
	d := newDrawing("chute-guard.dxf", r2000, millimetre)
	m := &d.model
	m.line("CUT", 0, 0, 360, 0)
	m.line("CUT", 360, 0, 360, 120)
	m.spline("CUT", []point{{x: 360, y: 120}, {x: 330, y: 190}, {x: 260, y: 150}, {x: 200, y: 230},
		{x: 120, y: 260}, {x: 60, y: 200}, {x: 0, y: 160}})
	m.line("CUT", 0, 160, 0, 0)
	m.ellipse("CUT", 100, 80, 120, 60)
	m.ellipse("CUT", 260, 70, 90, 44)
	m.circle("CUT", 20, 20, 10.5)
	m.circle("CUT", 340, 20, 10.5)
	m.text("NOTES", 0, -18, 6, "CHUTE GUARD  EN AW-5754  t=3  WATERJET")
	return d
}

// legGusset is an inch drawing that names its sheet by gauge.
func legGusset() *drawing {
	d := newDrawing("leg-gusset.dxf", r2000, inch)
	m := &d.model
	d.loop(m, "CUT", polygon(0, 0, 9, 0, 9, 1.5, 1.5, 9, 0, 9))
	d.loop(m, "CUT", rounded(1.2, 1.2, 2.5, 2.5, 0.4))
	for _, p := range []point{{x: 0.6, y: 0.6}, {x: 8.3, y: 0.7}, {x: 0.7, y: 8.3}} {
		m.circle("CUT", p.x, p.y, 0.5)
	}
	m.text("NOTES", 0, -0.6, 0.2, "LEG GUSSET, 11 GA STEEL, PLASMA")
	return d
}

// sievePlate is all holes: a block of holes in a block of rows in an array.
func sievePlate() *drawing {
	d := newDrawing("sieve-plate.dxf", r2000, millimetre)
	m := &d.model
	hole := d.block("HOLE")
	hole.circle("0", 0, 0, 3)
	pair := d.block("PAIR")
	pair.insert("0", "HOLE", place{})
	pair.insert("0", "HOLE", place{x: 4, y: 7})
	d.loop(m, "CUT", rectangle(0, 0, 300, 200))
	m.insert("CUT", "PAIR", place{x: 30, y: 30, columns: 30, rows: 10, dx: 8, dy: 14})
	m.text("NOTES", 0, -14, 5, "SIEVE PLATE 3.0  1.4301  t=1  PUNCHED  ISO 13715 +0.1")
	return d
}

// sidePair is a left and a right hand part, and a second left one turned.
func sidePair() *drawing {
	d := newDrawing("side-pair.dxf", r2000, millimetre)
	m := &d.model
	outline := []point{{0, 0, 0}, {220, 0, 0}, {220, 60, 0}, {150, 130, 0}, {20, 130, quarter}, {0, 110, 0}}
	window := rounded(30, 70, 60, 36, 6)
	d.loop(m, "CUT", outline)
	d.loop(m, "CUT", window)
	m.circle("CUT", 190, 30, 16)
	d.loop(m, "CUT", mirrored(outline, 240))
	d.loop(m, "CUT", mirrored(window, 240))
	m.circle("CUT", 290, 30, 16)
	d.loop(m, "CUT", turned(outline, 140, 160, 90))
	d.loop(m, "CUT", turned(window, 140, 160, 90))
	m.circle("CUT", 110, 350, 16)
	m.text("NOTES", 0, -14, 5, "SIDE PLATES LH/RH, S235, t=4, LASER N2, BREAK EDGES 0.2")
	return d
}

// leverQuadrant is aluminium with a curved slot that a brush only just enters.
func leverQuadrant() *drawing {
	d := newDrawing("lever-quadrant.dxf", r2000, millimetre)
	m := &d.model
	d.loop(m, "CUT", curvedSlot(0, 0, 160, 90, 20, 160))
	d.loop(m, "CUT", curvedSlot(0, 0, 180, 3.2, 35, 145))
	for i := range 9 {
		p := turned([]point{{x: 145}}, 0, 0, 30+15*float64(i))[0]
		m.circle("CUT", p.x, p.y, 6.4)
	}
	m.text("NOTES", -60, 20, 6, "LEVER QUADRANT EN AW-5754 t=4 LASER N2 ISO 13715 -0.1/-0.3")
	return d
}

// feedChute cannot be trusted: one of its openings does not close.
func feedChute() *drawing {
	d := newDrawing("feed-chute.dxf", r12, millimetre)
	m := &d.model
	m.strokes("CUT", rounded(0, 0, 300, 180, 10))
	m.circle("CUT", 30, 30, 11)
	m.circle("CUT", 270, 30, 11)
	m.line("CUT", 100, 60, 200, 60)
	m.line("CUT", 200, 60, 200, 120)
	m.line("CUT", 200, 120, 100, 120)
	m.line("CUT", 100, 120, 100, 78)
	m.text("NOTES", 0, -16, 6, "FEED CHUTE  S235  t=3  LASER N2")
	return d
}

// cheekPlate contradicts itself: its name and its note give two thicknesses.
func cheekPlate() *drawing {
	d := newDrawing("cheek-plate_2mm.dxf", r2000, millimetre)
	m := &d.model
	d.loop(m, "CUT", rounded(0, 0, 240, 160, 20))
	m.circle("CUT", 120, 80, 60)
	for _, x := range []float64{24, 216} {
		m.circle("CUT", x, 24, 12)
		m.circle("CUT", x, 136, 12)
	}
	m.text("NOTES", 0, -16, 6, "CHEEK PLATE, S235, t=3, LASER N2")
	return d
}
