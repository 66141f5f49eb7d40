package main

import "math"

// quarter is the bulge of a quarter turn, half of a half turn.
const (
	quarter = 0.41421356237309503
	half    = 1.0
)

func rectangle(x, y, w, h float64) []point {
	return []point{{x: x, y: y}, {x: x + w, y: y}, {x: x + w, y: y + h}, {x: x, y: y + h}}
}

// rounded is a rectangle with corners of radius r.
func rounded(x, y, w, h, r float64) []point {
	return []point{
		{x + r, y, 0}, {x + w - r, y, quarter},
		{x + w, y + r, 0}, {x + w, y + h - r, quarter},
		{x + w - r, y + h, 0}, {x + r, y + h, quarter},
		{x, y + h - r, 0}, {x, y + r, quarter},
	}
}

// slot has round ends; length is over all, angle in degrees.
func slot(x, y, length, width, angle float64) []point {
	a, r := (length-width)/2, width/2
	return turned([]point{{-a, -r, 0}, {a, -r, half}, {a, r, 0}, {-a, r, half}}, x, y, angle)
}

// curvedSlot follows an arc about (x, y) between two angles in degrees.
func curvedSlot(x, y, radius, width, from, to float64) []point {
	at := func(r, angle, bulge float64) point {
		sin, cos := math.Sincos(angle * math.Pi / 180)
		return point{x + r*cos, y + r*sin, bulge}
	}
	b := math.Tan((to - from) * math.Pi / 180 / 4)
	return []point{
		at(radius+width/2, from, b), at(radius+width/2, to, half),
		at(radius-width/2, to, -b), at(radius-width/2, from, half),
	}
}

// keyhole hangs its slot of the given width and length above a round hole.
func keyhole(x, y, diameter, width, length float64) []point {
	r, w := diameter/2, width/2
	top := y + math.Sqrt(r*r-w*w)
	turn := 2*math.Pi - 2*math.Asin(w/r)
	return []point{
		{x + w, top, 0}, {x + w, y + length - w, half},
		{x - w, y + length - w, 0}, {x - w, top, math.Tan(turn / 4)},
	}
}

// polygon is a closed run of straight stretches.
func polygon(xy ...float64) []point {
	pts := make([]point, 0, len(xy)/2)
	for i := 0; i < len(xy); i += 2 {
		pts = append(pts, point{x: xy[i], y: xy[i+1]})
	}
	return pts
}

// turned turns a shape by an angle in degrees and then moves it.
func turned(pts []point, x, y, angle float64) []point {
	sin, cos := math.Sincos(angle * math.Pi / 180)
	out := make([]point, len(pts))
	for i, p := range pts {
		out[i] = point{x + p.x*cos - p.y*sin, y + p.x*sin + p.y*cos, p.bulge}
	}
	return out
}

// mirrored mirrors a shape at the vertical line through x.
func mirrored(pts []point, x float64) []point {
	n := len(pts)
	out := make([]point, n)
	for i, p := range pts {
		// Backwards the stretch after a vertex is the one before it, and
		// both changes turn its bulge round: the two signs cancel.
		out[n-1-i] = point{2*x - p.x, p.y, pts[(i+n-1)%n].bulge}
	}
	return out
}
