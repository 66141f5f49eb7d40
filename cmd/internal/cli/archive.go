package cli

import (
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"burrcast/geom/dxf"
)

// archive adds the drawings of a zip archive, by name, and says whether there
// is anything to report.
func (w *walker) archive(file string) (any bool) {
	names, err := members(file)
	if err != nil {
		w.add(source{path: file, err: err})
		return true
	}
	for _, name := range names {
		w.add(source{path: filepath.Join(file, inside(name)), zip: file, member: name})
	}
	return len(names) > 0
}

// inside is a member's name as a path below its archive, whatever it says:
// names are data, and "../" leads nowhere.
func inside(name string) string {
	return filepath.FromSlash(strings.TrimPrefix(path.Clean("/"+strings.ReplaceAll(name, `\`, "/")), "/"))
}

// inArchive adds one drawing that is named as the report shows it, such as
// order.zip/lid.dxf, and says whether there is such an archive.
func (w *walker) inArchive(arg string) bool {
	for file := filepath.Dir(filepath.Clean(arg)); file != "." && file != filepath.Dir(file); file = filepath.Dir(file) {
		info, err := os.Stat(file)
		if err != nil || !info.Mode().IsRegular() || !dxf.IsArchive(file) {
			continue
		}
		names, err := members(file)
		if err != nil {
			w.add(source{path: file, err: err})
			return true
		}
		for _, name := range names {
			if full := filepath.Join(file, inside(name)); full == filepath.Clean(arg) {
				w.add(source{path: full, zip: file, member: name})
				return true
			}
		}
		w.add(source{path: arg, err: plain(fs.ErrNotExist)})
		return true
	}
	return false
}

// members lists the drawings of an archive.
func members(file string) ([]string, error) {
	f, size, err := openSized(file)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return dxf.Members(f, size)
}

func openSized(file string) (*os.File, int64, error) {
	f, err := os.Open(file)
	if err != nil {
		return nil, 0, plain(err)
	}
	info, err := f.Stat()
	if err != nil {
		f.Close()
		return nil, 0, plain(err)
	}
	return f, info.Size(), nil
}

// archives keeps the archives used last open, since drawings of one come one
// after another, and its list of files is long where there are many.
type archives struct {
	mutex sync.Mutex
	open  []*openArchive // used last first
}

type openArchive struct {
	path  string
	file  *os.File
	list  *dxf.Archive
	users int
	done  bool // nobody gets it any more; the last user closes it
}

// mostOpen is how many archives stay open. Workers are rarely in more than two.
const mostOpen = 4

// fromArchive unpacks a drawing.
func (c *checker) fromArchive(s source) ([]byte, error) {
	a, err := c.archives.take(s.zip)
	if err != nil {
		return nil, err
	}
	defer c.archives.give(a)
	return a.list.Member(s.member, c.read)
}

func (l *archives) take(path string) (*openArchive, error) {
	l.mutex.Lock()
	defer l.mutex.Unlock()
	for i, a := range l.open {
		if a.path == path {
			l.open = append([]*openArchive{a}, slices.Delete(l.open, i, i+1)...)
			a.users++
			return a, nil
		}
	}
	f, size, err := openSized(path)
	if err != nil {
		return nil, err
	}
	list, err := dxf.OpenArchive(f, size)
	if err != nil {
		f.Close()
		return nil, err
	}
	a := &openArchive{path: path, file: f, list: list, users: 1}
	l.open = append([]*openArchive{a}, l.open...)
	if len(l.open) > mostOpen {
		l.drop(l.open[mostOpen:])
		l.open = l.open[:mostOpen]
	}
	return a, nil
}

func (l *archives) give(a *openArchive) {
	l.mutex.Lock()
	defer l.mutex.Unlock()
	if a.users--; a.users == 0 && a.done {
		a.file.Close()
	}
}

func (l *archives) drop(list []*openArchive) {
	for _, a := range list {
		if a.done = true; a.users == 0 {
			a.file.Close()
		}
	}
}

// close closes all, when the workers are done.
func (l *archives) close() {
	l.mutex.Lock()
	defer l.mutex.Unlock()
	l.drop(l.open)
	l.open = nil
}
