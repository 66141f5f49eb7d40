package dxf

import "strconv"

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
//  1. check the grammar and gather digits as an integer with a power of ten;
//  2. an integer below 2^53 and a power within 10^22 are both exact, so one
//     multiplication or division rounds once: done;
//  3. otherwise leave it to strconv.
func parseFloat(b []byte) (float64, bool) {
	b = trim(b)
	i, neg := 0, false
	if len(b) > 0 && (b[0] == '-' || b[0] == '+') {
		neg = b[0] == '-'
		i = 1
	}
	var mant uint64
	digits, significant, exp := 0, 0, 0
	for ; i < len(b); i++ {
		d := b[i] - '0'
		if d > 9 {
			break
		}
		digits++
		if significant > 0 || d > 0 {
			significant++
		}
		if significant <= 19 {
			mant = mant*10 + uint64(d)
		}
	}
	if i < len(b) && b[i] == '.' {
		for i++; i < len(b); i++ {
			d := b[i] - '0'
			if d > 9 {
				break
			}
			digits++
			if significant > 0 || d > 0 {
				significant++
			}
			if significant <= 19 {
				mant = mant*10 + uint64(d)
				exp--
			}
		}
	}
	if digits == 0 {
		return 0, false
	}
	if i < len(b) && (b[i] == 'e' || b[i] == 'E') {
		i++
		eneg := false
		if i < len(b) && (b[i] == '-' || b[i] == '+') {
			eneg = b[i] == '-'
			i++
		}
		start, e := i, 0
		for ; i < len(b); i++ {
			d := b[i] - '0'
			if d > 9 {
				break
			}
			if e < 100000 {
				e = e*10 + int(d)
			}
		}
		if i == start {
			return 0, false
		}
		if eneg {
			e = -e
		}
		exp += e
	}
	if i != len(b) {
		return 0, false
	}
	if significant <= 19 && mant < 1<<53 && exp >= -22 && exp <= 22 {
		f := float64(mant)
		if exp < 0 {
			f /= pow10[-exp]
		} else {
			f *= pow10[exp]
		}
		if neg {
			f = -f
		}
		return f, true
	}
	f, err := strconv.ParseFloat(string(b), 64)
	return f, err == nil
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
