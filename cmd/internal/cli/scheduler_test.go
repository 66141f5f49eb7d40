package cli

import (
	"bytes"
	"context"
	"crypto/rand"
	"net"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// cluster starts a Slurm cluster of one node on this machine, with eight
// processors whatever it has, and returns the configuration by which programs talk
// to it. It is stopped with the test.
func cluster(t *testing.T) (conf string) {
	t.Helper()
	for _, name := range []string{"munged", "slurmctld", "slurmd", "sbatch", "scontrol"} {
		tool(t, name)
	}
	self, err := user.Current()
	if err != nil {
		t.Fatal(err)
	}
	host, err := os.Hostname()
	if err != nil {
		t.Fatal(err)
	}
	host, _, _ = strings.Cut(host, ".")

	// Not t.TempDir: a socket's path may have no more than 107 bytes.
	dir, err := os.MkdirTemp("", "cluster")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.RemoveAll(dir) })
	key := make([]byte, 128)
	rand.Read(key)
	write(t, filepath.Join(dir, "key"), string(key))
	if err := os.Chmod(filepath.Join(dir, "key"), 0o400); err != nil { // or munged refuses it
		t.Fatal(err)
	}
	conf = filepath.Join(dir, "slurm.conf")
	write(t, conf, strings.NewReplacer("DIR", dir, "HOST", host, "USER", self.Username,
		"PORT1", freePort(t), "PORT2", freePort(t)).Replace(`ClusterName=test
SlurmctldHost=HOST(127.0.0.1)
SlurmctldPort=PORT1
SlurmdPort=PORT2
SlurmUser=USER
SlurmdUser=USER
AuthType=auth/munge
AuthInfo=socket=DIR/munge
StateSaveLocation=DIR/state
SlurmdSpoolDir=DIR/spool
SlurmctldPidFile=DIR/control.pid
SlurmdPidFile=DIR/node.pid
ProctrackType=proctrack/linuxproc
TaskPlugin=task/none
SelectType=select/cons_tres
SelectTypeParameters=CR_CPU
SlurmdParameters=config_overrides
JobAcctGatherType=jobacct_gather/none
MpiDefault=none
NodeName=HOST NodeAddr=127.0.0.1 CPUs=8 RealMemory=16000
PartitionName=main Nodes=HOST Default=YES State=UP
`))
	for _, name := range []string{"state", "spool"} {
		if err := os.Mkdir(filepath.Join(dir, name), 0o755); err != nil {
			t.Fatal(err)
		}
	}
	env := append(os.Environ(), "SLURM_CONF="+conf)

	file := func(name string) string { return filepath.Join(dir, name) }
	daemon(t, env, "munged", "--foreground", "--force", "--key-file="+file("key"), "--socket="+file("munge"),
		"--pid-file="+file("munge.pid"), "--seed-file="+file("munge.seed"), "--log-file="+file("munge.log"))
	waitFor(t, "the socket of munged", func() bool { _, err := os.Stat(file("munge")); return err == nil })
	daemon(t, env, "slurmctld", "-D", "-f", conf)
	daemon(t, env, "slurmd", "-D", "-f", conf)
	waitFor(t, "an idle node", func() bool {
		cmd := exec.CommandContext(t.Context(), "scontrol", "show", "node", host)
		cmd.Env = env
		out, err := cmd.Output()
		return err == nil && bytes.Contains(out, []byte("State=IDLE "))
	})
	return conf
}

// freePort is one that nobody listened on a moment ago.
func freePort(t *testing.T) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	_, port, _ := net.SplitHostPort(l.Addr().String())
	return port
}

// daemon runs a program until the test ends; what it said is told when the test fails.
func daemon(t *testing.T, env []string, name string, args ...string) {
	t.Helper()
	ctx, stop := context.WithCancel(context.Background())
	cmd := exec.CommandContext(ctx, name, args...)
	var said bytes.Buffer
	cmd.Env, cmd.Stdout, cmd.Stderr = env, &said, &said
	cmd.Cancel = func() error { return cmd.Process.Signal(os.Interrupt) }
	cmd.WaitDelay = 5 * time.Second
	if err := cmd.Start(); err != nil {
		stop()
		t.Fatal(err)
	}
	t.Cleanup(func() {
		stop()
		cmd.Wait()
		if t.Failed() {
			t.Logf("%s said:\n%s", name, said.String())
		}
	})
}

func waitFor(t *testing.T, what string, ready func() bool) {
	t.Helper()
	for end := time.Now().Add(3 * time.Minute); !ready(); time.Sleep(100 * time.Millisecond) {
		if time.Now().After(end) {
			t.Fatalf("no %s after three minutes", what)
		}
	}
}

// The array script under a real scheduler, submitted by the two commands that its
// head and the readme give: tasks at the same time, then the join that waits for them.
func TestArrayScheduled(t *testing.T) {
	if testing.Short() {
		t.Skip("a scheduler takes its time")
	}
	conf := cluster(t)
	dir, drawings, want, env := engines(t)
	env = append(env, "SLURM_CONF="+conf)
	work := t.TempDir()
	submit := func(args ...string) string {
		t.Helper()
		cmd := exec.CommandContext(t.Context(), "sbatch", append([]string{"--parsable"}, args...)...)
		cmd.Env, cmd.Dir = env, work
		out, err := cmd.CombinedOutput()
		if err != nil {
			t.Fatalf("sbatch %v: %v\n%s", args, err, out)
		}
		return strings.TrimSpace(string(out))
	}
	job := submit(filepath.Join(dir, "slurm.sh"), drawings, "out")
	join := submit("--dependency=afterok:"+job, "--wrap",
		"burrcast merge --format jsonl --report out/report out/*.jsonl >all || [ $? -ne 2 ]")
	waitFor(t, "end of the join", func() bool {
		cmd := exec.CommandContext(t.Context(), "scontrol", "show", "job", join)
		cmd.Env = env
		out, err := cmd.CombinedOutput()
		if err != nil {
			t.Fatalf("%v\n%s", err, out)
		}
		if bytes.Contains(out, []byte("JobState=FAILED")) || bytes.Contains(out, []byte("DependencyNeverSatisfied")) {
			t.Fatalf("%s", out)
		}
		return bytes.Contains(out, []byte("JobState=COMPLETED"))
	})
	files, err := filepath.Glob(filepath.Join(work, "out", "*.jsonl"))
	if err != nil || len(files) != 16 {
		t.Errorf("%d results of 16 tasks, %v", len(files), err)
	}
	sameFile(t, filepath.Join(work, "all"), want)
	if _, err := os.Stat(filepath.Join(work, "out", "report", "index.html")); err != nil {
		t.Error(err)
	}
}
