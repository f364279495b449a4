// Command socle builds sets of sculpted bases for tabletop miniatures from a
// scene file, each proven printable before it is written.
package main

import (
	"context"
	"os"
	"os/signal"
	"syscall"
)

func main() {
	// A build that is broken off removes what it had begun to write, so the
	// signals stay caught until it has. Under nohup it outlives its terminal.
	signals := []os.Signal{os.Interrupt, syscall.SIGTERM}
	if !signal.Ignored(syscall.SIGHUP) {
		signals = append(signals, syscall.SIGHUP)
	}
	ctx, stop := signal.NotifyContext(context.Background(), signals...)
	code := run(ctx, os.Args[1:], streams{in: os.Stdin, out: os.Stdout, err: os.Stderr})
	stop()
	os.Exit(code)
}
