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
//	carrier    parts left joined in sheet so that the line can hold them
//	way        another way to hold a part or to take oxide off, with its price
//	wear       what a head's belts or brushes cost for a piece
//	mix        a shop's mixed work on all of its lines, compared
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
//	                  inputs read from notes and file names, by patterns
//	                  (noteforms.go, form.go) and words of the shop
//	                  (phrases.go, negation.go)
//	lie.go            tipping, and parts that hook into one another
//	nest.go           parts too near in their sheet, over each other, on joints
//	bend.go           cut-outs beside a bend
//	burrmap.go        the forecast laid over every edge
//	feedoptions.go    other ways to turn the part, and a second pass
//	route.go, time.go steps with starting settings; seconds and cost
//	carrier.go, ways.go, wear.go
//	                  carriers, other ways with their prices, abrasive use
//	edgecost.go, lines.go, mix.go
//	                  the same part under other edges or on other lines
//	page.go, disagree.go
//	                  RULES.md, generated; where sources disagree
//	safety.go         the few notes that go with a report
//	sampled.go        limits and heights fitted to inspected places (package samples)
//	judge.go          puts them together
//
// A number without a published source says so: its provenance is looked up,
// memory, common practice, arithmetic, reasoning, the shop's own or its samples.
package rules
