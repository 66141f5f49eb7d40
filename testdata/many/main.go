// Many makes a large folder of drawings out of a small one: every drawing again
// and again, each copy moved by an amount of its own, so that no two files are
// equal and every one takes its full work.
//
//	go run ./testdata/many -n 10000 OUTDIR [FOLDER|FILE...]
//
// Without folders it takes the demo. The form of each file stays: only places in
// its entities change. A drawing that cannot be moved entity by entity (binary,
// tilted planes) gets a comment that tells its copies apart instead, and one
// that is packed is passed over.
package main

import (
	"flag"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

func main() {
	n := flag.Int("n", 1000, "`DRAWINGS` to write")
	flag.Usage = func() {
		fmt.Fprintln(os.Stderr, "usage: go run ./testdata/many [-n DRAWINGS] OUTDIR [FOLDER|FILE...]")
		flag.PrintDefaults()
	}
	flag.Parse()
	if flag.NArg() < 1 || *n < 1 {
		flag.Usage()
		os.Exit(2)
	}
	from := flag.Args()[1:]
	if len(from) == 0 {
		from = []string{"testdata/demo"}
	}
	bytes, err := many(flag.Arg(0), *n, from)
	if err != nil {
		fmt.Fprintln(os.Stderr, "many: error:", err)
		os.Exit(1)
	}
	fmt.Printf("%d drawings, %.1f MB\n", *n, float64(bytes)/1e6)
}

// perFolder is how many drawings stand in one folder.
const perFolder = 1000

// many writes n drawings and says how many bytes they are.
func many(out string, n int, from []string) (int64, error) {
	var names []string
	for _, root := range from {
		err := filepath.WalkDir(root, func(path string, e fs.DirEntry, err error) error {
			if err == nil && !e.IsDir() && strings.EqualFold(filepath.Ext(path), ".dxf") {
				names = append(names, path)
			}
			return err
		})
		if err != nil {
			return 0, err
		}
	}
	if len(names) == 0 {
		return 0, fmt.Errorf("no drawings in %s", strings.Join(from, ", "))
	}
	texts := make([][]byte, len(names))
	for i, name := range names {
		data, err := os.ReadFile(name)
		if err != nil {
			return 0, err
		}
		texts[i] = data
	}
	if err := os.Mkdir(out, 0o777); err != nil {
		return 0, err
	}
	var sum int64
	for i := range n {
		dir := filepath.Join(out, fmt.Sprintf("%03d", i/perFolder))
		if i%perFolder == 0 {
			if err := os.Mkdir(dir, 0o777); err != nil {
				return 0, err
			}
		}
		k := i % len(names)
		text := variant(texts[k], i/len(names)+1)
		name := fmt.Sprintf("%06d-%s", i+1, filepath.Base(names[k]))
		if err := os.WriteFile(filepath.Join(dir, name), text, 0o666); err != nil {
			return 0, err
		}
		sum += int64(len(text))
	}
	return sum, nil
}
