package main

import (
	"bytes"
	"fmt"
	"strconv"
	"strings"
)

// step is how far copies of one drawing lie from each other, in drawing units.
const step = 0.013

// places lists, for each entity, the group codes of X that are places in world
// or object coordinates; Y has the code 10 higher. What else has such codes
// (directions of ellipses, splines and texts) must not move.
var places = map[string][]int{
	"LINE": {10, 11}, "CIRCLE": {10}, "ARC": {10}, "LWPOLYLINE": {10}, "VERTEX": {10}, "ELLIPSE": {10},
	"SPLINE": {10, 11}, "TEXT": {10, 11}, "MTEXT": {10}, "INSERT": {10}, "POINT": {10},
	"SOLID": {10, 11, 12, 13}, "TRACE": {10, 11, 12, 13}, "3DFACE": {10, 11, 12, 13},
}

// still are entities that draw nothing to cut and may stay where they are.
var still = map[string]bool{"POLYLINE": true, "SEQEND": true, "DIMENSION": true, "LEADER": true, "VIEWPORT": true, "ATTDEF": true,
	"HATCH": true, "3DSOLID": true, "REGION": true, "BODY": true, "ENDSEC": true, "SECTION": true, "EOF": true, "IMAGE": true}

// variant is the k-th copy of a drawing: moved by k steps along X and half as
// far along Y, or told apart by a comment.
func variant(text []byte, k int) []byte {
	if moved, ok := shifted(text, step*float64(k), step*float64(k)/2); ok {
		return moved
	}
	if bytes.HasPrefix(text, []byte("AutoCAD Binary DXF")) {
		// Nothing may stand before the mark or within the tags, but behind the end
		// there may be what no reader looks at.
		return append(bytes.Clone(text), fmt.Sprintf("copy %d", k)...)
	}
	return append([]byte(fmt.Sprintf("999\ncopy %d\n", k)), text...)
}

// shifted moves what stands in the section of entities; false if that cannot be
// done line by line.
func shifted(text []byte, dx, dy float64) ([]byte, bool) {
	lines := bytes.SplitAfter(text, []byte("\n"))
	if len(lines) < 4 || bytes.IndexByte(text, 0) >= 0 {
		return nil, false
	}
	tag := func(i int) (int, string, bool) {
		if i+1 >= len(lines) {
			return 0, "", false
		}
		code, err := strconv.Atoi(strings.TrimSpace(string(lines[i])))
		return code, strings.TrimSpace(string(lines[i+1])), err == nil
	}
	inside, kind := false, ""
	for i := 0; i+1 < len(lines); i += 2 {
		code, value, ok := tag(i)
		if !ok {
			if len(bytes.TrimSpace(bytes.Join(lines[i:], nil))) == 0 {
				break
			}
			return nil, false
		}
		switch {
		case code == 0:
			kind = value
			if value == "ENDSEC" {
				inside = false
			}
			if _, known := places[kind]; inside && !known && !still[kind] {
				return nil, false
			}
		case code == 2 && kind == "SECTION":
			inside = value == "ENTITIES"
		case !inside:
		case code == 210 && !number(value, 0), code == 220 && !number(value, 0), code == 230 && !number(value, 1):
			return nil, false // another plane
		default:
			by := 0.0
			for _, x := range places[kind] {
				switch code {
				case x:
					by = dx
				case x + 10:
					by = dy
				}
			}
			if by == 0 {
				continue
			}
			moved, ok := plus(value, by)
			if !ok {
				return nil, false
			}
			end := lines[i+1][len(bytes.TrimRight(lines[i+1], "\r\n")):]
			lines[i+1] = append([]byte(moved), end...)
		}
	}
	return bytes.Join(lines, nil), true
}

func number(text string, want float64) bool {
	v, err := strconv.ParseFloat(text, 64)
	return err == nil && v == want
}

// plus adds to a number as written, with as many decimals as it needs.
func plus(text string, by float64) (string, bool) {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return "", false
	}
	if strings.ContainsAny(text, "eE") {
		return strconv.FormatFloat(v+by, 'g', -1, 64), true
	}
	_, after, _ := strings.Cut(text, ".")
	return strconv.FormatFloat(v+by, 'f', max(len(after), 4), 64), true
}
