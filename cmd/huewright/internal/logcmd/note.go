package logcmd

import (
	"github.com/spf13/cobra"

	"huewright/cmd/huewright/internal/shell"
	"huewright/internal/fault"
	"huewright/internal/logbook"
)

func (g *group) note() *cobra.Command {
	cmd := command("note PIECE TEXT", "add a note to a piece", "Note keeps whatever is worth remembering, in your own words.",
		"huewright log note \"music cabinet\" \"the left door drinks more\" --area panel",
		shell.Exactly(2, "two: the piece's name and the note", "\"music cabinet\" \"the left door drinks more\""))
	area := cmd.Flags().String("area", "", "The `AREA` that it is about.")
	at := cmd.Flags().String("at", "", "The `TIME` that it is about. Default: now.")
	instead := cmd.Flags().Int64("instead-of", 0, "The `NUMBER` of the note that it corrects.")
	newArea := newAreaFlag(cmd)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		when, err := timeFlag(*at)
		if err != nil {
			return err
		}
		return g.add(cmd, args[0], *area, *newArea, func(w *logbook.Writer) (int64, error) {
			return w.Add(logbook.Entry{Piece: args[0], Area: *area, At: when, Note: args[1], Replaces: *instead})
		})
	}
	return cmd
}

func (g *group) undo() *cobra.Command {
	cmd := command("undo NUMBER", "withdraw an entry",
		"Undo withdraws an entry. It stays in the log, marked, but no longer counts. Undo the undo, by its own number, and the "+
			"entry counts again. \"huewright log show PIECE --full\" tells the numbers.",
		"huewright log undo 12 --because \"that was the other door\"", shell.Exactly(1, "one: the entry's number", "12"))
	because := cmd.Flags().String("because", "", "The `REASON`, in words.")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		number, err := entryNumber("undo", args[0])
		if err != nil {
			return err
		}
		return g.change(cmd, logbook.Options{}, func(w *logbook.Writer) (fault.Note, error) {
			id, back, err := w.Undo(number, *because)
			if back != 0 {
				return fault.Say("logcmd.back", "number", id, "undone", number, "back", back), err
			}
			return fault.Say("logcmd.undone", "number", id, "undone", number), err
		})
	}
	return cmd
}
