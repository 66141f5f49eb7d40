package main

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"time"
)

// measured is one run of the program.
type measured struct {
	took time.Duration
	peak int64 // bytes of memory at most; 0 where the system does not say
}

// check runs the program over a folder. With an empty store it keeps nothing.
func (b *bench) check(store string, args ...string) (measured, error) {
	cmd := exec.Command(b.program, append([]string{"check", "--quiet"}, args...)...)
	if store == "" {
		store = "off"
	}
	cmd.Env = append(os.Environ(), "BURRCAST_CACHE="+store)
	out, err := os.Create(filepath.Join(b.dir, "out"))
	if err != nil {
		return measured{}, err
	}
	defer out.Close()
	var said strings.Builder
	cmd.Stdout, cmd.Stderr = out, &said
	start := time.Now()
	err = cmd.Run()
	m := measured{took: time.Since(start), peak: peak(cmd.ProcessState)}
	var exit *exec.ExitError
	if errors.As(err, &exit) && exit.ExitCode() != 2 {
		err = nil // it found something
	}
	if err != nil {
		return m, fmt.Errorf("%w: %s", err, said.String())
	}
	return m, nil
}

// throughput measures whole runs, with one worker and two, without a store, with
// an empty one, and with one that knows every drawing.
func (b *bench) throughput() error {
	b.page.text("## The whole check", "`check --format jsonl` from start to end of the program, %d drawings. Cold: the store is empty\nand filled on the way; warm: the same run again.", b.n)
	size := float64(sizeOf(b.many)) / 1e6
	var rows [][]string
	for _, workers := range []int{1, 2} {
		store := filepath.Join(b.dir, fmt.Sprintf("store-%d", workers))
		for _, c := range []struct{ what, store string }{{"no store", ""}, {"cold store", store}, {"warm store", store}} {
			m, err := b.check(c.store, "--format", "jsonl", "--workers", strconv.Itoa(workers), b.many)
			if err != nil {
				return err
			}
			rows = append(rows, []string{c.what, strconv.Itoa(workers), seconds(m.took), rate(float64(b.n), m.took), rate(size, m.took), megabytes(m.peak)})
		}
	}
	b.page.table([]string{"", "workers", "s", "drawings/s", "MB/s of drawings", "peak MB"}, rows)
	return nil
}

// memory measures the peak for a folder and one ten times as large.
func (b *bench) memory() error {
	b.page.text("## Memory", "Peak resident memory in MB, two workers, no store. What a format has to hold back until its end waits in\na file, so the peak does not follow the folder.")
	var rows [][]string
	for _, args := range [][]string{{"--format", "jsonl"}, {"--format", "json"}, {"--format", "csv"}, {"--format", "text"},
		{"--format", "csv", "--report", filepath.Join(b.dir, "report")}} {
		row := []string{strings.Join(args[1:2], "")}
		if len(args) > 2 {
			row[0] = "report folder"
		}
		for _, dir := range []string{b.few, b.many} {
			m, err := b.check("", append(args, "--workers", "2", dir)...)
			if err != nil {
				return err
			}
			row = append(row, megabytes(m.peak))
		}
		rows = append(rows, row)
	}
	b.page.table([]string{"", fmt.Sprintf("%d drawings", b.n/10), fmt.Sprintf("%d drawings", b.n)}, rows)
	return nil
}

// sizes measures drawings from small to large: plates with ever more holes.
func (b *bench) sizes() error {
	b.page.text("## By size of the drawing", "Plates with round holes and slots in rows, one worker, no store, `--format csv`.")
	var rows [][]string
	for _, s := range []struct{ holes, files int }{{4, 200}, {40, 100}, {400, 20}, {4000, 3}} {
		dir := filepath.Join(b.dir, fmt.Sprintf("plates-%d", s.holes))
		if err := os.MkdirAll(filepath.Join(dir, "0"), 0o777); err != nil {
			return err
		}
		files := s.files * min(b.n, 1000) / 1000
		files = max(files, 2)
		for i := range files {
			if err := os.WriteFile(filepath.Join(dir, "0", fmt.Sprintf("%d.dxf", i)), plate(s.holes, float64(i)*0.01), 0o666); err != nil {
				return err
			}
		}
		size := sizeOf(dir)
		m, err := b.check("", "--format", "csv", "--workers", "1", dir)
		if err != nil {
			return err
		}
		rows = append(rows, []string{fmt.Sprintf("%d cut-outs", s.holes), fmt.Sprintf("%.1f", float64(size)/float64(files)/1e3), strconv.Itoa(files),
			rate(float64(files), m.took), rate(float64(size)/1e6, m.took), megabytes(m.peak)})
	}
	b.page.table([]string{"", "kB each", "drawings", "drawings/s", "MB/s", "peak MB"}, rows)
	return nil
}

// plate is a drawing of a plate with cut-outs in rows, moved by an amount.
func plate(cutouts int, by float64) []byte {
	var b strings.Builder
	b.WriteString("0\nSECTION\n2\nHEADER\n9\n$ACADVER\n1\nAC1015\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n")
	columns := 1
	for columns*columns < cutouts {
		columns++
	}
	wide, high := float64(columns)*20+10, float64((cutouts+columns-1)/columns)*20+10
	fmt.Fprintf(&b, "0\nLWPOLYLINE\n8\nCUT\n90\n4\n70\n1\n10\n%.4f\n20\n0.0\n10\n%.4f\n20\n0.0\n10\n%.4f\n20\n%.4f\n10\n%.4f\n20\n%.4f\n",
		by, by+wide, by+wide, high, by, high)
	for i := range cutouts {
		x, y := by+15+20*float64(i%columns), 15+20*float64(i/columns)
		if i%3 > 0 {
			fmt.Fprintf(&b, "0\nCIRCLE\n8\nCUT\n10\n%.4f\n20\n%.4f\n40\n%.4f\n", x, y, 2+float64(i%5))
			continue
		}
		fmt.Fprintf(&b, "0\nLWPOLYLINE\n8\nCUT\n90\n4\n70\n1\n10\n%.4f\n20\n%.4f\n10\n%.4f\n20\n%.4f\n42\n1.0\n10\n%.4f\n20\n%.4f\n10\n%.4f\n20\n%.4f\n42\n1.0\n",
			x-5, y-2, x+5, y-2, x+5, y+2, x-5, y+2)
	}
	b.WriteString("0\nENDSEC\n0\nEOF\n")
	return []byte(b.String())
}
