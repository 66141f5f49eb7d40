package dxf

import (
	"bytes"
	"encoding/binary"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"testing"
)

// toBinary writes the tags of an ASCII drawing as binary DXF: with two-byte
// group codes, or with the one-byte codes of the older layout.
func toBinary(t *testing.T, data []byte, wide bool) []byte {
	t.Helper()
	out := append([]byte{}, sentinel...)
	s := newScanner(data, func(line int, text []byte) { t.Fatalf("line %d: %q", line, text) })
	for s.next() {
		switch {
		case wide:
			out = binary.LittleEndian.AppendUint16(out, uint16(s.code))
		case s.code < 255:
			out = append(out, byte(s.code))
		default:
			out = append(out, 255)
			out = binary.LittleEndian.AppendUint16(out, uint16(s.code))
		}
		switch size := binaryType(s.code); size {
		case 's':
			out = append(append(out, s.val()...), 0)
		case 'b':
			out = append(out, byte(len(s.val())))
			out = append(out, s.val()...)
		case 8:
			v, ok := s.float()
			if !ok {
				v = math.NaN()
			}
			out = binary.LittleEndian.AppendUint64(out, math.Float64bits(v))
		default:
			n, _, _ := s.int()
			var b [8]byte
			binary.LittleEndian.PutUint64(b[:], uint64(n))
			out = append(out, b[:size]...)
		}
	}
	return out
}

// TestBinaryTwin writes drawings as binary, in both layouts: they must read the
// same, but for the places.
func TestBinaryTwin(t *testing.T) {
	names := []string{"plain", "crlf", "layer-frozen", "paper-space", "block-cycle", "fit-points-only",
		"missing-seqend", "zero-extrusion", "not-a-number", "swapped-xy", "upright", "application-data"}
	for _, name := range names {
		data, err := os.ReadFile(filepath.Join("testdata", name+".dxf"))
		if err != nil {
			t.Fatal(err)
		}
		want, err := ReadBytes(data, Options{})
		if err != nil {
			t.Fatal(err)
		}
		for _, wide := range []bool{false, true} {
			got, err := ReadBytes(toBinary(t, data, wide), Options{})
			if err != nil {
				t.Errorf("%s, wide %v: %v", name, wide, err)
				continue
			}
			placeless(want)
			placeless(got)
			if !reflect.DeepEqual(got, want) {
				t.Errorf("%s, wide %v:\ngot  %+v\nwant %+v", name, wide, got, want)
			}
		}
	}
}

// placeless removes what differs between the forms of a file.
func placeless(d *Drawing) {
	for i := range d.Paths {
		d.Paths[i].Line = 0
	}
	for i := range d.Notes {
		d.Notes[i].Line = 0
	}
	for i := range d.Repairs {
		d.Repairs[i].Line, d.Repairs[i].Text = 0, ""
	}
}

// TestBinaryTruncated cuts a binary drawing at every byte.
func TestBinaryTruncated(t *testing.T) {
	data, err := os.ReadFile("testdata/sections-out-of-order.dxf")
	if err != nil {
		t.Fatal(err)
	}
	for _, wide := range []bool{false, true} {
		full := toBinary(t, data, wide)
		for n := range full {
			d, err := bounded(t, "truncated", full[:n], Options{})
			if err != nil || d.Partial || len(d.Repairs) > 0 {
				continue
			}
			if got := totalLength(d); math.Abs(got-lineAndSquare) > 1e-9 {
				t.Errorf("cut at byte %d: length %g and no word of it", n, got)
			}
		}
		if bytes.Equal(full, data) {
			t.Error("nothing converted")
		}
	}
}
