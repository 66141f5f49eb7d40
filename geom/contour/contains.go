package contour

import (
	"burrcast/geom"

	"github.com/golang/geo/r2"
)

// Contains reports whether p lies inside a closed contour, whichever way it
// runs. A point on the contour may fall on either side.
func Contains(contour []geom.Curve, p r2.Point) bool {
	return newLoop(contour).contains(p)
}
