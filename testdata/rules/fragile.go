package main

import "math"

// tabbed is a plate of 200 x 100 mm with a tab 8 mm wide on its top edge.
func tabbed(length float64) *drawing {
	return newDrawing(thin).loop(0, 0, 200, 0, 200, 100, 104, 100, 104, 100+length, 96, 100+length, 96, 100, 0, 100)
}

// hanging is a plate with a piece of 40 x 40 mm on a neck 5 mm long above its
// top edge.
func hanging(neck float64) *drawing {
	n := neck / 2
	return newDrawing(thin).loop(0, 0, 200, 0, 200, 100, 100+n, 100, 100+n, 105, 120, 105, 120, 145, 80, 145, 80, 105, 100-n, 105, 100-n, 100, 0, 100)
}

func fragileCases() []pair {
	// A cantilever of 1 mm under 0.4 N/mm: 4 q L^3 / (E t^3).
	sag := func(length float64) float64 { return 4 * press * length * length * length / (210e3 * 1) }
	// The drag of 0.16 N/mm over a square of 1605 mm2, neck and piece, against 235
	// MPa: 6 q s (L + s/2) / (t w^2).
	side := math.Sqrt(40*40 + 5*1)
	bending := 6 * ratio * press * side * (5 + side/2) / (1 * sq(1)) / 235
	louvre := sheet(safe)
	louvre.path("LOUVRE", 80, 70, 120, 70, 120, 80, 80, 80, 80, 70)
	return []pair{
		{"tab-bend", tabbed(30), tabbed(60).expect("tab-bend", "W", 100, 100, sag(60), 1, "mm")},
		{"neck-thin", hanging(3), hanging(1).expect("neck-thin", "W", 100, 105, bending, 0.67, "x yield")},
		{"formed-up", sheet(safe), louvre.expect("formed-up", "F", 100, 75, 1, 0, "forms")},
	}
}
