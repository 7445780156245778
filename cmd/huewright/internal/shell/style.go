package shell

import (
	"io"

	"github.com/spf13/cobra"

	"huewright/internal/fault"
	"huewright/internal/report"
	"huewright/internal/terminal"
)

// FullFlag gives a command --full.
func FullFlag(cmd *cobra.Command) *bool {
	return cmd.Flags().Bool("full", false, "Show all figures, not only what you need at the bench.")
}

// QuietFlag gives a command --quiet, beside --full. What is what remains.
func QuietFlag(cmd *cobra.Command, what string) *bool {
	quiet := cmd.Flags().Bool("quiet", false, "Write only the answer, for scripts: "+what+". Warnings and advice are left out.")
	cmd.PreRunE = func(cmd *cobra.Command, args []string) error {
		if *quiet && cmd.Flags().Changed("full") {
			return fault.New(fault.Use, "use.quiet-and-full")
		}
		return nil
	}
	return quiet
}

// Style is how text is written to where a command writes: as wide as the screen is, up to what is usual.
func Style(stdout io.Writer, full bool) report.Style {
	s := report.Style{Full: full}
	if screen, ok := stdout.(*terminal.Writer); ok {
		s.Width = min(screen.Width(), report.UsualWidth)
	}
	return s
}
