package samples

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"burrcast/rules"
)

// The lines between which fitted numbers stand in a shop file.
const (
	blockBegin = `# >>> fitted to samples by "burrcast learn --write", which writes all between these two marks anew`
	blockEnd   = `# <<< fitted to samples`
)

// Entry is a fitted number that goes into the shop file, or does not.
type Entry struct {
	What    string // rule and line, or process, family and thickness
	Written bool
	Why     string // why not
}

// Rewrite puts what is settled into the text of a shop file: a commented block
// at its end, or in place of the block that an earlier run wrote. Everything
// outside the block stays as it is, byte for byte. What an earlier run fitted
// and this one does not fit again stays in the block. The result is read back
// with the shop file's own reader before it is returned; changed is false where
// there is nothing to write.
func Rewrite(name string, text []byte, r Result, today time.Time) (out []byte, entries []Entry, changed bool, err error) {
	shop, err := rules.LoadShop(name, text)
	if err != nil {
		return nil, nil, false, err
	}
	limits, heights, entries := settled(shop, r, today)
	if !slices.ContainsFunc(entries, func(e Entry) bool { return e.Written }) {
		return text, entries, false, nil
	}
	out, err = splice(text, render(shop, limits, heights))
	if err == nil {
		_, err = rules.LoadShop(name, out)
		if err != nil {
			err = fmt.Errorf("with the fitted numbers the shop file could not be read; it holds some of them outside the marks that this program sets: %w", err)
		}
	}
	if err != nil {
		return nil, nil, false, err
	}
	return out, entries, !bytes.Equal(out, text), nil
}

type lineRule struct{ line, rule string }

type burrKey struct {
	process, families string
	thickness         float64
}

// settled joins what the shop file holds with what is settled now.
func settled(shop rules.Shop, r Result, today time.Time) (map[lineRule]rules.FittedLimit, map[burrKey]rules.SampledBurr, []Entry) {
	limits := map[lineRule]rules.FittedLimit{}
	for line, byRule := range shop.Fitted {
		for rule, f := range byRule {
			limits[lineRule{line, rule}] = *f
		}
	}
	heights := map[burrKey]rules.SampledBurr{}
	for name, p := range shop.Processes {
		for _, b := range p.Sampled {
			heights[burrKey{name, strings.Join(b.Families, " "), b.Thickness}] = b
		}
	}
	var entries []Entry
	for i := range r.Groups {
		g := &r.Groups[i]
		why := g.Hindrance()
		entries = append(entries, Entry{What: g.Rule + " on " + g.Line, Written: why == "", Why: why})
		if why == "" {
			limits[lineRule{g.Line, g.Rule}] = g.entry(today)
		}
	}
	for _, h := range r.Heights {
		entries = append(entries, Entry{What: fmt.Sprintf("burr height of %s in %s of %g mm", h.Process, h.Family, h.Thickness), Written: h.Settled, Why: h.Why})
		if h.Settled {
			heights[burrKey{h.Process, h.Family, h.Thickness}] = rules.SampledBurr{Families: []string{h.Family}, Thickness: h.Thickness,
				Height: rules.Span{digits(h.Fit.Low), digits(h.Fit.High)}, Samples: h.Fit.N, Date: dateOf(h.Date, today)}
		}
	}
	return limits, heights, entries
}

// Hindrance is why a group's limit must not be written, or "".
func (g *Group) Hindrance() string {
	switch {
	case g.Drift != nil && g.Drift.Flagged && len(g.Samples) > g.Drift.Samples:
		return fmt.Sprintf("later samples contradict the limit fitted up to %s, and these samples hold both; fit those after the change alone (--since)", g.Known.Date)
	case !g.Settled:
		return g.Why
	}
	return ""
}

// entry is a settled limit as the shop file has it.
func (g *Group) entry(today time.Time) rules.FittedLimit {
	var last time.Time
	for _, s := range g.Samples {
		if s.Date.After(last) {
			last = s.Date
		}
	}
	return rules.FittedLimit{Limit: digits(g.In(g.Limit.X)), Interval: rules.Span{digits(g.In(g.Limit.Low)), digits(g.In(g.Limit.High))},
		Share: g.Share, Steepness: digits(math.Abs(g.Curve.B)), Filament: g.Filament, Samples: len(g.Samples), Date: dateOf(last, today)}
}

func dateOf(t, today time.Time) string {
	if t.IsZero() {
		t = today
	}
	return t.Format(time.DateOnly)
}

// digits rounds to four significant digits: far below any interval here.
func digits(v float64) float64 {
	r, err := strconv.ParseFloat(strconv.FormatFloat(v, 'e', 3, 64), 64)
	if err != nil {
		panic("implementation error: " + err.Error())
	}
	return r
}

// render writes the block, sorted.
func render(shop rules.Shop, limits map[lineRule]rules.FittedLimit, heights map[burrKey]rules.SampledBurr) string {
	var b strings.Builder
	put := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	put(blockBegin)
	var keys []lineRule
	for k := range limits {
		keys = append(keys, k)
	}
	slices.SortFunc(keys, func(a, b lineRule) int { return cmp.Or(cmp.Compare(a.line, b.line), cmp.Compare(a.rule, b.rule)) })
	for _, k := range keys {
		f := limits[k]
		rule, _ := rules.Lookup(k.rule)
		put("")
		put("# %s: %s of the places come clean at %g %s, 95 %% interval %g to %g", rule.Title, ShareWords(f.Share), f.Limit, rule.Unit, f.Interval[0], f.Interval[1])
		without := ""
		if v, ok := shop.LimitOf(k.rule, k.line, nil, ""); ok {
			without = fmt.Sprintf("; without samples %g %s", digits(v), rule.Unit)
		}
		put("# fitted to %s, the last of %s%s", plural(f.Samples, "sample"), f.Date, without)
		put("[fitted.%s.%s]", tomlKey(k.line), tomlKey(k.rule))
		put("limit = %s", tomlNumber(f.Limit))
		put("interval = [%s, %s]", tomlNumber(f.Interval[0]), tomlNumber(f.Interval[1]))
		put("share = %s", tomlNumber(f.Share))
		put("steepness = %s", tomlNumber(f.Steepness))
		if f.Filament > 0 {
			put("filament = %s  # mm; with another brush the limit goes in proportion", tomlNumber(f.Filament))
		}
		put("samples = %d", f.Samples)
		put("date = %q", f.Date)
	}
	var burrs []burrKey
	for k := range heights {
		burrs = append(burrs, k)
	}
	slices.SortFunc(burrs, func(a, b burrKey) int {
		return cmp.Or(cmp.Compare(a.process, b.process), cmp.Compare(a.families, b.families), cmp.Compare(a.thickness, b.thickness))
	})
	for _, k := range burrs {
		h := heights[k]
		put("")
		put("# burr as cut: 19 of 20 heights lie between %g and %g mm; %s measured, the last of %s", h.Height[0], h.Height[1], plural(h.Samples, "height"), h.Date)
		put("[[process.%s.sampled]]", tomlKey(k.process))
		if len(h.Families) > 0 {
			names := make([]string, len(h.Families))
			for i, f := range h.Families {
				names[i] = strconv.Quote(f)
			}
			put("families = [%s]", strings.Join(names, ", "))
		}
		put("thickness = %s", tomlNumber(h.Thickness))
		put("height = [%s, %s]", tomlNumber(h.Height[0]), tomlNumber(h.Height[1]))
		put("samples = %d", h.Samples)
		put("date = %q", h.Date)
	}
	put(blockEnd)
	return b.String()
}

// ShareWords says a share of places.
func ShareWords(share float64) string {
	switch share {
	case 0.5:
		return "half"
	case 0.9:
		return "nine of ten"
	}
	return fmt.Sprintf("%g %%", 100*share)
}

func tomlNumber(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

func tomlKey(s string) string {
	if s != "" && strings.Trim(s, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_") == "" {
		return s
	}
	return strconv.Quote(s)
}

// splice puts the block in place of the old one, or at the end of the text, with
// the text's own line ends.
func splice(text []byte, block string) ([]byte, error) {
	s := string(text)
	end := "\n"
	if strings.Contains(s, "\r\n") {
		end = "\r\n"
		block = strings.ReplaceAll(block, "\n", end)
	}
	from, to, marks := -1, -1, 0
	at := 0
	for line := range strings.Lines(s) {
		switch strings.TrimSpace(line) {
		case blockBegin:
			from = at
			marks++
		case blockEnd:
			to = at + len(line)
			marks++
		}
		at += len(line)
	}
	switch {
	case marks == 0:
		if s != "" && !strings.HasSuffix(s, "\n") {
			s += end
		}
		if s != "" {
			s += end
		}
		return []byte(s + block), nil
	case marks != 2 || from < 0 || to < from:
		return nil, errors.New("the marks round the fitted numbers in the shop file are not one pair: put them in order, or take them out with what stands between them")
	}
	return []byte(s[:from] + block + s[to:]), nil
}
