package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"burrcast/geom/dxf"
)

// Both scripts print how many files they read, how many they could not, and the
// seconds that took, without the time to start.
const (
	pythonScript = `
import json, sys, time
import ezdxf
files = open(sys.argv[1]).read().split("\n")
read = bad = 0
start = time.perf_counter()
for f in files:
    try:
        doc = ezdxf.readfile(f)
        sum(1 for _ in doc.modelspace())
        read += 1
    except Exception:
        bad += 1
print(json.dumps({"read": read, "bad": bad, "seconds": time.perf_counter() - start, "version": ezdxf.__version__}))
`
	nodeScript = `
const fs = require("fs");
const Parser = require("dxf-parser");
const files = fs.readFileSync(process.argv[2], "utf8").split("\n");
let read = 0, bad = 0;
const start = process.hrtime.bigint();
for (const f of files) {
  try {
    const d = new (Parser.default || Parser)().parseSync(fs.readFileSync(f, "utf8"));
    if (d && d.entities) read++; else bad++;
  } catch (e) { bad++; }
}
const seconds = Number(process.hrtime.bigint() - start) / 1e9;
console.log(JSON.stringify({read, bad, seconds, version: require("dxf-parser/package.json").version}));
`
)

// said is what a script prints.
type said struct {
	Read, Bad int
	Seconds   float64
	Version   string
}

// reading measures reading alone: files from the disk to entities, one core.
func (b *bench) reading() error {
	files := drawings(b.few)
	size := float64(sizeOf(b.few)) / 1e6
	var rows [][]string
	add := func(name string, s said) {
		took := time.Duration(s.Seconds * float64(time.Second))
		rows = append(rows, []string{name, strconv.Itoa(s.Read), strconv.Itoa(s.Bad), rate(float64(s.Read+s.Bad), took), rate(size, took)})
	}

	ours := said{}
	start := time.Now()
	for _, name := range files {
		data, err := os.ReadFile(name)
		if err != nil {
			return err
		}
		if _, err := dxf.ReadBytes(data, dxf.Options{}); err != nil {
			ours.Bad++
			continue
		}
		ours.Read++
	}
	ours.Seconds = time.Since(start).Seconds()
	add("geom/dxf, blocks in place, curves in mm", ours)

	list := filepath.Join(b.dir, "list")
	if err := os.WriteFile(list, []byte(strings.Join(files, "\n")), 0o666); err != nil {
		return err
	}
	var missing []string
	if s, err := python(b.dir, list); err != nil {
		missing = append(missing, "python3-ezdxf: "+err.Error())
	} else {
		add("ezdxf "+s.Version+" (Python), entities", s)
	}
	if s, err := node(b.dir, list); err != nil {
		missing = append(missing, "dxf-parser: "+err.Error())
	} else {
		add("dxf-parser "+s.Version+" (JavaScript), entities", s)
	}
	b.page.text("## Reading alone", "One core, %d drawings, files from the disk to entities in memory, without the time to start.", len(files))
	b.page.table([]string{"", "read", "not read", "drawings/s", "MB/s"}, rows)
	for _, m := range missing {
		fmt.Fprintf(&b.page, "\nNot measured here: %s\n", m)
	}
	return nil
}

// python finds an interpreter that has the library.
func python(dir, list string) (said, error) {
	script := filepath.Join(dir, "read.py")
	if err := os.WriteFile(script, []byte(pythonScript), 0o666); err != nil {
		return said{}, err
	}
	for _, name := range []string{"python3", "/usr/bin/python3"} {
		if exec.Command(name, "-c", "import ezdxf").Run() == nil {
			return script1(exec.Command(name, script, list))
		}
	}
	return said{}, fmt.Errorf("not installed")
}

// node has the library installed in a folder of its own.
func node(dir, list string) (said, error) {
	home := filepath.Join(dir, "node")
	if err := os.MkdirAll(home, 0o777); err != nil {
		return said{}, err
	}
	if _, err := exec.LookPath("npm"); err != nil {
		return said{}, fmt.Errorf("npm is not installed")
	}
	install := exec.Command("npm", "install", "--silent", "--no-audit", "--no-fund", "--ignore-scripts", "dxf-parser@1.1.2")
	install.Dir = home
	if out, err := install.CombinedOutput(); err != nil {
		return said{}, fmt.Errorf("npm install: %w %s", err, bytes.TrimSpace(out))
	}
	script := filepath.Join(home, "read.js")
	if err := os.WriteFile(script, []byte(nodeScript), 0o666); err != nil {
		return said{}, err
	}
	return script1(exec.Command("node", script, list))
}

func script1(cmd *exec.Cmd) (s said, err error) {
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	if err != nil {
		return s, fmt.Errorf("%w: %s", err, bytes.TrimSpace(stderr.Bytes()))
	}
	return s, json.Unmarshal(out, &s)
}
