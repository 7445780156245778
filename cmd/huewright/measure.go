package main

import (
	"io"

	"github.com/spf13/cobra"

	"huewright/cmd/huewright/internal/shell"
	"huewright/internal/record"
	"huewright/internal/report"
	"huewright/internal/workshop"
)

func newMeasure(stdout io.Writer) *cobra.Command {
	var flags measureFlags
	cmd := &cobra.Command{
		Use:   "measure PHOTO … --area NAME=OUTLINE …",
		Short: "read the colour of areas in photos",
		Long: `Measure reads CIELAB (D65, 2° observer) for each area of a photo, with its spread over the
grain and a ± that says how far to trust it.

A 24-patch colour chart in the picture is found by itself; its four corners, if you give
them, come first, and --overlay shows where it was read. With a grey card or a
slip of white paper, give its outline and lightness. With neither, colours are only good for
comparing areas of the same photo, and the result says so.

Light that is stronger on one side costs more than any reference gives back: tape three or
more slips of one paper round the piece, flat on it, and mark each with --neutral; or take a
second photo with a blank sheet before the camera and name it with --flat.

Several photos are read one after the other, and one that cannot be used does not stop the
rest. NAME@PHOTO, with the photo's file name without its ending, puts an area in that photo
only. What stays as it is from photo to photo, whatever its colour, a slip of paper or a spot
of untouched wood, can tie them: outline it in each with --tie, and the photos are corrected
until they agree about it.`,
		Example: `  huewright measure front.jpg --area "frame=310,220,180,640" --area "panel=560,300,420,480" \
      --corners "1210,340 1490,352 1478,540 1202,528"
  huewright measure front.jpg --area "frame=310,220,180,640" --grey "1210,340,160,90" --grey-lightness 94
  huewright measure front.jpg side.jpg --area "frame@front=310,220,180,640" --area "frame@side=90,200,160,600" \
      --tie "slip@front=40,60,80,50" --tie "slip@side=900,80,70,60"`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 {
				return shell.WrongUse("as in: huewright measure front.jpg --area \"frame=310,220,180,640\"", "no photo is named, need one or more")
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) > 1 || len(flags.ties) > 0 {
				return runSeveral(cmd, stdout, args, &flags)
			}
			return runMeasure(cmd, stdout, args[0], &flags)
		},
	}
	flags.register(cmd)
	cmd.Flags().StringArrayVar(&flags.ties, "tie", nil, "what stays the same in several photos, `NAME@PHOTO=OUTLINE`, once for "+
		"each photo that\nshows it; may be given many times")
	flags.keep.register(cmd, "the photos and readings")
	return cmd
}

func runMeasure(cmd *cobra.Command, stdout io.Writer, photo string, flags *measureFlags) error {
	ctx := cmd.Context()
	sink, err := flags.keep.open(cmd, stdout, flags.json)
	if err != nil {
		return err
	}
	defer sink.close()
	req, err := flags.request(photo)
	if err != nil {
		return err
	}
	result, err := workshop.Measure(ctx, shell.Disk(ctx, ""), req)
	if err != nil {
		return err
	}
	if err := flags.writeOverlay(ctx, result.Photo, result.Calibration); err != nil {
		return err
	}
	alone := workshop.SeveralRequest{Photos: []workshop.MeasureRequest{req}}
	readings := []*workshop.MeasureResult{result}
	keep := func(k *record.Keeper, json []byte) (record.Kept, error) {
		return k.KeepMeasure(ctx, alone, readings, json)
	}
	if err := answer(sink, shell.Disk(ctx, ""), result, shell.Style(stdout, *flags.full).MeasureText, report.MeasureJSON, keep); err != nil {
		return err
	}
	return settle(flags.strict, result.Calibration.Relative)
}
