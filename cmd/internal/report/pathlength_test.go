package report

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/golang/geo/r2"
)

// pathLength is the length of a path of M, L, A and Z, as the pictures write it:
// an arc has one radius and turns by 180 degrees at most.
func pathLength(d string) (float64, error) {
	var at, start r2.Point
	sum := 0.0
	for _, m := range regexp.MustCompile(`([MLAZ])([^MLAZ]*)`).FindAllStringSubmatch(d, -1) {
		var v []float64
		for _, f := range strings.Fields(m[2]) {
			n, err := strconv.ParseFloat(f, 64)
			if err != nil {
				return 0, err
			}
			v = append(v, n)
		}
		to := start
		switch {
		case m[1] == "Z" && len(v) == 0:
		case (m[1] == "M" || m[1] == "L") && len(v) == 2:
			to = r2.Point{X: v[0], Y: v[1]}
		case m[1] == "A" && len(v) == 7:
			to = r2.Point{X: v[5], Y: v[6]}
		default:
			return 0, fmt.Errorf("no such step: %s", m[0])
		}
		chord := to.Sub(at).Norm()
		switch m[1] {
		case "M":
			start = to
		case "A":
			sum += 2 * v[0] * math.Asin(math.Min(1, chord/(2*v[0])))
		default:
			sum += chord
		}
		at = to
	}
	return sum, nil
}

func TestPathLength(t *testing.T) {
	for d, want := range map[string]float64{
		"M0 0L3 4":                           5,
		"M0 0L3 0L3 4Z":                      12,
		"M0 0A5 5 0 0 1 10 0A5 5 0 0 1 0 0Z": 10 * math.Pi,
		"M0 0L1 0M5 5L5 7":                   3,
	} {
		if got, err := pathLength(d); err != nil || math.Abs(got-want) > 1e-12 {
			t.Errorf("%s: %v, %v, want %v", d, got, err, want)
		}
	}
	if _, err := pathLength("M0 0C1 1 2 2 3 3"); err == nil {
		t.Error("a curve that the pictures never draw is measured")
	}
}
