// Huewright measures wood from photographs and says how many coats each area of a piece
// needs to read as one colour.
package main

import (
	"context"
	"io"
	"os"
	"os/signal"
	"syscall"

	"huewright/internal/atomicfile"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	code := run(ctx, os.Args[1:], os.Stdin, os.Stdout, os.Stderr)
	if code == exitEnded || code == exitTooSlow {
		atomicfile.Abandon() // what was at work may still be
	}
	stop()
	os.Exit(code)
}

// run is the whole program. It returns the exit code.
func run(ctx context.Context, args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	cmd := newRoot(stdout)
	cmd.SetArgs(args)
	cmd.SetIn(stdin)
	cmd.SetOut(stdout)
	cmd.SetErr(stderr)
	err := cmd.ExecuteContext(ctx)
	if err != nil {
		printFault(stderr, err)
	}
	return exitCode(err)
}
