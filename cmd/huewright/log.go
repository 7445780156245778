package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"time"

	"github.com/spf13/cobra"

	"huewright/internal/logbook"
)

const logLong = `Log keeps every photo, reading, coat, plan and check of a piece in one file, finds them again by
word or by colour, and says how good past predictions have been. "measure", "plan" and "check"
write into it with --piece NAME; what else belongs there is added here.

Nothing in it is ever rewritten: what is wrong is put right by a further entry, with "undo" or by
saying it again. Photos are kept too, each once.

The file is in the platform's folder for data; --log FILE or the variable HUEWRIGHT_LOG says
otherwise.
` + exitCodesHelp

// logFlags are those that every command with a log has.
type logFlags struct{ file string }

func (f *logFlags) register(cmd *cobra.Command) {
	cmd.PersistentFlags().StringVar(&f.file, "log", "", "the log's `FILE`, instead of the one in the platform's folder or in HUEWRIGHT_LOG")
}

// open opens the log. The caller closes it.
func (f *logFlags) open(ctx context.Context, stderr io.Writer, opt logbook.Options) (*logbook.Log, error) {
	path, err := logbook.Place(f.file, os.Getenv)
	if err != nil {
		return nil, err
	}
	opt.Waiting = func() { fmt.Fprintln(stderr, "another huewright is writing to the log; waiting for it") }
	return logbook.Open(ctx, path, opt)
}

// look opens the log for looking, and do looks.
func (f *logFlags) look(cmd *cobra.Command, do func(*logbook.Log) error) error {
	return f.with(cmd, logbook.Options{ReadOnly: true}, do)
}

// write opens the log for writing, and do writes.
func (f *logFlags) write(cmd *cobra.Command, do func(*logbook.Log) error) error {
	return f.with(cmd, logbook.Options{Make: true}, do)
}

func (f *logFlags) with(cmd *cobra.Command, opt logbook.Options, do func(*logbook.Log) error) error {
	log, err := f.open(cmd.Context(), cmd.ErrOrStderr(), opt)
	if err != nil {
		return err
	}
	err = do(log)
	if closing := log.Close(); err == nil {
		err = closing
	}
	return err
}

func newLog(stdout io.Writer) *cobra.Command {
	var flags logFlags
	cmd := &cobra.Command{
		Use:   "log",
		Short: "keep what was seen and done on every piece, and find it again",
		Long:  logLong,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) > 0 {
				return wrongUse("see \"huewright log --help\" for those there are", "there is no command \"log %s\"", args[0])
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error { return cmd.Help() },
	}
	flags.register(cmd)
	cmd.AddCommand(
		newLogBegin(stdout, &flags), newLogPhoto(stdout, &flags), newLogArea(stdout, &flags), newLogReading(stdout, &flags),
		newLogCoat(stdout, &flags), newLogNote(stdout, &flags), newLogUndo(stdout, &flags),
		newLogShow(stdout, &flags), newLogList(stdout, &flags), newLogFind(stdout, &flags), newLogScores(stdout, &flags),
		newLogLabel(stdout, &flags), newLogDrift(stdout, &flags), newLogAgain(stdout, &flags),
		newLogExport(stdout, &flags), newLogImport(stdout, &flags), newLogBackup(stdout, &flags), newLogCheck(stdout, &flags), newLogWhere(stdout, &flags),
	)
	return cmd
}

// logCommand is a command of the log with what all have in common.
func logCommand(use, short, long, example string, args cobra.PositionalArgs, run func(cmd *cobra.Command, args []string) error) *cobra.Command {
	return &cobra.Command{Use: use, Short: short, Long: long + "\n" + exitCodesHelp, Example: example, Args: args, RunE: run}
}

// atLeast asks for so many arguments or more, by what they are.
func atLeast(n int, what, example string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if len(args) < n {
			return wrongUse("as in: "+cmd.CommandPath()+" "+example, "%d arguments, need %s", len(args), what)
		}
		return nil
	}
}

// exactly asks for just so many arguments, by what they are.
func exactly(n int, what, example string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if len(args) != n {
			return wrongUse("as in: "+cmd.CommandPath()+" "+example, "%d arguments, need %s", len(args), what)
		}
		return nil
	}
}

// kept says what was written.
func kept(stdout io.Writer, id int64, what string) error {
	_, err := fmt.Fprintf(stdout, "#%d %s\n", id, what)
	return err
}

// timeFlag is when something happened; zero for now.
func timeFlag(text string) (time.Time, error) {
	if text == "" {
		return time.Time{}, nil
	}
	return logbook.ParseTime(text, time.Now())
}
