package workshop

import (
	"context"
	"fmt"
	"strings"

	"huewright/colour"
	"huewright/imageio"
)

// A Calibration is what the reference taught about a photo's colours, and how well.
type Calibration struct {
	Reference string                // chart, grey, neutral or none
	Relative  bool                  // colours hold only beside one another: no reference, nor a tie to a photo that has one
	Corners   *[4]imageio.Point     // of the chart's patch field; nil without one
	Found     bool                  // the corners were found, not given
	Report    colour.FitReport      // leave-one-out figures are there for a chart only
	Light     *LightReport          // nil when nothing tells of the light
	Facts     imageio.ShootingFacts // what the camera noted
	Warnings  []string
}

const relativeOnly = "no reference in the photo: colours are relative only, good for comparing areas within it; put a colour chart, a grey card or a slip of white paper beside the wood"

// unevenCard is how much a card's light may change from end to end, as a share, before it is
// worth a warning. Our own choice: 10 % of luminance is about 2.4 ΔE00.
const unevenCard = 0.10

// calibrate fits the correction of a photo to its reference.
func calibrate(ctx context.Context, files Files, photo *imageio.Photo, ref Reference) (*colour.Correction, Calibration, error) {
	cal := Calibration{Reference: ref.By(), Corners: ref.Corners}
	var (
		correction *colour.Correction
		err        error
	)
	switch cal.Reference {
	case "chart":
		var chart *imageio.Chart
		opt := imageio.ChartOptions{Edition: ref.ChartEdition()}
		if ref.ChartValues != "" {
			if opt.Values, err = readChartValues(files, ref.ChartValues); err != nil {
				return nil, cal, err
			}
		}
		correction, cal.Report, chart, err = photo.FitChart(ctx, *ref.Corners, opt)
		if err != nil {
			return nil, cal, err
		}
		cal.Warnings = chart.Warnings
	case "grey":
		var card colour.Sample
		if card, cal.Warnings, err = readCard(ctx, photo, ref); err != nil {
			return nil, cal, err
		}
		correction, cal.Report, err = colour.FitCamera([]colour.Sample{card})
	case "neutral":
		slips, _ := ref.Slips()
		var seen []imageio.SeenSlip
		if seen, err = photo.ReadSlips(ctx, slips); err != nil {
			return nil, cal, err
		}
		correction, cal.Report, _, err = photo.FitSlips(seen)
	default:
		cal.Relative = true
		cal.Warnings = []string{relativeOnly}
		correction, cal.Report, err = colour.FitCamera(nil)
	}
	return correction, cal, err
}

// readCard reads a grey card or a sheet of paper as a surface of known lightness and no hue.
func readCard(ctx context.Context, photo *imageio.Photo, ref Reference) (colour.Sample, []string, error) {
	patch, err := photo.ReadPatch(ctx, *ref.Grey)
	if err != nil {
		return colour.Sample{}, nil, err
	}
	var warnings []string
	if patch.Unevenness > unevenCard {
		warnings = append(warnings, fmt.Sprintf("the light changes by %.0f %% across the card: lay it flat, out of shadow, in the same light as the wood", 100*patch.Unevenness))
	}
	return colour.Sample{Name: "card", Camera: patch.Mean, Want: colour.Lab{L: ref.CardLightness()}}, warnings, nil
}

// Place is the chart's corners as they are given; "" without a chart.
func (c *Calibration) Place() string {
	if c.Corners == nil {
		return ""
	}
	var words []string
	for _, at := range c.Corners {
		words = append(words, fmt.Sprintf("%.1f,%.1f", at.X, at.Y))
	}
	return strings.Join(words, " ")
}
