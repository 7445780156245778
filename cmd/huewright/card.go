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
	"huewright/internal/report"
	"huewright/internal/report/card"
)

type cardFlags struct {
	bench      benchFlags
	out, paper string
	ref        string
}

func newCard(stdout io.Writer) *cobra.Command {
	var flags cardFlags
	cmd := &cobra.Command{
		Use:   "card PIECE.toml --out card.pdf",
		Short: "make one sheet to hang over the bench",
		Long: `Card plans the piece and puts all that is to be done on one sheet: the photo with its areas
numbered, each colour as it is, after the coats and as it should be, the coats with their ranges
and where to stop and look, what to mix, the timetable with boxes to tick, the cautions, and
room for notes. It is written as PDF, or, where the file's name ends in .html, as a page that
prints the same. With more than six areas it has two pages.`,
		Example: "  huewright card cabinet.toml --out card.pdf --start 2026-03-14T09:00 --temperature 19 --humidity 55",
		Args:    shell.Exactly(1, "one: the piece file", "cabinet.toml --out card.pdf"),
		RunE: func(cmd *cobra.Command, args []string) error {
			return runCard(cmd, stdout, args[0], &flags)
		},
	}
	cmd.Flags().StringVar(&flags.out, "out", "", "the new `FILE`: card.pdf or card.html")
	cmd.Flags().StringVar(&flags.paper, "paper", "", "`PAPER`: "+strings.Join(card.Papers, " or ")+"; without it A4, or Letter "+
		"where the piece file's units are us")
	cmd.Flags().StringVar(&flags.ref, "ref", "", "`TEXT` that tells where the log has it: it is printed as a QR code too")
	flags.bench.register(cmd)
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
		return shell.WrongUse("as in --out card.pdf, or card.html", "--out %q ends neither in .pdf nor in .html", flags.out)
	}
	if flags.paper != "" && !slices.Contains(card.Papers, flags.paper) {
		return shell.WrongUse("say "+strings.Join(card.Papers, " or "), "--paper %q", flags.paper)
	}
	if len(flags.ref) > 300 {
		return shell.WrongUse("keep it under 300 letters, so that a phone can read it", "--ref is %d letters long", len(flags.ref))
	}
	if err := shell.NewFile(flags.out); err != nil {
		return err
	}
	photos, result, schedule, err := flags.bench.scheduled(cmd, path, now)
	if err != nil {
		return err
	}
	paper := cmp.Or(flags.paper, card.PaperFor(result.Piece.Units))
	sheet, err := report.NewCard(ctx, photos, result, schedule, flags.ref, now)
	if err != nil {
		return err
	}
	if err := shell.WriteNew(flags.out, func(w io.Writer) error { return write(w, sheet, paper) }); err != nil {
		return err
	}
	_, err = io.WriteString(stdout, flags.out+"\n")
	return err
}
