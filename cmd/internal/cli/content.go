package cli

import (
	"crypto/sha256"
	"errors"
	"io"
	"os"

	"burrcast/geom/dxf"
)

// content is what a source holds, opened and not read as a drawing yet.
type content struct {
	data  []byte    // all of it
	file  *os.File  // what is too large to be held at once
	in    io.Reader // what can be read once only
	print [sha256.Size]byte
	known bool // print is the content's hash
	hold  bool // read holds on to the data
}

// wholeFile is the size up to which a file is read in one go; beyond it and for
// devices the reader's own bound decides, byte by byte.
const wholeFile = 256 << 20

// open looks up what a source holds and, if that is wanted, its hash. The error
// is for a source without content.
func (c *checker) open(s source, hash bool) (*content, error) {
	if s.err != nil {
		return nil, s.err
	}
	if s.path == stdinPath {
		if c.stdin == nil {
			return nil, errors.New("standard input is closed")
		}
		return &content{in: c.stdin}, nil
	}
	in := &content{}
	var err error
	if s.zip != "" {
		in.data, err = c.fromArchive(s)
	} else {
		err = in.load(s.path)
	}
	if err != nil {
		return nil, err
	}
	if hash {
		in.hash()
	}
	return in, nil
}

// load opens a file and reads it if it is small enough.
func (in *content) load(name string) error {
	info, err := os.Stat(name)
	switch {
	case err != nil:
		return plain(err)
	case info.Mode().IsRegular() && info.Size() <= wholeFile:
		if in.data, err = os.ReadFile(name); err != nil {
			return plain(err)
		}
		return nil
	}
	f, err := os.Open(name)
	if err != nil {
		return plain(err)
	}
	if info.Mode().IsRegular() {
		in.file = f
	} else {
		in.in = f // a pipe or a device
	}
	return nil
}

// hash finds the content's hash, where it can be read twice.
func (in *content) hash() {
	switch {
	case in.data != nil:
		in.print, in.known = sha256.Sum256(in.data), true
	case in.file != nil:
		h := sha256.New()
		if _, err := io.Copy(h, in.file); err == nil {
			h.Sum(in.print[:0])
			in.known = true
		}
	}
}

// read reads the drawing. A file that is not what was hashed has no hash any more.
func (in *content) read(opt dxf.Options) (*dxf.Drawing, error) {
	switch {
	case in.file != nil:
		if _, err := in.file.Seek(0, io.SeekStart); err != nil {
			return nil, plain(err)
		}
		h := sha256.New()
		d, err := in.gather(io.TeeReader(in.file, h), opt)
		if [sha256.Size]byte(h.Sum(nil)) != in.print {
			in.known = false
		}
		return d, err
	case in.in != nil:
		return in.gather(in.in, opt)
	}
	return dxf.ReadBytes(in.data, opt)
}

// gather reads a drawing that is not held yet, and holds its data if that is
// wanted.
func (in *content) gather(r io.Reader, opt dxf.Options) (*dxf.Drawing, error) {
	if !in.hold {
		return dxf.Read(r, opt)
	}
	data, err := dxf.Gather(r, opt)
	if err != nil {
		return nil, err
	}
	in.data = data
	return dxf.ReadBytes(data, opt)
}

func (in *content) close() {
	if in.file != nil {
		in.file.Close()
	}
	if f, ok := in.in.(*os.File); ok && f != os.Stdin {
		f.Close()
	}
}
