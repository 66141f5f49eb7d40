package rules

import (
	"fmt"
	"math"
	"testing"

	"burrcast/analyze/measure"

	"github.com/golang/geo/r2"
)

// rectFeeds measures a rectangle x by y with holes at every whole degree, the
// way a part is measured: arithmetic of a rectangle, holes as circles.
func rectFeeds(x, y, holes float64) []measure.Feed {
	total := 2*(x+y) + holes
	var feeds []measure.Feed
	for a := range 180 {
		t := float64(a) * math.Pi / 180
		c, s := math.Abs(math.Cos(t)), math.Abs(math.Sin(t))
		section := math.Min(x/math.Max(s, 1e-12), y/math.Max(c, 1e-12))
		f := measure.Feed{Angle: float64(a), Length: x*c + y*s, Width: x*s + y*c, Section: section, Lead: (x*c + y*s) / 2}
		lying := holes / 6 // 60 of 360 degrees of a circle
		if d := math.Abs(math.Remainder(float64(a), 180)); d <= 15 {
			lying += 2 * x
		}
		if d := math.Abs(math.Remainder(float64(a)+90, 180)); d <= 15 {
			lying += 2 * y
		}
		f.Lying = lying / total
		f.Along, f.Against, f.Across = 0.25, 0.25, 0.5
		feeds = append(feeds, f)
	}
	return feeds
}

// plate is a rectangle x by y with round holes of a diameter, hand-built.
func plate(x, y, diameter float64, n int) measure.Part {
	p := measure.Part{ID: "P1", Quantity: 1,
		BBox: r2.RectFromPoints(r2.Point{}, r2.Point{X: x, Y: y}), Centroid: r2.Point{X: x / 2, Y: y / 2},
		Area:          measure.Of(x*y-float64(n)*math.Pi/4*diameter*diameter, 0),
		OutlineLength: measure.Of(2*(x+y), 0),
		CutLength:     measure.Of(2*(x+y)+float64(n)*math.Pi*diameter, 0),
		MinWidth:      measure.Of(math.Min(x, y), 0), Inscribed: measure.Of(math.Min(x, y), 0),
		At: []r2.Point{{}},
	}
	for i := range n {
		p.Cutouts = append(p.Cutouts, hole(fmt.Sprintf("C%d", i+1), diameter))
	}
	p.Feeds = rectFeeds(x, y, float64(n)*math.Pi*diameter)
	return p
}

func hole(id string, d float64) measure.Cutout {
	return measure.Cutout{ID: id, Kind: measure.Round, At: r2.Point{X: 10, Y: 10},
		Area: measure.Of(math.Pi/4*d*d, 0), Perimeter: measure.Of(math.Pi*d, 0),
		Inscribed: measure.Of(d, 0), MinWidth: measure.Of(d, 0), EdgeGap: measure.Of(10, 0)}
}

func slot(id string, w, l float64) measure.Cutout {
	return measure.Cutout{ID: id, Kind: measure.Slot, At: r2.Point{X: 20, Y: 20},
		Area: measure.Of(w*l, 0), Perimeter: measure.Of(2*(l-w)+math.Pi*w, 0),
		Inscribed: measure.Of(w, 0), MinWidth: measure.Of(w, 0), Straight: measure.Of(l-w, 0), EdgeGap: measure.Of(10, 0)}
}

func given(v string) Given { return Given{Value: v, Source: "flag"} }

func order(material, thickness, process, edge string) Job {
	return Job{Material: given(material), Thickness: given(thickness), Process: given(process), Edge: given(edge)}
}

func judge(t testing.TB, p measure.Part, job Job) Judgement {
	t.Helper()
	j, err := Judge(measure.Drawing{Units: "mm"}, p, job, DefaultShop())
	if err != nil {
		t.Fatal(err)
	}
	return j
}

func BenchmarkJudge(b *testing.B) {
	p, shop, job := plate(100, 60, 5, 4), DefaultShop(), order("1.4301", "2", "laser-n2", "safe-to-handle")
	for b.Loop() {
		if _, err := Judge(measure.Drawing{}, p, job, shop); err != nil {
			b.Fatal(err)
		}
	}
}
