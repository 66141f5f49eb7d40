package main

import (
	"bytes"
	"fmt"
	"math"
	"strconv"

	"burrcast/testdata/generate"
)

// Header values of $INSUNITS; 0 leaves it out.
const (
	inch       = 1
	millimetre = 4
)

// drawing gathers one file: entities in the plain style of R12, and what the
// drawing is expected to be told for.
type drawing struct {
	units    int
	metric   bool // $MEASUREMENT says metric
	line     string
	expected []string
	body     bytes.Buffer
	notes    int
}

// newDrawing starts a drawing in millimetres with notes.
func newDrawing(notes ...string) *drawing {
	d := &drawing{units: millimetre}
	for _, n := range notes {
		d.note(n)
	}
	return d
}

// on says which line the drawing is judged for.
func (d *drawing) on(line string) *drawing { d.line = line; return d }

// expect says that the drawing is found by a rule.
func (d *drawing) expect(rule, kind string, x, y, measured, limit float64, unit string) *drawing {
	d.expected = append(d.expected, fmt.Sprintf("expect %s %s %s %s %s %s %s", rule, kind, short(x), short(y), short(measured), short(limit), unit))
	return d
}

// told says that a rule fails, and that another's finding says so already.
func (d *drawing) told(rule string) *drawing {
	d.expected = append(d.expected, "told "+rule)
	return d
}

// ask says that the drawing leaves a question.
func (d *drawing) ask(input string) *drawing {
	d.expected = append(d.expected, "ask "+input)
	return d
}

func (d *drawing) put(pairs ...any) {
	for i := 0; i < len(pairs); i += 2 {
		v := pairs[i+1]
		if f, ok := v.(float64); ok {
			v = generate.Number(f)
		}
		fmt.Fprintf(&d.body, "%3d\n%v\n", pairs[i], v)
	}
}

// note writes a text under the part.
func (d *drawing) note(text string) {
	d.notes++
	d.put(0, "TEXT", 8, "NOTES", 10, 0.0, 20, -10*float64(d.notes), 30, 0.0, 40, 4.0, 1, text)
}

func (d *drawing) lineOn(layer string, x0, y0, x1, y1 float64) {
	d.put(0, "LINE", 8, layer, 10, x0, 20, y0, 30, 0.0, 11, x1, 21, y1, 31, 0.0)
}

func (d *drawing) circle(x, y, diameter float64) *drawing {
	d.put(0, "CIRCLE", 8, "CUT", 10, x, 20, y, 30, 0.0, 40, diameter/2)
	return d
}

func (d *drawing) arc(x, y, radius, from, to float64) {
	d.put(0, "ARC", 8, "CUT", 10, x, 20, y, 30, 0.0, 40, radius, 50, from, 51, to)
}

// path joins points x, y, x, y, ... on a layer by lines.
func (d *drawing) path(layer string, xy ...float64) *drawing {
	for i := 0; i+3 < len(xy); i += 2 {
		d.lineOn(layer, xy[i], xy[i+1], xy[i+2], xy[i+3])
	}
	return d
}

// loop is a path that closes.
func (d *drawing) loop(xy ...float64) *drawing {
	return d.path("CUT", append(append([]float64{}, xy...), xy[0], xy[1])...)
}

// plate is a rectangle from a corner.
func (d *drawing) plate(x, y, w, h float64) *drawing {
	return d.loop(x, y, x+w, y, x+w, y+h, x, y+h)
}

// slot lies along X about its middle, with round ends; length is over all.
func (d *drawing) slot(x, y, length, width float64) *drawing {
	a, r := (length-width)/2, width/2
	d.lineOn("CUT", x-a, y-r, x+a, y-r)
	d.arc(x+a, y, r, 270, 90)
	d.lineOn("CUT", x+a, y+r, x-a, y+r)
	d.arc(x-a, y, r, 90, 270)
	return d
}

// short writes six digits, as an expectation is written.
func short(v float64) string { return strconv.FormatFloat(v, 'g', 6, 64) }

// bytes is the whole file.
func (d *drawing) bytes(rule, name string) []byte {
	var f bytes.Buffer
	comment := func(text string) { fmt.Fprintf(&f, "999\n%s\n", text) }
	comment("rule " + rule + " " + name)
	if d.line != "" {
		comment("line " + d.line)
	}
	for _, e := range d.expected {
		comment(e)
	}
	f.WriteString("  0\nSECTION\n  2\nHEADER\n  9\n$ACADVER\n  1\nAC1009\n")
	if d.units != 0 {
		fmt.Fprintf(&f, "  9\n$INSUNITS\n 70\n%6d\n", d.units)
	}
	if d.metric {
		f.WriteString("  9\n$MEASUREMENT\n 70\n     1\n")
	}
	f.WriteString("  0\nENDSEC\n  0\nSECTION\n  2\nENTITIES\n")
	f.Write(d.body.Bytes())
	f.WriteString("  0\nENDSEC\n  0\nEOF\n")
	return f.Bytes()
}

// Shorthands of the sums by hand.

func sin(degrees float64) float64 { return math.Sin(degrees * math.Pi / 180) }
func cos(degrees float64) float64 { return math.Cos(degrees * math.Pi / 180) }
func sq(v float64) float64        { return v * v }

// disc is the area of a circle in mm2.
func disc(diameter float64) float64 { return math.Pi / 4 * diameter * diameter }
