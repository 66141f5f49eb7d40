package main

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
)

// samplesFile is what the shop's inspector wrote down in a spring: places on its
// own parts and on a test strip with graded holes and slots, which is not among
// the drawings here.
const samplesFile = "samples.csv"

// The truth that the samples are drawn from: the width at which half of the
// places come clean on the shop's belt-and-drum-brush, and how steeply the
// chance rises over the logarithm of the width there. The shop file forecasts
// 2.4 mm for all three.
const (
	trueHole, trueSlot, trueNotch = 2.9, 2.2, 2.6
	steepness                     = 14
)

// samplesCSV is the samples as a table. The same seed gives the same bytes.
func samplesCSV() []byte {
	rng := rand.New(rand.NewPCG(1871, 4))
	var b strings.Builder
	b.WriteString("drawing,part,piece,place,rule,line,material,thickness_mm,process,measured,filament_mm,outcome,height_cut_mm,date,remarks\n")
	row := func(drawing, piece, place, rule, stock string, width, limit float64, height, date string) {
		outcome := "burr"
		if rng.Float64() < 1/(1+math.Exp(-steepness*math.Log(width/limit))) {
			outcome = "clean"
		}
		fmt.Fprintf(&b, "%s,P1,%s,%s,%s,belt-and-drum-brush,%s,%g,0.8,%s,%s,%s,\n", drawing, piece, place, rule, stock, width, outcome, height, date)
	}
	// height is a burr as cut around a median, in mm.
	height := func(median, spread float64) string {
		return fmt.Sprintf("%.3f", median*math.Exp(spread*rng.NormFloat64()))
	}
	const steel, stainless = "DC01,1.5,laser-n2", "1.4301,2,laser-n2"
	holes := []float64{1.8, 2.2, 2.4, 2.6, 2.8, 3, 3.2, 3.4, 3.8, 4.5}
	for piece, day := range []string{"2026-02-10", "2026-02-10", "2026-02-11", "2026-03-03"} {
		for i, d := range holes {
			h := ""
			if i%2 == 0 {
				h = height(0.03, 0.45)
			}
			row("test-strip.dxf", fmt.Sprint(piece+1), fmt.Sprintf("C%d", i+1), "hole-reach", steel, d, trueHole, h, day)
		}
	}
	for i, piece := range []string{"1", "20", "40"} {
		row("sieve-plate.dxf", piece, fmt.Sprintf("C%d", 12+200*i), "hole-reach", "1.4301,1.5,punch", 3, trueHole, "", "2026-03-12")
	}
	slots := []float64{1.6, 1.8, 2, 2.2, 2.4, 2.6, 3}
	for piece, day := range []string{"2026-02-10", "2026-02-11", "2026-03-03", "2026-03-04"} {
		for i, w := range slots {
			row("test-strip.dxf", fmt.Sprint(piece+1), fmt.Sprintf("C%d", 21+i), "slot-reach", steel, w, trueSlot, "", day)
		}
	}
	for i := range 6 {
		row("seed-rake.dxf", "1", fmt.Sprintf("N%d", 1+4*i), "notch-reach", stainless, 1.4, trueNotch, height(0.05, 0.5), "2026-03-17")
	}
	for i, w := range []float64{2.4, 2.8} {
		row("test-strip.dxf", "1", fmt.Sprintf("N%d", 1+i), "notch-reach", steel, w, trueNotch, "", "2026-03-17")
	}
	return []byte(b.String())
}
