// The demo drawings: the flat patterns of an invented shop that builds seed
// cleaners, and what its inspector found on finished parts. Run it by path, since "./..." leaves testdata out:
//
//	go run ./testdata/demo            writes the files beside this one
//	go run ./testdata/demo -o DIR     writes them to DIR
package main

import (
	"os"
	"path/filepath"

	"burrcast/testdata/generate"
)

//go:generate go run .

func main() { generate.Main(run) }

func run(dir string) error {
	for _, d := range drawings() {
		if err := os.WriteFile(filepath.Join(dir, d.name), d.bytes(), 0o644); err != nil {
			return err
		}
	}
	return os.WriteFile(filepath.Join(dir, samplesFile), samplesCSV(), 0o644)
}
