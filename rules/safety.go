package rules

import "slices"

// SafetyLead stands at the head of all safety notes.
const SafetyLead = "local codes, the machine's own manual and qualified people come first; these notes are starting points, not a risk assessment"

// SafetyNotes returns the safety notes that matter for what a shop is about to
// run: few, each once, in a fixed order, the lead first. Inputs that were not
// given raise no note. Jobs with a line that the shop does not have are skipped.
func SafetyNotes(shop Shop, jobs ...Job) []string {
	var family = map[string]bool{}
	var dry, wet, zinc, oxide, film, light, line bool
	for _, job := range jobs {
		in, err := Resolve(job, shop)
		if err != nil {
			continue
		}
		line = true
		if in.Line.Wet {
			wet = true
		} else {
			dry = true
		}
		if in.MaterialKnown {
			family[in.Material.Family] = true
			if f := in.Material.Family; f == "aluminium" || f == "magnesium" || f == "titanium" {
				light = true
			}
		}
		zinc = zinc || in.Zinc
		film = film || in.Film
		oxide = oxide || in.Process != nil && in.Process.Oxide
	}
	notes := []string{SafetyLead}
	add := func(when bool, text string) {
		if when {
			notes = append(notes, text)
		}
	}
	add(light && dry, "aluminium, magnesium and titanium dust explodes (aluminium St 3, 415 bar m/s; magnesium St 3, 508 bar m/s: an NFPA appendix, looked up; the page names standard 86, the table belongs to 68): a collector of its own, never shared with steel; NFPA 660 in the United States, DGUV Regel 109-001 in Germany, EN 1127-1 and ATEX in Europe")
	add(light && wet, "wet sludge of aluminium or magnesium gives off hydrogen: vent the sump, empty it daily, never let it stand closed (looked up); DGUV Regel 109-001, NFPA 660")
	add(light && (family["steel"] || family["stainless"]), "light metal and steel on one line: sparks of steel light aluminium dust, and aluminium with rust burns as thermite (looked up): clean line and collector in between, or keep them apart")
	add(zinc, "zinc dust burns (St 1, 176 bar m/s, looked up): brush cold and extract; zinc fume comes from heat, limit 5 mg/m3 in the United States (memory)")
	add(family["stainless"] && dry, "grinding stainless may form some chromium(VI): check exposure; 5 micrograms/m3 over 8 h in 29 CFR 1910.1026 (looked up)")
	add(oxide, "oxide and dross chip off hard and hot: eye protection at the infeed, spark trap before the filter")
	add(film, "ground film smears and can burn: brush only, and watch for strips at the extraction")
	add(line, "sharp edges, moving belts and in-running rollers: gloves for carrying only, never at the running infeed; guards closed, and wait for belts and brushes to run out before reaching in")
	return slices.Compact(notes)
}
