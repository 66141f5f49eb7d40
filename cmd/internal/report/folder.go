package report

import (
	"bufio"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// Files of a report folder.
const (
	PageFile    = "index.html"
	BookFile    = "report.xlsx"
	TableFile   = "report.csv"
	ProgramFile = "report.json"
	MarkedDir   = "marked" // drawings with our marks, one for each drawing read
)

// Folder is a report in files. Everything is written under temporary names in
// the folder itself and renamed at the end, so that a run that fails leaves
// what was there as it was.
type Folder struct {
	dir     string
	outputs []*output
	renders []Renderer
	marked  map[string]string // of a drawing's name, its marked file
	inputs  map[string]string // place -> input as given
	made    []string          // folders that were not there before, outer first
}

// OpenFolder makes the folder and opens its files. Inputs are the files that
// the run reads, drawings first among them; none of them is ever written over.
// Drawings are named as in the report, with "/".
func OpenFolder(dir string, drawings []string, others ...string) (*Folder, error) {
	f := &Folder{dir: dir, marked: markedNames(drawings), inputs: map[string]string{}}
	for _, in := range append(append([]string(nil), drawings...), others...) {
		if in != "" {
			f.inputs[place(filepath.FromSlash(in))] = in
		}
	}
	for _, d := range drawings { // before any work is done
		if in, ok := f.inputs[place(f.markedPath(d))]; ok {
			return nil, fmt.Errorf("%s: %w", in, errOverInput)
		}
	}
	if err := f.mkdir(dir); err != nil {
		return nil, f.failed(dir, err)
	}
	for _, file := range folderFiles {
		out, err := f.create(file.name)
		if err != nil {
			f.Abort()
			return nil, err
		}
		f.renders = append(f.renders, file.open(out))
	}
	return f, nil
}

// folderFiles are the files of a report folder beside the marked drawings. What
// has to wait for the end waits beside them, in files without a name where the
// system allows that.
var folderFiles = []struct {
	name string
	open func(*output) Renderer
}{
	{PageFile, func(o *output) Renderer { return &pageRenderer{w: o, spool: spool{dir: o.dir()}} }},
	{ProgramFile, func(o *output) Renderer { return &jsonRenderer{w: o, spool: spool{dir: o.dir()}} }},
	{BookFile, func(o *output) Renderer { return newBookRenderer(o, o.dir()) }},
	{TableFile, func(o *output) Renderer { return &csvRenderer{w: o} }},
}

// mkdir makes a folder and those above it, and remembers which.
func (f *Folder) mkdir(dir string) error {
	var missing []string
	for at := filepath.Clean(dir); ; at = filepath.Dir(at) {
		if _, err := os.Stat(at); !errors.Is(err, fs.ErrNotExist) || at == filepath.Dir(at) {
			break
		}
		missing = append(missing, at)
	}
	slices.Reverse(missing)
	f.made = append(f.made, missing...)
	return os.MkdirAll(dir, 0o777)
}

// Drawing adds a drawing to every file and writes its marked twin.
func (f *Folder) Drawing(d *Drawing) error {
	if name := f.marked[d.File]; d.Marked != nil && name != "" {
		if err := f.mark(MarkedDir+"/"+name, d.Marked); err != nil {
			return err
		}
	}
	for i, r := range f.renders {
		if err := r.Drawing(d); err != nil {
			return f.failed(f.outputs[i].name, err)
		}
	}
	return nil
}

// mark writes a marked drawing and closes it, since there are many; it takes
// its place with the others.
func (f *Folder) mark(name string, data []byte) error {
	full := filepath.Join(f.dir, filepath.FromSlash(name))
	if err := f.mkdir(filepath.Dir(full)); err != nil {
		return f.failed(filepath.Dir(full), err)
	}
	o, err := f.create(name)
	if err != nil {
		return err
	}
	if _, err = o.Write(data); err == nil {
		err = o.finish()
	}
	if err != nil {
		return f.failed(full, err)
	}
	return nil
}

// Close finishes the files and puts them in place.
func (f *Folder) Close(t Tail) error {
	for i, r := range f.renders {
		if err := r.Close(t); err != nil {
			return f.failed(f.outputs[i].name, err)
		}
	}
	// All must be whole on the disk before the first takes its place.
	for _, o := range f.outputs {
		if err := o.finish(); err != nil {
			return f.failed(o.name, err)
		}
	}
	for _, o := range f.outputs {
		if err := os.Rename(o.temporary, o.name); err != nil {
			return f.failed(o.name, err)
		}
		o.temporary = ""
	}
	f.outputs, f.made = nil, nil
	return nil
}

// Abort takes away what was written under temporary names. It does nothing
// after a Close that went well.
func (f *Folder) Abort() {
	for _, r := range f.renders {
		if d, ok := r.(interface{ drop() }); ok {
			d.drop()
		}
	}
	for _, o := range f.outputs {
		o.drop()
	}
	f.outputs = nil
	for _, dir := range slices.Backward(f.made) {
		os.Remove(dir) // only an empty one goes: whatever else stands there is not ours
	}
	f.made = nil
}

// markedPath is where the marked drawing of a drawing will stand.
func (f *Folder) markedPath(drawing string) string {
	return filepath.Join(f.dir, MarkedDir, filepath.FromSlash(f.marked[drawing]))
}

// failed names the file that could not be written.
func (f *Folder) failed(name string, err error) error {
	var p *fs.PathError
	var l *os.LinkError
	switch {
	case errors.Is(err, errOverInput):
		return err
	case errors.As(err, &p):
		err = p.Err
	case errors.As(err, &l):
		err = l.Err
	}
	return fmt.Errorf("%s: %w", filepath.ToSlash(name), err)
}

// errOverInput is why a file is not written.
var errOverInput = errors.New("the report would write over what it is made from")

// create opens one file of the folder under a temporary name.
func (f *Folder) create(name string) (*output, error) {
	full := filepath.Join(f.dir, filepath.FromSlash(name))
	if in, ok := f.inputs[place(full)]; ok {
		return nil, fmt.Errorf("%s: %w", in, errOverInput)
	}
	if info, err := os.Lstat(full); err == nil && info.IsDir() {
		return nil, fmt.Errorf("%s: a folder is in the way", filepath.ToSlash(full))
	}
	o, err := newOutput(full)
	if err != nil {
		return nil, f.failed(full, err)
	}
	f.outputs = append(f.outputs, o)
	return o, nil
}

// place is where a name stands, links in its folder resolved: two names of one
// place are one file to write over. Case is ignored, as some systems do; on the
// others that refuses a little too much, and loses nothing.
func place(name string) string {
	dir, base := filepath.Split(filepath.Clean(name))
	if dir == "" {
		dir = "."
	}
	if real, err := filepath.EvalSymlinks(dir); err == nil {
		dir = real
	}
	if abs, err := filepath.Abs(dir); err == nil {
		dir = abs
	}
	return strings.ToLower(filepath.Join(dir, base))
}

// output is a file being written.
type output struct {
	name      string // where it will stand
	temporary string // where it is now; empty when done or dropped
	file      *os.File
	buffer    *bufio.Writer
}

// newOutput makes a temporary file beside the name. It is not os.CreateTemp,
// whose files others cannot read.
func newOutput(name string) (*output, error) {
	for n := 0; ; n++ {
		temporary := filepath.Join(filepath.Dir(name), fmt.Sprintf(".%s.%d-%d.tmp", filepath.Base(name), os.Getpid(), n))
		file, err := os.OpenFile(temporary, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
		if errors.Is(err, fs.ErrExist) && n < 1000 {
			continue
		}
		if err != nil {
			return nil, err
		}
		return &output{name: name, temporary: temporary, file: file, buffer: bufio.NewWriterSize(file, 1<<16)}, nil
	}
}

func (o *output) dir() string { return filepath.Dir(o.name) }

func (o *output) Write(p []byte) (int, error) { return o.buffer.Write(p) }

// finish brings everything to the disk; some systems say only here that it is
// full.
func (o *output) finish() error {
	if o.file == nil {
		return nil
	}
	err := o.buffer.Flush()
	if err == nil {
		err = o.file.Sync()
	}
	if closing := o.file.Close(); err == nil {
		err = closing
	}
	o.file, o.buffer = nil, nil // a folder has many that wait to be put in place
	return err
}

func (o *output) drop() {
	if o.file != nil {
		o.file.Close()
		o.file = nil
	}
	if o.temporary != "" {
		os.Remove(o.temporary)
		o.temporary = ""
	}
}

// markedNames gives every drawing a file below the folder of marked drawings,
// with "/": its path from the folder that all drawings share. Names that some
// systems take for the same get a number.
func markedNames(drawings []string) map[string]string {
	var common []string
	var split [][]string
	for _, d := range drawings {
		var steps []string
		for step := range strings.SplitSeq(d, "/") {
			switch {
			case step == "" || step == ".":
			case step == "..":
				steps = append(steps, "up") // stay below the folder
			default:
				steps = append(steps, strings.ReplaceAll(step, ":", "_"))
			}
		}
		split = append(split, steps)
		if len(steps) == 0 {
			continue
		}
		if parents := steps[:len(steps)-1]; common == nil {
			common = append([]string{}, parents...)
		} else {
			n := 0
			for n < min(len(common), len(parents)) && common[n] == parents[n] {
				n++
			}
			common = common[:n]
		}
	}
	names, taken := map[string]string{}, map[string]bool{}
	for i, d := range drawings {
		if len(split[i]) == 0 || names[d] != "" {
			continue
		}
		base := strings.Join(split[i][len(common):], "/")
		if !strings.EqualFold(filepath.Ext(base), ".dxf") {
			base += ".dxf"
		}
		name := base
		for n := 2; taken[strings.ToLower(name)]; n++ {
			ext := filepath.Ext(base)
			name = fmt.Sprintf("%s-%d%s", strings.TrimSuffix(base, ext), n, ext)
		}
		taken[strings.ToLower(name)] = true
		names[d] = name
	}
	return names
}
