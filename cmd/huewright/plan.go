package main

import (
	"context"
	"io"
	"path/filepath"

	"github.com/spf13/cobra"

	"huewright/cmd/huewright/internal/shell"
	"huewright/internal/piece"
	"huewright/internal/record"
	"huewright/internal/report"
	"huewright/internal/workshop"
)

type planFlags struct {
	json, strict bool
	full         *bool
	keep         keepFlags
}

func newPlan(stdout io.Writer) *cobra.Command {
	var flags planFlags
	cmd := &cobra.Command{
		Use:   "plan PIECE.toml",
		Short: "say how many coats each area needs",
		Long: `Plan says how many coats each area needs to reach its target, and after which coat to stop and look. It measures your
photos, learns your coatings and works out the coats.

You tell it what a coating is like. Show it a chip: a dried blob, so thick that nothing shows through. Better, lay a
test coat on each wood. Best, do both.

For each area the plan says how far a difference will still be seen, and how much of the grain will be left. Then it
says what to mix, and when the next coat may go on. With --full it adds all figures, other choices, mixes from your
shelf, and the test coat that would tell more. "huewright help reading-a-plan" explains the words.

If you give no target, the plan brings the areas to meet each other. If fewer coats would keep more of the grain, the
plan tells that choice too.

Lay the test coat, stop one coat early, and look. Follow the labels and your local rules on solvents, dust, lead in old
finishes, and rags.

With --piece the plan is kept in the log, and the log helps the plan. It knows earlier results of the same coatings. It
knows whether your coats come out thick or thin. If only the log knows a coating, write earlier = true in the piece
file.

The piece file names the photos, areas, targets and coatings. "huewright demo --out FOLDER" writes one to start with,
and "huewright help piece-file" shows every key.`,
		Example: `huewright plan cabinet.toml
huewright plan cabinet.toml --json`,
		Args: shell.Exactly(1, "one: the piece file", "cabinet.toml"),
		RunE: func(cmd *cobra.Command, args []string) error {
			return runPlan(cmd, stdout, args[0], &flags)
		},
	}
	flags.full = shell.FullFlag(cmd)
	cmd.Flags().BoolVar(&flags.json, "json", false, "Write JSON, for other programs.")
	cmd.Flags().BoolVar(&flags.strict, "strict", false, strictHelp)
	flags.keep.register(cmd, "the plan, its photos, readings and coats")
	return cmd
}

func runPlan(cmd *cobra.Command, stdout io.Writer, path string, flags *planFlags) error {
	ctx := cmd.Context()
	sink, err := flags.keep.open(cmd, stdout, flags.json)
	if err != nil {
		return err
	}
	defer sink.close()
	p, err := workshop.ReadPiece(shell.Disk(ctx, ""), path)
	if err != nil {
		return err
	}
	files, req := shell.Disk(ctx, filepath.Dir(path)), workshop.PlanRequest{Piece: *p}
	if sink.log != nil {
		if req.Past, err = record.Recall(ctx, sink.log, p, flags.keep.piece); err != nil {
			return err
		}
	}
	result, err := workshop.Plan(ctx, files, req)
	if err != nil {
		return err
	}
	keep := func(k *record.Keeper, json []byte) (record.Kept, error) { return k.KeepPlan(ctx, req, result, json) }
	if err := answer(sink, files, result, shell.Style(stdout, *flags.full).PlanText, report.PlanJSON, keep); err != nil {
		return err
	}
	return settle(flags.strict, result.Relative)
}

// planned reads a piece file, lets change change the piece, and plans it; the photos stay open.
func planned(
	ctx context.Context, path string, change func(*piece.Piece) error,
) (photos *workshop.Photos, result *workshop.PlanResult, err error) {
	p, err := workshop.ReadPiece(shell.Disk(ctx, ""), path)
	if err != nil {
		return nil, nil, err
	}
	if err = change(p); err != nil {
		return nil, nil, err
	}
	if photos, err = workshop.OpenPhotos(ctx, shell.Disk(ctx, filepath.Dir(path)), p); err != nil {
		return nil, nil, err
	}
	result, err = workshop.PlanFrom(ctx, photos, nil)
	return photos, result, err
}
