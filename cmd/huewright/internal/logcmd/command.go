package logcmd

import (
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"huewright/cmd/huewright/internal/shell"
	"huewright/colour"
	"huewright/internal/logbook"
)

// look opens the log for looking, and do looks.
func look(f *shell.LogFlags, cmd *cobra.Command, do func(*logbook.Log) error) error {
	return with(f, cmd, logbook.Options{ReadOnly: true}, do)
}

// write opens the log for writing, and do writes.
func write(f *shell.LogFlags, cmd *cobra.Command, do func(*logbook.Log) error) error {
	return with(f, cmd, logbook.Options{Make: true}, do)
}

func with(f *shell.LogFlags, cmd *cobra.Command, opt logbook.Options, do func(*logbook.Log) error) error {
	log, err := f.Open(cmd.Context(), cmd.ErrOrStderr(), opt)
	if err != nil {
		return err
	}
	err = do(log)
	if closing := log.Close(); err == nil {
		err = closing
	}
	return err
}

// logCommand is a command of the log with what all have in common.
func logCommand(
	use, short, long, example string, args cobra.PositionalArgs, run func(cmd *cobra.Command, args []string) error,
) *cobra.Command {
	return &cobra.Command{Use: use, Short: short, Long: long, Example: example, Args: args, RunE: run}
}

// add writes an entry by do, and says its number and what it is.
func add(f *shell.LogFlags,
	cmd *cobra.Command, stdout io.Writer, opt logbook.Options, what string, do func(*logbook.Writer) (id int64, err error),
) error {
	return with(f, cmd, opt, func(l *logbook.Log) error {
		var id int64
		err := l.Write(cmd.Context(), func(w *logbook.Writer) (err error) {
			id, err = do(w)
			return err
		})
		if err != nil {
			return err
		}
		_, err = fmt.Fprintf(stdout, "#%d %s\n", id, what)
		return err
	})
}

// timeFlag is when something happened; zero for now.
func timeFlag(text string) (time.Time, error) {
	if text == "" {
		return time.Time{}, nil
	}
	return logbook.ParseTime(text, time.Now())
}

// entryNumber reads the number of an entry, "12" or "#12", for a command of the log.
func entryNumber(command, text string) (int64, error) {
	number, err := strconv.ParseInt(strings.TrimPrefix(text, "#"), 10, 64)
	if err != nil {
		return 0, shell.WrongUse("as in: huewright log "+command+" 12; \"huewright log show PIECE\" tells "+
			"the numbers", "%q is no number of an entry", text)
	}
	return number, nil
}

// labFlag reads a colour as three figures.
func labFlag(flag, text string) (c colour.Lab, err error) {
	parts := strings.Split(text, ",")
	figures := []*float64{&c.L, &c.A, &c.B}
	if len(parts) != len(figures) {
		return c, shell.WrongUse("as in "+flag+" \"76.5,4.0,23.3\"", "%s %q: not three numbers", flag, text)
	}
	for i, p := range parts {
		if *figures[i], err = strconv.ParseFloat(strings.TrimSpace(p), 64); err != nil {
			return c, shell.WrongUse("as in "+flag+" \"76.5,4.0,23.3\"", "%s: %q is no number", flag, p)
		}
	}
	return c, nil
}
