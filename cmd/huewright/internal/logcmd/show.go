package logcmd

import (
	"context"
	"io"
	"time"

	"github.com/spf13/cobra"

	"huewright/cmd/huewright/internal/shell"
	"huewright/internal/fault"
	"huewright/internal/logbook"
	"huewright/internal/record"
	"huewright/internal/report"
	"huewright/internal/report/picture"
)

func (g *group) show() *cobra.Command {
	cmd := command("show PIECE", "show the history of a piece",
		"Show tells what was done to each area of a piece, in order, and what came out of it. With --full it lists every entry "+
			"with its number and all figures.",
		"huewright log show \"music cabinet\"", shell.Exactly(1, "one: the piece's name", "\"music cabinet\""))
	full, quiet := shell.FullFlag(cmd), shell.QuietFlag(cmd, "a line for each entry that stands, its time and area first")
	return showing(g, cmd,
		func(ctx context.Context, l *logbook.Log, args []string) (*record.History, error) {
			return record.HistoryOf(ctx, l, args[0])
		},
		func(w io.Writer, h *record.History) error {
			s := g.style(*full)
			s.Quiet = *quiet
			return s.HistoryText(w, h, time.Local)
		}, report.HistoryJSON)
}

func (g *group) list() *cobra.Command {
	return showing(g, command("list", "list the pieces", "List names the pieces. The one you last worked on comes first.",
		"huewright log list", shell.Exactly(0, "none", "")),
		func(ctx context.Context, l *logbook.Log, args []string) ([]logbook.Piece, error) {
			return l.Pieces(ctx)
		},
		local(g.style(false).PiecesText), report.PiecesJSON)
}

func (g *group) scores() *cobra.Command {
	return showing(g, command("scores", "say how good past predictions have been",
		"Scores compares each predicted colour with the colour that you measured when the coats were on. It does the same with "+
			"each suggested count. It says what plans now allow for because of this.",
		"huewright log scores", shell.Exactly(0, "none", "")),
		func(ctx context.Context, l *logbook.Log, args []string) (*record.Scores, error) {
			return record.ScoresOf(ctx, l)
		},
		g.style(false).ScoresText, report.ScoresJSON)
}

func (g *group) drift() *cobra.Command {
	cmd := command("drift PIECE AREA", "follow an area's colour over months",
		"Drift tells how the colour of an area has changed since its last coat. It says whether the change is larger than the "+
			"readings may be off, and which way the wood usually goes.",
		"huewright log drift \"music cabinet\" frame --svg frame.svg", pieceAndArea(""))
	svg := cmd.Flags().String("svg", "", "Draw the change to a new .svg `FILE`.")
	overwrite := shell.OverwriteFlag(cmd)
	return showing(g, cmd,
		func(ctx context.Context, l *logbook.Log, args []string) (*record.Drift, error) {
			d, err := record.DriftOf(ctx, l, args[0], args[1])
			if err != nil || *svg == "" {
				return d, err
			}
			return d, shell.WriteNew(*svg, *overwrite, func(w io.Writer) error { return picture.Drift(w, d, time.Local) })
		},
		local(g.style(false).DriftText), report.DriftJSON)
}

// showing lets a command look into the log by find and show what it finds, as text or, with --json, as JSON.
func showing[T any](
	g *group, cmd *cobra.Command,
	find func(ctx context.Context, l *logbook.Log, args []string) (T, error), text, json func(io.Writer, T) error,
) *cobra.Command {
	asJSON := jsonFlag(cmd)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		return g.look(cmd, func(l *logbook.Log) error {
			result, err := find(cmd.Context(), l, args)
			if err != nil {
				return err
			}
			return shell.PrintResult(g.stdout, *asJSON, result, text, json)
		})
	}
	return cmd
}

// local is a writer of text whose times are those of the clock on the wall.
func local[T any](text func(io.Writer, T, *time.Location) error) func(io.Writer, T) error {
	return func(w io.Writer, result T) error { return text(w, result, time.Local) }
}

func (g *group) label() *cobra.Command {
	cmd := command("label PIECE AREA", "write the label for a sample board",
		"Label gathers what belongs on the back of a sample board, as plain text to print or copy.",
		"huewright log label \"music cabinet\" frame", pieceAndArea(""))
	return showing(g, cmd,
		func(ctx context.Context, l *logbook.Log, args []string) (*logbook.Board, error) {
			return l.Board(ctx, args[0], args[1])
		},
		local(g.style(false).LabelText), report.LabelJSON)
}

func (g *group) again() *cobra.Command {
	cmd := command("again NUMBER", "make an earlier plan again",
		"Again makes an earlier plan again, with this version of huewright. It uses the photos and the piece file that were kept. "+
			"The log stays unchanged. NUMBER is any entry of that plan.",
		"huewright log again 12", shell.Exactly(1, "one: the number of an entry of a plan", "12"))
	full, asJSON := shell.FullFlag(cmd), jsonFlag(cmd)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		number, err := entryNumber("again", args[0])
		if err != nil {
			return err
		}
		return g.look(cmd, func(l *logbook.Log) error { return g.replan(cmd.Context(), l, number, *full, *asJSON) })
	}
	return cmd
}

func (g *group) replan(ctx context.Context, l *logbook.Log, entry int64, full, asJSON bool) error {
	e, err := l.Entry(ctx, entry)
	if err != nil {
		return err
	}
	if e.Run == 0 {
		return fault.New(fault.Use, "logcmd.no-plan", "number", entry)
	}
	result, run, err := record.Replan(ctx, l, e.Run)
	if err != nil {
		return err
	}
	if asJSON {
		return report.PlanJSON(g.stdout, result)
	}
	err = g.say(fault.Say("logcmd.asked", "when", e.At.Local().Format("2006-01-02 15:04"), "then", run.Program, "now", g.program))
	if err != nil {
		return err
	}
	if _, err := io.WriteString(g.stdout, "\n"); err != nil {
		return err
	}
	return g.style(full).PlanText(g.stdout, result)
}
