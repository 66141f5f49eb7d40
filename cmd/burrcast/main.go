// Burrcast forecasts where a sheet-metal part will stay burred on a
// belt-and-brush deburring line, from its flat-pattern DXF drawing.
package main

import (
	"context"
	"os"
	"os/signal"
	"syscall"

	"burrcast/cmd/internal/cli"
)

func main() {
	cli.SetMemory()
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	context.AfterFunc(ctx, stop) // a second one ends the program at once
	code := cli.Run(ctx, os.Args[1:], os.Stdin, os.Stdout, os.Stderr)
	stop()
	os.Exit(code)
}
