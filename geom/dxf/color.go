package dxf

import "github.com/yofu/dxf/color"

// nearestColor returns the colour index nearest to a true colour, written as
// 0xRRGGBB: by squared distance in red, green and blue, the lower index of two.
func (p *parser) nearestColor(rgb int) int16 {
	if p.rgb == int32(rgb)+1 {
		return p.index
	}
	r, g, b := rgb>>16, rgb>>8&0xff, rgb&0xff
	best, at := 1<<30, 7
	if rgb == 0 {
		// Index 7 is black on paper.
		best = 0
	}
	for i := 1; i <= 255; i++ {
		c := color.ColorRGB[i]
		dr, dg, db := int(c[0])-r, int(c[1])-g, int(c[2])-b
		if d := dr*dr + dg*dg + db*db; d < best {
			best, at = d, i
		}
	}
	p.rgb, p.index = int32(rgb)+1, int16(at)
	return p.index
}
