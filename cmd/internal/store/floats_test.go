package store

import (
	"math"
	"reflect"
	"testing"

	"github.com/google/go-cmp/cmp"
)

type place struct{ X, Y float64 }

type arc struct {
	A, B place
	R    named
	Box  [2][3]float64
}

type named float64

func TestFloatCount(t *testing.T) {
	for _, c := range []struct {
		v    any
		want int
	}{
		{0.0, 1}, {named(0), 1}, {place{}, 2}, {arc{}, 11}, {[4]place{}, 8}, {[0]float64{}, 0},
		{0, 0}, {float32(0), 0}, {"", 0}, {leaf{}, 0}, {struct{}{}, 0}, {&place{}, 0}, {[]float64{}, 0}, {struct {
			A float64
			B bool
		}{}, 0},
	} {
		if got := floatCount(reflect.TypeOf(c.v)); got != c.want {
			t.Errorf("%T: %d floats, not %d", c.v, got, c.want)
		}
	}
}

// A slice of floats is the same bytes as its elements one by one.
func TestFloatSlices(t *testing.T) {
	type lists struct {
		Arcs   []arc
		Names  []named
		Nested [][]place
		Nil    []arc
		Empty  []arc
		After  string
	}
	want := lists{Arcs: []arc{{A: place{1, 2}, R: 3, Box: [2][3]float64{{4, 5, 6}, {7, 8, math.Inf(1)}}}, {B: place{-1, 0.1}}},
		Names: []named{1.5, -2}, Nested: [][]place{{{1, 2}, {3, 4}}, nil, {}}, Empty: []arc{}, After: "x"}
	data := Encode(want)
	var got lists
	if err := Decode(data, &got); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	for n := range data {
		if Decode(data[:n], new(lists)) == nil {
			t.Errorf("%d bytes were taken for all", n)
		}
	}
	one := Encode(want.Arcs[0])
	if two := Encode(want.Arcs[:1]); string(two[1:]) != string(one) {
		t.Error("an element has other bytes in a slice")
	}
}
