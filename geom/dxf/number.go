package dxf

import (
	"encoding/binary"
	"math"
	"math/bits"
	"strconv"
)

// pow10 holds the powers of ten that a float64 represents exactly.
var pow10 = [...]float64{
	1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11,
	1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22,
}

// trim returns b without blanks at either end.
func trim(b []byte) []byte {
	for len(b) > 0 && isBlank(b[0]) {
		b = b[1:]
	}
	for len(b) > 0 && isBlank(b[len(b)-1]) {
		b = b[:len(b)-1]
	}
	return b
}

func isBlank(c byte) bool { return c == ' ' || c == '\t' || c == '\r' || c == '\v' || c == '\f' }

// parseFloat reads a decimal number with blanks allowed around it, and nothing
// else: no comma, no blank inside, no hexadecimal, no word such as NaN. The
// value is the float64 nearest to the digits, bit for bit that of
// strconv.ParseFloat; a number too large for a float64 is refused.
//
// Plan (W. D. Clinger, "How to read floating point numbers accurately", 1990):
//  1. check the grammar and gather digits as an integer with a power of ten,
//     eight at a time where there are so many (eightDigits);
//  2. an integer below 2^53 and a power within 10^22 are both exact, so one
//     multiplication or division rounds once: done;
//  3. a longer integer with decimal places is divided by an exact power, which
//     leaves a remainder to round by (divide);
//  4. otherwise leave it to strconv.
func parseFloat(b []byte) (float64, bool) {
	for len(b) > 0 && isBlank(b[0]) {
		b = b[1:]
	}
	for len(b) > 0 && isBlank(b[len(b)-1]) {
		b = b[:len(b)-1]
	}
	i, neg := 0, false
	if len(b) > 0 && (b[0] == '-' || b[0] == '+') {
		neg = b[0] == '-'
		i = 1
	}
	start := i
	var mant uint64
	for ; i < len(b); i++ {
		d := b[i] - '0'
		if d > 9 {
			break
		}
		mant = mant*10 + uint64(d)
	}
	digits := i - start // leading zeros, too, which only send some numbers to strconv
	places := 0
	if i < len(b) && b[i] == '.' {
		i++
		start = i
		for len(b)-i >= 8 {
			v, ok := eightDigits(binary.LittleEndian.Uint64(b[i:]))
			if !ok {
				break
			}
			mant = mant*1e8 + v
			i += 8
		}
		for ; i < len(b); i++ {
			d := b[i] - '0'
			if d > 9 {
				break
			}
			mant = mant*10 + uint64(d)
		}
		places = i - start
		digits += places
	}
	if digits == 0 {
		return 0, false
	}
	exp := -places
	if i < len(b) {
		e, ok := exponent(b[i:])
		if !ok {
			return 0, false
		}
		exp += e
	}
	var f float64
	switch {
	case digits > 19 && !fewSignificant(b):
		// mant may have overflowed.
		f, err := strconv.ParseFloat(string(b), 64)
		return f, err == nil
	case mant < 1<<53 && exp == 0:
		f = float64(mant)
	case mant < 1<<53 && exp < 0 && exp >= -22:
		f = float64(mant) / pow10[-exp]
	case mant < 1<<53 && exp > 0 && exp <= 22:
		f = float64(mant) * pow10[exp]
	case mant != 0 && exp < 0 && exp >= -mostPlaces:
		f = divide(mant, -exp)
	default:
		f, err := strconv.ParseFloat(string(b), 64)
		return f, err == nil
	}
	if neg {
		f = -f
	}
	return f, true
}

// fewSignificant reports whether no more than 19 digits of b stand behind its
// leading zeros, so that they fit an uint64.
func fewSignificant(b []byte) bool {
	n := 0
	for _, c := range b {
		switch {
		case c == 'e' || c == 'E':
			return n <= 19
		case c >= '1' && c <= '9' || c == '0' && n > 0:
			n++
		}
	}
	return n <= 19
}

// exponent reads e or E with an integer behind it, to the end of b. It is held
// within a range beyond which no number is.
func exponent(b []byte) (int, bool) {
	if b[0] != 'e' && b[0] != 'E' {
		return 0, false
	}
	b = b[1:]
	neg := false
	if len(b) > 0 && (b[0] == '-' || b[0] == '+') {
		neg = b[0] == '-'
		b = b[1:]
	}
	e := 0
	for _, c := range b {
		d := c - '0'
		if d > 9 {
			return 0, false
		}
		if e < 100000 {
			e = e*10 + int(d)
		}
	}
	if neg {
		e = -e
	}
	return e, len(b) > 0
}

// eightDigits returns the number that eight digits spell, the first in the lowest
// byte of w, and false where one of them is no digit. Neighbours are joined to
// pairs, pairs to fours, fours to eight, each in one multiplication.
func eightDigits(w uint64) (uint64, bool) {
	const high = 0xf0f0f0f0f0f0f0f0
	if w&high != 0x3030303030303030 || (w+0x0606060606060606)&high != 0x3030303030303030 {
		return 0, false
	}
	w &= 0x0f0f0f0f0f0f0f0f
	w = (w * (10<<8 + 1) >> 8) & 0x00ff00ff00ff00ff
	w = (w * (100<<16 + 1) >> 16) & 0x0000ffff0000ffff
	return w * (10000<<32 + 1) >> 32, true
}

// mostPlaces is the largest power of five within 64 bits.
const mostPlaces = 27

// powersOfFive holds those within 64 bits, shifted until their highest bit is
// set, and by how many.
var powersOfFive = func() (out [mostPlaces + 1]struct {
	v     uint64
	shift int
}) {
	v := uint64(1)
	for k := range out {
		n := bits.LeadingZeros64(v)
		out[k].v, out[k].shift = v<<n, n
		v *= 5
	}
	return out
}()

// divide returns mant / 10^places rounded to the nearest float64, half to even,
// for places within mostPlaces and mant above zero: 63 or 64 bits of the quotient
// by the power of five, and whether anything remains.
func divide(mant uint64, places int) float64 {
	p := &powersOfFive[places]
	n := bits.LeadingZeros64(mant)
	m := mant << n
	// m and p.v both lie in [2^63, 2^64), so the quotient m 2^63 / p.v lies in
	// (2^62, 2^64).
	q, rest := bits.Div64(m>>1, m<<63, p.v)
	exp := p.shift - n - places - 63 // value = q 2^exp
	drop := 64 - 53 - bits.LeadingZeros64(q)
	half := uint64(1) << (drop - 1)
	low := q & (2*half - 1)
	q >>= drop
	if low > half || low == half && (rest != 0 || q&1 != 0) {
		q++ // 2^53 is as exact
	}
	// A power of two within the range of normal numbers: exact.
	return float64(q) * math.Float64frombits(uint64(1023+exp+drop)<<52)
}

// parseInt reads a decimal integer with blanks allowed around it.
func parseInt(b []byte) (int, bool) {
	b = trim(b)
	i, neg := 0, false
	if len(b) > 0 && (b[0] == '-' || b[0] == '+') {
		neg = b[0] == '-'
		i = 1
	}
	if i == len(b) || len(b)-i > 18 {
		return 0, false
	}
	n := 0
	for ; i < len(b); i++ {
		d := b[i] - '0'
		if d > 9 {
			return 0, false
		}
		n = n*10 + int(d)
	}
	if neg {
		n = -n
	}
	return n, true
}
