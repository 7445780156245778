package main

import (
	"context"
	"io"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"huewright/cmd/huewright/internal/shell"
	"huewright/internal/fault"
	"huewright/internal/piece"
	"huewright/internal/record"
	"huewright/internal/report"
	"huewright/internal/workshop"
)

func newPlan(stdout io.Writer) *cobra.Command {
	var flags shortFlags
	var coats coatsFlag
	cmd := &cobra.Command{
		Use:   "plan PIECE.toml\n  huewright plan PHOTO … --area NAME=OUTLINE … --chip COLOUR --thinned MIX",
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

To see what other counts would do, name them with --coats. They stand beside the plan's, which does not change.

The piece file names the photos, areas, targets and coatings. "huewright demo --out FOLDER" writes one to start with,
and "huewright help piece-file" shows every key.

For a first answer you need no piece file. Name a photo, its areas and a coating: its chip, and how it is thinned.
Photos and areas are given as "huewright measure" takes them, also by a place on each wood. With --write all of it is kept in a
piece file.`,
		Example: `huewright plan cabinet.toml
huewright plan cabinet.toml --json
huewright plan cabinet.toml --coats "frame=2 panel=1"
huewright plan front.jpg --area "frame=490,200,55,360" --area "panel=991,515,125,319" --chip "#7a5a40" --thinned 1:4
huewright plan front.jpg --tap "frame=520,400" --tap "panel=1050,600" --chip "#7a5a40" --thinned 1:4
huewright plan front.jpg --area "frame=490,200,55,360" --target "#7a4a30" --chip "amber=#9a6a30" --chip "umber=#4a3526"`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 {
				return shell.Exactly(1, "one: the piece file, or a photo", "cabinet.toml")(cmd, args)
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			return runPlan(cmd, stdout, args, &flags, coats)
		},
	}
	flags.register(cmd)
	coats.register(cmd, "Show these coats beside the plan's")
	flags.write.register(cmd, "what the flags say", shell.OverwriteFlag(cmd))
	flags.keep.register(cmd, "the plan, its photos, readings and coats")
	return cmd
}

func runPlan(cmd *cobra.Command, stdout io.Writer, args []string, flags *shortFlags, coats coatsFlag) error {
	ctx := cmd.Context()
	sink, err := flags.keep.open(cmd, stdout, flags.json)
	if err != nil {
		return err
	}
	defer sink.close()
	p, files, err := flags.toPlan(cmd, args)
	if err != nil {
		return err
	}
	if flags.candidates != "" {
		if p.Candidates, err = filepath.Abs(flags.candidates); err != nil {
			return err
		}
	}
	if flags.write.file != "" && flags.given(cmd) == "" {
		return fault.New(fault.Use, "use.written-already", "file", args[0])
	}
	if err := flags.write.check(); err != nil {
		return err
	}
	req := workshop.PlanRequest{Piece: *p, WhatIf: string(coats)}
	if sink.log != nil {
		if req.Past, err = record.Recall(ctx, sink.log, p, flags.keep.piece); err != nil {
			return err
		}
	}
	result, err := workshop.Plan(ctx, files, req)
	if fault.Is(err, "piece.nothing-to-meet") && flags.given(cmd) != "" {
		return shell.Like(fault.Of(err), `--target "#7a5a40", or a second --area`)
	}
	if err != nil {
		return coats.fault(err)
	}
	keep := func(k *record.Keeper, json []byte) (record.Kept, error) { return k.KeepPlan(ctx, req, result, json) }
	if err := answer(sink, files, result, flags.style(stdout).PlanText, report.PlanJSON, keep); err != nil {
		return err
	}
	if err := flags.write.write(sink.beside(), "begin.kept", p, nil); err != nil {
		return err
	}
	return settle(flags.strict, result.Relative)
}

// toPlan is the piece that is to be planned, and what its files are read from: of a piece file, or of photos and flags.
func (f *shortFlags) toPlan(cmd *cobra.Command, args []string) (p *piece.Piece, files workshop.Disk, err error) {
	ctx := cmd.Context()
	files = shell.Disk(ctx, "")
	if f.given(cmd) != "" || len(args) > 1 || isPhoto(args[0]) {
		for _, file := range args {
			if strings.EqualFold(filepath.Ext(file), ".toml") {
				return nil, files, fault.New(fault.Use, "use.photos-or-piece-file", "file", file)
			}
		}
		p, err = f.piece(args, files.PieceLimits())
		return p, files, err
	}
	p, err = workshop.ReadPiece(files, args[0])
	return p, shell.Disk(ctx, filepath.Dir(args[0])), err
}

// planned reads a piece file, lets change change the piece, and plans it; the photos stay open. Where coats are named, the result shows
// them in the place of those that are suggested.
func planned(
	ctx context.Context, path string, coats coatsFlag, change func(*piece.Piece) error,
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
	result, err = workshop.PlanFrom(ctx, photos, &workshop.PlanRequest{Piece: *p, WhatIf: string(coats)})
	if err != nil {
		return nil, nil, coats.fault(err)
	}
	return photos, result.AsAsked(), nil
}
