package cli

import (
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"

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

// fromArchive unpacks a drawing.
func (c *checker) fromArchive(s source) ([]byte, error) {
	f, size, err := openSized(s.zip)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return dxf.Member(f, size, s.member, c.read)
}
