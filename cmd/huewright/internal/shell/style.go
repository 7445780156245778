package shell

import (
	"io"

	"github.com/spf13/cobra"

	"huewright/internal/report"
	"huewright/internal/terminal"
)

// FullFlag gives a command --full.
func FullFlag(cmd *cobra.Command) *bool {
	return cmd.Flags().Bool("full", false, "Show all figures, not only what you need at the bench.")
}

// Style is how text is written to where a command writes: as wide as the screen is, up to what is usual.
func Style(stdout io.Writer, full bool) report.Style {
	s := report.Style{Full: full}
	if screen, ok := stdout.(*terminal.Writer); ok {
		s.Width = min(screen.Width(), report.UsualWidth)
	}
	return s
}
