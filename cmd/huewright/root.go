package main

import (
	"io"

	"github.com/spf13/cobra"

	"huewright/cmd/huewright/internal/complete"
	"huewright/cmd/huewright/internal/logcmd"
	"huewright/cmd/huewright/internal/shell"
)

func init() { cobra.EnableCommandSorting = false } // help lists commands in the order of the work

// newRoot is the command that has all others.
func newRoot(stdout io.Writer) *cobra.Command {
	root := &cobra.Command{
		Use:   "huewright",
		Short: "measure wood in photos, and plan the coats that make a piece read as one colour",
		Long: `Huewright helps you bring furniture of two woods to one colour. It measures the woods in photos, says how far they are
apart, and plans how many thin coats each area needs.

Begin with "huewright demo". It draws a cabinet and does the whole job on it. Then read "huewright help photo", and
photograph a piece of your own.`,
		Version:           version(),
		SilenceErrors:     true,
		SilenceUsage:      true,
		CompletionOptions: cobra.CompletionOptions{DisableDefaultCmd: true},
		Args:              shell.NoCommand,
		RunE:              func(cmd *cobra.Command, args []string) error { return cmd.Help() },
	}
	root.AddCommand(helpTopics()...)
	root.AddCommand(
		newDemo(stdout), newMeasure(stdout), newCompare(stdout), newCarry(stdout), newPlan(stdout), newPreview(stdout), newTimetable(stdout),
		newCard(stdout),
		newSlips(stdout), newCheck(stdout), logcmd.New(stdout, version()), newServe(stdout),
		newHelp(), newCompletion(stdout), newVersion(stdout), newManual(),
	)
	root.SetHelpCommand(child(root, "help"))
	var limits []string
	root.PersistentFlags().StringArrayVar(&limits, "limit", nil, "Raise or lower a limit, as `NAME=N`. See \"huewright help limits\".")
	withHelp(root)
	complete.Register(root, limitNames)
	withEnds(root, &limits)
	return root
}
