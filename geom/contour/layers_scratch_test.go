package contour_test

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"burrcast/geom/dxf"
)

func TestLayers(t *testing.T) {
	files, _ := filepath.Glob(os.Getenv("SCRATCH"))
	for _, f := range files {
		data, _ := os.ReadFile(f)
		d, _ := dxf.ReadBytes(data, dxf.Options{})
		k := map[string]int{}
		for _, p := range d.Paths {
			k[p.Layer+"|"+p.LineType+"|"+p.Entity+fmt.Sprint("|", p.Color)] += len(p.Curves)
		}
		fmt.Println(filepath.Base(f), k, d.Units)
	}
}
