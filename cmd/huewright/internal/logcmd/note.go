package logcmd

import (
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"huewright/cmd/huewright/internal/shell"
	"huewright/internal/logbook"
)

type logNoteFlags struct {
	log      *shell.LogFlags
	area, at string
	instead  int64
}

func newLogNote(stdout io.Writer, log *shell.LogFlags) *cobra.Command {
	flags := logNoteFlags{log: log}
	cmd := logCommand("note PIECE TEXT", "add a note to a piece", "Note adds what is worth remembering, in words.",
		"  huewright log note \"music cabinet\" \"the left door drinks more\" --area panel",
		shell.Exactly(2, "two: the piece's name and the note", "\"music cabinet\" \"the left door drinks more\""),
		func(cmd *cobra.Command, args []string) error {
			return runLogNote(cmd, stdout, args[0], args[1], &flags)
		})
	cmd.Flags().StringVar(&flags.area, "area", "", "the `AREA` it is about")
	cmd.Flags().StringVar(&flags.at, "at", "", "`TIME` it is about; without it now")
	cmd.Flags().Int64Var(&flags.instead, "instead-of", 0, "`NUMBER` of the note that it puts right")
	return cmd
}

func runLogNote(cmd *cobra.Command, stdout io.Writer, piece, note string, flags *logNoteFlags) error {
	when, err := timeFlag(flags.at)
	if err != nil {
		return err
	}
	return add(flags.log, cmd, stdout, logbook.Options{Make: true}, "noted", func(w *logbook.Writer) (int64, error) {
		return w.Add(logbook.Entry{Piece: piece, Area: flags.area, At: when, Note: note, Replaces: flags.instead})
	})
}

type logUndoFlags struct {
	log     *shell.LogFlags
	because string
}

func newLogUndo(stdout io.Writer, log *shell.LogFlags) *cobra.Command {
	flags := logUndoFlags{log: log}
	cmd := logCommand("undo NUMBER", "say that an entry does not stand",
		"Undo withdraws an entry: it stays in the log, marked, and counts for nothing any more.",
		"  huewright log undo 12 --because \"that was the other door\"",
		shell.Exactly(1, "one: the entry's number", "12"),
		func(cmd *cobra.Command, args []string) error { return runLogUndo(cmd, stdout, args[0], &flags) })
	cmd.Flags().StringVar(&flags.because, "because", "", "`WHY`")
	return cmd
}

func runLogUndo(cmd *cobra.Command, stdout io.Writer, entry string, flags *logUndoFlags) error {
	number, err := entryNumber("undo", entry)
	if err != nil {
		return err
	}
	what := fmt.Sprintf("#%d no longer stands", number)
	return add(flags.log, cmd, stdout, logbook.Options{}, what, func(w *logbook.Writer) (int64, error) {
		return w.Withdraw(number, flags.because)
	})
}
