package cli

import (
	"os"
	"runtime/debug"
)

// What the process may hold. A drawing's garbage is short-lived and what stays is
// small, so collecting when the heap is seven times what stays saves a sixth of
// a run and costs some 80 MB; towards the limit the collector runs as often as it
// must. Both were chosen by measuring (testdata/benchmarks).
const (
	garbagePercent = 600
	memoryLimit    = 256 << 20 // bytes; soft: what a drawing needs, it gets
)

// SetMemory sets how the process collects garbage, except for what the user set by
// GOGC or GOMEMLIMIT. It is for main: who runs the command inside another program
// has that program's settings.
func SetMemory() { setMemory(os.Getenv) }

func setMemory(env func(string) string) {
	if env("GOGC") == "" {
		debug.SetGCPercent(garbagePercent)
	}
	if env("GOMEMLIMIT") == "" {
		debug.SetMemoryLimit(memoryLimit)
	}
}
