package cli

import (
	"strings"
	"testing"
	"time"
)

func TestProgress(t *testing.T) {
	start := time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)
	p := progress{total: 10_000}
	words := ""
	at := func(seconds float64, done int) string {
		p.done = done
		return p.words(start.Add(time.Duration(seconds * float64(time.Second))))
	}
	if words = at(0, 1); words != "1 of 10000 drawings" {
		t.Error(words)
	}
	if words = at(1, 101); words != "101 of 10000 drawings" {
		t.Errorf("a rate after a second: %s", words)
	}
	for s := 2; s <= 60; s++ { // steady
		words = at(float64(s), 1+100*s)
	}
	if words != "6001 of 10000 drawings, 100/s, 40 s left" {
		t.Error(words)
	}
	for s := 61; s <= 160; s++ { // and then slower: the rate follows
		words = at(float64(s), 6001+s-60)
	}
	if words != "6101 of 10000 drawings, 1/s, 65 min left" {
		t.Error(words)
	}
	for s := 161; s <= 400; s++ {
		if words = at(float64(s), 6101); strings.Contains(words, "NaN") || strings.Contains(words, "Inf") {
			t.Fatal(words)
		}
	}
	if !strings.Contains(words, "/min, ") {
		t.Errorf("a slow rate: %s", words)
	}
	if words = at(401, 10_000); !strings.HasPrefix(words, "10000 of 10000 drawings, ") || !strings.HasSuffix(words, ", 0 s left") {
		t.Error(words)
	}
	if words = at(401, 10_000); !strings.HasSuffix(words, ", 0 s left") { // no time went by
		t.Error(words)
	}
}

func TestRoughly(t *testing.T) {
	for want, d := range map[string]time.Duration{"0 s": 0, "1 s": time.Millisecond, "59 s": 59 * time.Second, "1 min 0 s": time.Minute,
		"9 min 59 s": 599 * time.Second, "10 min": 10 * time.Minute, "11 min": 10*time.Minute + time.Second, "120 min": 7199 * time.Second,
		"2 h 0 min": 2 * time.Hour, "26 h 5 min": 26*time.Hour + 5*time.Minute} {
		if got := roughly(d); got != want {
			t.Errorf("%v: %s, not %s", d, got, want)
		}
	}
}
