// Package samples lets the forecast learn from a shop's own inspected parts. It
// reads what an inspector wrote, says how often the forecast was right, fits
// limits and burr heights to it, and says how far the answer can be trusted. It
// is statistics and tables only: no geometry, no files.
//
// Words:
//
//	sample    one inspected place on a finished part: what was measured on the
//	          drawing, what was forecast, what the inspector found
//	outcome   clean, or burr left
//	chance    the probability that a place comes clean, 0 to 1
//	limit     the measure at which a stated share of places comes clean; half of
//	          them unless said otherwise
//	interval  the values of a limit that the samples do not contradict, at 95 %
//	settled   enough samples and an interval narrow enough to be used
//	drift     later samples contradict a limit that was fitted before
//
// Where to read what: table.go and words.go read rows; logistic.go fits the
// curve and limit.go its limit with the interval; reliability.go compares the
// forecast with what was found; heights.go fits burr heights; drift.go tests
// later samples; plan.go says how many more and where, form.go picks the places
// of a form; places.go joins rows with drawings; learn.go puts all together;
// write.go puts fitted numbers into a shop file.
package samples
