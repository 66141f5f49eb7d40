package dxf

import (
	"fmt"
	"math"
	"math/bits"
	"math/rand/v2"
	"strconv"
	"testing"
)

func TestParseFloat(t *testing.T) {
	for _, c := range []struct {
		in   string
		want float64
		ok   bool
	}{
		{"0", 0, true}, {"-0.0", math.Copysign(0, -1), true}, {"1", 1, true}, {"+1.5", 1.5, true},
		{" 2.5 ", 2.5, true}, {"\t7\r", 7, true}, {".5", 0.5, true}, {"5.", 5, true},
		{"1e3", 1000, true}, {"1E-3", 0.001, true}, {"1.E+2", 100, true},
		{"9007199254740993", 9007199254740992, true}, {"0.1", 0.1, true},
		{"1e22", 1e22, true}, {"1e23", 1e23, true}, {"1e-400", 0, true},
		{"123456789012345678901234567890", 123456789012345678901234567890, true},
		{"", 0, false}, {" ", 0, false}, {"-", 0, false}, {".", 0, false}, {"e5", 0, false},
		{"1e", 0, false}, {"1e+", 0, false}, {"12,5", 0, false}, {"1.0E 20", 0, false},
		{"1 2", 0, false}, {"nan", 0, false}, {"inf", 0, false}, {"Infinity", 0, false},
		{"0x10", 0, false}, {"1_000", 0, false}, {"1e999", 0, false}, {"1.2.3", 0, false},
		{"1.#INF", 0, false}, {"--1", 0, false}, {"1d3", 0, false},
	} {
		got, ok := parseFloat([]byte(c.in))
		if ok != c.ok || ok && math.Float64bits(got) != math.Float64bits(c.want) {
			t.Errorf("%q: %v %v, want %v %v", c.in, got, ok, c.want, c.ok)
		}
	}
}

// TestParseFloatTwin compares with strconv, bit for bit, on numbers of every
// length and form that drawings have.
func TestParseFloatTwin(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for range 200000 {
		v := (rng.Float64() - 0.5) * math.Pow(10, float64(rng.IntN(30)-12))
		if rng.IntN(20) == 0 {
			v = math.Float64frombits(rng.Uint64())
		}
		if math.IsNaN(v) || math.IsInf(v, 0) {
			continue
		}
		var s string
		switch rng.IntN(4) {
		case 0:
			s = strconv.FormatFloat(v, 'g', -1, 64)
		case 1:
			s = strconv.FormatFloat(v, 'f', rng.IntN(20), 64)
		case 2:
			s = strconv.FormatFloat(v, 'E', rng.IntN(20), 64)
		default:
			s = fmt.Sprintf("%16.12f", v)
		}
		got, ok := parseFloat([]byte(s))
		want, err := strconv.ParseFloat(string(trim([]byte(s))), 64)
		if ok != (err == nil) || ok && math.Float64bits(got) != math.Float64bits(want) {
			t.Fatalf("%q: %v %v, strconv says %v %v", s, got, ok, want, err)
		}
	}
}

// TestDivide holds the division against strconv for integers near every boundary:
// powers of two, numbers half way between two float64, the largest.
func TestDivide(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	check := func(mant uint64, places int) {
		t.Helper()
		if mant == 0 {
			return
		}
		want, err := strconv.ParseFloat(fmt.Sprintf("%de-%d", mant, places), 64)
		if got := divide(mant, places); err != nil || got != want {
			t.Fatalf("%d / 10^%d = %v, strconv says %v %v", mant, places, got, want, err)
		}
	}
	for places := range mostPlaces + 1 {
		for k := range 64 {
			for d := range uint64(5) {
				check(1<<k+d, places)
				check(1<<k-d, places)
				check(math.MaxUint64>>k-d, places)
			}
		}
		for range 3000 {
			check(rng.Uint64()>>rng.IntN(64), places)
		}
		// Half way between two neighbours: (2k+1) 5^places 2^n.
		five := powersOfFive[places].v >> powersOfFive[places].shift
		for range 2000 {
			// An odd number of 54 bits times 5^places is half way, if it fits.
			odd := rng.Uint64()>>(64-54) | 1<<53 | 1
			if hi, lo := bits.Mul64(odd, five); hi == 0 {
				check(lo, places)
				check(lo+1, places)
				check(lo-1, places)
			}
		}
	}
}

func TestParseInt(t *testing.T) {
	for _, c := range []struct {
		in   string
		want int
		ok   bool
	}{
		{"0", 0, true}, {"   70", 70, true}, {"-5 ", -5, true}, {"+3", 3, true},
		{"", 0, false}, {"-", 0, false}, {"1.0", 0, false}, {"12a", 0, false},
		{"9999999999999999999", 0, false},
	} {
		got, ok := parseInt([]byte(c.in))
		if ok != c.ok || got != c.want {
			t.Errorf("%q: %d %v, want %d %v", c.in, got, ok, c.want, c.ok)
		}
	}
}

// FuzzParseFloat holds parseFloat against strconv on any bytes: it accepts a
// part of what strconv accepts, with the same value.
func FuzzParseFloat(f *testing.F) {
	for _, s := range []string{"1", "-1.5e3", " 12.", "1e22", "0x1p3", "nan", "1_0"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		got, ok := parseFloat(b)
		if !ok {
			return
		}
		want, err := strconv.ParseFloat(string(trim(b)), 64)
		if err != nil || math.Float64bits(got) != math.Float64bits(want) {
			t.Errorf("%q: %v, strconv says %v %v", b, got, want, err)
		}
	})
}
