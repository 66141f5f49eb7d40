package cli

import (
	"syscall"
	"unsafe"
)

// ownsConsole says whether the program is alone in a window that was opened for
// it: it was double-clicked, or files were dropped on it. From a shell there
// are two programs in the window at least.
func ownsConsole() bool {
	list := syscall.NewLazyDLL("kernel32.dll").NewProc("GetConsoleProcessList")
	if list.Find() != nil {
		return false
	}
	var ids [2]uint32
	n, _, _ := list.Call(uintptr(unsafe.Pointer(&ids[0])), uintptr(len(ids)))
	return n == 1
}
