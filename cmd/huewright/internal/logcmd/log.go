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

const logLong = `Log keeps a record of every piece: photos, readings, coats, plans and checks. It finds them again by word or by colour. It
says how good past predictions have been.

"measure", "plan" and "check" add to the log with --piece NAME. The commands below add everything else.

Nothing in the log is ever rewritten. To correct something, say it again, or use "undo". Each photo is kept once.

The log is one file. "huewright log where" tells which. Choose another with --log FILE or with the variable
HUEWRIGHT_LOG.`

// New is the command "log" with those below it. Results for people go to stdout; program is the program's version, which
// the log keeps.
func New(stdout io.Writer, program string) *cobra.Command {
	g := &group{stdout: stdout, program: program}
	cmd := command("log", "keep a record of every piece, and find things again", logLong, "",
		shell.NoCommand)
	cmd.RunE = func(cmd *cobra.Command, args []string) error { return cmd.Help() }
	g.Register(cmd)
	cmd.AddCommand(
		g.begin(), g.photo(), g.area(), g.reading(), g.coat(), g.note(), g.undo(), g.show(), g.list(), g.find(), g.scores(), g.label(),
		g.drift(), g.again(), g.export(), g.importing(), g.backup(), g.restore(), g.check(), g.where(),
	)
	for _, sub := range cmd.Commands() {
		if sub.Flags().Lookup("json") == nil && sub.Name() != "export" { // which writes JSON by itself
			sub.Flags().BoolVar(&g.json, "json", false, jsonHelp)
		}
	}
	return cmd
}
