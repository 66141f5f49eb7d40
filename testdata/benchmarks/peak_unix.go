//go:build unix

package main

import (
	"os"
	"runtime"
	"syscall"
)

// peak is the most memory that a process that ended had at once, in bytes: the
// kernel's high-water mark.
func peak(p *os.ProcessState) int64 {
	if p == nil {
		return 0
	}
	u, ok := p.SysUsage().(*syscall.Rusage)
	switch {
	case !ok:
		return 0
	case runtime.GOOS == "darwin":
		return int64(u.Maxrss)
	}
	return int64(u.Maxrss) * 1024
}
