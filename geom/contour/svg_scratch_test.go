package contour_test

import (
	"image"
	"image/color"
	"image/png"
	"os"
	"path/filepath"
	"testing"

	"burrcast/geom"
	"burrcast/geom/contour"
	"burrcast/geom/dxf"
)

func TestSVG(t *testing.T) {
	files, _ := filepath.Glob(os.Getenv("SCRATCH"))
	for _, f := range files {
		data, _ := os.ReadFile(f)
		d, _ := dxf.ReadBytes(data, dxf.Options{})
		var cs []geom.Curve
		for _, p := range d.Paths {
			if l := os.Getenv("LAYER"); l == "" || l == p.Layer {
				cs = append(cs, p.Curves...)
			}
		}
		r := contour.Build(cs, contour.Defaults())
		b := geom.LoopBounds(cs)
		sz := b.Size()
		sc := 1400 / max(sz.X, sz.Y)
		im := image.NewRGBA(image.Rect(0, 0, int(sz.X*sc)+20, int(sz.Y*sc)+20))
		for i := range im.Pix {
			im.Pix[i] = 255
		}
		draw := func(c []geom.Curve, col color.Color, w int) {
			for _, k := range c {
				n := int(k.Length()*sc) + 2
				for j := 0; j <= n; j++ {
					q := k.At(float64(j) / float64(n))
					x, y := int((q.X-b.X.Lo)*sc)+10, int((b.Y.Hi-q.Y)*sc)+10
					for dx := range w {
						for dy := range w {
							im.Set(x+dx, y+dy, col)
						}
					}
				}
			}
		}
		cols := []color.RGBA{{0, 0, 0, 255}, {0, 120, 0, 255}, {120, 0, 160, 255}, {0, 130, 150, 255}}
		for i, g := range r.Regions {
			draw(g.Outline.Curves, cols[i%4], 2)
			for _, h := range g.Holes {
				draw(h.Curves, color.RGBA{40, 80, 255, 255}, 1)
			}
		}
		for _, o := range r.Open {
			draw(o.Curves, color.RGBA{255, 0, 0, 255}, 3)
		}
		w, _ := os.Create(os.Getenv("OUT"))
		png.Encode(w, im)
		w.Close()
	}
}
