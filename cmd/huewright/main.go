// Huewright measures wood from photographs and says how many coats each area of a piece
// needs to read as one colour.
package main

import (
	"context"
	"io"
	"os"
	"os/signal"
	"runtime"
	"runtime/debug"
	"syscall"

	"huewright/internal/terminal"
)

func main() {
	collectLater()
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	context.AfterFunc(ctx, stop) // so that a second interrupt ends the program at once
	code := run(ctx, os.Args[1:], os.Stdin, os.Stdout, os.Stderr)
	stop()
	os.Exit(code)
}

// collectLater has the first garbage collection begin at 16 MB instead of 4, and the others as ever: most commands end before it.
func collectLater() {
	before := debug.SetGCPercent(400)
	if before != 100 { // somebody asked for something else
		debug.SetGCPercent(before)
		return
	}
	sentinel := new(struct{ _ *byte })
	runtime.AddCleanup(sentinel, func(percent int) { debug.SetGCPercent(percent) }, before)
}

// run is the whole program. It returns the exit code.
func run(ctx context.Context, args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	out, errs := terminal.NewWriter(stdout, os.Environ()), terminal.NewWriter(stderr, os.Environ())
	cmd := newRoot(out)
	cmd.SetArgs(args)
	cmd.SetIn(stdin)
	cmd.SetOut(out)
	cmd.SetErr(errs)
	err := cmd.ExecuteContext(ctx)
	if flushed := out.Flush(); err == nil {
		err = flushed
	}
	if err != nil {
		printFault(errs, err)
	}
	return exitCode(err)
}
