package rules

import "slices"

// SafetyLead stands at the head of all safety notes.
const SafetyLead = "local codes, the machine's own manual and qualified people come first; these notes are starting points, not a risk assessment"

// SafetyNotes returns the safety notes that matter for what a shop is about to
// run: few, each once, in a fixed order, the lead first. Inputs that were not
// given raise no note. Jobs with a line that the shop does not have are skipped.
func SafetyNotes(shop Shop, jobs ...Job) []string {
	var all []string
	for _, job := range jobs {
		all = append(all, Hazards(job, shop)...)
	}
	return HazardNotes(all)
}

// What a job brings with it that a safety note is about.
const (
	hazardLine      = "line" // belts, brushes, rollers
	hazardDry       = "dry"
	hazardWet       = "wet"
	hazardLight     = "light-metal" // aluminium, magnesium, titanium
	hazardSteel     = "steel"
	hazardStainless = "stainless"
	hazardZinc      = "zinc"
	hazardOxide     = "oxide"
	hazardFilm      = "film"
)

// Hazards lists in one word each what a job brings with it that a safety note is
// about. The words of many jobs together give the notes of all: some notes are
// about two jobs on one line.
func Hazards(job Job, shop Shop) []string {
	in, err := Resolve(job, shop)
	if err != nil {
		return nil
	}
	words := []string{hazardLine}
	add := func(when bool, word string) {
		if when {
			words = append(words, word)
		}
	}
	add(!in.Line.Wet, hazardDry)
	add(in.Line.Wet, hazardWet)
	if in.MaterialKnown {
		f := in.Material.Family
		add(f == "aluminium" || f == "magnesium" || f == "titanium", hazardLight)
		add(f == "steel", hazardSteel)
		add(f == "stainless", hazardStainless)
	}
	add(in.Zinc, hazardZinc)
	add(in.Process != nil && in.Process.Oxide, hazardOxide)
	add(in.Film, hazardFilm)
	return words
}

// HazardNotes returns the notes on the hazards of a run, in any order and as
// often as they come: each note once, in a fixed order, the lead first.
func HazardNotes(hazards []string) []string {
	has := func(word string) bool { return slices.Contains(hazards, word) }
	dry, wet, light, stainless := has(hazardDry), has(hazardWet), has(hazardLight), has(hazardStainless)
	notes := []string{SafetyLead}
	add := func(when bool, text string) {
		if when {
			notes = append(notes, text)
		}
	}
	add(light && dry, "aluminium, magnesium and titanium dust explodes (aluminium St 3, 415 bar m/s; magnesium St 3, 508 bar m/s: an NFPA appendix, looked up; the page names standard 86, the table belongs to 68): a collector of its own, never shared with steel; NFPA 660 in the United States, DGUV Regel 109-001 in Germany, EN 1127-1 and ATEX in Europe")
	add(light && wet, "wet sludge of aluminium or magnesium gives off hydrogen: vent the sump, empty it daily, never let it stand closed (looked up); DGUV Regel 109-001, NFPA 660")
	add(light && (has(hazardSteel) || stainless), "light metal and steel on one line: sparks of steel light aluminium dust, and aluminium with rust burns as thermite (looked up): clean line and collector in between, or keep them apart")
	add(has(hazardZinc), "zinc dust burns (St 1, 176 bar m/s, looked up): brush cold and extract; zinc fume comes from heat, limit 5 mg/m3 in the United States (memory)")
	add(stainless && dry, "grinding stainless may form some chromium(VI): check exposure; 5 micrograms/m3 over 8 h in 29 CFR 1910.1026 (looked up)")
	add(has(hazardOxide), "oxide and dross chip off hard and hot: eye protection at the infeed, spark trap before the filter")
	add(has(hazardFilm), "ground film smears and can burn: brush only, and watch for strips at the extraction")
	add(has(hazardLine), "sharp edges, moving belts and in-running rollers: gloves for carrying only, never at the running infeed; guards closed, and wait for belts and brushes to run out before reaching in")
	return slices.Compact(notes)
}
