package cli

import (
	"fmt"
	"io"
	"math"
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
	began time.Time
	last  time.Time // the line was written
	upTo  int       // drawings done then
	rate  float64   // drawings a second lately
}

const (
	// progressEvery is how often the line changes.
	progressEvery = 100 * time.Millisecond
	// progressLately is how far back the rate looks: a second run is quick where
	// drawings did not change, and slow where they did.
	progressLately = 10 * time.Second
	// progressSettled is when a rate is worth telling.
	progressSettled = 2 * time.Second
)

func (p *progress) step() {
	p.done++
	if p.w == nil || p.done > 1 && time.Since(p.last) < progressEvery {
		return
	}
	fmt.Fprintf(p.w, "\r%s\x1b[K", p.words(time.Now()))
}

// words say how far the run is, how fast, and how long it will take at that.
func (p *progress) words(now time.Time) string {
	text := fmt.Sprintf("%d of %d drawings", p.done, p.total)
	if p.began.IsZero() {
		p.began, p.last, p.upTo = now, now, p.done
		return text
	}
	step, all := now.Sub(p.last).Seconds(), now.Sub(p.began).Seconds()
	if step > 0 {
		weight := 1 - math.Exp(-step/min(all, progressLately.Seconds()))
		p.rate += weight * (float64(p.done-p.upTo)/step - p.rate)
		p.last, p.upTo = now, p.done
	}
	if now.Sub(p.began) < progressSettled || p.rate <= 0 {
		return text
	}
	unit, rate := "s", p.rate
	if rate < 1 {
		unit, rate = "min", 60*rate
	}
	left := time.Duration(float64(p.total-p.done) / p.rate * float64(time.Second))
	return fmt.Sprintf("%s, %.3g/%s, %s left", text, rate, unit, roughly(left))
}

// roughly is a time in its largest unit or two.
func roughly(d time.Duration) string {
	switch s := int(math.Round(d.Seconds())); {
	case s == 0 && d > 0:
		return "1 s"
	case s < 60:
		return fmt.Sprintf("%d s", s)
	case s < 600:
		return fmt.Sprintf("%d min %d s", s/60, s%60)
	case s < 2*3600:
		return fmt.Sprintf("%d min", (s+59)/60)
	default:
		return fmt.Sprintf("%d h %d min", s/3600, s%3600/60)
	}
}

// clear takes the line away before anything else is written.
func (p *progress) clear() {
	if p.w != nil && p.done > 0 {
		fmt.Fprint(p.w, "\r\x1b[K")
	}
}
