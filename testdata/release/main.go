// Release builds the program for every system it is made for, with its manual,
// its completions, the licences of what is in it, and a list of hashes:
//
//	go run ./testdata/release OUTDIR
//
// It is run in the project's folder, and OUTDIR must not be there yet. The same
// sources and the same version of Go give the same bytes, on whatever system
// and in whatever folder: paths are trimmed, no C compiler takes part, and the
// levels of the processors are fixed. In a checkout the revision goes in, too.
package main

import (
	"bytes"
	"crypto/sha256"
	"flag"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
)

// targets are the systems and processors.
var targets = []string{
	"darwin/amd64", "darwin/arm64", "linux/amd64", "linux/arm64", "windows/amd64", "windows/arm64",
}

// others are the files beside the programs, with the arguments that print each.
var others = []struct {
	name string
	args []string
}{
	{"burrcast.1", []string{"man"}},
	{"burrcast.bash", []string{"completion", "bash"}},
	{"_burrcast", []string{"completion", "zsh"}},
	{"burrcast.fish", []string{"completion", "fish"}},
	{"burrcast.ps1", []string{"completion", "powershell"}},
}

const (
	source = "./cmd/burrcast"
	sums   = "SHA256SUMS"
)

func main() {
	only := flag.String("only", "", "build for these `TARGETS` only, such as linux/amd64,windows/arm64")
	flag.Usage = func() {
		fmt.Fprintln(os.Stderr, "usage: go run ./testdata/release [-only TARGETS] OUTDIR")
		flag.PrintDefaults()
	}
	flag.Parse()
	if flag.NArg() != 1 {
		flag.Usage()
		os.Exit(2)
	}
	if err := release(flag.Arg(0), *only); err != nil {
		fmt.Fprintln(os.Stderr, "release: error:", err)
		os.Exit(1)
	}
}

// release makes the folder, or nothing.
func release(out, only string) (err error) {
	wanted := targets
	if only != "" {
		wanted = strings.Split(only, ",")
		for _, t := range wanted {
			if !slices.Contains(targets, t) {
				return fmt.Errorf("no target %q, only %s", t, strings.Join(targets, ", "))
			}
		}
	}
	if _, err := os.Stat(source); err != nil {
		return fmt.Errorf("%s is not here: run it in the project's folder", source)
	}
	if err := os.Mkdir(out, 0o777); err != nil {
		return err
	}
	defer func() {
		if err != nil {
			os.RemoveAll(out) // it was not there before
		}
	}()
	vcs := "false"
	if _, err := os.Stat(".git"); err == nil {
		vcs = "true"
	}
	for _, t := range wanted {
		fmt.Fprintln(os.Stderr, "building", t)
		system, processor, _ := strings.Cut(t, "/")
		name := "burrcast_" + system + "_" + processor
		if system == "windows" {
			name += ".exe"
		}
		if err := build(filepath.Join(out, name), vcs, system, processor); err != nil {
			return fmt.Errorf("%s: %w", t, err)
		}
	}
	if err := printed(out, vcs); err != nil {
		return err
	}
	if err := licences(filepath.Join(out, "LICENCES.txt"), wanted); err != nil {
		return err
	}
	return hashes(out)
}

// environment is ours with everything fixed that changes what is built.
func environment(system, processor string) []string {
	return append(os.Environ(), "GOOS="+system, "GOARCH="+processor, "CGO_ENABLED=0", "GOAMD64=v1", "GOARM64=v8.0",
		"GOFLAGS=-mod=readonly", "GOWORK=off", "GOEXPERIMENT=", "GOFIPS140=off", "GODEBUG=")
}

func build(file, vcs, system, processor string) error {
	cmd := exec.Command("go", "build", "-trimpath", "-buildvcs="+vcs, "-ldflags=-s -w", "-o", file, source)
	cmd.Env = environment(system, processor)
	cmd.Stdout, cmd.Stderr = os.Stderr, os.Stderr
	return cmd.Run()
}

// printed writes the files that the program prints itself.
func printed(out, vcs string) error {
	dir, err := os.MkdirTemp("", "release")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	program := filepath.Join(dir, "burrcast.exe")
	if err := build(program, vcs, runtime.GOOS, runtime.GOARCH); err != nil {
		return err
	}
	for _, o := range others {
		text, err := exec.Command(program, o.args...).Output()
		if err != nil {
			return fmt.Errorf("%s: %w", o.name, err)
		}
		if err := os.WriteFile(filepath.Join(out, o.name), text, 0o666); err != nil {
			return err
		}
	}
	version, err := exec.Command(program, "version").Output()
	if err != nil {
		return err
	}
	fmt.Fprintf(os.Stderr, "%s", version)
	return nil
}

// licences gathers the licences of every module that is in a program, the
// project's own first and the language's last.
func licences(file string, wanted []string) error {
	var b bytes.Buffer
	add := func(name, dir string) error {
		found := 0
		entries, err := os.ReadDir(dir)
		if err != nil {
			return err
		}
		for _, e := range entries {
			upper := strings.ToUpper(e.Name())
			if e.IsDir() || !strings.HasPrefix(upper, "LICEN") && !strings.HasPrefix(upper, "COPYING") && !strings.HasPrefix(upper, "NOTICE") {
				continue
			}
			text, err := os.ReadFile(filepath.Join(dir, e.Name()))
			if err != nil {
				return err
			}
			fmt.Fprintf(&b, "==== %s: %s\n\n%s\n\n", name, e.Name(), strings.TrimSpace(strings.ReplaceAll(string(text), "\r\n", "\n")))
			found++
		}
		if found == 0 {
			return fmt.Errorf("%s has no licence file in %s", name, dir)
		}
		return nil
	}
	modules := map[string]string{}
	for _, t := range wanted {
		system, processor, _ := strings.Cut(t, "/")
		cmd := exec.Command("go", "list", "-deps", "-f", "{{with .Module}}{{if not .Main}}{{.Path}} {{.Version}}\t{{.Dir}}{{end}}{{end}}", source)
		cmd.Env = environment(system, processor)
		cmd.Stderr = os.Stderr
		list, err := cmd.Output()
		if err != nil {
			return err
		}
		for line := range strings.Lines(string(list)) {
			if name, dir, ok := strings.Cut(strings.TrimSpace(line), "\t"); ok {
				modules[name] = dir
			}
		}
	}
	names := make([]string, 0, len(modules))
	for name := range modules {
		names = append(names, name)
	}
	slices.Sort(names)
	if err := add("burrcast", "."); err != nil {
		return err
	}
	for _, name := range names {
		if err := add(name, modules[name]); err != nil {
			return err
		}
	}
	root, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		return err
	}
	if err := add("Go", strings.TrimSpace(string(root))); err != nil {
		return err
	}
	return os.WriteFile(file, b.Bytes(), 0o666)
}

// hashes writes the list of hashes, in the form that sha256sum -c reads.
func hashes(out string) error {
	entries, err := os.ReadDir(out)
	if err != nil {
		return err
	}
	var b strings.Builder
	for _, e := range entries {
		f, err := os.Open(filepath.Join(out, e.Name()))
		if err != nil {
			return err
		}
		h := sha256.New()
		_, err = io.Copy(h, f)
		f.Close()
		if err != nil {
			return err
		}
		fmt.Fprintf(&b, "%x  %s\n", h.Sum(nil), e.Name())
	}
	fmt.Print(b.String())
	return os.WriteFile(filepath.Join(out, sums), []byte(b.String()), 0o666)
}
