package report

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/golang/geo/r2"
)

// plot is a picture of numbers being written. Colours are the page's.
type plot struct {
	b             strings.Builder
	width, height float64
	area          r2.Rect // px, y down
}

func newPlot(width, height float64) *plot {
	const left, right, top, bottom = 50, 24, 40, 44
	return &plot{width: width, height: height,
		area: r2.RectFromPoints(r2.Point{X: left, Y: top}, r2.Point{X: width - right, Y: height - bottom})}
}

func (p *plot) put(format string, args ...any) { fmt.Fprintf(&p.b, format+"\n", args...) }

func (p *plot) done(label string) string {
	return fmt.Sprintf("<svg class=\"plot\" viewBox=\"0 0 %s %s\" role=\"img\" aria-label=\"%s\">\n%s</svg>", px(p.width), px(p.height), text(label), p.b.String())
}

// across is where a share from 0 to 1 lies, left to right; up the same, from the
// bottom.
func (p *plot) across(share float64) float64 { return p.area.X.Lo + share*p.area.X.Length() }
func (p *plot) up(share float64) float64     { return p.area.Y.Hi - share*p.area.Y.Length() }

// shares draws the axis of a share with its grid.
func (p *plot) shares(label string) {
	for _, v := range []float64{0, 0.25, 0.5, 0.75, 1} {
		y := p.up(v)
		p.put(`<path class="grid1" d="M%s %sH%s"/>`, px(p.area.X.Lo), px(y), px(p.area.X.Hi))
		p.put(`<text class="faint" x="%s" y="%s" text-anchor="end">%.0f %%</text>`, px(p.area.X.Lo-7), px(y+4), 100*v)
	}
	p.put(`<text class="faint" x="4" y="14">%s</text>`, text(label))
}

// fitPlot draws measure against outcome: clean samples above, burred below, the
// fitted curve between, the limit with its interval, and the limit forecast so
// far. The measure's axis is logarithmic, as the fit is.
func fitPlot(g *LearnedGroup) string {
	if len(g.Points) == 0 {
		return ""
	}
	p := newPlot(660, 360)
	low, high := math.Inf(1), math.Inf(-1)
	see := func(v float64) { low, high = min(low, math.Log(v)), max(high, math.Log(v)) }
	for _, s := range g.Points {
		see(s.Measured)
	}
	if g.Default != nil {
		see(float64(*g.Default))
	}
	if g.Fit != nil {
		// A limit far from every sample would squeeze them; its label says where it is.
		if l := math.Log(float64(g.Fit.Limit)); l > low-1 && l < high+1 {
			see(float64(g.Fit.Limit))
		}
	}
	pad := max(0.06*(high-low), 0.05)
	low, high = low-pad, high+pad
	// Two strips are left for the samples, above and below the curve.
	const strip = 42
	inner := *p
	inner.area.Y.Lo += strip
	inner.area.Y.Hi -= strip
	at := func(v float64) float64 { return p.across((math.Log(v) - low) / (high - low)) }
	clamp := func(x float64) float64 { return min(max(x, p.area.X.Lo), p.area.X.Hi) }

	inner.shares("chance that the place comes clean")
	if f := g.Fit; f != nil {
		from, to := p.area.X.Lo, p.area.X.Hi
		if f.Low != nil {
			from = clamp(at(float64(*f.Low)))
		}
		if f.High != nil {
			to = clamp(at(float64(*f.High)))
		}
		inner.put(`<rect class="band" x="%s" y="%s" width="%s" height="%s"/>`, px(from), px(p.area.Y.Lo), px(max(to-from, 1)), px(p.area.Y.Length()))
		var path strings.Builder
		const steps = 120
		for i := range steps + 1 {
			m := math.Exp(low + (high-low)*float64(i)/steps)
			chance := 1 / (1 + math.Exp(-float64(f.Intercept)-float64(f.Slope)*math.Log(m/float64(f.Scale))))
			verb := "L"
			if i == 0 {
				verb = "M"
			}
			path.WriteString(verb + px(at(m)) + " " + px(inner.up(chance)))
		}
		inner.put(`<path class="curve" d="%s"/>`, path.String())
	}
	inner.ticks(at, low, high, p.area.Y.Hi)
	inner.samples(g.Points, at)
	inner.marks(g, at, p.area)
	inner.put(`<path class="axis" d="M%s %sH%s"/>`, px(p.area.X.Lo), px(p.area.Y.Hi), px(p.area.X.Hi))
	inner.put(`<text class="faint" x="%s" y="%s" text-anchor="end">measured, %s</text>`, px(p.area.X.Hi), px(p.height-8), text(g.Unit))
	return inner.done(fmt.Sprintf("%s on %s: measure against outcome", g.Rule, g.Line))
}

// ticks writes round numbers along a logarithmic axis, as many as have room.
func (p *plot) ticks(at func(float64) float64, low, high, y float64) {
	const room = 42
	taken := []float64{}
	for _, set := range [][]float64{{1}, {2, 5}, {3}, {1.5, 4, 7}, {2.5, 6, 8, 1.2}, {2.2, 2.8, 3.5, 4.5, 1.8}} {
		for ten := math.Floor(low/math.Ln10) - 1; ten <= high/math.Ln10+1; ten++ {
			for _, k := range set {
				v := k * math.Pow(10, ten)
				if l := math.Log(v); l < low || l > high {
					continue
				}
				x := at(v)
				if slices.ContainsFunc(taken, func(t float64) bool { return math.Abs(t-x) < room }) {
					continue
				}
				taken = append(taken, x)
				p.put(`<path class="axis" d="M%s %sv5"/><text class="faint" x="%s" y="%s" text-anchor="middle">%s</text>`, px(x), px(y), px(x), px(y+18), short(v))
			}
		}
	}
}

// samples draws a dot for each sample, stacked where they would hide each other.
func (p *plot) samples(points []LearnedPoint, at func(float64) float64) {
	const r, most = 3.4, 4
	type slot struct {
		clean bool
		x     int
	}
	taken := map[slot]int{}
	sorted := slices.Clone(points)
	slices.SortStableFunc(sorted, func(a, b LearnedPoint) int {
		return int(math.Copysign(1, a.Measured-b.Measured))
	})
	for _, s := range sorted {
		x := at(s.Measured)
		k := slot{s.Clean, int(math.Round(x / (2 * r)))}
		n := min(taken[k], most)
		taken[k]++
		step := float64(n) * 2 * r
		if s.Clean {
			p.put(`<circle class="hit" cx="%s" cy="%s" r="%g"/>`, px(x), px(p.area.Y.Lo-4-r-step), r)
		} else {
			p.put(`<circle class="miss" cx="%s" cy="%s" r="%g"/>`, px(x), px(p.area.Y.Hi+4+r+step), r)
		}
	}
	p.put(`<text class="faint" x="%s" y="%s" text-anchor="end">clean</text>`, px(p.area.X.Lo-7), px(p.area.Y.Lo-14))
	p.put(`<text class="faint" x="%s" y="%s" text-anchor="end">burr</text>`, px(p.area.X.Lo-7), px(p.area.Y.Hi+24))
}

// marks draws the fitted limit and the one forecast so far, each named at the
// top, on the side where there is room.
func (p *plot) marks(g *LearnedGroup, at func(float64) float64, all r2.Rect) {
	type mark struct {
		class, name string
		x           float64
		words       string
	}
	var list []mark
	if g.Default != nil {
		list = append(list, mark{"default", "was", at(float64(*g.Default)), "so far " + short(float64(*g.Default))})
	}
	if g.Fit != nil {
		list = append(list, mark{"limit", "mid", at(float64(g.Fit.Limit)), "fitted " + short(float64(g.Fit.Limit))})
	}
	for i, m := range list {
		if m.x < all.X.Lo || m.x > all.X.Hi {
			continue
		}
		p.put(`<path class="%s" d="M%s %sV%s"/>`, m.class, px(m.x), px(all.Y.Lo-4), px(all.Y.Hi))
		anchor, x := "end", m.x-5
		other := m.x
		if len(list) == 2 {
			other = list[1-i].x
		}
		if m.x > other || m.x == other && i == 1 || m.x-all.X.Lo < 80 {
			anchor, x = "start", m.x+5
		}
		if all.X.Hi-m.x < 80 {
			anchor, x = "end", m.x-5
		}
		p.put(`<text class="%s" x="%s" y="%s" text-anchor="%s">%s</text>`, m.name, px(x), px(all.Y.Lo-8), anchor, text(m.words))
	}
}

// reliabilityPlot draws the share that came clean against the chance forecast:
// a forecast that can be trusted lies on the diagonal.
func reliabilityPlot(g *LearnedGroup) string {
	if g.Forecast.Judged == 0 {
		return ""
	}
	p := newPlot(400, 360)
	p.shares("share that came clean")
	for _, v := range []float64{0, 0.25, 0.5, 0.75, 1} {
		p.put(`<path class="axis" d="M%s %sv5"/><text class="faint" x="%s" y="%s" text-anchor="middle">%.0f %%</text>`, px(p.across(v)), px(p.area.Y.Hi), px(p.across(v)), px(p.area.Y.Hi+18), 100*v)
	}
	p.put(`<path class="even" d="M%s %sL%s %s"/>`, px(p.across(0)), px(p.up(0)), px(p.across(1)), px(p.up(1)))
	for _, b := range g.Forecast.Reliability {
		if b.Clean == nil {
			continue
		}
		x := p.across(float64(*b.Forecast))
		p.put(`<path class="whisker" d="M%s %sV%sM%s %sh8M%s %sh8"/>`,
			px(x), px(p.up(float64(*b.Low))), px(p.up(float64(*b.High))), px(x-4), px(p.up(float64(*b.Low))), px(x-4), px(p.up(float64(*b.High))))
		p.put(`<circle class="share" cx="%s" cy="%s" r="4.2"/>`, px(x), px(p.up(float64(*b.Clean))))
		anchor, dx := "start", 9.0
		if *b.Forecast > 0.85 {
			anchor, dx = "end", -9
		}
		dy := 4.0
		if *b.Clean < 0.05 { // off the axis
			dy = -6
		}
		p.put(`<text class="faint" x="%s" y="%s" text-anchor="%s">%d</text>`, px(x+dx), px(p.up(float64(*b.Clean))+dy), anchor, b.Samples)
	}
	p.put(`<path class="axis" d="M%s %sH%s"/>`, px(p.area.X.Lo), px(p.area.Y.Hi), px(p.area.X.Hi))
	p.put(`<text class="faint" x="%s" y="%s" text-anchor="end">chance of clean that was forecast</text>`, px(p.area.X.Hi), px(p.height-8))
	return p.done(fmt.Sprintf("%s on %s: reliability of the forecast", g.Rule, g.Line))
}
