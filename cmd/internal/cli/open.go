package cli

import (
	"os/exec"
	"runtime"
)

// openPage starts the system's own program for a page and does not wait for it.
func openPage(page string) error {
	name, args := "xdg-open", []string{page}
	switch runtime.GOOS {
	case "windows":
		name, args = "rundll32", []string{"url.dll,FileProtocolHandler", page}
	case "darwin":
		name = "open"
	}
	cmd := exec.Command(name, args...)
	if err := cmd.Start(); err != nil {
		return err
	}
	return cmd.Process.Release()
}
