package store

import (
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

type leaf struct {
	Name string
	V    float64
	N    *float64
	At   [2]float64
}

type tree struct {
	Leaves []leaf
	Sub    *tree
	Words  []string
	By     map[string][]int
	Raw    []byte
	Flag   bool
	Count  int
	Small  int8
	Rank   uint32
}

func drawTree(t *rapid.T, depth int) tree {
	word := rapid.SampledFrom([]string{"", "a", "hole-reach", "\x00\xff", "grüße"})
	number := rapid.Float64()
	v := tree{Flag: rapid.Bool().Draw(t, "flag"), Count: rapid.Int().Draw(t, "count"), Small: rapid.Int8().Draw(t, "small"), Rank: rapid.Uint32().Draw(t, "rank")}
	for range rapid.IntRange(0, 3).Draw(t, "leaves") {
		l := leaf{Name: word.Draw(t, "name"), V: number.Draw(t, "v"), At: [2]float64{number.Draw(t, "x"), number.Draw(t, "y")}}
		if rapid.Bool().Draw(t, "known") {
			n := number.Draw(t, "n")
			l.N = &n
		}
		v.Leaves = append(v.Leaves, l)
	}
	if rapid.Bool().Draw(t, "words") {
		v.Words = rapid.SliceOfN(word, 0, 4).Draw(t, "list")
		v.By = rapid.MapOf(word, rapid.SliceOfN(rapid.Int(), 0, 3)).Draw(t, "by")
		v.Raw = rapid.SliceOfN(rapid.Byte(), 0, 9).Draw(t, "raw")
	}
	if depth > 0 && rapid.Bool().Draw(t, "deeper") {
		sub := drawTree(t, depth-1)
		v.Sub = &sub
	}
	return v
}

// What comes out is what went in, nil or empty, and the same value is the same
// bytes.
func TestRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := drawTree(t, 2)
		data := Encode(want)
		var got tree
		if err := Decode(data, &got); err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Fatalf("(-want +got):\n%s", diff)
		}
		if string(Encode(got)) != string(data) {
			t.Fatal("the same value is other bytes")
		}
	})
}

func TestFloatsKeepTheirBits(t *testing.T) {
	odd := math.Float64frombits(0x7ff8000000abcdef)
	for _, v := range []float64{0, math.Copysign(0, -1), math.Inf(1), math.SmallestNonzeroFloat64, 0.1, odd} {
		var got leaf
		if err := Decode(Encode(leaf{V: v}), &got); err != nil || math.Float64bits(got.V) != math.Float64bits(v) {
			t.Errorf("%v became %v, %v", v, got.V, err)
		}
	}
}

// Bytes of something else are an error, never a panic and never a huge value.
func TestDamagedBytes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		data := Encode(drawTree(t, 1))
		switch rapid.IntRange(0, 2).Draw(t, "how") {
		case 0:
			data = data[:rapid.IntRange(0, len(data)-1).Draw(t, "cut")]
			var got tree
			if Decode(data, &got) == nil {
				t.Fatal("what was cut off was read")
			}
		case 1:
			data[rapid.IntRange(0, len(data)-1).Draw(t, "at")] ^= byte(rapid.IntRange(1, 255).Draw(t, "bits"))
			Decode(data, new(tree))
		default:
			Decode(rapid.SliceOf(rapid.Byte()).Draw(t, "noise"), new(tree))
		}
	})
	if Decode(append(Encode(leaf{}), 0), new(leaf)) == nil {
		t.Error("what follows was passed over")
	}
}

func TestTypesThatWouldLoseSomething(t *testing.T) {
	for name, v := range map[string]any{
		"hidden field": struct{ hidden int }{1},
		"interface":    struct{ V any }{1},
		"function":     struct{ F func() }{},
		"map by int":   map[int]string{1: "a"},
	} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%s: kept", name)
				}
			}()
			Encode(v)
		}()
	}
}

func TestKeyOf(t *testing.T) {
	keys := map[Key]string{}
	for name, k := range map[string]Key{
		"a":        KeyOf("ab", "c"),
		"b":        KeyOf("a", "bc"),
		"c":        KeyOf("abc"),
		"d":        KeyOf("ab", "c", ""),
		"nil list": KeyOf([]string(nil)),
		"no list":  KeyOf([]string{}),
	} {
		if other, ok := keys[k]; ok {
			t.Errorf("%s and %s have one key", name, other)
		}
		keys[k] = name
	}
	if KeyOf(map[string]int{"a": 1, "b": 2, "c": 3}) != KeyOf(map[string]int{"c": 3, "b": 2, "a": 1}) {
		t.Error("a map's order decides its key")
	}
}

func BenchmarkCodec(b *testing.B) {
	type feed struct{ A, B, C, D, E, F, G, H, I float64 }
	v := make([]feed, 180)
	data := Encode(v)
	b.Run("encode", func(b *testing.B) {
		b.SetBytes(int64(len(data)))
		for b.Loop() {
			Encode(v)
		}
	})
	b.Run("decode", func(b *testing.B) {
		b.SetBytes(int64(len(data)))
		for b.Loop() {
			var got []feed
			if err := Decode(data, &got); err != nil {
				b.Fatal(err)
			}
		}
	})
}
