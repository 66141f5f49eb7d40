package contour_test

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"burrcast/geom"
	"burrcast/geom/contour"
	"burrcast/geom/dxf"
)

func TestScratch(t *testing.T) {
	files, _ := filepath.Glob(os.Getenv("SCRATCH"))
	for _, f := range files {
		data, _ := os.ReadFile(f)
		d, err := dxf.ReadBytes(data, dxf.Options{})
		if err != nil {
			fmt.Println(filepath.Base(f), "ERR", err)
			continue
		}
		var cs []geom.Curve
		for _, p := range d.Paths {
			if l := os.Getenv("LAYER"); l == "" || l == p.Layer {
				cs = append(cs, p.Curves...)
			}
		}
		t0 := time.Now()
		r := contour.Build(cs, contour.Defaults())
		el := time.Since(t0)
		holes := 0
		dep := 0
		for _, g := range r.Regions {
			holes += len(g.Holes)
			dep = max(dep, g.Depth)
		}
		k := map[string]int{}
		for _, o := range r.Open {
			k[o.Kind]++
		}
		c := map[string]int{}
		for _, p := range r.Problems {
			c[p.Code]++
		}
		fmt.Printf("%-40s n=%d regions=%d depth=%d holes=%d open=%v dup=%d deg=%d rej=%d gap=%.3g problems=%v %v\n", filepath.Base(f), len(cs), len(r.Regions), dep, holes, k, len(r.Duplicates), len(r.Degenerate), len(r.Rejected), r.LargestGap, c, el.Round(time.Microsecond))
		if os.Getenv("VERB") != "" {
			if os.Getenv("VERB") == "2" {
				for i, c := range cs {
					fmt.Println(i, c)
				}
				fmt.Println(r.Duplicates, r.Degenerate)
			}
			for _, o := range r.Open {
				fmt.Println("   open", o.Kind, len(o.Curves), o.Curves[0].Start, o.Curves[len(o.Curves)-1].End, o.Gap, geom.LoopLength(o.Curves))
			}
			for _, p := range r.Problems {
				fmt.Printf("   %+v\n", p)
			}
		}
	}
}
