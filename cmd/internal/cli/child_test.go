package cli

import (
	"bufio"
	"bytes"
	"context"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"time"

	"burrcast/cmd/internal/report"
	"burrcast/cmd/internal/store"
)

// child is the program as a process of its own, which can be stopped.
func child(ctx context.Context, t *testing.T, cache string, args ...string) *exec.Cmd {
	t.Helper()
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.CommandContext(ctx, exe)
	cmd.Args = append([]string{"burrcast"}, args...) // by this name the test's own program is it
	cmd.Env = append(os.Environ(), cacheVariable+"="+cache)
	return cmd
}

// job writes drawings that take a while.
func job(t *testing.T, n int) (dir string) {
	t.Helper()
	dir = t.TempDir()
	for i := range n {
		var holes []float64
		for k := range 40 {
			holes = append(holes, 20+float64(k%20)*18, 40+float64(k/20)*90, 3+float64(i%7)+float64(k%5)/3)
		}
		holes = append(holes, 200, 200, 20+float64(i)/7)
		write(t, filepath.Join(dir, fmt.Sprintf("%03d.dxf", i)), plate(0, holes...))
	}
	return dir
}

// A run that is killed at any moment leaves whole files only, and the run after
// it says what it would have said.
func TestKilled(t *testing.T) {
	dir := job(t, 60)
	cache, out := t.TempDir(), filepath.Join(t.TempDir(), "out")
	want, err := child(t.Context(), t, "off", "check", "--quiet", "--format", "jsonl", dir).Output()
	if code, ok := exitCode(err); err != nil && (!ok || code != exitFound) {
		t.Fatal(err)
	}
	const seed = 8
	random := rand.New(rand.NewPCG(seed, seed))
	killed, files := 0, 0
	rounds := 10
	if testing.Short() {
		rounds = 4
	}
	for range rounds {
		cmd := child(t.Context(), t, cache, "check", "--quiet", "--report", out, "--workers", "3", dir)
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		time.Sleep(time.Duration(10+random.IntN(250)) * time.Millisecond)
		cmd.Process.Kill()
		if err := cmd.Wait(); err != nil {
			if code, _ := exitCode(err); code == -1 || runtime.GOOS == "windows" {
				killed++
			}
		}
		files = 0
		s := store.Open(cache, 1<<40)
		eachFile(t, cache, func(file string) {
			name, err := hex.DecodeString(filepath.Base(file))
			if err != nil {
				if !strings.HasPrefix(filepath.Base(file), ".tmp-") {
					t.Errorf("%s: a name of its own", file)
				}
				return
			}
			files++
			if _, ok := s.Get(store.Key(name), 1); !ok {
				t.Errorf("%s is broken", file)
			}
		})
		// Every file of the report is whole, or it is not there.
		if data, err := os.ReadFile(filepath.Join(out, report.PageFile)); err == nil && !bytes.HasSuffix(bytes.TrimSpace(data), []byte("</html>")) {
			t.Error("a broken page")
		}
		if data, err := os.ReadFile(filepath.Join(out, report.ProgramFile)); err == nil {
			var r report.Report
			if err := json.Unmarshal(data, &r); err != nil || len(r.Drawings) != 60 {
				t.Errorf("a broken report: %v, %d drawings", err, len(r.Drawings))
			}
		}
	}
	if killed == 0 {
		t.Error("no run was killed")
	}
	got, _ := child(t.Context(), t, cache, "check", "--quiet", "--format", "jsonl", dir).Output()
	if !bytes.Equal(got, want) {
		t.Error("the run after says something else")
	}
	t.Logf("%d of %d runs killed (seed %d), %d entries kept", killed, rounds, seed, files)
}

// A run that is interrupted ends with a whole report of what was done, says so,
// and keeps what it did.
func TestInterruptedProcess(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("a process cannot interrupt another here")
	}
	dir, cache := job(t, 400), t.TempDir()
	for _, sig := range []os.Signal{os.Interrupt, syscall.SIGTERM} {
		cmd := child(t.Context(), t, cache, "check", "--format", "jsonl", "--no-cache", dir)
		var stderr bytes.Buffer
		cmd.Stderr = &stderr
		out, err := cmd.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		lines := bufio.NewScanner(out)
		lines.Buffer(nil, 1<<24)
		n, last := 0, ""
		for lines.Scan() {
			if n++; n == 3 {
				cmd.Process.Signal(sig)
			}
			last = lines.Text()
		}
		code, _ := exitCode(cmd.Wait())
		if code != exitCannot {
			t.Errorf("%v: exit code %d", sig, code)
		}
		var l report.Line
		if err := json.Unmarshal([]byte(last), &l); err != nil {
			t.Fatal(err)
		}
		want := fmt.Sprintf("interrupted after %d of 400 drawings", n)
		if n == 400 || l.End == nil || l.End.Incomplete != want || l.End.Totals.Drawings != n {
			t.Errorf("%v: %d lines, the last ends with %+v", sig, n, l.End)
		}
		if !strings.Contains(stderr.String(), "burrcast: error: "+want+"; the report holds these\n") {
			t.Errorf("%v: %s", sig, &stderr)
		}
	}
}

// Two runs at once on the same drawings and the same store do not disturb each
// other.
func TestTwoRunsAtOnce(t *testing.T) {
	dir, cache := job(t, 40), t.TempDir()
	want, _ := child(t.Context(), t, "off", "check", "--quiet", "--format", "jsonl", dir).Output()
	var runs []*exec.Cmd
	var outs [3]bytes.Buffer
	for i := range outs {
		cmd := child(t.Context(), t, cache, "check", "--format", "jsonl", dir)
		cmd.Stdout = &outs[i]
		var stderr bytes.Buffer
		cmd.Stderr = &stderr
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		runs = append(runs, cmd)
		defer func() {
			if strings.Contains(stderr.String(), "not kept") {
				t.Error(stderr.String())
			}
		}()
	}
	for i, cmd := range runs {
		cmd.Wait()
		if !bytes.Equal(outs[i].Bytes(), want) {
			t.Errorf("run %d says something else", i+1)
		}
	}
	n := 0
	eachFile(t, cache, func(string) { n++ })
	if n != 80 {
		t.Errorf("%d files are kept, not 80", n)
	}
}

// A full disk under the report ends with exit code 2 and its name; one under the
// store costs a hint.
func TestFullDisk(t *testing.T) {
	if runtime.GOOS != "linux" {
		t.Skip("no disk that is easily filled")
	}
	dir := job(t, 30)
	disk := t.TempDir()
	if out, err := exec.CommandContext(t.Context(), "mount", "-t", "tmpfs", "-o", "size=64k", "burrcast-test", disk).CombinedOutput(); err != nil {
		t.Skipf("no small disk can be mounted: %v %s", err, out)
	}
	defer func() {
		if out, err := exec.Command("umount", disk).CombinedOutput(); err != nil {
			t.Errorf("%v %s", err, out)
		}
	}()
	var stderr bytes.Buffer
	cmd := child(t.Context(), t, "off", "check", "--report", filepath.Join(disk, "out"), dir)
	cmd.Stderr = &stderr
	if code, _ := exitCode(cmd.Run()); code != exitCannot || !strings.Contains(stderr.String(), "no space left on device") ||
		!strings.Contains(stderr.String(), "burrcast: error: cannot write the report: ") {
		t.Errorf("exit code %d: %s", code, &stderr)
	}
	if left, err := os.ReadDir(disk); err != nil || len(left) > 0 {
		t.Errorf("left are %v, %v", left, err)
	}

	stderr.Reset()
	want, _ := child(t.Context(), t, "off", "check", "--quiet", "--format", "jsonl", dir).Output()
	cmd = child(t.Context(), t, disk, "check", "--format", "jsonl", dir)
	cmd.Stderr = &stderr
	got, _ := cmd.Output()
	if !bytes.Equal(got, want) || strings.Count(stderr.String(), "no space left on device") != 1 {
		t.Errorf("the same report: %v; %s", bytes.Equal(got, want), &stderr)
	}
}
