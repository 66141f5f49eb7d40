// Package report holds what one run found, as one value, and renders it: text
// for people, JSON and JSON lines for programs, CSV for spreadsheets. It
// decides nothing and measures nothing.
//
// Drawings arrive one by one in input order and are let go as soon as they are
// rendered; what only the whole run knows (questions, totals, notes) comes
// last, even where a format shows it first.
package report
