//go:build !windows

package cli

// ownsConsole is for the one system where programs get a window of their own.
func ownsConsole() bool { return false }
