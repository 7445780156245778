package logcmd

import (
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"huewright/cmd/huewright/internal/shell"
	"huewright/internal/logbook"
	"huewright/internal/record"
)

type logBeginFlags struct {
	log   *shell.LogFlags
	about string
}

func newLogBegin(stdout io.Writer, log *shell.LogFlags) *cobra.Command {
	flags := logBeginFlags{log: log}
	cmd := logCommand("begin NAME", "begin a piece",
		"Begin makes a piece in the log, to which photos, readings and coats then go by its name.",
		"  huewright log begin \"music cabinet\" --about \"ash frame, sapele panels, one corner rebuilt\"",
		shell.Exactly(1, "one: the piece's name", "\"music cabinet\""),
		func(cmd *cobra.Command, args []string) error { return runLogBegin(cmd, stdout, args[0], &flags) })
	cmd.Flags().StringVar(&flags.about, "about", "", "`TEXT` on what it is and where it comes from")
	return cmd
}

func runLogBegin(cmd *cobra.Command, stdout io.Writer, piece string, flags *logBeginFlags) error {
	return write(flags.log, cmd, func(l *logbook.Log) error {
		err := l.Write(cmd.Context(), func(w *logbook.Writer) error {
			_, err := w.Begin(piece, flags.about)
			return err
		})
		if err != nil {
			return err
		}
		_, err = fmt.Fprintf(stdout, "%s is begun\n", strings.TrimSpace(piece))
		return err
	})
}

type logPhotoFlags struct {
	log  *shell.LogFlags
	note string
}

func newLogPhoto(stdout io.Writer, log *shell.LogFlags, program string) *cobra.Command {
	flags := logPhotoFlags{log: log}
	cmd := logCommand("photo PIECE FILE …", "keep photos of a piece",
		"Photo keeps photos of a piece, each once however often it comes.",
		"  huewright log photo \"music cabinet\" front.jpg side.jpg --note \"before anything was done\"",
		atLeast(2, "two or more: the piece's name and its photos", "\"music cabinet\" front.jpg"),
		func(cmd *cobra.Command, args []string) error {
			return runLogPhoto(cmd, stdout, program, args[0], args[1:], &flags)
		})
	cmd.Flags().StringVar(&flags.note, "note", "", "`TEXT` about them")
	return cmd
}

func runLogPhoto(cmd *cobra.Command, stdout io.Writer, program, piece string, photos []string, flags *logPhotoFlags) error {
	return write(flags.log, cmd, func(l *logbook.Log) error {
		if _, err := l.Piece(cmd.Context(), piece); err != nil {
			return err
		}
		k := record.Keeper{Log: l, Piece: piece, Program: program, Files: shell.Disk(cmd.Context(), "")}
		done, err := k.KeepPhotos(cmd.Context(), photos, flags.note)
		if err != nil {
			return err
		}
		_, err = fmt.Fprintf(stdout, "%d kept, %d of them new\n", done.Photos, done.Entries)
		return err
	})
}

// atLeast asks for so many arguments or more, by what they are.
func atLeast(n int, what, example string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if len(args) < n {
			return shell.WrongUse("as in: "+cmd.CommandPath()+" "+example, "%d arguments, need %s", len(args), what)
		}
		return nil
	}
}
