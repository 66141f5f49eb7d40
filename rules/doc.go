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
package rules
