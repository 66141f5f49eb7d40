package rules

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
)

// Gauge series. A gauge number means a thickness only together with one.
const (
	GaugeSteel      = "steel"      // Manufacturers' Standard Gauge
	GaugeGalvanised = "galvanised" // the same with its zinc
	GaugeStainless  = "stainless"  // old US Standard Gauge
	GaugeAluminium  = "aluminium"  // Brown & Sharpe; also brass and copper
)

// nominalWeight is the weight in lb/ft2 that defines steel gauges 7 to 26.
var nominalWeight = [...]float64{7.5, 6.875, 6.25, 5.625, 5, 4.375, 3.75, 3.125, 2.8125, 2.5,
	2.25, 2, 1.75, 1.5, 1.375, 1.25, 1.125, 1, 0.875, 0.75}

// Gauge returns the thickness in mm of a sheet gauge, 7 to 26, in a named
// series, rounded to 0.0001 in as the printed tables are.
//
// Rules (inch): steel w/41.82 and stainless w/40 with w the gauge's weight in
// lb/ft2; galvanised (w + 2.5 oz/ft2)/41.82, from gauge 8; aluminium
// 0.005 * 92^((36-n)/39). The first three reproduce published tables within
// 0.00005 in.
func Gauge(n int, series string) (float64, error) {
	if n < 7 || n > 26 {
		return 0, fmt.Errorf("gauge %d is outside 7 to 26", n)
	}
	w := nominalWeight[n-7]
	var inch float64
	switch series {
	case GaugeSteel:
		inch = w / 41.82
	case GaugeGalvanised:
		if n == 7 {
			return 0, fmt.Errorf("gauge 7 has no galvanised thickness")
		}
		inch = (w + 2.5/16) / 41.82
	case GaugeStainless:
		inch = w / 40
	case GaugeAluminium:
		inch = 0.005 * math.Pow(92, float64(36-n)/39)
	case "":
		return 0, fmt.Errorf("gauge %d needs a series: steel, galvanised, stainless or aluminium", n)
	default:
		return 0, fmt.Errorf("no gauge series named %q: steel, galvanised, stainless or aluminium", series)
	}
	return math.Round(inch*1e4) / 1e4 * 25.4, nil
}

// Thickness is a sheet thickness with how it was written.
type Thickness struct {
	MM     float64
	Series string // gauge series, "" if none was named
	Gauge  int    // 0 if it was not a gauge
}

var (
	gaugeForm = regexp.MustCompile(`(?i)^(?:(\d{1,2})\s*(?:ga|gauge|gage)\.?|(?:ga|gauge|gage)\.?\s*(\d{1,2}))\s*(.*)$`)
	sizeForm  = regexp.MustCompile(`(?i)^(?:t\s*[=:]?\s*)?(\d+(?:[.,]\d+)?|[.,]\d+)\s*(mm|in|inch|inches|"|''|mil|mils|cm|)$`)
	fracForm  = regexp.MustCompile(`(?i)^(?:(\d+)[\s-]+)?(\d+)\s*/\s*(\d+)\s*(?:in|inch|inches|"|'')$`)
)

// ParseThickness reads "2", "2 mm", "t=1,5", "0.075 in", "1/8 in", "16 ga steel".
// A bare number is mm. A gauge needs its series.
func ParseThickness(text string) (Thickness, error) {
	s := strings.TrimSpace(text)
	if m := gaugeForm.FindStringSubmatch(s); m != nil {
		n, err := strconv.Atoi(m[1] + m[2])
		if err != nil {
			return Thickness{}, fmt.Errorf("thickness %q: %w", text, err)
		}
		series := gaugeSeries(m[3])
		if series == "" && strings.TrimSpace(m[3]) != "" {
			return Thickness{}, fmt.Errorf("thickness %q: no gauge series named %q: steel, galvanised, stainless or aluminium", text, strings.TrimSpace(m[3]))
		}
		mm, err := Gauge(n, series)
		if err != nil {
			return Thickness{Gauge: n, Series: series}, fmt.Errorf("thickness %q: %w", text, err)
		}
		return Thickness{MM: mm, Series: series, Gauge: n}, nil
	}
	if m := fracForm.FindStringSubmatch(s); m != nil {
		num, _ := strconv.ParseFloat(m[2], 64)
		den, _ := strconv.ParseFloat(m[3], 64)
		whole, _ := strconv.ParseFloat("0"+m[1], 64)
		if den == 0 {
			return Thickness{}, fmt.Errorf("thickness %q: divided by zero", text)
		}
		return thicknessMM(text, (whole+num/den)*25.4)
	}
	m := sizeForm.FindStringSubmatch(s)
	if m == nil {
		return Thickness{}, fmt.Errorf("thickness %q is not a size: write 2, \"2 mm\", \"0.075 in\" or \"16 ga steel\"", text)
	}
	v, err := strconv.ParseFloat(strings.Replace(m[1], ",", ".", 1), 64)
	if err != nil {
		return Thickness{}, fmt.Errorf("thickness %q: %w", text, err)
	}
	switch strings.ToLower(m[2]) {
	case "in", "inch", "inches", `"`, "''":
		v *= 25.4
	case "mil", "mils":
		v *= 0.0254
	case "cm":
		v *= 10
	}
	return thicknessMM(text, v)
}

func thicknessMM(text string, v float64) (Thickness, error) {
	if !(v > 0) || v > 300 {
		return Thickness{}, fmt.Errorf("thickness %q is not a sheet's: above 0 and at most 300 mm", text)
	}
	return Thickness{MM: v}, nil
}

// gaugeSeries reads the series from the words beside a gauge, "" if none.
func gaugeSeries(words string) string {
	w := strings.ToLower(words)
	has := func(list ...string) bool {
		for _, x := range list {
			if strings.Contains(w, x) {
				return true
			}
		}
		return false
	}
	switch {
	case has("galv", "gsg", "zinc", "verzinkt"):
		return GaugeGalvanised
	case has("stainless", "inox", "edelstahl", "304", "316"), wordIn(w, "ss"), wordIn(w, "sst"):
		return GaugeStainless
	case has("alu", "brass", "copper", "awg", "brown", "b&s"), wordIn(w, "al"):
		return GaugeAluminium
	case has("steel", "msg", "crs", "hrs", "stahl"), wordIn(w, "ms"):
		return GaugeSteel
	}
	return ""
}

func wordIn(s, word string) bool {
	for _, f := range strings.FieldsFunc(s, func(r rune) bool { return !isWordRune(r) }) {
		if f == word {
			return true
		}
	}
	return false
}

func isWordRune(r rune) bool {
	return r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r > 127
}

// Zinc masses: 7.14 g/m2 is 1 micrometre; 1 oz/ft2 is 305.15 g/m2.
const (
	zincPerMicrometre = 7.14
	ounceFoot         = 305.15
)

// ZincThickness returns the zinc thickness of one side in micrometres from the
// mass of both sides together in g/m2. Z275: 19.3.
func ZincThickness(mass float64) float64 { return mass / 2 / zincPerMicrometre }

var zincForm = regexp.MustCompile(`(?i)^\s*(?:\+?(z|ze|za|zm|g))\s*-?\s*(\d{2,3})(?:/\d{2,3})?\s*$`)

// ParseZinc reads a coating designation: Z275 is g/m2 of both sides together,
// G90 hundredths of oz/ft2 of both sides; ZE25/25 is in tenths of a micrometre
// a side. It returns g/m2 of both sides.
func ParseZinc(text string) (mass float64, ok bool) {
	m := zincForm.FindStringSubmatch(text)
	if m == nil {
		return 0, false
	}
	n, err := strconv.ParseFloat(m[2], 64)
	if err != nil || n == 0 {
		return 0, false
	}
	switch strings.ToUpper(m[1]) {
	case "G":
		return n / 100 * ounceFoot, true
	case "ZE":
		return n / 10 * zincPerMicrometre * 2, true
	}
	return n, true
}

// grains are the average grain sizes in micrometres of the P grades (FEPA 43-1,
// ISO 6344).
var grains = []struct {
	grade string
	size  float64
}{
	{"P12", 1815}, {"P16", 1324}, {"P20", 1000}, {"P24", 764}, {"P30", 642}, {"P36", 538},
	{"P40", 425}, {"P50", 336}, {"P60", 269}, {"P80", 201}, {"P100", 162}, {"P120", 125},
	{"P150", 100}, {"P180", 82}, {"P220", 68}, {"P240", 58.5}, {"P280", 52}, {"P320", 46.2},
	{"P360", 40}, {"P400", 35}, {"P500", 30}, {"P600", 26}, {"P800", 22}, {"P1000", 18}, {"P1200", 15},
}

// GrainSize returns the average grain size of a P grade in micrometres.
func GrainSize(grade string) (float64, bool) {
	g := strings.ToUpper(strings.TrimSpace(grade))
	for _, r := range grains {
		if r.grade == g {
			return r.size, true
		}
	}
	return 0, false
}

// MetresPerSecond converts surface feet a minute, exactly.
func MetresPerSecond(sfpm float64) float64 { return sfpm * 0.00508 }

// BeltSpeed returns the surface speed in m/s of a drum of a diameter in mm at a
// speed in 1/min.
func BeltSpeed(diameter, rpm float64) float64 { return math.Pi * diameter / 1000 * rpm / 60 }

// ISO9013U returns the perpendicularity tolerance in mm of a range, 1 to 5, for
// a thickness in mm. Ranges 1 to 4: a published guide that agrees with memory of
// Table 4 (the guide wrongly says that there are only four); range 5: memory.
func ISO9013U(rng int, thickness float64) (float64, bool) {
	table := [...][2]float64{{0.05, 0.003}, {0.15, 0.007}, {0.4, 0.01}, {0.8, 0.02}, {1.2, 0.035}}
	if rng < 1 || rng > len(table) {
		return 0, false
	}
	return table[rng-1][0] + table[rng-1][1]*thickness, true
}

// ISO9013Rz5 returns the mean height of the profile in micrometres of a range,
// 1 to 4, for a thickness in mm.
func ISO9013Rz5(rng int, thickness float64) (float64, bool) {
	table := [...][2]float64{{10, 0.6}, {40, 0.8}, {70, 1.2}, {110, 1.8}}
	if rng < 1 || rng > len(table) {
		return 0, false
	}
	return table[rng-1][0] + table[rng-1][1]*thickness, true
}

// PunchBurrCeiling is the acceptance ceiling of two published articles in mm:
// 10 % of thickness, never above 0.127 mm. It is not a prediction.
func PunchBurrCeiling(thickness float64) float64 { return min(0.1*thickness, 0.127) }

// PerforatorBurr is the burr in mm that a perforated-plate delivery table
// allows. Gaps between its bands (0.6 to 0.7, 1.5 to 1.6) take the higher band.
func PerforatorBurr(thickness float64) float64 {
	switch {
	case thickness <= 0.6:
		return 0.15
	case thickness <= 1.5:
		return 0.17
	case thickness <= 3:
		return 0.20
	case thickness <= 6:
		return 0.25
	}
	return 0.50
}
