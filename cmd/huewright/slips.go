package main

import (
	"io"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"huewright/cmd/huewright/internal/shell"
	"huewright/imageio/slip"
	"huewright/internal/fault"
	"huewright/internal/report/slipsheet"
)

type slipsFlags struct {
	out       string
	overwrite *bool
	json      bool
	slipsheet.Options
}

func newSlips(stdout io.Writer) *cobra.Command {
	var flags slipsFlags
	cmd := &cobra.Command{
		Use:   "slips --out slips.pdf",
		Short: "make a sheet of slips to print, cut out and lay beside the wood",
		Long: `Slips makes a sheet of six paper slips. Print it on plain white paper at full size, and measure the ruler on the sheet: it
must be 100 mm long. Cut the slips out along the thin lines.

Lay a slip flat on each wood, and one beside the sample that you want to match. Keep them in every photo of the piece. The
program finds them by itself. A slip that two photos show tells how the colours of the two go together, and how large things
are. Three or more tell how the light falls off. Their own colours need not be known.

Print each set once. Another printing has other colours, so give it another number with --set. Slips in colour work better
than grey ones: use --grey only if the printer has no colour.`,
		Example: `huewright slips --out slips.pdf`,
		Args:    shell.Exactly(0, "none: only --out", "--out slips.pdf"),
		RunE: func(_ *cobra.Command, _ []string) error {
			return runSlips(stdout, &flags)
		},
	}
	cmd.Flags().StringVar(&flags.out, "out", "", "The new `FILE`: slips.pdf.")
	cmd.Flags().StringVar(&flags.Paper, "paper", slipsheet.Papers[0], "The `PAPER`: "+strings.Join(slipsheet.Papers, " or ")+".")
	cmd.Flags().IntVar(&flags.Set, "set", 1, "The number `N` of the set, from 1 to 32.")
	cmd.Flags().BoolVar(&flags.Grey, "grey", false, "Make slips for a printer without colour.")
	flags.overwrite = shell.OverwriteFlag(cmd)
	cmd.Flags().BoolVar(&flags.json, "json", false, "Write JSON, for other programs.")
	return cmd
}

func runSlips(stdout io.Writer, flags *slipsFlags) error {
	switch {
	case strings.ToLower(filepath.Ext(flags.out)) != ".pdf":
		return fault.New(fault.Use, "slip.no-pdf", "file", flags.out)
	case !slices.Contains(slipsheet.Papers, flags.Paper):
		return fault.New(fault.Use, "slip.no-paper", "paper", flags.Paper)
	case flags.Set < 1 || flags.Set > slip.Sets:
		return fault.New(fault.Use, "slip.no-set", "set", flags.Set, "most", slip.Sets)
	}
	if err := shell.WriteNew(flags.out, *flags.overwrite, func(w io.Writer) error { return slipsheet.PDF(w, flags.Options) }); err != nil {
		return err
	}
	if flags.json {
		return shell.WriteJSON(stdout, map[string]any{"file": flags.out, "paper": flags.Paper, "set": flags.Set})
	}
	_, err := io.WriteString(stdout, flags.out+"\n")
	return err
}
