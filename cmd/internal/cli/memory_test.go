package cli

import (
	"math"
	"runtime/debug"
	"testing"
)

// What the user set stays.
func TestMemoryRespectsTheUser(t *testing.T) {
	oldPercent, oldLimit := debug.SetGCPercent(70), debug.SetMemoryLimit(math.MaxInt64-1)
	defer func() {
		debug.SetGCPercent(oldPercent)
		debug.SetMemoryLimit(oldLimit)
	}()
	for _, test := range []struct {
		env     map[string]string
		percent int
		limit   int64
	}{
		{map[string]string{"GOGC": "70", "GOMEMLIMIT": "off"}, 70, math.MaxInt64 - 1},
		{map[string]string{"GOGC": "70"}, 70, memoryLimit},
		{map[string]string{"GOMEMLIMIT": "1GiB"}, garbagePercent, math.MaxInt64 - 1},
		{nil, garbagePercent, memoryLimit},
	} {
		debug.SetGCPercent(70)
		debug.SetMemoryLimit(math.MaxInt64 - 1)
		setMemory(func(name string) string { return test.env[name] })
		percent := debug.SetGCPercent(70)
		if limit := debug.SetMemoryLimit(-1); percent != test.percent || limit != test.limit {
			t.Errorf("%v: %d %%, %d bytes, want %d %%, %d bytes", test.env, percent, limit, test.percent, test.limit)
		}
	}
}
