package main

import (
	"context"
	"image"
	"io"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"huewright/cmd/huewright/internal/shell"
	"huewright/imageio"
	"huewright/imageio/chart"
	"huewright/imageio/region"
	"huewright/internal/fault"
	"huewright/internal/piece"
	"huewright/internal/report"
	"huewright/internal/report/picture"
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
	areas, taps   []string
	json, strict  bool
	full, quiet   *bool
	overwrite     *bool // nil where the command has no such flag
}

// register adds the flags to a command. The word in back quotes is what help shows as the
// flag's value.
func (f *photoFlags) register(cmd *cobra.Command, answer string) {
	flags := cmd.Flags()
	flags.SortFlags = false
	f.registerAreas(cmd)
	flags.StringVar(&f.overlay, "overlay", "", "Draw the photo with a grid of pixels, its areas, and where the chart was read. "+
		"The `FILE` ends in .png or .jpg. Without areas you can read their outlines off the grid.")
	f.overwrite = shell.OverwriteFlag(cmd)
	f.registerReference(cmd, answer)
}

// registerAreas adds the flags that outline areas, or name places on them.
func (f *photoFlags) registerAreas(cmd *cobra.Command) {
	cmd.Flags().StringArrayVar(
		&f.areas, "area", nil, "An area to measure, as `NAME=OUTLINE`. An outline is \"x,y,w,h\" or \"x,y x,y x,y …\". Repeat it for more.",
	)
	cmd.Flags().StringArrayVar(&f.taps, "tap", nil, "Places on a wood, as `NAME=x,y …`. All of that wood is measured. After the word "+
		"\"not\" come places that do not belong to it.")
}

// registerReference adds the flags that tell of the photo's reference, light and scale, and how the answer is written. The answer
// is what remains of it with --quiet.
func (f *photoFlags) registerReference(cmd *cobra.Command, answer string) {
	flags := cmd.Flags()
	flags.StringVar(&f.reference, "reference", "auto", "What tells the true colours: `KIND` is auto, chart, grey, neutral or none. "+
		"Auto takes what you give, else a chart that it finds.")
	flags.StringVar(&f.corners, "corners", "", "The chart's four outer `CORNERS`, \"x,y x,y x,y x,y\". Start at the dark-brown patch, follow "+
		"its row of six to the bluish-green one, and go on round.")
	flags.StringVar(&f.chartAt, "chart-at", "", "A `POINT` on the chart to use, \"x,y\", if the photo shows several.")
	flags.StringVar(&f.edition, "chart-edition", "", "When the chart was made: `YEARS` is since-2014 or before-2014. "+
		"Default: since-2014.")
	flags.StringVar(&f.chartValues, "chart-values", "",
		"A `FILE` of values measured on your own chart, or those of another card of 24 patches. It begins with a line \"white,D50\" "+
			"(or D65, or A). Then come 24 lines of patch, L*, a*, b*.")
	flags.StringVar(&f.grey, "grey", "", "The `OUTLINE` of a grey card or a sheet of paper, \"x,y,w,h\".")
	flags.Float64Var(&f.greyLightness, "grey-lightness", 0, "The lightness `L*` of the card or paper. "+
		"Default: as it looks, 94 for white paper or 50 for a mid-grey card.")
	flags.StringArrayVar(&f.neutrals, "neutral", nil, "The `OUTLINE` of a slip of white paper, \"x,y,w,h\". If you know its lightness, write "+
		"\"50: x,y,w,h\". Repeat it: three or more even out the light.")
	flags.Float64Var(&f.neutralLight, "neutral-lightness", 0, "The lightness `L*` of slips that have none of their own. "+
		"Default: 94, white paper.")
	flags.StringVar(&f.flat, "flat", "", "A `PHOTO` of a blank sheet or wall that fills the picture, in the same light, from the same place.")
	flags.Float64Var(&f.chartWidth, "chart-width", 0, "How wide the chart's patches are along a row of six, edge to edge, in `MM`. "+
		"It gives the sizes of areas.")
	flags.StringVar(&f.length, "length", "", "A `LENGTH` that you know, \"x,y x,y=MM\". It gives the sizes of areas.")
	f.full, f.quiet = shell.FullFlag(cmd), shell.QuietFlag(cmd, answer)
	flags.BoolVar(&f.json, "json", false, "Write JSON, for other programs.")
	flags.BoolVar(&f.strict, "strict", false, strictHelp)
}

// style is how the answer is written.
func (f *photoFlags) style(stdout io.Writer) report.Style {
	s := shell.Style(stdout, *f.full)
	s.Quiet = *f.quiet
	return s
}

// strictHelp is the text of --strict.
const strictHelp = "Exit with 4 if nothing in a photo tells the true colours."

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
			return req, shell.InFlag("--chart-at", `--chart-at "820,140"`, err)
		}
		req.Reference.ChartAt = &at
	}
	if err := f.checkOverlay(photo); err != nil {
		return req, err
	}
	if f.grey != "" {
		outline, err := imageio.ParseOutline(f.grey)
		if err != nil {
			return req, shell.InFlag("--grey", `--grey "820,140,120,90"`, err)
		}
		req.Reference.Grey = &outline
	}
	if err := f.light(&req.Reference); err != nil {
		return req, err
	}
	for _, s := range f.areas {
		const like = `--area "frame=120,300,400,250"`
		name, text, err := namedPlace("--area", s, like)
		if err != nil {
			return req, err
		}
		outline, err := imageio.ParseOutline(text)
		if err != nil {
			return req, shell.InFlag("--area "+name, like+`, or three or more corners "x,y x,y x,y"`, err)
		}
		req.Areas = append(req.Areas, workshop.AreaOutline{Name: name, Outline: outline})
	}
	for _, s := range f.taps {
		const like = `--tap "frame=820,400"`
		name, text, err := namedPlace("--tap", s, like)
		if err != nil {
			return req, err
		}
		taps, err := region.ParseTaps(text)
		if err != nil {
			return req, shell.InFlag("--tap "+name, like, err)
		}
		req.Areas = append(req.Areas, workshop.AreaOutline{Name: name, Taps: taps})
	}
	return req, nil
}

// namedPlace splits "NAME=PLACE" as a flag has it.
func namedPlace(flag, text, like string) (name, place string, err error) {
	name, place, found := strings.Cut(text, "=")
	if name = strings.TrimSpace(name); name == "" || !found {
		return "", "", shell.Like(fault.New(fault.Use, "use.flag-without-name", "flag", flag, "value", text), like)
	}
	return name, place, nil
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

// checkOverlay refuses a name for the overlay before any work is done for it. The photo itself is never written over.
func (f *photoFlags) checkOverlay(photo string) error {
	if f.overlay == "" {
		return nil
	}
	switch strings.ToLower(filepath.Ext(f.overlay)) {
	case ".png", ".jpg", ".jpeg":
	default:
		return shell.Like(fault.New(fault.Use, "use.picture-ending", "file", f.overlay), "--overlay marked.png")
	}
	is, _ := os.Stat(f.overlay)
	if of, err := os.Stat(photo); err == nil && is != nil && os.SameFile(is, of) {
		return fault.New(fault.Use, "use.file-there", "file", f.overlay)
	}
	return shell.NewFile(f.overlay, f.overwrite != nil && *f.overwrite)
}

// writeOverlay draws a photo with its areas, a grid of pixels, and where a chart was read.
func (f *photoFlags) writeOverlay(ctx context.Context, req workshop.MeasureRequest, cal workshop.Calibration) error {
	if f.overlay == "" {
		return nil
	}
	p, err := shell.Disk(ctx, "").OpenPhoto(ctx, req.Photo)
	if err != nil {
		return err
	}
	shown := p.AsImage()
	if cal.Reference == "chart" {
		shown = chart.Overlay(p, *cal.Corners)
	}
	return writePicture(ctx, f.overlay, picture.Marked(shown, p.Width, req))
}

// writePicture writes a picture as PNG where the file's name ends in .png, as JPEG elsewhere.
func writePicture(ctx context.Context, path string, picture image.Image) error {
	if strings.ToLower(filepath.Ext(path)) == ".png" {
		return imageio.WritePNG(ctx, path, picture)
	}
	return imageio.WriteJPEG(ctx, path, picture, 0)
}
