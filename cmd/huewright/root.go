package main

import (
	"io"

	"github.com/spf13/cobra"

	"huewright/cmd/huewright/internal/logcmd"
	"huewright/cmd/huewright/internal/shell"
)

// newRoot is the command that has all others.
func newRoot(stdout io.Writer) *cobra.Command {
	root := &cobra.Command{
		Use:   "huewright",
		Short: "measure wood from photographs, and plan the thin coats that make a piece read as one colour",
		Long: `Huewright measures the colour of wood from photographs, says how two woods differ, and
how many thin coats each area of a piece needs to come to one colour.

Begin with "huewright demo", which does the whole job on a piece of its own.`,
		Version:       version(),
		SilenceErrors: true,
		SilenceUsage:  true,
		Args: shell.NoCommand("the commands are: demo, measure, compare, plan, preview, timetable, card, check, log, serve, version; "+
			"see \"huewright --help\"", "there is no command %q"),
		RunE: func(cmd *cobra.Command, args []string) error { return cmd.Help() },
	}
	root.SetFlagErrorFunc(func(cmd *cobra.Command, err error) error {
		return shell.WrongUse("see \""+cmd.CommandPath()+" --help\"", "%w", err)
	})
	root.AddCommand(helpTopics()...)
	root.AddCommand(
		newDemo(stdout), newMeasure(stdout), newCompare(stdout), newPlan(stdout), newCheck(stdout), newPreview(stdout),
		newTimetable(stdout), newCard(stdout), logcmd.New(stdout, version()), newServe(stdout), newVersion(stdout), newManual(),
	)
	var limits []string
	root.PersistentFlags().StringArrayVar(&limits, "limit", nil, "raise or lower a limit, `NAME=N`, as in megapixels=200; see "+
		"\"huewright help limits\"")
	withEnds(root, &limits)
	return root
}
