package cli

import (
	"slices"

	"burrcast/geom/contour"
)

// chordReadings are the values of --chords, in the order of contour's readings.
var chordReadings = []string{"likely", "bend", "cut"}

func chordReading(name string) contour.Reading {
	return contour.Reading(max(0, slices.Index(chordReadings, name)))
}

// turnedBy tells for messages about a reading of the drawing, by code, which flag
// reads it otherwise.
var turnedBy = map[string]string{
	"chord":        "--chords cut",
	"shared-cut":   "--chords bend",
	"sheet-border": "--keep-border",
	"countersinks": "--keep-rings",
	"pockets":      "--keep-rings",
	"units-doubt":  "--units",
}

// turned adds to a message's text the flag that reads the drawing otherwise.
func turned(code, text string) string {
	if flag, ok := turnedBy[code]; ok {
		return text + " (" + flag + " reads it otherwise)"
	}
	return text
}
