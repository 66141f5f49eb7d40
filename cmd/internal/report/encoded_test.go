package report

import (
	"bytes"
	"fmt"
	"testing"
)

// A drawing that was encoded before is written as if it had not been.
func TestEncodedDrawings(t *testing.T) {
	for _, format := range []string{"json", "jsonl"} {
		for n := range 4 {
			r := fixture()
			r.Drawings = append(r.Drawings, r.Drawings...)[:n]
			var want, got bytes.Buffer
			if err := Write(&want, format, Style{}, r); err != nil {
				t.Fatal(err)
			}
			for i := range r.Drawings {
				text, err := Encode(&r.Drawings[i])
				if err != nil {
					t.Fatal(err)
				}
				r.Drawings[i] = Drawing{Encoded: text}
			}
			if err := Write(&got, format, Style{}, r); err != nil {
				t.Fatal(err)
			}
			if got.String() != want.String() {
				t.Errorf("%s, %d drawings:\n%s\nnot\n%s", format, n, &got, &want)
			}
		}
	}
}

func TestEncodedUnderAnotherName(t *testing.T) {
	d := fixture().Drawings[0]
	for _, names := range [][2]string{{d.File, "a/b.dxf"}, {"", "x\"\\<&>\x01ü.dxf"}, {"<\u2028>", ""}} {
		t.Run(fmt.Sprint(names), func(t *testing.T) {
			d.File = names[0]
			text, err := Encode(&d)
			if err != nil {
				t.Fatal(err)
			}
			rest, ok := EncodedBut(text, names[0])
			if !ok {
				t.Fatalf("no name at the head of %.60s", text)
			}
			got, err := EncodedAs(names[1], rest)
			if err != nil {
				t.Fatal(err)
			}
			d.File = names[1]
			if want, _ := Encode(&d); string(got) != string(want) {
				t.Errorf("%.80s, not %.80s", got, want)
			}
		})
	}
	if _, ok := EncodedBut([]byte(`{"file":"a"`), "b"); ok {
		t.Error("another's name was cut off")
	}
}
