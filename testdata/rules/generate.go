// The rule drawings: for every rule one drawing that passes it and one that
// fails it. What the failing one must be told for stands in its own comments
// (group 999 at the head of the file), worked out by hand, so that drawing and
// expectation stay together. Run it by path, since "./..." leaves testdata out:
//
//	go run ./testdata/rules           writes the drawings beside this file
//	go run ./testdata/rules -o DIR    writes them to DIR
//
// A comment's words:
//
//	rule NAME pass|fail        what the drawing is for
//	line NAME                  of shop.toml beside this file, or built in
//	expect RULE KIND X Y MEASURED LIMIT UNIT
//	                           a finding: kind of its feature (C cut-out, N notch,
//	                           W web, K corner, J joint, B bend, F form, - the part),
//	                           where, what was measured against which limit
//	told RULE                  a rule fails, and another's finding says so already
//	ask INPUT                  a question
//
// Material, thickness, process, edge and film are notes in the drawing.
package main

import (
	"os"
	"path/filepath"

	"burrcast/testdata/generate"
)

//go:generate go run .

func main() { generate.Main(run) }

func run(dir string) error {
	for _, c := range cases() {
		for name, d := range map[string]*drawing{"pass": c.pass, "fail": c.fail} {
			path := filepath.Join(dir, c.rule+"-"+name+".dxf")
			if err := os.WriteFile(path, d.bytes(c.rule, name), 0o644); err != nil {
				return err
			}
		}
	}
	return nil
}

// pair is the two drawings of a rule.
type pair struct {
	rule       string
	pass, fail *drawing
}

func cases() []pair {
	var all []pair
	for _, group := range [][]pair{reachCases(), cutCases(), holdCases(), fragileCases(), surfaceCases(), edgeCases(), drawingCases()} {
		all = append(all, group...)
	}
	return all
}
