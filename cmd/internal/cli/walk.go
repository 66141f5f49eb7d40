package cli

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"runtime"
	"slices"
	"strings"

	"burrcast/geom/dxf"
)

const stdinPath = "-" // a drawing on standard input

// source is one drawing to read. A source with an error stands for a place that
// could not be looked into; it takes its turn in the report.
type source struct {
	path   string
	err    error
	zip    string    // the archive that holds it; empty for a file of its own
	member string    // its name there
	table  *jobTable // nil without one
	row    int       // of the table; -1 if none names the drawing
	index  int       // its number in the whole job, from 1; 0 unless the job is split
}

// name is the path as the report shows it, with "/" on every system.
func (s source) name() string {
	if s.path == stdinPath {
		return "stdin"
	}
	return filepath.ToSlash(s.path)
}

// walker turns arguments into drawings: files as they are, folders with all
// that is in them, wildcards expanded ignoring case, each drawing once.
type walker struct {
	found []source
	seen  map[string]bool // paths found
	been  map[string]bool // folders walked, links resolved
	past  string          // a folder passed by, links resolved; empty for none
	empty []string        // folders and patterns without a drawing
}

// walk lists the drawings of the arguments in order: arguments as given, what
// is in a folder by name.
func walk(args []string) *walker { return walkPast("", args) }

// walkPast passes one folder by where it is met inside another: the marked
// drawings of an earlier run are no work. Named by itself it is walked.
func walkPast(past string, args []string) *walker {
	w := &walker{seen: map[string]bool{}, been: map[string]bool{}}
	if past != "" {
		if real, err := filepath.EvalSymlinks(past); err == nil {
			if real, err = filepath.Abs(real); err == nil {
				w.past = real
			}
		}
	}
	for _, arg := range args {
		w.arg(arg)
	}
	return w
}

func (w *walker) arg(arg string) {
	if arg == stdinPath {
		w.add(source{path: arg})
		return
	}
	info, err := os.Stat(arg)
	switch {
	case err == nil && info.IsDir():
		past := w.past
		if real, err := filepath.EvalSymlinks(arg); err == nil {
			if real, err = filepath.Abs(real); err == nil && real == past {
				w.past = ""
			}
		}
		if !w.folder(arg) {
			w.empty = append(w.empty, arg)
		}
		w.past = past
	case err == nil && dxf.IsArchive(arg):
		if !w.archive(arg) {
			w.empty = append(w.empty, arg)
		}
	case err == nil:
		w.add(source{path: arg})
	case w.inArchive(arg):
	case hasWildcard(arg):
		w.pattern(arg)
	default:
		w.add(source{path: arg, err: plain(err)})
	}
}

func (w *walker) add(s source) {
	key := filepath.Clean(s.path)
	if w.seen[key] {
		return
	}
	w.seen[key] = true
	if s.path != stdinPath {
		s.path = key
	}
	w.found = append(w.found, s)
}

// folder walks a folder by name and says whether there is anything to report.
// A folder reached twice, through a link into itself say, is walked once.
func (w *walker) folder(dir string) (any bool) {
	real, err := filepath.EvalSymlinks(dir)
	if err == nil {
		real, err = filepath.Abs(real)
	}
	if err != nil {
		w.add(source{path: dir, err: plain(err)})
		return true
	}
	switch {
	case w.been[real]:
		return true
	case real == w.past:
		return false
	}
	w.been[real] = true
	entries, err := os.ReadDir(dir)
	if err != nil {
		w.add(source{path: dir, err: plain(err)})
		any = true
	}
	for _, entry := range entries {
		name := entry.Name()
		if hidden(name) {
			continue
		}
		full := filepath.Join(dir, name)
		isDir, isFile := entry.IsDir(), entry.Type().IsRegular()
		if entry.Type()&fs.ModeSymlink != 0 {
			info, err := os.Stat(full)
			if err != nil {
				if isDrawing(name) {
					w.add(source{path: full, err: plain(err)})
					any = true
				}
				continue
			}
			isDir, isFile = info.IsDir(), info.Mode().IsRegular()
		}
		switch {
		case isDir:
			any = w.folder(full) || any
		case isFile && isDrawing(name): // a pipe of that name would never end
			w.add(source{path: full})
			any = true
		case isFile && dxf.IsArchive(name):
			any = w.archive(full) || any
		}
	}
	return any
}

// pattern expands an argument with wildcards that the shell left alone. Names
// match whole and ignore case on every system. Of files that match only those
// count that are drawings by name or whose ending the pattern spells out.
func (w *walker) pattern(arg string) {
	matches, err := expand(arg)
	if err != nil {
		w.add(source{path: arg, err: err})
		return
	}
	spelt := path.Ext(filepath.ToSlash(arg))
	any := false
	for _, m := range matches {
		info, err := os.Stat(m)
		switch {
		case err != nil:
			w.add(source{path: m, err: plain(err)})
			any = true
		case info.IsDir():
			any = w.folder(m) || any
		case dxf.IsArchive(m):
			any = w.archive(m) || any
		case isDrawing(m) || spelt != "" && !hasWildcard(spelt):
			w.add(source{path: m})
			any = true
		}
	}
	if !any {
		w.empty = append(w.empty, arg)
	}
}

// expand lists what a pattern matches, sorted. It works segment by segment, so
// that "*" never crosses a folder, and passes hidden names unless the pattern's
// segment starts with a dot.
func expand(pattern string) ([]string, error) {
	slashed := filepath.ToSlash(pattern)
	base := []string{""}
	if volume := filepath.VolumeName(pattern); volume != "" {
		base = []string{volume}
		slashed = slashed[len(volume):]
	}
	if strings.HasPrefix(slashed, "/") {
		base[0] += string(filepath.Separator)
	}
	for segment := range strings.SplitSeq(strings.Trim(slashed, "/"), "/") {
		if segment == "" {
			continue
		}
		lower := strings.ToLower(segment)
		if _, err := path.Match(lower, ""); err != nil {
			return nil, fmt.Errorf("pattern %s: %w", pattern, err)
		}
		var next []string
		for _, dir := range base {
			join := func(name string) string {
				if dir == "" {
					return name
				}
				return filepath.Join(dir, name)
			}
			if !hasWildcard(segment) {
				if _, err := os.Lstat(join(segment)); err == nil {
					next = append(next, join(segment))
					continue
				}
			}
			list := dir
			if list == "" {
				list = "."
			}
			entries, err := os.ReadDir(list)
			if err != nil {
				continue // a file where the pattern wants a folder
			}
			for _, entry := range entries {
				name := entry.Name()
				if hidden(name) && !strings.HasPrefix(segment, ".") {
					continue
				}
				if ok, _ := path.Match(lower, strings.ToLower(name)); ok {
					next = append(next, join(name))
				}
			}
		}
		base = next
	}
	slices.Sort(base)
	return base, nil
}

func hasWildcard(s string) bool { return strings.ContainsAny(s, "*?[") }

func hidden(name string) bool { return strings.HasPrefix(name, ".") }

func isDrawing(name string) bool { return dxf.IsDrawing(name) }

// plain says what is wrong with a path in the same words on every system.
func plain(err error) error {
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return &pathError{"missing-file", "no such file or folder", err}
	case errors.Is(err, fs.ErrPermission):
		return &pathError{"no-permission", "no permission to read it", err}
	}
	var p *fs.PathError
	text := err.Error()
	if errors.As(err, &p) {
		text = p.Err.Error()
	}
	return &pathError{"read-failed", text, err}
}

// pathError is a reason with a stable code.
type pathError struct {
	code, text string
	cause      error
}

func (e *pathError) Error() string { return e.text }
func (e *pathError) Unwrap() error { return e.cause }

// defaultWorkers is one for each processor.
func defaultWorkers() int { return runtime.GOMAXPROCS(0) }
