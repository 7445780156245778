package main

import (
	"io"

	"github.com/spf13/cobra"

	"huewright/cmd/huewright/internal/shell"
	"huewright/internal/fault"
	"huewright/internal/record"
	"huewright/internal/report"
	"huewright/internal/workshop"
)

func newMeasure(stdout io.Writer) *cobra.Command {
	var flags measureFlags
	cmd := &cobra.Command{
		Use:   "measure PHOTO … --area NAME=OUTLINE …",
		Short: "measure colours in photos",
		Long: `Measure reads the colour of each area that you outline in a photo. It gives the colour as L* a* b*, the spread over the
grain, and a ± that says how far to trust it.

Instead of an outline you can name a place on the wood with --tap. All of the wood that hangs together with it is then
measured, and --overlay shows what was taken.

Lay a colour chart of 24 patches flat beside the wood. Huewright finds it by itself, and --overlay draws where it was
read. If huewright misses it, give its corners with --corners.

Without a chart, outline a grey card with --grey or white paper with --neutral. With neither, you can only compare areas
of the same photo. The result then says so.

Uneven light spoils colours, and no chart makes up for it. Tape three or more slips of the same paper flat round the
piece, and mark each with --neutral. Or photograph a blank sheet in the same light from the same place, and name that
photo with --flat.

You can name several photos at once. If one cannot be used, the others are still measured. Write NAME@PHOTO to outline
an area in one photo only; PHOTO is its file name without the ending. Use --tie to mark what stays the same in several
photos, such as a slip of paper or a spot of bare wood. Huewright then corrects the photos until they agree.`,
		Example: `huewright measure front.jpg --area "frame=490,200,55,360" --area "panel=991,515,125,319"
huewright measure front.jpg --overlay grid.png
huewright measure front.jpg --tap "frame=520,400" --overlay taken.png
huewright measure front.jpg --area "frame=490,200,55,360" --area "panel=991,515,125,319" --write begun.toml
huewright measure front.jpg --corners "50,199 400,190 407,423 58,432" --area "panel=991,515,125,319"
huewright measure front.jpg --grey "1240,345,45,55" --grey-lightness 95 --area "frame=490,200,55,360"`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 {
				return shell.Like(fault.New(fault.Use, "use.no-photo"), `huewright measure front.jpg --area "frame=310,220,180,640"`)
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
	flags.register(cmd, "each area, a tab, its L* a* b* ± (with several photos, the photo first)")
	flags.registerTies(cmd)
	flags.write.register(cmd, "the photos and areas", flags.overwrite)
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
	if err := flags.write.check(); err != nil {
		return err
	}
	onlyDraw := len(req.Areas) == 0 && flags.overlay != "" && flags.write.file == "" && flags.keep.piece == ""
	measure := workshop.Measure
	if onlyDraw {
		measure = workshop.Calibrate
	}
	result, err := measure(ctx, shell.Disk(ctx, ""), req)
	if err != nil {
		return err
	}
	req = result.Outlined(req)
	if err := flags.writeOverlay(ctx, req, result.Calibration); err != nil {
		return err
	}
	alone := workshop.SeveralRequest{Photos: []workshop.MeasureRequest{req}}
	readings := []*workshop.MeasureResult{result}
	keep := func(k *record.Keeper, json []byte) (record.Kept, error) {
		return k.KeepMeasure(ctx, alone, readings, json)
	}
	if err := answer(sink, shell.Disk(ctx, ""), result, flags.style(stdout).MeasureText, report.MeasureJSON, keep); err != nil {
		return err
	}
	if onlyDraw {
		err = shell.Style(sink.beside(), false).Aside(sink.beside(), fault.Say("begin.drawn", "file", flags.overlay))
	} else {
		err = flags.begin(sink, alone, result.Areas)
	}
	if err != nil {
		return err
	}
	return settle(flags.strict, result.Calibration.Relative)
}
