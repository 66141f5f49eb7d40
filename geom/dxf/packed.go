package dxf

import (
	"archive/zip"
	"bytes"
	"compress/gzip"
	"errors"
	"fmt"
	"io"
	"path"
	"sort"
	"strings"
)

// A packed file may unpack to unpackAlways bytes, or to mostGrowth times its
// size if that is more. Drawings, which are numbers in words, shrink to a
// twentieth at best; what grows a hundredfold is a trap.
const (
	unpackAlways = 16 << 20
	mostGrowth   = 100
	mostMembers  = 100_000 // entries of an archive
	mostDrawings = 10_000  // of these, drawings
)

// unpackBound bounds what may come out of size packed bytes.
func unpackBound(size, most int64) int64 { return min(most, max(unpackAlways, mostGrowth*size)) }

func isGzip(data []byte) bool { return bytes.HasPrefix(data, []byte("\x1f\x8b")) }
func isZip(data []byte) bool {
	return bytes.HasPrefix(data, []byte("PK\x03\x04")) || bytes.HasPrefix(data, []byte("PK\x05\x06"))
}

// unpack returns the drawing in a gzip file, or the only one in a zip archive.
func unpack(data []byte, opt Options) ([]byte, error) {
	switch {
	case isGzip(data):
		r, err := gzip.NewReader(bytes.NewReader(data))
		if err != nil {
			return nil, &Error{Code: CodePacked, Text: "broken compressed data: " + err.Error(), Err: err}
		}
		return inflate(r, int64(len(data)), opt)
	case isZip(data):
		in := bytes.NewReader(data)
		names, err := Members(in, int64(len(data)))
		switch {
		case err != nil:
			return nil, err
		case len(names) == 0:
			return nil, &Error{Code: CodePacked, Text: "an archive without a drawing"}
		case len(names) > 1:
			return nil, &Error{Code: CodePacked, Text: fmt.Sprintf("an archive of %d drawings, the first one %s: name one", len(names), quote([]byte(names[0])))}
		}
		a, err := OpenArchive(in, int64(len(data)))
		if err != nil {
			return nil, err
		}
		return a.unpack(names[0], opt)
	}
	return data, nil
}

// inflate reads all of r, which unpacks size bytes.
func inflate(r io.Reader, size int64, opt Options) ([]byte, error) {
	bound := unpackBound(size, opt.MaxBytes)
	var out bytes.Buffer
	n, err := out.ReadFrom(io.LimitReader(r, bound+1))
	switch {
	case n > bound:
		return nil, &Error{Code: CodeLimit, Text: fmt.Sprintf("unpacks to more than %d bytes", bound)}
	case err != nil:
		return nil, &Error{Code: CodePacked, Text: fmt.Sprintf("broken compressed data after %d bytes: %v", n, err), Err: err}
	}
	return out.Bytes(), nil
}

// IsDrawing reports whether a file is a drawing by its name: .dxf, or .dxf.gz,
// in capitals or not.
func IsDrawing(name string) bool {
	name = strings.TrimSuffix(strings.ToLower(name), ".gz")
	return strings.HasSuffix(name, ".dxf")
}

// IsArchive reports whether a file is an archive by its name: .zip.
func IsArchive(name string) bool { return strings.EqualFold(path.Ext(name), ".zip") }

// Members lists the drawings in a zip archive by their names in it, sorted, each
// once. Hidden ones are passed over, and so are archives in the archive. The
// error is an *Error.
func Members(r io.ReaderAt, size int64) ([]string, error) {
	z, err := openZip(r, size)
	if err != nil {
		return nil, err
	}
	var names []string
	for _, f := range z.File {
		if name := f.Name; IsDrawing(name) && !f.FileInfo().IsDir() && !hiddenMember(name) {
			names = append(names, name)
		}
	}
	sort.Strings(names)
	out := names[:0]
	for i, n := range names {
		if i == 0 || n != names[i-1] {
			out = append(out, n)
		}
	}
	if len(out) > mostDrawings {
		return nil, &Error{Code: CodeLimit, Text: fmt.Sprintf("an archive of more than %d drawings", mostDrawings)}
	}
	return out, nil
}

// hiddenMember reports a name that starts with a dot, as some systems add beside
// every file.
func hiddenMember(name string) bool {
	return strings.HasPrefix(path.Base(strings.ReplaceAll(name, `\`, "/")), ".")
}

func openZip(r io.ReaderAt, size int64) (*zip.Reader, error) {
	z, err := zip.NewReader(r, size)
	// Names that lead out of the archive are never opened as paths here.
	if err != nil && !errors.Is(err, zip.ErrInsecurePath) {
		return nil, &Error{Code: CodePacked, Text: "broken archive: " + err.Error(), Err: err}
	}
	if len(z.File) > mostMembers {
		return nil, &Error{Code: CodeLimit, Text: fmt.Sprintf("an archive of more than %d files", mostMembers)}
	}
	return z, nil
}

// ReadMember reads one drawing of a zip archive; see ReadBytes.
func ReadMember(r io.ReaderAt, size int64, name string, opt Options) (*Drawing, error) {
	data, err := Member(r, size, name, opt)
	if err != nil {
		return nil, err
	}
	return ReadBytes(data, opt)
}

// Member unpacks one drawing of a zip archive, for ReadBytes.
func Member(r io.ReaderAt, size int64, name string, opt Options) ([]byte, error) {
	a, err := OpenArchive(r, size)
	if err != nil {
		return nil, err
	}
	return a.Member(name, opt)
}

// Archive is a zip archive whose list of files was read. It may be used by many
// at once.
type Archive struct {
	size   int64
	byName map[string]*zip.File // the first of each name
}

// OpenArchive reads the list of an archive's files, which takes time in
// proportion to their number. The error is an *Error.
func OpenArchive(r io.ReaderAt, size int64) (*Archive, error) {
	z, err := openZip(r, size)
	if err != nil {
		return nil, err
	}
	a := &Archive{size: size, byName: make(map[string]*zip.File, len(z.File))}
	for _, f := range z.File {
		if a.byName[f.Name] == nil {
			a.byName[f.Name] = f
		}
	}
	return a, nil
}

// Member unpacks one drawing, for ReadBytes.
func (a *Archive) Member(name string, opt Options) ([]byte, error) {
	data, err := a.unpack(name, opt.withDefaults())
	if err == nil && isZip(data) {
		return nil, &Error{Code: CodePacked, Text: "an archive in an archive"}
	}
	return data, err
}

func (a *Archive) unpack(name string, opt Options) ([]byte, error) {
	f := a.byName[name]
	switch {
	case f == nil:
		return nil, &Error{Code: CodePacked, Text: fmt.Sprintf("no %s in the archive", quote([]byte(name)))}
	case f.Flags&1 != 0:
		return nil, &Error{Code: CodePacked, Text: "locked by a password"}
	}
	in, err := f.Open()
	if err != nil {
		return nil, &Error{Code: CodePacked, Text: "broken archive: " + err.Error(), Err: err}
	}
	defer in.Close()
	packed := min(f.CompressedSize64, uint64(a.size))
	data, err := inflate(in, int64(packed), opt)
	if err != nil || !isGzip(data) {
		return data, err
	}
	return unpack(data, opt)
}
