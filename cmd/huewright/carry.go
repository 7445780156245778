package main

import (
	"io"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"huewright/cmd/huewright/internal/shell"
	"huewright/internal/fault"
	"huewright/internal/piece"
	"huewright/internal/report"
	"huewright/internal/workshop"
)

type carryFlags struct {
	photoFlags
	from  string
	write writeFlags
}

func newCarry(stdout io.Writer) *cobra.Command {
	var flags carryFlags
	cmd := &cobra.Command{
		Use:   "carry PIECE.toml PHOTO\n  huewright carry PHOTO OTHER-PHOTO --area NAME=OUTLINE …",
		Short: "find the outlines of one photo again in another",
		Long: `Carry finds areas that you outlined in one photo in another photo of the same side of the piece. You need not outline them
again after each coat. Name the piece file, or the first photo and its areas, and then the new photo.

Leave two printed slips on the piece in both photos, and the outlines lie within a millimetre or two. One slip does too, if
the photo says how it was taken. See "huewright slips".

Without slips the pictures alone are compared. What comes of that is a proposal: look at it with --overlay before you
measure anything.

For each area you are told how sure it is: sure, likely or doubtful. The side that you outline should be about flat. With
--write a piece file is begun with the new photo and its outlines.`,
		Example: `huewright carry cabinet.toml front.jpg --overlay carried.png
huewright carry front.jpg front.jpg --area "frame=490,200,55,360" --area "panel=991,515,125,319" --write later.toml`,
		Args: shell.Exactly(2, "two: a piece file or a photo, and the new photo", "cabinet.toml later.jpg"),
		RunE: func(cmd *cobra.Command, args []string) error { return runCarry(cmd, stdout, args[0], args[1], &flags) },
	}
	cmd.Flags().SortFlags = false
	flags.registerAreas(cmd)
	cmd.Flags().StringVar(&flags.from, "from", "",
		"The `PHOTO` of the piece file whose outlines are carried. Default: that of its first area.")
	cmd.Flags().StringVar(&flags.overlay, "overlay", "", "Draw the new photo with the outlines. The `FILE` ends in .png or .jpg.")
	flags.overwrite = shell.OverwriteFlag(cmd)
	flags.write.register(cmd, "the new photo and its outlines", flags.overwrite)
	flags.full, flags.quiet = shell.FullFlag(cmd), shell.QuietFlag(cmd, "each area, a tab, its outline")
	cmd.Flags().BoolVar(&flags.json, "json", false, "Write JSON, for other programs.")
	return cmd
}

func runCarry(cmd *cobra.Command, stdout io.Writer, from, to string, flags *carryFlags) error {
	ctx := cmd.Context()
	req, err := flags.asked(cmd, from, to)
	if err != nil {
		return err
	}
	if err := flags.checkOverlay(to); err != nil {
		return err
	}
	if err := flags.write.check(); err != nil {
		return err
	}
	result, err := workshop.CarryOutlines(ctx, shell.Disk(ctx, ""), req)
	if err != nil {
		return err
	}
	found := result.Measurement()
	if err := flags.writeOverlay(ctx, found, workshop.Calibration{}); err != nil {
		return err
	}
	if err := shell.PrintResult(stdout, flags.json, result, flags.style(stdout).CarryText, report.CarryJSON); err != nil {
		return err
	}
	begun := workshop.BeginPiece(piece.PhotoName(to), workshop.SeveralRequest{Photos: []workshop.MeasureRequest{found}})
	beside := stdout
	if flags.json || *flags.quiet {
		beside = cmd.ErrOrStderr()
	}
	return flags.write.write(beside, "begin.written", begun, nil)
}

// asked is what workshop is asked, by a piece file or by a photo and its areas.
func (f *carryFlags) asked(cmd *cobra.Command, from, to string) (workshop.CarryRequest, error) {
	given := len(f.areas) > 0 || len(f.taps) > 0
	if strings.EqualFold(filepath.Ext(from), ".toml") {
		if given {
			return workshop.CarryRequest{}, fault.New(fault.Use, "use.area-with-piece-file")
		}
		p, err := workshop.ReadPiece(shell.Disk(cmd.Context(), ""), from)
		if err != nil {
			return workshop.CarryRequest{}, err
		}
		req, err := workshop.CarryFromPiece(p, f.from, to)
		if !filepath.IsAbs(req.From) {
			req.From = filepath.Join(filepath.Dir(from), req.From)
		}
		return req, err
	}
	if f.from != "" {
		return workshop.CarryRequest{}, fault.New(fault.Use, "use.from-without-piece-file")
	}
	one, err := f.request(from)
	if err == nil && !given {
		err = shell.Like(fault.New(fault.Use, "piece.no-areas"), `--area "frame=120,300,400,250" --tap "panel=800,500"`)
	}
	return workshop.CarryRequest{From: from, To: to, Areas: one.Areas}, err
}
