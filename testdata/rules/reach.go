package main

// The notes of a plain order.
const (
	safe = "S235 t=2 LASER-N2 ISO 13715 -0.1/-0.3"
	thin = "S235 t=1 LASER-N2 ISO 13715 -0.1/-0.3"
	six  = "S235 t=6 LASER-N2 ISO 13715 -0.1/-0.3"
)

// sheet is a plate of 200 x 150 mm with its middle at (100, 75).
func sheet(notes ...string) *drawing { return newDrawing(notes...).plate(0, 0, 200, 150) }

// bundle is what the built-in drum brush brings: three filaments of 0.8 mm.
const bundle = 3 * 0.8

func reachCases() []pair {
	notch := func(width float64) *drawing { // 12 mm deep, from the top edge down
		return newDrawing(thin).loop(0, 0, 200, 0, 200, 150, 100+width/2, 150, 100+width/2, 138, 100-width/2, 138, 100-width/2, 150, 0, 150)
	}
	// An isosceles triangle whose apex points along X at (150, 75).
	triangle := func(angle float64) *drawing {
		x, y := 100*cos(angle/2), 100*sin(angle/2)
		return sheet(safe).loop(150, 75, 150-x, 75+y, 150-x, 75-y)
	}
	return []pair{
		{"hole-reach", sheet(safe).circle(100, 75, 2.5),
			sheet(safe).circle(100, 75, 2).expect("hole-reach", "C", 100, 75, 2, bundle, "mm")},
		{"slot-reach", sheet(thin).slot(100, 75, 20, 2.5),
			sheet(thin).slot(100, 75, 20, 1.5).expect("slot-reach", "C", 100, 75, 1.5, bundle, "mm")},
		{"notch-reach", notch(3),
			// A notch's place is its mouth.
			notch(1).expect("notch-reach", "N", 100, 150, 1, bundle, "mm")},
		// A disc between two walls stays r/sin(half the angle) off their corner.
		{"corner-reach", triangle(60),
			triangle(30).expect("corner-reach", "K", 150, 75, bundle/2/sin(15)-bundle/2, 1.5, "mm")},
		// Too long to turn on a line 900 mm wide: the long sides lie along the feed.
		{"edge-direction", sheet(safe),
			newDrawing(safe).plate(0, 0, 2500, 860).expect("edge-direction", "-", 1250, 430, 2*2500/(2*(2500.+860)), 0.25, "share")},
	}
}
