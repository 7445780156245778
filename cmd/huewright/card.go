package main

import (
	"cmp"
	"io"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"huewright/cmd/huewright/internal/shell"
	"huewright/internal/fault"
	"huewright/internal/report"
	"huewright/internal/report/card"
)

type cardFlags struct {
	bench      benchFlags
	coats      coatsFlag
	out, paper string
	ref        string
	overwrite  *bool
	json       bool
}

func newCard(stdout io.Writer) *cobra.Command {
	var flags cardFlags
	cmd := &cobra.Command{
		Use:   "card PIECE.toml --out card.pdf",
		Short: "make a sheet to hang over the bench",
		Long: `Card plans the piece and makes one sheet to hang over the bench. The sheet shows the photo with its areas numbered, and
each colour now, after the coats and as its target. It tells the coats, where to stop, what to mix, when, and what to be
careful of. It has boxes to tick and room for notes.

The sheet is a PDF. If the name of the file ends in .html, it is a page that prints the same. With more than six areas
it has two pages.`,
		Example: `huewright card cabinet.toml --out card.pdf --start 2026-03-14T09:00 --temperature 19 --humidity 55`,
		Args:    shell.Exactly(1, "one: the piece file", "cabinet.toml --out card.pdf"),
		RunE: func(cmd *cobra.Command, args []string) error {
			return runCard(cmd, stdout, args[0], &flags)
		},
	}
	cmd.Flags().StringVar(&flags.out, "out", "", "The new `FILE`: card.pdf or card.html.")
	cmd.Flags().StringVar(&flags.paper, "paper", "", "The `PAPER`: "+strings.Join(card.Papers, " or ")+". Default: A4, "+
		"or Letter if the piece file has units = \"us\".")
	cmd.Flags().StringVar(&flags.ref, "ref", "", "Print this `TEXT` and a QR code of it, to find the piece in your records.")
	flags.overwrite = shell.OverwriteFlag(cmd)
	flags.coats.register(cmd, "Print these coats, not the plan's")
	flags.bench.register(cmd)
	cmd.Flags().BoolVar(&flags.json, "json", false, "Write JSON, for other programs.")
	return cmd
}

func runCard(cmd *cobra.Command, stdout io.Writer, path string, flags *cardFlags) error {
	ctx, now := cmd.Context(), time.Now()
	write := card.PDF
	switch ending := strings.ToLower(filepath.Ext(flags.out)); ending {
	case ".pdf":
	case ".html", ".htm":
		write = card.HTML
	default:
		return shell.Like(fault.New(fault.Use, "use.card-ending", "file", flags.out), "--out card.pdf, or card.html")
	}
	if flags.paper != "" && !slices.Contains(card.Papers, flags.paper) {
		return fault.New(fault.Use, "use.paper", "paper", flags.paper, "papers", card.Papers)
	}
	if len(flags.ref) > 300 {
		return fault.New(fault.Use, "use.ref-long", "letters", len(flags.ref))
	}
	if err := shell.NewFile(flags.out, *flags.overwrite); err != nil {
		return err
	}
	photos, result, schedule, err := flags.bench.scheduled(cmd, path, flags.coats, now)
	if err != nil {
		return err
	}
	paper := cmp.Or(flags.paper, card.PaperFor(result.Piece.Units))
	sheet, err := report.NewCard(ctx, photos, result, schedule, flags.ref, now)
	if err != nil {
		return err
	}
	if err := shell.WriteNew(flags.out, *flags.overwrite, func(w io.Writer) error { return write(w, sheet, paper) }); err != nil {
		return err
	}
	if flags.json {
		return shell.WriteJSON(stdout, map[string]any{"file": flags.out, "paper": paper})
	}
	_, err = io.WriteString(stdout, flags.out+"\n")
	return err
}
