package main

import (
	"context"
	"image"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"huewright/cmd/huewright/internal/shell"
	"huewright/imageio"
	"huewright/imageio/chart"
	"huewright/internal/piece"
	"huewright/internal/workshop"
)

// photoFlags are those of every command that reads one photo.
type photoFlags struct {
	reference     string
	corners       string
	chartAt       string
	overlay       string
	edition       string
	grey          string
	greyLightness float64
	chartValues   string
	neutrals      []string
	neutralLight  float64
	flat          string
	chartWidth    float64
	length        string
	areas         []string
	json, strict  bool
	full          *bool
}

// register adds the flags to a command. The word in back quotes is what help shows as the
// flag's value.
func (f *photoFlags) register(cmd *cobra.Command) {
	flags := cmd.Flags()
	flags.SortFlags = false
	flags.StringArrayVar(
		&f.areas, "area", nil, "an area to measure, `NAME=OUTLINE`: \"NAME=x,y,w,h\" or \"NAME=x,y x,y x,y …\";\nmay be given many times",
	)
	flags.StringVar(&f.overlay, "overlay", "", "write a picture that shows where the chart was read, to a new .png or .jpg `FILE`")
	f.registerReference(cmd)
}

// registerReference adds the flags that tell of the photo's reference, light and scale.
func (f *photoFlags) registerReference(cmd *cobra.Command) {
	flags := cmd.Flags()
	flags.StringVar(&f.reference, "reference", "auto", "what in the photo has known colours, its `KIND`: auto, chart, grey, "+
		"neutral or none;\nauto uses what is given, otherwise a chart if one is found, otherwise none")
	flags.StringVar(&f.corners, "corners", "", "four outer `CORNERS` of the chart's patch field, \"x,y x,y x,y x,y\", beginning at "+
		"the\ndark-brown patch, along its row of six to the bluish-green one, then round")
	flags.StringVar(&f.chartAt, "chart-at", "", "where several charts are in the photo: a `POINT` on the one to use, \"x,y\"")
	flags.StringVar(&f.edition, "chart-edition", "", "`YEARS` of the chart's published values: since-2014 (default) or before-2014")
	flags.StringVar(&f.chartValues, "chart-values", "", "`FILE` of values measured on this very chart: a line \"white,D50\" (or "+
		"D65, A), then\n24 lines of patch name or number, L*, a*, b*")
	flags.StringVar(&f.grey, "grey", "", "`OUTLINE` of a grey card or a sheet of paper, \"x,y,w,h\"")
	flags.Float64Var(&f.greyLightness, "grey-lightness", 50, "its `L*`: about 50 for a mid-grey card, about 94 for white paper")
	flags.StringArrayVar(&f.neutrals, "neutral", nil, "`OUTLINE` of a slip of white paper or another surface without hue, \"x,y,w,h\", "+
		"or with\nits own lightness \"50: x,y,w,h\"; three or more round the piece let uneven light be\nevened; may be given many times")
	flags.Float64Var(&f.neutralLight, "neutral-lightness", 0, "`L*` of the neutrals that have none of their own (default 94, white "+
		"paper; beside a\nchart or a card it need not be known)")
	flags.StringVar(&f.flat, "flat", "", "`PHOTO` of a blank sheet or wall that fills the picture, under the same light, from\nthe same place")
	flags.Float64Var(&f.chartWidth, "chart-width", 0, "width in `MM` of the chart's patch field along its rows of six, outer edge "+
		"to outer\nedge: gives the areas' sizes")
	flags.StringVar(&f.length, "length", "", "a known `LENGTH` in the photo, \"x,y x,y=MM\": gives the areas' sizes")
	f.full = shell.FullFlag(cmd)
	flags.BoolVar(&f.json, "json", false, "write JSON")
	flags.BoolVar(&f.strict, "strict", false, "exit with 4 when the figures are relative only")
}

// request turns the flags into what workshop is asked.
func (f *photoFlags) request(photo string) (workshop.MeasureRequest, error) {
	req := workshop.MeasureRequest{Photo: photo, Reference: piece.Reference{
		Kind: f.reference, Edition: f.edition, GreyLightness: f.greyLightness,
	}}
	if f.corners != "" {
		corners, err := piece.ParseCorners(f.corners)
		if err != nil {
			return req, err
		}
		req.Reference.Corners = &corners
	}
	if f.chartAt != "" {
		at, err := piece.ParsePoint(f.chartAt)
		if err != nil {
			return req, shell.WrongUse("as in --chart-at \"820,140\", in pixels of the upright photo", "--chart-at: %w", err)
		}
		req.Reference.ChartAt = &at
	}
	if err := f.checkOverlay(); err != nil {
		return req, err
	}
	if f.grey != "" {
		outline, err := imageio.ParseOutline(f.grey)
		if err != nil {
			return req, shell.WrongUse("as in --grey \"820,140,120,90\", in pixels of the upright photo", "--grey: %w", err)
		}
		req.Reference.Grey = &outline
	}
	if err := f.light(&req.Reference); err != nil {
		return req, err
	}
	for _, s := range f.areas {
		name, outline, found := strings.Cut(s, "=")
		if !found || strings.TrimSpace(name) == "" {
			return req, shell.WrongUse("as in --area \"frame=120,300,400,250\"", "--area %q has no name", s)
		}
		parsed, err := imageio.ParseOutline(outline)
		if err != nil {
			return req, shell.WrongUse("as in --area \"frame=120,300,400,250\", or three or more corners \"x,y x,y x,y\"",
				"--area %s: %w", name, err)
		}
		req.Areas = append(req.Areas, workshop.AreaOutline{Name: strings.TrimSpace(name), Outline: parsed})
	}
	return req, nil
}

// light reads the flags that tell of the light and of the scale.
func (f *photoFlags) light(ref *piece.Reference) error {
	ref.ChartValues, ref.NeutralLightness, ref.Flat, ref.ChartWidth = f.chartValues, f.neutralLight, f.flat, f.chartWidth
	for _, s := range f.neutrals {
		n, err := piece.ParseNeutral(s)
		if err != nil {
			return err
		}
		ref.Neutrals = append(ref.Neutrals, n)
	}
	if f.length != "" {
		length, err := piece.ParseLength(f.length)
		if err != nil {
			return err
		}
		ref.Length = &length
	}
	return nil
}

// checkOverlay refuses a name for the overlay before any work is done for it. A file that is
// there already may be a photo, so it is never written over.
func (f *photoFlags) checkOverlay() error {
	if f.overlay == "" {
		return nil
	}
	switch strings.ToLower(filepath.Ext(f.overlay)) {
	case ".png", ".jpg", ".jpeg":
	default:
		return shell.WrongUse("as in --overlay chart.png", "--overlay %s: its name ends neither in .png nor in .jpg", f.overlay)
	}
	if _, err := os.Lstat(f.overlay); err == nil {
		return shell.WrongUse("name a file that is not there yet", "--overlay %s: there is such a file already", f.overlay)
	}
	return nil
}

// writeOverlay draws where the chart was read.
func (f *photoFlags) writeOverlay(ctx context.Context, photo string, cal workshop.Calibration) error {
	if f.overlay == "" {
		return nil
	}
	if cal.Reference != "chart" {
		return shell.WrongUse("leave --overlay out, or give the chart's corners", "--overlay: no chart was read in this photo")
	}
	p, err := imageio.Open(ctx, photo)
	if err != nil {
		return err
	}
	return writePicture(ctx, f.overlay, chart.Overlay(p, *cal.Corners))
}

// writePicture writes a picture as PNG where the file's name ends in .png, as JPEG elsewhere.
func writePicture(ctx context.Context, path string, picture image.Image) error {
	if strings.ToLower(filepath.Ext(path)) == ".png" {
		return imageio.WritePNG(ctx, path, picture)
	}
	return imageio.WriteJPEG(ctx, path, picture, 0)
}
