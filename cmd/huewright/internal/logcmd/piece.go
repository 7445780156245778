package logcmd

import (
	"strings"

	"github.com/spf13/cobra"

	"huewright/cmd/huewright/internal/shell"
	"huewright/internal/fault"
	"huewright/internal/logbook"
	"huewright/internal/record"
)

func (g *group) begin() *cobra.Command {
	cmd := command("begin NAME", "begin a piece",
		"Begin adds a new piece to the log. Give its name to the other commands to add photos, readings and coats.",
		"huewright log begin \"hall bench\" --about \"oak, one leg replaced\"",
		shell.Exactly(1, "one: the piece's name", "\"music cabinet\""))
	about := cmd.Flags().String("about", "", "A `TEXT` on what the piece is and where it comes from.")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		return g.change(cmd, logbook.Options{Make: true}, func(w *logbook.Writer) (fault.Note, error) {
			_, err := w.Begin(args[0], *about)
			return fault.Say("logcmd.begun", "piece", strings.TrimSpace(args[0])), err
		})
	}
	return cmd
}

func (g *group) photo() *cobra.Command {
	cmd := command("photo PIECE FILE …", "keep photos of a piece",
		"Photo keeps photos of a piece. If you give the same photo twice, it is kept once.",
		"huewright log photo \"music cabinet\" front.jpg --note \"before any work\"", pieceAndPhotos)
	note := cmd.Flags().String("note", "", "A `TEXT` about the photos.")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		return g.write(cmd, func(l *logbook.Log) error {
			if _, err := l.Piece(cmd.Context(), args[0]); err != nil {
				return err
			}
			k := record.Keeper{Log: l, Piece: args[0], Program: g.program, Files: shell.Disk(cmd.Context(), "")}
			done, err := k.KeepPhotos(cmd.Context(), args[1:], *note)
			if err != nil {
				return err
			}
			return g.say(fault.Say("logcmd.photos", "n", done.Photos, "new", done.Entries))
		})
	}
	return cmd
}

func pieceAndPhotos(cmd *cobra.Command, args []string) error {
	if len(args) < 2 {
		return fault.New(fault.Use, "logcmd.piece-and-photos")
	}
	return nil
}
