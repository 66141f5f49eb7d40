package cli

import (
	"fmt"
	"io"
	"os"
	"runtime"
	"time"
)

// isTerminal says whether a person looks at what is written.
func isTerminal(w io.Writer) bool {
	f, ok := w.(*os.File)
	if !ok || f == nil {
		return false
	}
	info, err := f.Stat()
	if err != nil || info.Mode()&os.ModeCharDevice == 0 {
		return false
	}
	// The null device is a character device, too.
	null, err := os.Stat(os.DevNull)
	return err != nil || !os.SameFile(info, null)
}

// wantsColor says whether text may be coloured: on a terminal that knows
// colour, and never against NO_COLOR (no-color.org: present and not empty).
func wantsColor(w io.Writer) bool {
	if os.Getenv("NO_COLOR") != "" || os.Getenv("TERM") == "dumb" || !isTerminal(w) {
		return false
	}
	if runtime.GOOS == "windows" {
		// The old console shows colour codes as letters.
		return os.Getenv("WT_SESSION") != "" || os.Getenv("TERM") != ""
	}
	return true
}

// progress is one line on a terminal that is written over and over.
type progress struct {
	w     io.Writer // nil for none
	total int
	done  int
	last  time.Time
}

// progressEvery is how often the line changes.
const progressEvery = 100 * time.Millisecond

func (p *progress) step() {
	p.done++
	if p.w == nil || p.done > 1 && time.Since(p.last) < progressEvery {
		return
	}
	p.last = time.Now()
	fmt.Fprintf(p.w, "\r%d of %d drawings", p.done, p.total)
}

// clear takes the line away before anything else is written.
func (p *progress) clear() {
	if p.w != nil && p.done > 0 {
		fmt.Fprint(p.w, "\r\x1b[K")
	}
}
