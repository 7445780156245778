package shell

import (
	"context"
	"fmt"
	"io"
	"os"

	"github.com/spf13/cobra"

	"huewright/internal/logbook"
)

// LogFlags are those that every command with a log has.
type LogFlags struct{ File string }

// Register adds the flags to a command and those below it.
func (f *LogFlags) Register(cmd *cobra.Command) {
	cmd.PersistentFlags().StringVar(&f.File, "log", "", "The log's `FILE`. Default: the one that \"huewright log where\" tells.")
}

// Open opens the log. The caller closes it.
func (f *LogFlags) Open(ctx context.Context, stderr io.Writer, opt logbook.Options) (*logbook.Log, error) {
	path, err := logbook.Place(f.File, os.Getenv)
	if err != nil {
		return nil, err
	}
	opt.Waiting = func() { fmt.Fprintln(stderr, "another huewright is writing to the log; waiting for it") }
	return logbook.Open(ctx, path, opt)
}
