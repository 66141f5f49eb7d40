package cli

import (
	"archive/zip"
	"compress/gzip"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func TestParseShard(t *testing.T) {
	for text, want := range map[string]shard{"1/1": {1, 1}, "2/7": {2, 7}, "1000000/1000000": {1000000, 1000000}} {
		if got, err := parseShard(text); err != nil || got != want {
			t.Errorf("%s: %v, %v", text, got, err)
		}
	}
	for _, text := range []string{"", "1", "/", "1/", "/3", "0/3", "4/3", "-1/3", "1/0", "1/3/5", "a/b", "1.5/3", "1/1000001", "1/99999999999999999999"} {
		if _, err := parseShard(text); err == nil || !strings.HasPrefix(err.Error(), "--shard ") {
			t.Errorf("%q: %v", text, err)
		}
	}
}

// splitOf lists the shard of every drawing, by name.
func splitOf(t *testing.T, of int, args ...string) map[string]int {
	t.Helper()
	out := map[string]int{}
	content := ""
	all := walk(args).found
	for n := 1; n <= of; n++ {
		mine, s, err := shard{n, of}.split(t.Context(), 2, all)
		if err != nil {
			t.Fatal(err)
		}
		if content == "" {
			content = s.Content
		}
		if s.Content != content || s.Drawings != len(all) || s.Of != of {
			t.Errorf("shard %d says of the job %+v", n, s)
		}
		last := 0
		for _, src := range mine {
			if out[src.name()] != 0 {
				t.Errorf("%s is in shards %d and %d", src.name(), out[src.name()], n)
			}
			if src.index <= last || all[src.index-1].name() != src.name() {
				t.Errorf("%s has number %d", src.name(), src.index)
			}
			last = src.index
			out[src.name()] = n
		}
	}
	if len(out) != len(all) {
		t.Errorf("%d of %d drawings are in a shard", len(out), len(all))
	}
	return out
}

// The same content goes to the same shard, whatever the file is called, where it
// is, and whether it is packed; and shards are about equal.
func TestSplitByContent(t *testing.T) {
	t.Chdir(t.TempDir())
	const n, of = 300, 5
	for _, dir := range []string{"here", "there/deep"} {
		if err := os.MkdirAll(dir, 0o755); err != nil {
			t.Fatal(err)
		}
	}
	pack, err := os.Create("there/order.zip")
	if err != nil {
		t.Fatal(err)
	}
	z := zip.NewWriter(pack)
	for i := range n {
		text := plate(0, 200, 150, 60+float64(i)/100)
		write(t, fmt.Sprintf("here/%d.dxf", i), text)
		write(t, fmt.Sprintf("there/deep/copy of %d.DXF", i), text)
		m, err := z.Create(fmt.Sprintf("%d.dxf", i))
		if err != nil {
			t.Fatal(err)
		}
		f, err := os.Create(fmt.Sprintf("there/%d.dxf.gz", i))
		if err != nil {
			t.Fatal(err)
		}
		g := gzip.NewWriter(f)
		m.Write([]byte(text))
		g.Write([]byte(text))
		if err := g.Close(); err != nil {
			t.Fatal(err)
		}
		f.Close()
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	pack.Close()
	shards := splitOf(t, of, ".")
	if len(shards) != 4*n {
		t.Fatalf("%d drawings", len(shards))
	}
	count := map[int]int{}
	for i := range n {
		want := shards[fmt.Sprintf("here/%d.dxf", i)]
		count[want]++
		for _, name := range []string{"there/deep/copy of %d.DXF", "there/order.zip/%d.dxf", "there/%d.dxf.gz"} {
			if got := shards[fmt.Sprintf(name, i)]; got != want {
				t.Errorf("%s in shard %d, the same drawing elsewhere in %d", fmt.Sprintf(name, i), got, want)
			}
		}
	}
	for s, got := range count {
		// Five standard deviations of a fair split of 300 over 5 are 35.
		if got < n/of-35 || got > n/of+35 {
			t.Errorf("shard %d has %d of %d drawings", s, got, n)
		}
	}
	// From another place the split is the same.
	t.Chdir("there")
	for name, got := range splitOf(t, of, "deep") {
		if want := shards["there/"+name]; got != want {
			t.Errorf("%s in shard %d, seen from above in %d", name, got, want)
		}
	}
}

// A drawing that cannot be read is in one shard, and its content counts as
// unknown; a folder with it is another job than one without.
func TestSplitUnreadable(t *testing.T) {
	t.Chdir(t.TempDir())
	write(t, "a.dxf", plate(0))
	write(t, "order.zip", "no archive")
	shards := splitOf(t, 3, "a.dxf", "order.zip", "gone.dxf")
	if len(shards) != 3 || shards["gone.dxf"] != shards["order.zip"] {
		t.Errorf("%v", shards)
	}
	_, with, _ := shard{1, 2}.split(t.Context(), 1, walk([]string{"a.dxf", "gone.dxf"}).found)
	write(t, "gone.dxf", plate(0, 200, 150, 60))
	_, without, _ := shard{1, 2}.split(t.Context(), 1, walk([]string{"a.dxf", "gone.dxf"}).found)
	if with.Content == without.Content {
		t.Error("a drawing that appears does not change the job")
	}
}

func TestShardUsage(t *testing.T) {
	t.Chdir(t.TempDir())
	write(t, "a.dxf", plate(0))
	for _, c := range []struct{ args, want string }{
		{"--shard 3/2 a.dxf", "--shard 3/2: shards are numbered from 1 to 2"},
		{"--shard two a.dxf", `--shard "two": not I/N, such as 1/4`},
		{"--shard 1/2 -", "--shard cannot split standard input"},
		{"--shard 1/2 --line all a.dxf", "lines are compared over the whole job"},
	} {
		code, out, errs := burrcast(t, append([]string{"check"}, strings.Fields(c.args)...)...)
		if code != exitCannot || out != "" || !strings.Contains(errs, c.want) {
			t.Errorf("%s: %d %s%s", c.args, code, out, errs)
		}
	}
	// A shard without a drawing is a whole report all the same, in every format.
	empty := 0
	for _, format := range []string{"text", "json", "jsonl", "csv"} {
		for n := 1; n <= 2; n++ {
			code, out, errs := burrcast(t, "check", "--format", format, "--shard", fmt.Sprintf("%d/2", n), "--report", filepath.Join("out", format), "a.dxf")
			if code == exitCannot {
				t.Fatalf("%s: %s", format, errs)
			}
			if !strings.Contains(out, "a.dxf") {
				empty++
				if code != exitClean || out == "" {
					t.Errorf("%s of an empty shard: %d\n%s", format, code, out)
				}
			}
			if format == "text" && !strings.Contains(out, fmt.Sprintf("shard %d of 2, of a job of 1 drawing\n", n)) {
				t.Errorf("the text does not say what it is a share of:\n%s", out)
			}
		}
	}
	if empty != 4 {
		t.Errorf("%d empty shards", empty)
	}
}
