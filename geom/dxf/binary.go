package dxf

import (
	"bytes"
	"encoding/binary"
	"math"
)

// sentinel opens every binary DXF file.
var sentinel = []byte("AutoCAD Binary DXF\r\n\x1a\x00")

// newBinaryScanner returns a scanner over a binary DXF file. Up to R12 a group
// code takes one byte (255 announces a two-byte code), later two; the first tag
// is (0, SECTION) in both, which tells them apart.
func newBinaryScanner(data []byte, stray func(int, []byte)) scanner {
	s := scanner{data: data, pos: len(sentinel), binary: true, stray: stray}
	s.wide = len(data) > s.pos+1 && data[s.pos] == 0 && data[s.pos+1] == 0
	return s
}

func (s *scanner) nextBinary() bool {
	for s.pos < len(s.data) {
		s.line = s.pos
		ok := s.binaryTag()
		if !ok {
			s.cut = true
			s.pos = len(s.data)
			return false
		}
		if s.code != 999 {
			return true
		}
	}
	return false
}

// binaryTag reads one tag and reports false where the file ends inside it.
func (s *scanner) binaryTag() bool {
	b := s.data[s.pos:]
	switch {
	case s.wide && len(b) >= 2:
		s.code = int(int16(binary.LittleEndian.Uint16(b)))
		b = b[2:]
	case !s.wide && b[0] != 255:
		s.code = int(b[0])
		b = b[1:]
	case !s.wide && len(b) >= 3:
		s.code = int(int16(binary.LittleEndian.Uint16(b[1:])))
		b = b[3:]
	default:
		return false
	}
	s.from, s.to, s.isNum = 0, 0, true
	size := 0
	switch t := binaryType(s.code); t {
	case 's':
		s.isNum = false
		i := bytes.IndexByte(b, 0)
		if i < 0 {
			return false
		}
		s.from = len(s.data) - len(b)
		s.to, size = s.from+i, i+1
	case 'b':
		s.isNum = false
		if len(b) < 1 || len(b) < 1+int(b[0]) {
			return false
		}
		size = 1 + int(b[0])
	default:
		size = int(t)
		if len(b) < size {
			return false
		}
		switch {
		case size == 1:
			s.num = float64(b[0])
		case size == 2:
			s.num = float64(int16(binary.LittleEndian.Uint16(b)))
		case size == 4:
			s.num = float64(int32(binary.LittleEndian.Uint32(b)))
		case s.code >= 160 && s.code <= 169:
			s.num = float64(int64(binary.LittleEndian.Uint64(b)))
		default:
			s.num = math.Float64frombits(binary.LittleEndian.Uint64(b))
		}
	}
	s.pos = len(s.data) - len(b) + size
	return true
}

// binaryType returns the size in bytes of a number with this group code, 's'
// for a string that ends in a zero byte, or 'b' for a chunk of bytes.
func binaryType(code int) byte {
	switch c := code; {
	case c == 1004, c >= 310 && c <= 319:
		return 'b'
	case c >= 10 && c <= 59, c >= 110 && c <= 169, c >= 210 && c <= 239,
		c >= 460 && c <= 469, c >= 1010 && c <= 1059:
		return 8
	case c >= 90 && c <= 99, c >= 420 && c <= 429, c >= 440 && c <= 459, c == 1071:
		return 4
	case c >= 60 && c <= 79, c >= 170 && c <= 179, c >= 270 && c <= 289,
		c >= 370 && c <= 389, c >= 400 && c <= 409, c >= 1060 && c <= 1070:
		return 2
	case c >= 290 && c <= 299:
		return 1
	}
	return 's'
}
