package cli

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime/debug"
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
	"shard": true, "workers": true, "quiet": true, "help": true, "no-cache": true, "against": true}

// stamps are the hashes of what all drawings of a run are read and measured
// with, and judged with.
type stamps struct{ reading, judging store.Key }

// keys are the names under which a drawing's results are kept.
type keys struct {
	ok              bool // there is a store, and the content can be told
	reading, result store.Key
}

// kept is an outcome as it is kept, but for what depends on where the drawing
// stands.
type kept struct {
	Drawing   report.Drawing // without pictures
	Questions []report.Question
	Lines     []onLines
}

// looks are the pictures of a drawing, which only a report in a folder needs.
type looks struct {
	Parts  []report.PartDrawing
	Marked []byte
}

// setStore opens the store, if there is to be one, and stamps the run.
func (c *checker) setStore() error {
	dir, limit, err := storePlace()
	if err != nil || dir == "" || c.flags.noCache {
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
	c.stamps.reading = store.KeyOf("reading", program, c.read, c.measure)
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
	k.reading = store.KeyOf(c.stamps.reading[:], c.toolsFor(s), in.print[:])
	base, row, table := "", map[string]string(nil), ""
	if s.path != stdinPath {
		base = filepath.Base(s.path)
	}
	if s.table != nil {
		table = s.table.name
		if s.row >= 0 {
			row, table = s.table.rows[s.row].values, s.table.source(s.row)
		}
	}
	k.result = store.KeyOf(c.stamps.judging[:], k.reading[:], base, row, table)
	return k
}

// recall finds what the drawing came to before.
func (c *checker) recall(k keys, out *outcome) bool {
	if !k.ok {
		return false
	}
	want := 1
	if c.flags.report != "" {
		want = 2
	}
	sections, ok := c.store.Get(k.result, want)
	if !ok {
		return false
	}
	var was kept
	if store.Decode(sections[0], &was) != nil {
		return false
	}
	if want == 2 {
		var seen looks
		if store.Decode(sections[1], &seen) != nil || len(seen.Parts) != len(was.Drawing.Parts) {
			return false
		}
		for i := range seen.Parts {
			was.Drawing.Parts[i].Drawing = seen.Parts[i]
		}
		was.Drawing.Marked = seen.Marked
	}
	was.Drawing.File = out.drawing.File
	out.drawing, out.questions, out.lines = was.Drawing, was.Questions, was.Lines
	return true
}

// keep keeps what a drawing came to, with pictures if there are any.
func (c *checker) keep(k keys, out *outcome) {
	if !k.ok {
		return
	}
	d := out.drawing
	d.File, d.Index, d.Marked = "", 0, nil
	d.Parts = make([]report.Part, len(out.drawing.Parts))
	seen := looks{Parts: make([]report.PartDrawing, len(d.Parts)), Marked: out.drawing.Marked}
	for i, p := range out.drawing.Parts {
		seen.Parts[i], p.Drawing = p.Drawing, report.PartDrawing{}
		d.Parts[i] = p
	}
	if out.drawing.Parts == nil {
		d.Parts = nil
	}
	sections := [][]byte{store.Encode(kept{d, out.questions, out.lines})}
	if c.flags.report != "" {
		sections = append(sections, store.Encode(seen))
	}
	c.store.Put(k.result, sections...)
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
