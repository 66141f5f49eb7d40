package main

import (
	"fmt"
	"os"
	"time"

	"burrcast/analyze"
	"burrcast/geom/dxf"
	"burrcast/rules"
)

// texts reads a folder into memory.
func texts(dir string) ([][]byte, int64, error) {
	var all [][]byte
	var size int64
	for _, name := range drawings(dir) {
		data, err := os.ReadFile(name)
		if err != nil {
			return nil, 0, err
		}
		all = append(all, data)
		size += int64(len(data))
	}
	return all, size, nil
}

// stages measures where the time of one worker goes: the library's steps on
// their own, and what the program adds to them.
func (b *bench) stages() error {
	all, size, err := texts(b.few)
	if err != nil {
		return err
	}
	shop := rules.DefaultShop()
	opt := analyze.Options{Tools: shop.Tools("")}
	for _, l := range shop.Layers {
		opt.Layers = append(opt.Layers, analyze.LayerRule{Layer: l.Layer, LineType: l.LineType, Meaning: analyze.Meaning(l.Meaning)})
	}
	var read, understood, judged time.Duration
	parts := 0
	for _, text := range all {
		start := time.Now()
		d, err := dxf.ReadBytes(text, dxf.Options{})
		read += time.Since(start)
		if err != nil {
			continue
		}
		start = time.Now()
		r := analyze.Analyze(d, opt)
		understood += time.Since(start)
		start = time.Now()
		for i := range r.Parts {
			if _, err := rules.Judge(r.Drawing, r.Parts[i].Measure, rules.Job{}, shop); err != nil {
				return err
			}
			parts++
		}
		judged += time.Since(start)
	}
	whole, err := b.check("", "--format", "jsonl", "--workers", "1", b.few)
	if err != nil {
		return err
	}
	rest := max(0, whole.took-read-understood-judged)
	b.page.text("## Where the time goes", "One worker, %d drawings, %d parts. The steps of the library on their own; the rest of a whole run\n"+
		"with `--format jsonl` is starting, files, the shop file, notes, what other edges would cost, and writing.", len(all), parts)
	row := func(what string, d time.Duration) []string {
		return []string{what, fmt.Sprintf("%.2f", d.Seconds()*1e3/float64(len(all))), fmt.Sprintf("%.0f %%", 100*d.Seconds()/whole.took.Seconds()), rate(float64(size)/1e6, d)}
	}
	b.page.table([]string{"", "ms a drawing", "share", "MB/s"}, [][]string{
		row("reading (geom/dxf)", read), row("measuring (analyze)", understood), row("judging (rules)", judged), row("the rest", rest), row("all", whole.took),
	})
	return nil
}
