package analyze_test

import (
	"fmt"
	"strings"

	"burrcast/analyze"
	"burrcast/geom/dxf"
)

// plate is a plate of 120 x 80 mm with a round hole and a slot, as small as a
// drawing can be.
const plate = `0
SECTION
2
ENTITIES
0
LWPOLYLINE
90
4
70
1
10
0
20
0
10
120
20
0
10
120
20
80
10
0
20
80
0
CIRCLE
10
30
20
40
40
8
0
LWPOLYLINE
90
4
70
1
10
60
20
37
10
100
20
37
42
1
10
100
20
43
10
60
20
43
42
1
0
ENDSEC
0
EOF
`

// Measure a drawing: every value says how sure it is and where it was taken.
func ExampleAnalyze() {
	drawing, err := dxf.Read(strings.NewReader(plate), dxf.Options{Units: "mm"})
	if err != nil {
		fmt.Println(err)
		return
	}
	result := analyze.Analyze(drawing, analyze.Options{})
	for _, part := range result.Parts {
		p := part.Measure
		area, known := p.Area.Get()
		fmt.Printf("%s x%d: %.1f mm2, known %v\n", p.ID, p.Quantity, area, known)
		for _, c := range p.Cutouts {
			w := c.MinWidth
			fmt.Printf("%s is a %s, %.3f mm wide within %.0e mm\n", c.ID, c.Kind, w.V, w.Err)
		}
	}
	// Output:
	// P1 x1: 9130.7 mm2, known true
	// C1 is a round, 16.000 mm wide within 3e-07 mm
	// C2 is a slot, 6.000 mm wide within 3e-07 mm
}
