package logcmd

import (
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"huewright/cmd/huewright/internal/shell"
	"huewright/internal/logbook"
	"huewright/internal/report"
)

// A group is what the commands of the log have in common.
type group struct {
	shell.LogFlags
	stdout  io.Writer // for people, with its colours turned down to what it can show
	program string    // the program's version
}

func command(use, short, long, example string, args cobra.PositionalArgs) *cobra.Command {
	return &cobra.Command{Use: use, Short: short, Long: long, Example: example, Args: args}
}

// pieceAndArea asks for these two arguments.
func pieceAndArea(example string) cobra.PositionalArgs {
	return shell.Exactly(2, "two: the piece's name and the area's", "\"music cabinet\" frame"+example)
}

// style is how text is written.
func (g *group) style(full bool) report.Style { return shell.Style(g.stdout, full) }

// look opens the log for looking, and do looks.
func (g *group) look(cmd *cobra.Command, do func(*logbook.Log) error) error {
	return g.with(cmd, logbook.Options{ReadOnly: true}, do)
}

// write opens the log for writing, and do writes.
func (g *group) write(cmd *cobra.Command, do func(*logbook.Log) error) error {
	return g.with(cmd, logbook.Options{Make: true}, do)
}

func (g *group) with(cmd *cobra.Command, opt logbook.Options, do func(*logbook.Log) error) error {
	log, err := g.Open(cmd.Context(), cmd.ErrOrStderr(), opt)
	if err != nil {
		return err
	}
	err = do(log)
	if closing := log.Close(); err == nil {
		err = closing
	}
	return err
}

// add writes an entry by do, and says its number and what it is.
func (g *group) add(cmd *cobra.Command, what string, do func(*logbook.Writer) (id int64, err error)) error {
	return g.change(cmd, logbook.Options{Make: true}, func(w *logbook.Writer) (string, error) {
		id, err := do(w)
		return fmt.Sprintf("#%d %s", id, what), err
	})
}

// change writes by do, and says what do returns.
func (g *group) change(cmd *cobra.Command, opt logbook.Options, do func(*logbook.Writer) (said string, err error)) error {
	return g.with(cmd, opt, func(l *logbook.Log) error {
		var said string
		err := l.Write(cmd.Context(), func(w *logbook.Writer) (err error) {
			said, err = do(w)
			return err
		})
		if err != nil {
			return err
		}
		_, err = fmt.Fprintln(g.stdout, said)
		return err
	})
}
