package dxf

import "github.com/golang/geo/r2"

type conic struct {
	center, u, v r2.Point
	from, sweep  float64
}

func (d *draft) conic(k conic)                       { d.refuse("elliptic", "elliptic arc") }
func (d *draft) conicBetween(k conic, p, q r2.Point) { d.refuse("elliptic", "elliptic arc") }
func (d *draft) ellipse(f *frame)                    { d.refuse("elliptic", "elliptic arc") }
