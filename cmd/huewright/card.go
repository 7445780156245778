package main

import (
	"cmp"
	"context"
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
	"huewright/internal/report/clientpage"
	"huewright/internal/workshop"
)

type cardFlags struct {
	bench      benchFlags
	coats      coatsFlag
	out, paper string
	ref        string
	client     bool
	hours      float64
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

With --client it makes the page that the piece's owner gets instead. That page has the piece before and after, what will
differ and from where it is seen, by day and by lamp. It tells how the colours will change with the years, the
materials, and the time.

The sheet is a PDF. If the name of the file ends in .html, it is a page that prints the same. With more than six areas
it has two pages.`,
		Example: `huewright card cabinet.toml --out card.pdf --start 2026-03-14T09:00 --temperature 19 --humidity 55
huewright card cabinet.toml --client --hours 14 --out client.pdf`,
		Args: shell.Exactly(1, "one: the piece file", "cabinet.toml --out card.pdf"),
		RunE: func(cmd *cobra.Command, args []string) error {
			return runCard(cmd, stdout, args[0], &flags)
		},
	}
	cmd.Flags().StringVar(&flags.out, "out", "", "The new `FILE`: card.pdf or card.html.")
	cmd.Flags().StringVar(&flags.paper, "paper", "", "The `PAPER`: "+strings.Join(card.Papers, " or ")+". Default: A4, "+
		"or Letter if the piece file has units = \"us\".")
	cmd.Flags().StringVar(&flags.ref, "ref", "", "Print this `TEXT` and a QR code of it, to find the piece in your records.")
	cmd.Flags().BoolVar(&flags.client, "client", false, "Make the page for the piece's owner.")
	cmd.Flags().Float64Var(&flags.hours, "hours", 0, "With --client: how many `HOURS` the work takes. Default: the piece file's.")
	flags.overwrite = shell.OverwriteFlag(cmd)
	flags.coats.register(cmd, "Print these coats, not the plan's")
	flags.bench.register(cmd)
	cmd.Flags().BoolVar(&flags.json, "json", false, "Write JSON, for other programs.")
	return cmd
}

// A printed is what is printed of a plan.
type printed struct {
	pdf, html func(w io.Writer, paper string) error
}

func runCard(cmd *cobra.Command, stdout io.Writer, path string, flags *cardFlags) error {
	now := time.Now()
	if err := flags.check(cmd); err != nil {
		return err
	}
	photos, result, schedule, err := flags.bench.scheduled(cmd, path, flags.coats, now)
	if err != nil {
		return err
	}
	if flags.hours > 0 {
		result.Piece.Hours = flags.hours
	}
	paper := cmp.Or(flags.paper, card.PaperFor(result.Piece.Units))
	sheet, err := flags.printed(cmd.Context(), photos, result, schedule, now)
	if err != nil {
		return err
	}
	write := sheet.pdf
	if !isPDF(flags.out) {
		write = sheet.html
	}
	if err := shell.WriteNew(flags.out, *flags.overwrite, func(w io.Writer) error { return write(w, paper) }); err != nil {
		return err
	}
	if flags.json {
		return shell.WriteJSON(stdout, map[string]any{"file": flags.out, "paper": paper})
	}
	_, err = io.WriteString(stdout, flags.out+"\n")
	return err
}

func isPDF(file string) bool { return strings.EqualFold(filepath.Ext(file), ".pdf") }

// check returns what is wrong with the flags, before anything is planned.
func (f *cardFlags) check(cmd *cobra.Command) error {
	switch ending := strings.ToLower(filepath.Ext(f.out)); {
	case ending != ".pdf" && ending != ".html" && ending != ".htm":
		return shell.Like(fault.New(fault.Use, "use.card-ending", "file", f.out), "--out card.pdf, or card.html")
	case f.paper != "" && !slices.Contains(card.Papers, f.paper):
		return fault.New(fault.Use, "use.paper", "paper", f.paper, "papers", card.Papers)
	case len(f.ref) > 300:
		return fault.New(fault.Use, "use.ref-long", "letters", len(f.ref))
	case cmd.Flags().Changed("hours") && !(f.hours > 0 && f.hours <= 10000):
		return fault.New(fault.Use, "piece.hours", "value", f.hours)
	case cmd.Flags().Changed("hours") && !f.client:
		return fault.New(fault.Use, "use.hours-client")
	case f.client && f.ref != "":
		return fault.New(fault.Use, "use.ref-client")
	}
	return shell.NewFile(f.out, *f.overwrite)
}

// printed gathers the card or the client's page.
func (f *cardFlags) printed(
	ctx context.Context, photos *workshop.Photos, r *workshop.PlanResult, s *workshop.Schedule, now time.Time,
) (printed, error) {
	if f.client {
		page, err := report.NewClientPage(ctx, photos, r, s, now)
		return printed{
			func(w io.Writer, paper string) error { return clientpage.PDF(w, page, paper) },
			func(w io.Writer, paper string) error { return clientpage.HTML(w, page, paper) },
		}, err
	}
	sheet, err := report.NewCard(ctx, photos, r, s, f.ref, now)
	return printed{
		func(w io.Writer, paper string) error { return card.PDF(w, sheet, paper) },
		func(w io.Writer, paper string) error { return card.HTML(w, sheet, paper) },
	}, err
}
