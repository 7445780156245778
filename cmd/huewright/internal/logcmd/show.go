package logcmd

import (
	"io"
	"time"

	"github.com/spf13/cobra"

	"huewright/cmd/huewright/internal/shell"
	"huewright/internal/logbook"
	"huewright/internal/record"
	"huewright/internal/report"
)

// logLookFlags are those of a command that looks into the log.
type logLookFlags struct {
	log  *shell.LogFlags
	json bool
}

func (f *logLookFlags) register(cmd *cobra.Command) {
	cmd.Flags().BoolVar(&f.json, "json", false, "write JSON")
}

func newLogShow(stdout io.Writer, log *shell.LogFlags) *cobra.Command {
	flags := logLookFlags{log: log}
	cmd := logCommand("show PIECE", "show all that was seen and done on a piece",
		"Show tells a piece's history in the order it happened, a swatch beside every colour.",
		"  huewright log show \"music cabinet\"", shell.Exactly(1, "one: the piece's name", "\"music cabinet\""),
		func(cmd *cobra.Command, args []string) error { return runLogShow(cmd, stdout, args[0], &flags) })
	flags.register(cmd)
	return cmd
}

func runLogShow(cmd *cobra.Command, stdout io.Writer, piece string, flags *logLookFlags) error {
	return look(flags.log, cmd, func(l *logbook.Log) error {
		h, err := record.HistoryOf(cmd.Context(), l, piece)
		if err != nil {
			return err
		}
		return shell.PrintResult(stdout, flags.json, h, local(report.HistoryText), report.HistoryJSON)
	})
}

func newLogList(stdout io.Writer, log *shell.LogFlags) *cobra.Command {
	flags := logLookFlags{log: log}
	cmd := logCommand("list", "list the pieces", "List names the pieces, the one that was last worked on first.",
		"  huewright log list", shell.Exactly(0, "none", ""),
		func(cmd *cobra.Command, args []string) error { return runLogList(cmd, stdout, &flags) })
	flags.register(cmd)
	return cmd
}

func runLogList(cmd *cobra.Command, stdout io.Writer, flags *logLookFlags) error {
	return look(flags.log, cmd, func(l *logbook.Log) error {
		all, err := l.Pieces(cmd.Context())
		if err != nil {
			return err
		}
		return shell.PrintResult(stdout, flags.json, all, local(report.PiecesText), report.PiecesJSON)
	})
}

func newLogScores(stdout io.Writer, log *shell.LogFlags) *cobra.Command {
	flags := logLookFlags{log: log}
	cmd := logCommand("scores", "say how good past predictions have been",
		"Scores holds every colour that a plan foresaw against the one that was measured when its coats were\n"+
			"on, and every count against the one it came to; and says what plans allow for because of it.",
		"  huewright log scores", shell.Exactly(0, "none", ""),
		func(cmd *cobra.Command, args []string) error { return runLogScores(cmd, stdout, &flags) })
	flags.register(cmd)
	return cmd
}

func runLogScores(cmd *cobra.Command, stdout io.Writer, flags *logLookFlags) error {
	return look(flags.log, cmd, func(l *logbook.Log) error {
		s, err := record.ScoresOf(cmd.Context(), l)
		if err != nil {
			return err
		}
		return shell.PrintResult(stdout, flags.json, s, report.ScoresText, report.ScoresJSON)
	})
}

func newLogLabel(stdout io.Writer, log *shell.LogFlags) *cobra.Command {
	return logCommand("label PIECE AREA", "write what belongs on the back of a sample board",
		"Label gathers what people write on the back of a sample board, as plain text to print or copy.",
		"  huewright log label \"music cabinet\" frame",
		shell.Exactly(2, "two: the piece's name and the area's", "\"music cabinet\" frame"),
		func(cmd *cobra.Command, args []string) error { return runLogLabel(cmd, stdout, args[0], args[1], log) })
}

func runLogLabel(cmd *cobra.Command, stdout io.Writer, piece, area string, log *shell.LogFlags) error {
	return look(log, cmd, func(l *logbook.Log) error {
		b, err := l.Board(cmd.Context(), piece, area)
		if err != nil {
			return err
		}
		return report.LabelText(stdout, b, time.Local)
	})
}

// local is a writer of text whose times are those of the clock on the wall.
func local[T any](text func(io.Writer, T, *time.Location) error) func(io.Writer, T) error {
	return func(w io.Writer, result T) error { return text(w, result, time.Local) }
}
