package main

import (
	"strings"

	"github.com/spf13/cobra"

	"huewright/imageio"
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
	areas         []string
	json, strict  bool
}

func (f *photoFlags) register(cmd *cobra.Command) {
	flags := cmd.Flags()
	flags.StringVar(&f.reference, "reference", "auto", "what in the photo has known colours: auto, chart, grey or none;\nauto uses what is given, otherwise a chart if one is found,\notherwise none")
	flags.StringVar(&f.corners, "corners", "", "four outer corners of the chart's patch field, \"x,y x,y x,y x,y\", beginning at the\ndark-brown patch, along its row of six to the bluish-green one, then round")
	flags.StringVar(&f.chartAt, "chart-at", "", "where several charts are in the photo: a point on the one to use, \"x,y\"")
	flags.StringVar(&f.overlay, "overlay", "", "write a picture of the photo that shows where the chart was read, to a new .png or .jpg file")
	flags.StringVar(&f.edition, "chart-edition", "", "published values of the chart: since-2014 (default) or before-2014")
	flags.StringVar(&f.grey, "grey", "", "outline of a grey card or a sheet of paper, \"x,y,w,h\"")
	flags.Float64Var(&f.greyLightness, "grey-lightness", 50, "its L*: about 50 for a mid-grey card, about 94 for white paper")
	flags.StringArrayVar(&f.areas, "area", nil, "an area to measure, \"NAME=x,y,w,h\" or \"NAME=x,y x,y x,y …\"; may be given many times")
	flags.BoolVar(&f.json, "json", false, "write JSON")
	flags.BoolVar(&f.strict, "strict", false, "exit with 4 when the figures are relative only")
}

// request turns the flags into what workshop is asked.
func (f *photoFlags) request(photo string) (workshop.MeasureRequest, error) {
	req := workshop.MeasureRequest{Photo: photo, Reference: workshop.Reference{
		Kind: f.reference, Edition: f.edition, GreyLightness: f.greyLightness,
	}}
	if f.corners != "" {
		corners, err := workshop.ParseCorners(f.corners)
		if err != nil {
			return req, err
		}
		req.Reference.Corners = &corners
	}
	if f.chartAt != "" {
		at, err := workshop.ParsePoint(f.chartAt)
		if err != nil {
			return req, wrongUse("as in --chart-at \"820,140\", in pixels of the upright photo", "--chart-at: %w", err)
		}
		req.Reference.ChartAt = &at
	}
	if err := f.checkOverlay(); err != nil {
		return req, err
	}
	if f.grey != "" {
		outline, err := imageio.ParseOutline(f.grey)
		if err != nil {
			return req, wrongUse("as in --grey \"820,140,120,90\", in pixels of the upright photo", "--grey: %w", err)
		}
		req.Reference.Grey = &outline
	}
	for _, s := range f.areas {
		name, outline, found := strings.Cut(s, "=")
		if !found || strings.TrimSpace(name) == "" {
			return req, wrongUse("as in --area \"frame=120,300,400,250\"", "--area %q has no name", s)
		}
		parsed, err := imageio.ParseOutline(outline)
		if err != nil {
			return req, wrongUse("as in --area \"frame=120,300,400,250\", or three or more corners \"x,y x,y x,y\"", "--area %s: %w", name, err)
		}
		req.Areas = append(req.Areas, workshop.AreaOutline{Name: strings.TrimSpace(name), Outline: parsed})
	}
	return req, nil
}

// settle is the command's end: an error when the figures are relative and that is not
// good enough.
func (f *photoFlags) settle(relative bool) error {
	if f.strict && relative {
		return errRelative
	}
	return nil
}
