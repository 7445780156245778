package logcmd

import (
	"io"

	"github.com/spf13/cobra"

	"huewright/cmd/huewright/internal/shell"
)

const logLong = `Log keeps every photo, reading, coat, plan and check of a piece in one file, finds them again by
word or by colour, and says how good past predictions have been. "measure", "plan" and "check"
write into it with --piece NAME; what else belongs there is added here.

Nothing in it is ever rewritten: what is wrong is put right by a further entry, with "undo" or by
saying it again. Photos are kept too, each once.

The file is in the platform's folder for data; --log FILE or the variable HUEWRIGHT_LOG says
otherwise.`

func New(stdout io.Writer, program string) *cobra.Command {
	var flags shell.LogFlags
	cmd := &cobra.Command{
		Use:   "log",
		Short: "keep what was seen and done on every piece, and find it again",
		Long:  logLong,
		Args:  shell.NoCommand("see \"huewright log --help\" for those there are", "there is no command \"log %s\""),
		RunE:  func(cmd *cobra.Command, args []string) error { return cmd.Help() },
	}
	flags.Register(cmd)
	cmd.AddCommand(
		newLogBegin(stdout, &flags), newLogPhoto(stdout, &flags, program), newLogArea(stdout, &flags), newLogReading(stdout, &flags),
		newLogCoat(stdout, &flags), newLogNote(stdout, &flags), newLogUndo(stdout, &flags),
		newLogShow(stdout, &flags), newLogList(stdout, &flags), newLogFind(stdout, &flags), newLogScores(stdout, &flags),
		newLogLabel(stdout, &flags), newLogDrift(stdout, &flags), newLogAgain(stdout, &flags, program),
		newLogExport(stdout, &flags), newLogImport(stdout, &flags), newLogBackup(stdout, &flags), newLogCheck(stdout, &flags),
		newLogWhere(stdout, &flags),
	)
	return cmd
}
