package main

import (
	"io"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"huewright/cmd/huewright/internal/shell"
	"huewright/imageio"
	"huewright/internal/fault"
	"huewright/internal/piece"
	"huewright/internal/record"
	"huewright/internal/report"
	"huewright/internal/workshop"
)

// checkFlags are those of a check beside those of a photo.
type checkFlags struct {
	photo                     photoFlags
	repair, wood              string
	exclude                   []string
	distances                 []float64
	shelf                     string
	before, beforeRepair      string
	lamp, lampRepair, overlay string
	name                      string
	keep                      keepFlags
}

func newCheck(stdout io.Writer) *cobra.Command {
	var flags checkFlags
	cmd := &cobra.Command{
		Use:   "check PHOTO --repair OUTLINE\n  huewright check PIECE.toml",
		Short: "say whether a repair can be seen",
		Long: `Check says whether a filled or touched-up spot can be seen. It lays hundreds of equal patches over the wood round it.
Then it tells how many of 100 such patches stand out less than the repair does. It looks at colour, light and dark
parts, the grain and how it runs, and the edge.

The answer is one of four:

  it reads as this wood
  it differs, but too little to see
  it shows when you stand near
  it shows

If check knows the scale, it also judges the repair as seen from 0.6, 1.2 and 1.8 m. Give the scale by --chart-width or
--length.

Name a photo, or a piece file with a [[repair]] for each spot. The photo should show the same board on each side of the
repair, about three times as wide as the repair itself.`,
		Example: `huewright check front.jpg --repair "520,295 548,295 548,330 520,330" --chart-width 200
huewright check front.jpg --repair "520,295,30,35" --shelf cabinet.toml --overlay seen.png
huewright check cabinet.toml`,
		Args: shell.Exactly(1, "one: the photo", "corner.jpg --repair \"820,640,90,80\""),
		RunE: func(cmd *cobra.Command, args []string) error {
			if strings.EqualFold(filepath.Ext(args[0]), ".toml") {
				return runCheckPiece(cmd, stdout, args[0], &flags)
			}
			return runCheck(cmd, stdout, args[0], &flags)
		},
	}
	f := cmd.Flags()
	f.SortFlags = false
	f.StringVar(&flags.repair, "repair", "", "The `OUTLINE` of the repair: \"x,y,w,h\" or \"x,y x,y x,y …\".")
	f.StringVar(&flags.wood, "wood", "", "The `OUTLINE` of the wood to compare with. Default: the wood round the repair.")
	f.StringArrayVar(&flags.exclude, "exclude", nil, "The `OUTLINE` of something to leave out: another repair, a fitting. "+
		"Repeat it for more.")
	f.Float64SliceVar(&flags.distances, "from", nil, "Judge the repair as seen from so many `METRES` too, as in 2.5. Repeat it for more.")
	f.StringVar(&flags.shelf, "shelf", "", "A piece file, as `PIECE.toml`. Its coatings may be used to touch up.")
	f.StringVar(&flags.before, "before", "", "A `PHOTO` of the same repair as it was. Needs --before-repair.")
	f.StringVar(&flags.beforeRepair, "before-repair", "", "The `OUTLINE` of the repair in that photo.")
	f.StringVar(&flags.lamp, "lamp", "", "A `PHOTO` of the same repair in another light, to see whether it shows there. "+
		"Needs --lamp-repair.")
	f.StringVar(&flags.lampRepair, "lamp-repair", "", "The `OUTLINE` of the repair in that photo.")
	f.StringVar(&flags.overlay, "overlay", "", "Draw what was compared with what, to a new .png or .jpg `FILE`.")
	f.StringVar(&flags.name, "name", "repair", "The `NAME` of the repair in the log. Needs --piece.")
	flags.photo.registerReference(cmd, "the verdict; with a piece file, each repair and a tab before it")
	flags.keep.register(cmd, "what was found and its photos")
	return cmd
}

func runCheck(cmd *cobra.Command, stdout io.Writer, photo string, flags *checkFlags) error {
	ctx := cmd.Context()
	sink, err := flags.keep.open(cmd, stdout, flags.photo.json)
	if err != nil {
		return err
	}
	defer sink.close()
	req, err := flags.request(photo)
	if err != nil {
		return err
	}
	flags.photo.overlay = flags.overlay
	if err := flags.photo.checkOverlay(photo); err != nil {
		return err
	}
	if flags.shelf != "" {
		if req.Shelf, err = workshop.ReadPiece(shell.Disk(ctx, ""), flags.shelf); err != nil {
			return err
		}
		req.ShelfFiles = shell.Disk(ctx, filepath.Dir(flags.shelf))
	}
	result, err := workshop.Check(ctx, shell.Disk(ctx, ""), req)
	if err != nil {
		return err
	}
	if flags.overlay != "" {
		picture, err := workshop.CheckOverlay(ctx, shell.Disk(ctx, ""), req)
		if err != nil {
			return err
		}
		if err := writePicture(ctx, flags.overlay, picture); err != nil {
			return err
		}
	}
	keep := func(k *record.Keeper, json []byte) (record.Kept, error) {
		return k.KeepCheck(ctx, flags.name, req, result, json)
	}
	if err := answer(sink, shell.Disk(ctx, ""), result, flags.photo.style(stdout).CheckText, report.CheckJSON, keep); err != nil {
		return err
	}
	return settle(flags.photo.strict, result.Calibration.Relative)
}

// runCheckPiece judges the repairs that a piece file names.
func runCheckPiece(cmd *cobra.Command, stdout io.Writer, path string, flags *checkFlags) error {
	ctx := cmd.Context()
	sink, err := flags.keep.open(cmd, stdout, flags.photo.json)
	if err != nil {
		return err
	}
	defer sink.close()
	if flags.repair != "" || flags.overlay != "" {
		return fault.New(fault.Use, "use.repair-with-piece-file")
	}
	p, err := workshop.ReadPiece(shell.Disk(ctx, ""), path)
	if err != nil {
		return err
	}
	files := shell.Disk(ctx, filepath.Dir(path))
	all, err := workshop.CheckPiece(ctx, files, p)
	if err != nil {
		return err
	}
	style := flags.photo.style(stdout).Of(p)
	if err := shell.PrintResult(stdout, flags.photo.json, all, style.CheckPieceText, report.CheckPieceJSON); err != nil {
		return err
	}
	relative, failed := false, false
	for _, r := range all {
		if r.Err != nil {
			failed = true
			continue
		}
		relative = relative || r.Result.Calibration.Relative
		err := keepResult(sink, files, r.Result, report.CheckJSON, func(k *record.Keeper, json []byte) (record.Kept, error) {
			return k.KeepCheck(ctx, r.Name, r.Request, r.Result, json)
		})
		if err != nil {
			return err
		}
	}
	if failed {
		return errSomePhotos
	}
	return settle(flags.photo.strict, relative)
}

// request turns the flags into what workshop is asked.
func (f *checkFlags) request(photo string) (req workshop.CheckRequest, err error) {
	base, err := f.photo.request(photo)
	if err != nil {
		return req, err
	}
	req.Photo, req.Reference = photo, base.Reference
	if f.repair == "" {
		return req, shell.Like(fault.New(fault.Use, "use.no-repair"), `--repair "820,640,90,80", or its corners "x,y x,y x,y …"`)
	}
	if req.Repair, err = outlineFlag("--repair", f.repair); err != nil {
		return req, err
	}
	if f.wood != "" {
		wood, err := outlineFlag("--wood", f.wood)
		if err != nil {
			return req, err
		}
		req.Wood = &wood
	}
	for _, s := range f.exclude {
		o, err := outlineFlag("--exclude", s)
		if err != nil {
			return req, err
		}
		req.Exclude = append(req.Exclude, o)
	}
	for _, m := range f.distances {
		if !(m >= 0.1 && m <= 100) {
			return req, fault.New(fault.Use, "use.distance", "value", m)
		}
		req.Distances = append(req.Distances, 1000*m)
	}
	if req.Before, err = f.view("--before", f.before, f.beforeRepair, base.Reference.Kind); err != nil {
		return req, err
	}
	req.Lamp, err = f.view("--lamp", f.lamp, f.lampRepair, base.Reference.Kind)
	return req, err
}

// view is the same repair in another photo.
func (f *checkFlags) view(flag, photo, outline, kind string) (*workshop.RepairView, error) {
	if photo == "" && outline == "" {
		return nil, nil
	}
	if photo == "" || outline == "" {
		return nil, shell.Like(fault.New(fault.Use, "use.view-pair", "flag", flag), flag+" old.jpg "+flag+`-repair "790,610,92,84"`)
	}
	o, err := outlineFlag(flag+"-repair", outline)
	if err != nil {
		return nil, err
	}
	if kind != "none" {
		kind = "" // what was given of the first photo has no place in another
	}
	return &workshop.RepairView{Photo: photo, Reference: piece.Reference{Kind: kind}, Repair: o}, nil
}

func outlineFlag(flag, s string) (imageio.Outline, error) {
	o, err := imageio.ParseOutline(s)
	if err != nil {
		return o, shell.InFlag(flag, flag+` "820,640,90,80", or three or more corners "x,y x,y x,y"`, err)
	}
	return o, nil
}
