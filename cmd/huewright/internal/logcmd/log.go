// Package logcmd is the commands of "huewright log": one log of all pieces, written and looked into.
//
// It begins in log.go; what the commands have in common stands in group.go and flags.go. Those that add to a piece stand
// in piece.go, note.go, area.go and coat.go, those that look in show.go and find.go, those for the log as a whole in
// export.go and backup.go.
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

// New is the command "log" with those below it. Results for people go to stdout; program is the program's version, which
// the log keeps.
func New(stdout io.Writer, program string) *cobra.Command {
	g := &group{stdout: stdout, program: program}
	cmd := command("log", "keep what was seen and done on every piece, and find it again", logLong, "",
		shell.NoCommand("see \"huewright log --help\" for those there are", "there is no command \"log %s\""))
	cmd.RunE = func(cmd *cobra.Command, args []string) error { return cmd.Help() }
	g.Register(cmd)
	cmd.AddCommand(
		g.begin(), g.photo(), g.area(), g.reading(), g.coat(), g.note(), g.undo(), g.show(), g.list(), g.find(), g.scores(), g.label(),
		g.drift(), g.again(), g.export(), g.importing(), g.backup(), g.check(), g.where(),
	)
	return cmd
}
