package cli

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime/debug"
	"slices"
	"strconv"
	"strings"
	"sync"

	"burrcast/cmd/internal/report"
	"burrcast/cmd/internal/store"

	"github.com/spf13/pflag"
)

// Drawings that did not change are not done again. Two things are kept of each:
// its reading, under a key of its bytes, the program, and all that reading and
// measuring take; and its outcome, under a key of the reading's key and all
// that judging takes. So another shop file or material judges what was measured
// before. A path is in neither key: a drawing that was moved is found; its name
// is in the second, since names say things.

// asides are flags that change nothing in what one drawing comes to. Any other
// that is given is part of the keys, one added later, too. What the shop file
// and the job table say is in the keys by itself.
var asides = map[string]bool{"shop": true, "jobs": true, "format": true, "report": true, "open": true, "fail-on": true,
	"shard": true, "workers": true, "quiet": true, "help": true, "no-cache": true, "against": true, "samples-form": true}

// stamps are the hashes of what all drawings of a run are read and measured
// with, and judged with.
type stamps struct {
	reading map[string]store.Key // for each line of the shop
	judging store.Key
}

// keys are the names under which a drawing's results are kept.
type keys struct {
	ok              bool // there is a store, and the content can be told
	reading, result store.Key
}

// kept is an outcome as it is kept, but for what depends on where the drawing
// stands. It is kept twice: whole, and with no more of its parts than totals
// need, since what the JSON formats write is kept ready made.
type kept struct {
	Drawing   report.Drawing // without pictures
	Questions []report.Question
	Lines     []onLines
}

// looks are the pictures of a drawing, which only a report in a folder needs.
type looks struct {
	Parts  []report.PartDrawing
	Marked []byte
	Anew   string
}

// Sections of a kept outcome.
const (
	briefly = iota
	whole
	encoded // JSON but for the name; empty if no format asked for it
	pictured
	sections
)

// setStore opens the store, if there is to be one, and stamps the run.
func (c *checker) setStore() error {
	dir, limit, err := storePlace()
	if err != nil || dir == "" || c.flags.noCache || c.flags.samplesForm != "" {
		return err
	}
	program, err := programPrint()
	if err != nil {
		return err
	}
	shop, err := shopPrint(c.shop)
	if err != nil {
		return err
	}
	given := map[string]string{}
	if c.flags.set != nil {
		c.flags.set.Visit(func(g *pflag.Flag) {
			switch {
			case err != nil || asides[g.Name]:
			case fileFlags[g.Name]:
				given[g.Name], err = filePrint(g.Value.String())
			default:
				given[g.Name] = g.Value.String()
			}
		})
	}
	if err != nil {
		return err
	}
	c.stamps.reading = map[string]store.Key{}
	for line, tools := range c.tools {
		c.stamps.reading[line] = store.KeyOf("reading", program, c.read, c.measure, tools)
	}
	c.stamps.judging = store.KeyOf("result", program, shop, given, c.compare)
	c.store = store.Open(dir, limit)
	return nil
}

// keysOf are the keys of a drawing.
func (c *checker) keysOf(in *content, s source) (k keys) {
	if c.store == nil || !in.known {
		return k
	}
	k.ok = true
	k.reading = c.stamps.reading[c.lineFor(s)].And(in.print[:])
	said := []string{"", ""}
	if s.path != stdinPath {
		said[0] = filepath.Base(s.path)
	}
	switch {
	case s.table != nil && s.row >= 0:
		said[1] = s.table.source(s.row)
		for _, name := range jobColumns {
			said = append(said, s.table.rows[s.row].values[name])
		}
	case s.table != nil:
		said[1] = s.table.name
	}
	k.result = c.stamps.judging.And(k.reading[:], store.Encode(said))
	return k
}

// wants says which forms of a drawing the run needs: JSON ready made, all that
// it holds, and pictures.
func (c *checker) wants(s source) (ready, all, pictures bool) {
	f := c.flags
	json := f.format == "json" || f.format == "jsonl"
	pictures = f.report != ""
	// A shard's drawings carry a number that is not kept.
	ready = (json || pictures) && s.index == 0
	return ready, !json || pictures || !ready || f.against != "", pictures
}

// recall finds what the drawing came to before.
func (c *checker) recall(k keys, s source, out *outcome) bool {
	if !k.ok {
		return false
	}
	ready, all, pictures := c.wants(s)
	want := whole + 1
	switch {
	case pictures:
		want = pictured + 1
	case ready:
		want = encoded + 1
	}
	found, ok := c.store.Get(k.result, want)
	if !ok || pictures && len(found[pictured]) == 0 {
		return false
	}
	all = all || len(found[encoded:]) == 0 || len(found[encoded]) == 0
	section := briefly
	if all {
		section = whole
	}
	var was kept
	if store.Decode(found[section], &was) != nil {
		return false
	}
	d := &was.Drawing
	d.File, d.Index = out.drawing.File, out.drawing.Index
	if ready && len(found[encoded]) > 0 {
		var err error
		if d.Encoded, err = report.EncodedAs(d.File, found[encoded]); err != nil {
			return false
		}
	}
	if pictures {
		var seen looks
		if store.Decode(found[pictured], &seen) != nil || len(seen.Parts) != len(d.Parts) {
			return false
		}
		for i := range seen.Parts {
			d.Parts[i].Drawing = seen.Parts[i]
		}
		d.Marked, d.MarkedAnew = seen.Marked, seen.Anew
	}
	out.drawing, out.questions, out.lines = was.Drawing, was.Questions, was.Lines
	if ready && d.Encoded == nil {
		c.keep(k, s, out) // the next run has it ready made
	}
	return true
}

// keep makes a drawing's forms that the run needs, and keeps them.
func (c *checker) keep(k keys, s source, out *outcome) {
	ready, _, pictures := c.wants(s)
	var rest []byte
	if ready {
		text, err := report.Encode(&out.drawing)
		if err != nil {
			panic("implementation error: " + err.Error()) // numbers were looked at before
		}
		out.drawing.Encoded = text
		rest, _ = report.EncodedBut(text, out.drawing.File)
	}
	if !k.ok {
		return
	}
	d := out.drawing
	d.File, d.Index, d.Marked, d.MarkedAnew, d.Encoded = "", 0, nil, "", nil
	d.Parts = slices.Clone(d.Parts)
	seen := looks{Parts: make([]report.PartDrawing, len(d.Parts)), Marked: out.drawing.Marked, Anew: out.drawing.MarkedAnew}
	for i := range d.Parts {
		seen.Parts[i], d.Parts[i].Drawing = d.Parts[i].Drawing, report.PartDrawing{}
	}
	entry := make([][]byte, sections)
	entry[briefly] = store.Encode(kept{forTotals(d), out.questions, out.lines})
	entry[whole] = store.Encode(kept{d, out.questions, out.lines})
	entry[encoded] = rest
	if pictures {
		entry[pictured] = store.Encode(seen)
	}
	c.store.Put(k.result, entry...)
}

// forTotals is what a run needs of a drawing that is written ready made: its state,
// why it cannot be read, and of its parts what totals and the exit code take.
func forTotals(d report.Drawing) report.Drawing {
	b := report.Drawing{Status: d.Status, Hazards: d.Hazards}
	if d.Status == report.Unreadable {
		b.Messages = d.Messages
	}
	for _, p := range d.Parts {
		small := report.Part{Quantity: p.Quantity, Treatment: p.Treatment, Time: p.Time, Cost: p.Cost}
		for _, f := range p.Findings {
			if !slices.ContainsFunc(small.Findings, func(g report.Finding) bool { return g.Treatment == f.Treatment }) {
				small.Findings = append(small.Findings, report.Finding{Treatment: f.Treatment})
			}
		}
		b.Parts = append(b.Parts, small)
	}
	return b
}

// recallReading finds what was measured of the drawing before; nil for nothing.
func (c *checker) recallReading(k keys) *reading {
	if !k.ok {
		return nil
	}
	sections, ok := c.store.Get(k.reading, 1)
	if !ok {
		return nil
	}
	r := &reading{}
	if store.Decode(sections[0], r) != nil {
		return nil
	}
	return r
}

func (c *checker) keepReading(k keys, r *reading) {
	if k.ok {
		c.store.Put(k.reading, store.Encode(*r))
	}
}

// Environment variables that say where results are kept and how much of them.
const (
	cacheVariable = "BURRCAST_CACHE"       // a folder, or off
	limitVariable = "BURRCAST_CACHE_LIMIT" // such as 500MB
	defaultLimit  = "2GB"
)

// storePlace says where results are kept and how many bytes they may take; ""
// where nothing is to be kept.
func storePlace() (dir string, limit int64, err error) {
	text := os.Getenv(limitVariable)
	if text == "" {
		text = defaultLimit
	}
	if limit, err = parseSize(text); err != nil {
		return "", 0, fmt.Errorf("%s: %w", limitVariable, err)
	}
	switch dir = os.Getenv(cacheVariable); strings.ToLower(dir) {
	case "off":
		return "", limit, nil
	case "":
		if dir, err = os.UserCacheDir(); err != nil {
			return "", limit, nil // a service without a home keeps nothing
		}
		dir = filepath.Join(dir, program)
	}
	return dir, limit, nil
}

// keptWhere says where results are kept.
func keptWhere() string {
	dir, limit, err := storePlace()
	switch {
	case err != nil:
		return "results are not kept: " + err.Error()
	case dir == "":
		return "results are not kept"
	}
	return fmt.Sprintf("results are kept in %s, up to %.4g MB", filepath.ToSlash(dir), float64(limit)/1e6)
}

// parseSize reads a size such as 500MB or 2G; a thousand is a thousand.
func parseSize(text string) (int64, error) {
	number := strings.TrimSuffix(strings.ToUpper(strings.TrimSpace(text)), "B")
	factor := int64(1)
	for i, unit := range "KMGT" {
		if short, ok := strings.CutSuffix(number, string(unit)); ok {
			number = strings.TrimSpace(short)
			for range i + 1 {
				factor *= 1000
			}
			break
		}
	}
	n, err := strconv.ParseInt(number, 10, 64)
	if err != nil || n < 0 || n > 1<<62/factor {
		return 0, fmt.Errorf("%q is not a size such as 500MB or 2GB", text)
	}
	return n * factor, nil
}

// programPrint tells builds of the program apart. A build from a clean checkout
// or a released module says all that it was made from; of any other only the
// file itself does.
var programPrint = sync.OnceValues(func() (string, error) {
	if info, ok := debug.ReadBuildInfo(); ok {
		clean := info.Main.Sum != ""
		for _, s := range info.Settings {
			clean = clean || s.Key == "vcs.modified" && s.Value == "false"
		}
		if clean {
			return info.String(), nil
		}
	}
	name, err := os.Executable()
	if err != nil {
		return "", err
	}
	f, err := os.Open(name)
	if err != nil {
		return "", err
	}
	defer f.Close()
	h := sha256.New()
	if _, err := io.Copy(h, f); err != nil {
		return "", err
	}
	return printed(h.Sum(nil)), nil
})

// closeStore tidies up and says why results could not be kept. No run fails for
// that.
func (e *env) closeStore(c *checker) {
	c.store.Close()
	if err := c.store.Err(); err != nil && !c.flags.quiet {
		var p *os.PathError
		text := err.Error()
		if errors.As(err, &p) {
			text = filepath.ToSlash(p.Path) + ": " + p.Err.Error()
		}
		e.say("hint", "results are not kept for the next run: "+text+" (--no-cache does without)")
	}
}
