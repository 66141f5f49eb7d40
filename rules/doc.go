// Package rules judges a measured part as a finishing planner would: which edge
// is wanted, what the cutting process leaves, whether the part rides the line,
// what belt and brush do not reach, and what that costs. It sees measures and
// the shop's own numbers, never geometry.
//
// Words:
//
//	shop       lines, stocks, processes, edge presets, rates and limits of one
//	           workshop, read from a TOML file; a built-in one is the default
//	job        what is known of one drawing's order: material, thickness,
//	           process, edge requirement, line, quantity, each with its source
//	rule       one documented row: what is measured, against which limit, with
//	           a cited source
//	verdict    pass, fail, unknown or not applicable
//	finding    a place on a part where a rule failed
//	question   an input nobody gave, with the rules it leaves unjudged
//	treatment  what a finding or part needs: line, brush, fixture, hand, ask
//
// Where to read what, without knowing geometry:
//
//	shop.toml         the numbers of a shop, with their sources; shop.go their
//	                  types, shopfile.go reading and checking them
//	reach.go, cutquality.go, holddown.go, fragile.go, surface.go, edgerules.go,
//	drawing.go        the rules, one group a file: each row, then how it is judged
//	rule.go           what a rule's row holds, and the registry
//	edge.go           what "burr-free" means: ISO 13715, ISO 8501-3, presets
//	burr.go           what the cutting process leaves
//	feed.go           how the part is turned, and the balance of forces
//	statics.go        the formulas: slip, rollers, vacuum, lanes, beams
//	gauge.go          sheet gauges, thicknesses, zinc, grains, speeds
//	stocks.go         materials by any name people use
//	notes.go, notematerial.go
//	                  inputs read from notes and file names
//	route.go, time.go steps with starting settings; seconds and cost
//	edgecost.go, lines.go
//	                  the same part under other edges or on other lines
//	safety.go         the few notes that go with a report
//	judge.go          puts them together
//
// A number without a published source says so: its provenance is looked up,
// memory, common practice, arithmetic, reasoning or the shop's own.
package rules
