package dxf

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"burrcast/geom"
)

// faceOf writes a 3DFACE by its corners.
func faceOf(v ...float64) string {
	s := "0 3DFACE 8 cut "
	for i := 0; i < len(v); i += 3 {
		s += fmt.Sprintf("1%d %g 2%d %g 3%d %g ", i/3, v[i], i/3, v[i+1], i/3, v[i+2])
	}
	return s
}

// polyface writes a polyface mesh of places and of faces by their numbers.
func polyface(places [][3]float64, faces [][4]int) string {
	s := "0 POLYLINE 8 cut 66 1 70 64 "
	for _, p := range places {
		s += fmt.Sprintf("0 VERTEX 8 cut 70 192 10 %g 20 %g 30 %g ", p[0], p[1], p[2])
	}
	for _, f := range faces {
		s += fmt.Sprintf("0 VERTEX 8 cut 70 128 10 0 20 0 30 0 71 %d 72 %d 73 %d 74 %d ", f[0], f[1], f[2], f[3])
	}
	return s + "0 SEQEND 8 cut "
}

// frameFaces is a square of 30 mm with a square opening of 10 mm, as eight faces
// round it, each corner turned by turn.
func frameFaces(turn func(x, y float64) [3]float64) string {
	var b strings.Builder
	for i := range 9 {
		if i == 4 {
			continue
		}
		x, y := float64(i%3)*10, float64(i/3)*10
		var v []float64
		for _, c := range [][2]float64{{x, y}, {x + 10, y}, {x + 10, y + 10}, {x, y + 10}} {
			p := turn(c[0], c[1])
			v = append(v, p[:]...)
		}
		b.WriteString(faceOf(v...))
	}
	return b.String()
}

func TestFaces(t *testing.T) {
	flat := func(x, y float64) [3]float64 { return [3]float64{x, y, 2} }
	upright := func(x, y float64) [3]float64 { return [3]float64{x, 7, y} }
	// A disc as 48 triangles round its centre: the outline is a circle.
	var places [][3]float64
	var fan [][4]int
	places = append(places, [3]float64{})
	for i := range 48 {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / 48)
		places = append(places, [3]float64{5 * cos, 5 * sin, 0})
		fan = append(fan, [4]int{1, i + 2, -((i+1)%48 + 2), 0})
	}
	mesh := "0 POLYLINE 8 cut 66 1 70 16 71 3 72 3 "
	for i := range 9 {
		mesh += fmt.Sprintf("0 VERTEX 70 64 10 %d 20 %d 30 0 ", i%3, i/3)
	}
	for _, c := range []struct {
		name, entities string
		paths, curves  int
		length         float64
		skipped        string // reason
	}{
		{"a triangle", faceOf(0, 0, 0, 3, 0, 0, 3, 4, 0, 3, 4, 0), 1, 3, 12, ""},
		{"a triangle of three corners", faceOf(0, 0, 0, 3, 0, 0, 3, 4, 0), 1, 3, 12, ""},
		{"two triangles", faceOf(0, 0, 0, 3, 0, 0, 3, 4, 0) + faceOf(3, 4, 0, 0, 4, 0, 0, 0, 0), 1, 4, 14, ""},
		{"two apart", faceOf(0, 0, 0, 3, 0, 0, 3, 4, 0) + faceOf(9, 0, 0, 12, 0, 0, 12, 4, 0), 2, 6, 24, ""},
		{"a frame", frameFaces(flat), 2, 16, 160, ""},
		{"a frame that stands", frameFaces(upright), 2, 16, 160, ""},
		{"a disc of triangles", polyface(places, fan), 1, 1, 10 * math.Pi, ""},
		{"a mesh", mesh + "0 SEQEND", 1, 8, 8, ""},
		{"a face number beyond the places", polyface(places, append(fan, [4]int{1, 2, 99, 0})), 1, 1, 10 * math.Pi, "faces, not a curve"},
		{"a face without area", faceOf(0, 0, 0, 3, 0, 0, 0, 0, 0) + "0 LINE 10 0 20 0 11 1 21 0", 1, 1, 1, "faces without an outline"},
		{"a face twice", faceOf(0, 0, 0, 3, 0, 0, 3, 4, 0) + faceOf(0, 0, 0, 3, 0, 0, 3, 4, 0) + "0 LINE 10 0 20 0 11 1 21 0", 1, 1, 1, "faces without an outline"},
		{"a bent sheet beside a line", "0 LINE 10 0 20 0 11 1 21 0" + " " + faceOf(0, 0, 0, 3, 0, 0, 3, 4, 9), 1, 1, 1, "faces that do not lie flat"},
	} {
		d, err := bounded(t, c.name, drawingOf("", c.entities), Options{})
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		curves, told := 0, false
		for _, p := range d.Paths {
			checkPath(t, p)
			curves += len(p.Curves)
			if p.Entity != "LINE" && !p.Closed {
				t.Errorf("%s: an open outline", c.name)
			}
		}
		for _, r := range d.Repairs {
			told = told || r.Code == "faces-outlined"
		}
		why := ""
		for _, s := range d.Skipped {
			if strings.HasPrefix(s.Why, "faces") {
				why = s.Why
			}
		}
		if len(d.Paths) != c.paths || curves != c.curves || math.Abs(totalLength(d)-c.length) > 1e-5*c.length || why != c.skipped || told != (why == "" || why == "faces, not a curve") {
			t.Errorf("%s: %d paths, %d curves, length %g, %q, told %v", c.name, len(d.Paths), curves, totalLength(d), why, told)
		}
	}
	_, err := bounded(t, "a bent sheet", drawingOf("", faceOf(0, 0, 0, 3, 0, 0, 3, 4, 9, 1, 1, 1)), Options{})
	wantCode(t, "a bent sheet", err, CodeNothing)
}

// TestBoundsTwin: on random grids of squares the outlines enclose the area of
// the squares, whatever touches at corners.
func TestBoundsTwin(t *testing.T) {
	for seed := range uint64(50) {
		var faces [][4]vec
		for i := range 36 {
			if (seed*2654435761+uint64(i)*40503)>>7%3 == 0 {
				continue
			}
			x, y := float64(i%6), float64(i/6)
			faces = append(faces, [4]vec{{x, y}, {x + 1, y}, {x + 1, y + 1}, {x, y + 1}})
		}
		want := float64(len(faces))
		crossing := 0.0 // cells with an odd number of edges to their right
		loops := bounds(faces)
		for i := range 36 {
			x, y := float64(i%6)+0.5, float64(i/6)+0.5
			n := 0
			for _, loop := range loops {
				for _, c := range loop {
					if (c.Start.Y > y) != (c.End.Y > y) && c.Start.X > x {
						n++
					}
				}
			}
			crossing += float64(n % 2)
		}
		if crossing != want {
			t.Errorf("seed %d: %g cells inside, want %g", seed, crossing, want)
		}
		for _, loop := range loops {
			if loop[0].Start != loop[len(loop)-1].End || geom.LoopLength(loop) != float64(len(loop)) {
				t.Errorf("seed %d: broken loop", seed)
			}
		}
	}
}
