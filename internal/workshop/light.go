package workshop

import (
	"context"
	"math"

	"huewright/colour"
	"huewright/colour/camera"
	"huewright/imageio"
	"huewright/imageio/chart"
	"huewright/imageio/evenlight"
	"huewright/imageio/sample"
	"huewright/internal/fault"
	"huewright/internal/piece"
)

// A LightReport is the unevenness of the light over a photo. Shares are of luminance.
type LightReport struct {
	By       string // what it is known by: neutrals or flat
	Found    float64
	Left     float64        // what may still be uneven once Found has been evened out, one standard deviation
	Neutrals []NeutralLight // one for each neutral, in their order
}

// NeutralLight is the residual of one neutral.
type NeutralLight struct {
	Lightness float64
	LeftOut   float64 // share by which it is lighter than the others let expect; NaN where they do not determine it
}

// muchLeft is the unevenness that is worth a warning: 5 % of luminance is about 1.3 ΔE00.
const muchLeft = 0.05

// A lightReading is how much light falls on each place of a photo.
type lightReading struct {
	light    imageio.Light
	report   *LightReport
	warnings []fault.Note
}

// readLight fits the light field of a photo: by a photo of a blank sheet, by neutrals, or not at all (nil). With
// both the sheet gives the field, and the neutrals its error. The paper of printed slips takes the neutrals' place where none are given.
func readLight(
	ctx context.Context, files Files, photo *imageio.Photo, correction *camera.Correction, by string, ref piece.Reference,
	printed []evenlight.Slip,
) (*lightReading, error) {
	slips, said := ref.Slips()
	if len(ref.Neutrals) == 0 {
		slips, said = printed, false
	}
	if len(slips) == 0 && ref.Flat == "" {
		return nil, nil
	}
	seen, err := evenlight.ReadSlips(ctx, photo, slips)
	if err != nil {
		return nil, err
	}
	var doubts []fault.Note
	if len(ref.Neutrals) > 0 && by != "neutral" {
		if doubts, err = evenlight.CheckGrey(ctx, photo, seen); err != nil {
			return nil, err
		}
	}
	opt := evenlight.LightOptions{Reference: referencePlace(by, ref), LightnessKnown: said || by == "neutral"}
	bySlips := evenlight.FitLight(photo, seen, correction, opt)
	r := &lightReading{light: bySlips, report: &LightReport{By: "neutrals"}, warnings: doubts}
	for i, slip := range seen {
		r.report.Neutrals = append(r.report.Neutrals, NeutralLight{slip.Lightness, math.Expm1(bySlips.LeftOut(i))})
	}
	spanned := slipPlaces(seen)
	if opt.Reference != nil {
		spanned = append(spanned, *opt.Reference)
	}
	if ref.Flat != "" {
		r.report.By = "flat"
		if r.light, err = readFlat(ctx, files, ref.Flat, photo, correction, seen, opt.Reference); err != nil {
			return nil, err
		}
		spanned = []imageio.Point{{}, {X: float64(photo.Width), Y: float64(photo.Height)}}
	} else {
		r.warnings = append(r.warnings, bySlips.Warnings...)
	}
	r.report.Found, r.report.Left = evenlight.Unevenness(r.light, spanned)
	if left := r.report.Left; left > muchLeft {
		r.warnings = append(r.warnings, unevenLight(left, len(seen)))
	}
	return r, nil
}

// unevenLight is the warning of what may still be uneven, with the most that can be done about it.
func unevenLight(left float64, slips int) fault.Note {
	delta := sample.LightRadius(colour.Lab{L: 50}, left) / 1.96 // in a middle tone
	if slips < 4 {
		return fault.Say("reading.uneven-light-few-slips", "share", left, "delta", delta)
	}
	return fault.Say("reading.uneven-light", "share", left, "delta", delta)
}

func readFlat(
	ctx context.Context, files Files, path string, of *imageio.Photo, c *camera.Correction, seen []evenlight.SeenSlip, ref *imageio.Point,
) (*evenlight.FlatField, error) {
	photo, err := files.OpenPhoto(ctx, path)
	if err != nil {
		return nil, err
	}
	places := slipPlaces(seen)
	switch {
	case ref != nil:
		places = []imageio.Point{*ref}
	case len(places) == 0:
		places = []imageio.Point{{X: float64(of.Width) / 2, Y: float64(of.Height) / 2}}
	}
	flat, err := evenlight.ReadFlatField(ctx, of, photo, c, places...)
	if err != nil {
		return nil, err
	}
	flat.Check(seen, c)
	return flat, nil
}

func slipPlaces(seen []evenlight.SeenSlip) []imageio.Point {
	var places []imageio.Point
	for _, slip := range seen {
		places = append(places, slip.At)
	}
	return places
}

// referencePlace is where in the photo a correction by a kind of reference holds; nil means the mean
// of the neutrals.
func referencePlace(by string, ref piece.Reference) *imageio.Point {
	var at imageio.Point
	switch {
	case by == "chart" && ref.Corners != nil:
		at = chart.Centre(*ref.Corners)
	case by == "grey" && ref.Grey != nil:
		at = ref.Grey.Centre()
	default:
		return nil
	}
	return &at
}
