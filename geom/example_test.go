package geom_test

import (
	"fmt"
	"math"

	"burrcast/geom"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"
)

// A slot with round ends, from a polyline's vertices and bulges: exact, since
// arcs stay arcs.
func ExampleIntegrate() {
	corner := []r2.Point{{X: 0, Y: -4}, {X: 30, Y: -4}, {X: 30, Y: 4}, {X: 0, Y: 4}}
	slot := []geom.Curve{
		geom.Line(corner[0], corner[1]),
		geom.Bulge(corner[1], corner[2], 1), // half a turn
		geom.Line(corner[2], corner[3]),
		geom.Bulge(corner[3], corner[0], 1),
	}
	in := geom.Integrate(slot)
	centre, _ := in.Centroid()
	fmt.Printf("area %.6f mm2, exactly %.6f\n", in.Area, 240+16*math.Pi)
	fmt.Printf("edge %.6f mm, centre (%.0f, %.0f)\n", geom.LoopLength(slot), centre.X, centre.Y)
	// Output:
	// area 290.265482 mm2, exactly 290.265482
	// edge 85.132741 mm, centre (15, 0)
}

// The nearest points of two edges are the witness of a web's width.
func ExampleBetween() {
	hole := geom.Circle(r2.Point{X: 10, Y: 20}, 5)
	edge := geom.Line(r2.Point{X: 0, Y: 0}, r2.Point{X: 0, Y: 40})
	width, p, q := geom.Between(hole, edge)
	fmt.Printf("%.3f mm from (%.0f, %.0f) to (%.0f, %.0f)\n", width, p.X, p.Y, q.X, q.Y)
	// Output:
	// 5.000 mm from (5, 20) to (0, 20)
}

// An ellipse becomes tangent arcs that keep within a tolerance.
func ExampleFitArcs() {
	ellipse := func(t float64) (p, d r2.Point) {
		sin, cos := math.Sincos(t)
		return r2.Point{X: 100 * cos, Y: 50 * sin}, r2.Point{X: -100 * sin, Y: 50 * cos}
	}
	arcs, off, err := geom.FitArcs(ellipse, []float64{0, math.Pi / 2, math.Pi, 3 * math.Pi / 2, 2 * math.Pi}, 0.001, 1000)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("within 0.001 mm: %v, fewer than 100 arcs: %v\n", off <= 0.001, len(arcs) < 100)
	fmt.Printf("area %.1f mm2, exactly %.1f\n", geom.Integrate(arcs).Area, math.Pi*100*50)
	// Output:
	// within 0.001 mm: true, fewer than 100 arcs: true
	// area 15708.0 mm2, exactly 15708.0
}

// Values move without being changed.
func ExampleCurve_Transformed() {
	quarter := geom.Arc(r2.Point{}, 10, 0, s1.Angle(math.Pi/2))
	moved := quarter.Transformed(geom.Translation(r2.Point{X: 100, Y: 50}))
	fmt.Printf("from (%.0f, %.0f) to (%.0f, %.0f), %.4f mm long\n", moved.Start.X, moved.Start.Y, moved.End.X, moved.End.Y, moved.Length())
	// Output:
	// from (110, 50) to (100, 60), 15.7080 mm long
}
