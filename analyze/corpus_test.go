package analyze

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"burrcast/geom/dxf"
)

// Real drawings of flat parts: at least 95 % give complete parts, with no chain
// left that nobody can say the meaning of. The others are printed with what they
// say.
func TestCorpusIsUnderstood(t *testing.T) {
	files, err := filepath.Glob("../../shared/corpus/parts/*/*.[dD][xX][fF]")
	if err != nil || len(files) == 0 {
		t.Skip("no corpus here")
	}
	opt := Options{Layers: shopLayers()}
	good := 0
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		name := strings.Join(strings.Split(filepath.ToSlash(file), "/")[5:], "/")
		d, err := dxf.ReadBytes(data, dxf.Options{})
		if err != nil {
			t.Logf("%s: %v", name, err)
			continue
		}
		checkAccount(t, d, opt)
		a := understand(d, opt)
		if reasons := unclear(a); len(reasons) > 0 || len(a.built.Regions) == 0 {
			t.Logf("%s: %s", name, strings.Join(reasons, "; "))
			continue
		}
		good++
	}
	t.Logf("%d of %d drawings give complete parts", good, len(files))
	if 100*good < 95*len(files) {
		t.Errorf("%d of %d drawings give complete parts, want 95 %%", good, len(files))
	}
}

// unclear lists what is wrong with a drawing's parts, each thing once.
func unclear(a *analysis) []string {
	var out []string
	seen := make(map[string]bool)
	say := func(text string) {
		if !seen[text] {
			seen[text] = true
			out = append(out, text)
		}
	}
	for _, text := range a.doubt {
		say(text)
	}
	for _, l := range a.res.Lines {
		if l.Taken == OpenContour {
			say("an open contour")
		}
	}
	return out
}
