package rules

// Disagreement is a number on which published sources differ. Both stand; what
// is used by default is said, and a report shows it where it matters.
type Disagreement struct {
	About string
	Says  []string
	Used  string
	Shown string // where
}

// Disagreements lists the numbers on which the sources of the rules differ.
func Disagreements() []Disagreement {
	return []Disagreement{
		{"smallest hole by laser", []string{"0.7 of the thickness: two job shops", "1.0 of the thickness: two others"},
			"both: between them a part is brushed and looked at, below both it goes to the bench", "finding of hole-thickness, slot-thickness, web-thickness"},
		{"smallest punched hole", []string{"1.0 of the thickness: common practice for mild steel", "1.5: a stamping shop", "2: precision stamping"},
			"1.0 and 1.5 as two schools, 1.5 and 2 in stainless", "finding of hole-thickness, with the process's source"},
		{"die clearance", []string{"total of both sides: tool makers' charts, 20 to 25 % of steel", "per side: handbooks and articles, 8 to 10 %"},
			"total, as tools are ordered", "step \"cut\" of the route"},
		{"belt speed on stainless", []string{"20 to 30 m/s: an abrasive maker's catalogue", "33.0 to 35.6 m/s: a distributor's tips"},
			"20 to 30 m/s, for heat on wide sheet", "step \"belt\" of the route"},
		{"burr of a punched edge of 2 mm", []string{"0.20 mm: the 10 % rule", "0.127 mm: the ceiling of the same articles", "0.20 mm: a perforator's table"},
			"10 % up to 1.27 mm of thickness, above it the perforator's table", "note of the burr forecast"},
		{"radius of 2 mm", []string{"grade P3 of ISO 8501-3", "grade P2: web pages, by way of the ships' coating standard or a maker's guide"},
			"P3", "edge requirement in the step \"inspect\""},
		{"deburring by hand", []string{"2 to 3 min/m on 1 to 3 mm: a published table without a method", "1 to 3 m/min with a scraper: common practice"},
			"the whole span, which is the uncertainty", "step \"bench\" of the route"},
		{"density of 304 stainless", []string{"7900 kg/m3: EN", "7930: JIS", "8030: US data sheets"},
			"7900", "mass of a piece in the step \"lay on\""},
		{"table of dust indices", []string{"NFPA 86: the page that quotes it", "NFPA 68: the standard that such a table belongs to"},
			"68, with the page's word named", "safety notes"},
		{"ranges of squareness u in ISO 9013", []string{"four: a web guide", "five: the standard"},
			"five; the formula of the fifth is from memory", "step \"cut\" of the route"},
	}
}
