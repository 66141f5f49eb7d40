// The demo drawings: the flat patterns of an invented shop that builds seed
// cleaners, and what its inspector found on finished parts. Run it by path, since "./..." leaves testdata out:
//
//	go run ./testdata/demo            writes the files beside this one
//	go run ./testdata/demo -o DIR     writes them to DIR
package main

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
)

//go:generate go run .

func main() {
	if err := run(); err != nil {
		fmt.Fprintln(os.Stderr, "generate: error:", err)
		os.Exit(1)
	}
}

func run() error {
	dir := flag.String("o", "", "folder to write to (default: the folder of this file)")
	flag.Parse()
	if *dir == "" {
		_, file, _, ok := runtime.Caller(0)
		if !ok {
			return fmt.Errorf("the folder of this file is not known, give -o")
		}
		*dir = filepath.Dir(file)
	}
	for _, d := range drawings() {
		if err := os.WriteFile(filepath.Join(*dir, d.name), d.bytes(), 0o644); err != nil {
			return err
		}
	}
	return os.WriteFile(filepath.Join(*dir, samplesFile), samplesCSV(), 0o644)
}
