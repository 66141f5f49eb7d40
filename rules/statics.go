package rules

import "math"

// gravity in m/s2.
const gravity = 9.81

// SlipMargin is the friction that holds a part over the drag of a head, safety
// included: mu (fn + fh + w) / (s lambda fn). The part does not slip if it is at
// least 1. Forces in N: fn pressing, fh hold-down, w weight. With nothing
// pressing there is no drag and the margin is infinite.
func SlipMargin(mu, lambda, s, fn, fh, w float64) float64 {
	drag := s * lambda * fn
	if drag <= 0 {
		return math.Inf(1)
	}
	return mu * (fn + fh + w) / drag
}

// HoldNeeded is the hold-down force in N at which the part just does not slip:
// (s lambda/mu - 1) fn - w, never below 0.
func HoldNeeded(mu, lambda, s, fn, w float64) float64 {
	return max((s*lambda/mu-1)*fn-w, 0)
}

// RollersOn is the number of rollers at a pitch that are always on a part of a
// length: floor(length/pitch). There is at most one more.
func RollersOn(length, pitch float64) int {
	if pitch <= 0 {
		return 0
	}
	return int(math.Floor(length/pitch + 1e-9))
}

// VacuumForce is the force in N of an under-pressure in kPa over an area in mm2
// of which the share open lies over holes.
func VacuumForce(pressure, area, open float64) float64 { return pressure * 1e-3 * area * open }

// SheetMass is the mass in kg of an area in mm2, a thickness in mm and a density
// in kg/m3.
func SheetMass(area, thickness, density float64) float64 { return area * thickness * 1e-9 * density }

// Lanes is the number of parts of a width that lie side by side with a spacing
// on a conveyor of a width: floor((conveyor + spacing)/(width + spacing)).
func Lanes(conveyor, width, spacing float64) int {
	if width+spacing <= 0 {
		return 0
	}
	return int(math.Floor((conveyor+spacing)/(width+spacing) + 1e-9))
}

// PartsPerMinute is a conveyor's throughput: lanes times speed in m/min over the
// part's length and the gap behind it in mm.
func PartsPerMinute(lanes int, speed, length, gap float64) float64 {
	return float64(lanes) * speed * 1000 / (length + gap)
}

// cantilever is a strip loaded at its free end by a line load in N/mm across its
// whole width (textbook beam formulas): bending stress in MPa and deflection in
// mm. Both are independent of the strip's width. Modulus in GPa.
func cantilever(load, length, thickness, modulus float64) (stress, deflection float64) {
	return 6 * load * length / (thickness * thickness),
		4 * load * math.Pow(length, 3) / (modulus * 1e3 * math.Pow(thickness, 3))
}

// neckStress is the bending stress in MPa in the plane of the sheet of a neck by
// which a piece hangs: the head drags with load N/mm over the piece, taken as a
// square of the hanging area, at half its side beyond the neck's length.
func neckStress(load, area, length, width, thickness float64) float64 {
	side := math.Sqrt(area)
	moment := load * side * (length + side/2)
	return 6 * moment / (thickness * width * width)
}
