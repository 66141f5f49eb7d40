// Package generate is what the programs that write the project's own drawings
// share.
package generate

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
)

// Main is the main function of such a program: it calls write with the folder
// given by -o or, without it, with the folder of the caller's file.
func Main(write func(dir string) error) {
	_, file, _, known := runtime.Caller(1)
	dir := flag.String("o", "", "folder to write to (default: the folder of the program's source)")
	flag.Parse()
	err := error(nil)
	switch {
	case *dir != "":
		err = write(*dir)
	case known:
		err = write(filepath.Dir(file))
	default:
		err = fmt.Errorf("the folder of the program's source is not known, give -o")
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "generate: error:", err)
		os.Exit(1)
	}
}

// Number writes six decimals at most, and at least one.
func Number(v float64) string {
	s := strings.TrimRight(strconv.FormatFloat(v, 'f', 6, 64), "0")
	if strings.HasSuffix(s, ".") {
		s += "0"
	}
	if s == "-0.0" {
		s = "0.0"
	}
	return s
}
