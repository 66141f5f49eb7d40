// Package cli is the command: verbs, flags, folders, workers, messages and exit
// codes. What it finds goes to package report as values; nothing here prints a
// result by itself.
//
// Exit codes, the same for every format:
//
//	0  nothing at or above --fail-on
//	1  a finding at or above it
//	2  could not run: usage, shop file, output; or interrupted
//	3  results written, but at least one drawing could not be measured
package cli
