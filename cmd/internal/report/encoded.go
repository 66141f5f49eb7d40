package report

import (
	"bytes"
	"encoding/json"
)

// Encode is a drawing as one line of JSON, without a line's end: what the JSON
// formats write of it. A drawing that carries it (Encoded) is written as it is,
// so that workers can do the work, or a run before.
func Encode(d *Drawing) ([]byte, error) { return encode(filled(d), "", "") }

// EncodedBut splits what Encode writes behind the drawing's name, so that it can
// be kept for a drawing that is moved; ok is false if it does not begin with it.
func EncodedBut(text []byte, name string) (rest []byte, ok bool) {
	head, err := encodedName(name)
	if err != nil {
		return nil, false
	}
	return bytes.CutPrefix(text, head)
}

// EncodedAs puts a name before what EncodedBut left.
func EncodedAs(name string, rest []byte) ([]byte, error) {
	head, err := encodedName(name)
	return append(head, rest...), err
}

func encodedName(name string) ([]byte, error) {
	text, err := encode(name, "", "")
	return append([]byte(`{"file":`), text...), err
}

// indented is the drawing as it stands in the list of drawings.
func (d *Drawing) indented() ([]byte, error) {
	if d.Encoded == nil {
		return encode(filled(d), "    ", "  ")
	}
	var b bytes.Buffer
	err := json.Indent(&b, d.Encoded, "    ", "  ")
	return b.Bytes(), err
}
