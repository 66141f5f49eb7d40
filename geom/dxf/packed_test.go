package dxf

import (
	"archive/zip"
	"bytes"
	"compress/gzip"
	"errors"
	"io"
	"runtime"
	"slices"
	"strings"
	"testing"
)

func gzipped(t *testing.T, r io.Reader) []byte {
	t.Helper()
	var b bytes.Buffer
	w := gzip.NewWriter(&b)
	if _, err := io.Copy(w, r); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// zipped packs names and contents, given in turn.
func zipped(t *testing.T, files ...string) []byte {
	t.Helper()
	var b bytes.Buffer
	w := zip.NewWriter(&b)
	for i := 0; i+1 < len(files); i += 2 {
		f, err := w.Create(files[i])
		if err == nil {
			_, err = io.WriteString(f, files[i+1])
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func aLine() string { return string(drawingOf("", "0 LINE 10 0 20 0 11 1 21 0")) }

func TestPacked(t *testing.T) {
	line := aLine()
	gz := gzipped(t, strings.NewReader(line))
	for _, c := range []struct {
		name string
		data []byte
		code string // of the error, "" for a drawing
	}{
		{"gzip", gz, ""},
		{"an archive of one", zipped(t, "x/a.dxf", line, "read.me", "text"), ""},
		{"an archive of one in capitals", zipped(t, "A.DXF", line), ""},
		{"a packed drawing in an archive", zipped(t, "a.dxf.gz", string(gz)), ""},
		{"an archive of two", zipped(t, "a.dxf", line, "b.dxf", line), CodePacked},
		{"an archive of none", zipped(t, "a.txt", line), CodePacked},
		{"an empty archive", zipped(t), CodePacked},
		{"an archive in an archive", zipped(t, "a.dxf", string(zipped(t, "a.dxf", line))), CodePacked},
		{"gzip in gzip", gzipped(t, bytes.NewReader(gz)), CodePacked},
		{"half of a gzip file", gz[:len(gz)/2], CodePacked},
		{"a gzip head", gz[:5], CodePacked},
		{"a zip head", []byte("PK\x03\x04 and no more"), CodePacked},
		{"an empty drawing", gzipped(t, strings.NewReader("")), CodeEmpty},
	} {
		d, err := bounded(t, c.name, c.data, Options{})
		if c.code != "" {
			wantCode(t, c.name, err, c.code)
		} else if err != nil || len(d.Paths) != 1 {
			t.Errorf("%s: %v", c.name, err)
		}
	}
}

func TestMembers(t *testing.T) {
	line := aLine()
	data := zipped(t, "b.dxf", line, "a.DXF", "no drawing", "../c.dxf", line, "dir/", "", "dir/.d.dxf", line,
		"b.dxf", "twice", "e.dxf.gz", "no gzip", "f.zip", line, "g.txt", line)
	r := bytes.NewReader(data)
	names, err := Members(r, r.Size())
	if want := []string{"../c.dxf", "a.DXF", "b.dxf", "e.dxf.gz"}; err != nil || !slices.Equal(names, want) {
		t.Errorf("%q, %v, want %q", names, err, want)
	}
	for name, code := range map[string]string{"b.dxf": "", "../c.dxf": "", "a.DXF": CodeNotDXF, "none.dxf": CodePacked} {
		d, err := ReadMember(r, r.Size(), name, Options{})
		if code != "" {
			wantCode(t, name, err, code)
		} else if err != nil || len(d.Paths) != 1 {
			t.Errorf("%s: %v", name, err)
		}
	}
	for n := range len(data) {
		if _, err := Members(bytes.NewReader(data[:n]), int64(n)); err != nil {
			var e *Error
			if !errors.As(err, &e) {
				t.Fatalf("cut at %d: %v is no *Error", n, err)
			}
		}
	}
}

// blanks yields n blanks without holding them.
type blanks struct{ left int64 }

func (z *blanks) Read(p []byte) (int, error) {
	if z.left == 0 {
		return 0, io.EOF
	}
	n := min(int64(len(p)), z.left)
	for i := range p[:n] {
		p[i] = ' '
	}
	z.left -= n
	return int(n), nil
}

// TestBomb: what grows a thousandfold is refused before it has grown.
func TestBomb(t *testing.T) {
	bomb := gzipped(t, &blanks{60 << 20})
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	_, err := ReadBytes(bomb, Options{})
	wantCode(t, "bomb", err, CodeLimit)
	packed := zipped(t, "a.dxf.gz", string(bomb))
	_, err = ReadBytes(packed, Options{})
	wantCode(t, "bomb in an archive", err, CodeLimit)
	runtime.ReadMemStats(&after)
	if got := after.TotalAlloc - before.TotalAlloc; got > 10*unpackAlways {
		t.Errorf("%d bytes allocated", got)
	}
	// A bound of the caller holds for what comes out.
	_, err = ReadBytes(gzipped(t, strings.NewReader(aLine()+strings.Repeat("\n", 9000))), Options{MaxBytes: 5000})
	wantCode(t, "larger than allowed", err, CodeLimit)
}
