package cli

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"io"
	"runtime/debug"

	"burrcast/cmd/internal/report"
	"burrcast/rules"

	"github.com/spf13/pflag"
)

// fileFlags are flags that decide how drawings are judged by naming a file: what
// counts is what is in it.
var fileFlags = map[string]bool{"jobs": true}

// runOf tells what a run is made with. Every flag that is given counts but for
// those that change nothing in what a drawing comes to.
func runOf(f *checkFlags, shop rules.Shop) (*report.Run, error) {
	print, err := shopPrint(shop)
	if err != nil {
		return nil, err
	}
	run := &report.Run{Program: version(), Shop: print, Flags: map[string]string{}}
	rates := ratesOf(shop)
	run.Rates = &rates
	if f.set == nil {
		return run, nil
	}
	f.set.Visit(func(g *pflag.Flag) {
		switch {
		case err != nil || asides[g.Name] && !fileFlags[g.Name] || g.Name == "line" && f.compare: // a comparison is told as such
		case fileFlags[g.Name]:
			run.Flags[g.Name], err = filePrint(g.Value.String())
		default:
			run.Flags[g.Name] = g.Value.String()
		}
	})
	return run, err
}

// shopPrint is a hash of everything that a shop file says, however it is
// written: the same for the built-in one and a file that repeats it.
func shopPrint(shop rules.Shop) (string, error) {
	text, err := json.Marshal(shop)
	if err != nil {
		return "", err
	}
	return printOf(text), nil
}

func printOf(data []byte) string {
	sum := sha256.Sum256(data)
	return printed(sum[:])
}

func printed(sum []byte) string { return "sha256:" + hex.EncodeToString(sum) }

func filePrint(name string) (string, error) {
	f, _, err := openSized(name)
	if err != nil {
		return "", err
	}
	defer f.Close()
	h := sha256.New()
	if _, err := io.Copy(h, f); err != nil {
		return "", plain(err)
	}
	return printed(h.Sum(nil)), nil
}

// version is the module's version with the revision it was built from.
func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "(unknown)"
	}
	return versionOf(info)
}

// versionOf adds the revision where the version does not name it.
func versionOf(info *debug.BuildInfo) string {
	v, changed := info.Main.Version, ""
	for _, s := range info.Settings {
		if s.Key == "vcs.modified" && s.Value == "true" {
			changed = " with changes"
		}
	}
	for _, s := range info.Settings {
		if s.Key == "vcs.revision" {
			v += " revision " + s.Value[:min(len(s.Value), 12)] + changed
		}
	}
	return v
}

// scope adds to the notes what the report does not hold.
func scope(t report.Tail) []string {
	notes := t.Notes
	if t.Run != nil && t.Run.Split != nil {
		notes = append(notes, "scope: "+t.Run.Split.Words())
	}
	if t.Incomplete != "" {
		notes = append(notes, "scope: "+t.Incomplete)
	}
	return notes
}
