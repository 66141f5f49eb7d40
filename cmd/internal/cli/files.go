package cli

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"burrcast/cmd/internal/report"
)

// openFolder opens the folder of --report, or nothing, which takes drawings as
// a folder does and writes none of them.
func (f *checkFlags) openFolder(sources []source) (folder, error) {
	if f.report == "" {
		return noFolder{}, nil
	}
	names := make([]string, len(sources))
	for i, s := range sources {
		names[i] = s.name()
	}
	return report.OpenFolder(f.report, names, f.shop, f.jobs, f.against)
}

// folder is where the files of a report go.
type folder interface {
	Drawing(d *report.Drawing) error
	Close(t report.Tail) error
	Abort()
}

type noFolder struct{}

func (noFolder) Drawing(*report.Drawing) error { return nil }
func (noFolder) Close(report.Tail) error       { return nil }
func (noFolder) Abort()                        {}

// ours is the folder of marked drawings that a run before this one may have
// left among the drawings.
func (f *checkFlags) ours() string {
	if f.report == "" {
		return ""
	}
	return filepath.Join(f.report, report.MarkedDir)
}

// besides is the folder for the report on a path, beside it.
func besides(path string) string {
	const ending = "-report"
	if path == stdinPath || hasWildcard(path) {
		return program + ending
	}
	path = filepath.Clean(path)
	if abs, err := filepath.Abs(path); err == nil && (path == "." || path == ".." || strings.HasSuffix(path, string(filepath.Separator)+"..")) {
		path = abs // "." has its name in its parent
	}
	if info, err := os.Stat(path); err == nil && info.IsDir() {
		return path + ending
	}
	return strings.TrimSuffix(path, filepath.Ext(path)) + ending
}

// show opens the report's page with the program that the system has for pages.
func (e *env) show(f *checkFlags) {
	if f.report == "" {
		return
	}
	page := filepath.Join(f.report, report.PageFile)
	if !f.quiet {
		e.say("hint", "the report is in "+filepath.ToSlash(page))
	}
	if !f.open {
		return
	}
	if abs, err := filepath.Abs(page); err == nil {
		page = abs
	}
	open := openPage
	if e.open != nil {
		open = e.open
	}
	if err := open(page); err != nil {
		e.say("hint", fmt.Sprintf("it cannot be shown from here: %v", err))
	}
}
