package workshop

import (
	"context"
	"fmt"
	"strings"

	"huewright/colour"
	"huewright/colour/camera"
	"huewright/imageio"
	"huewright/imageio/chart"
	"huewright/imageio/evenlight"
	"huewright/imageio/sample"
	"huewright/imageio/slip"
	"huewright/internal/fault"
	"huewright/internal/piece"
)

// A Calibration says by what a photo's colours were corrected, and how well.
type Calibration struct {
	Reference string                // chart, grey, neutral or none
	White     string                // what a raw photo is balanced by: chart, grey, neutral, slips or as-shot; else ""
	Relative  bool                  // colours hold only beside one another: no reference, nor a tie to a photo that has one
	Corners   *[4]imageio.Point     // of the chart's patch field; nil without one
	Found     bool                  // the corners were found, not given
	Card      float64               // L* that the grey card or paper was taken to have; 0 without one
	Report    camera.Report         // leave-one-out figures are there for a chart only
	Slips     []slip.Design         // printed slips that were found, by set and number
	Light     *LightReport          // nil where the light is not known
	Facts     imageio.ShootingFacts // what the camera noted
	Warnings  []fault.Note
}

// relativeOnly is the warning of a photo without reference.
const relativeOnly fault.Code = "photo.relative-only"

// unevenCard is how much a card's light may change from end to end, as a share, before it is
// worth a warning. Our own choice: 10 % of luminance is about 2.4 ΔE00.
const unevenCard = 0.10

// fitReference fits the correction of a photo to its reference.
func fitReference(ctx context.Context, files Files, photo *imageio.Photo, ref piece.Reference) (*camera.Correction, Calibration, error) {
	cal := Calibration{Reference: ref.By(), Corners: ref.Corners}
	var (
		correction *camera.Correction
		err        error
	)
	switch cal.Reference {
	case "chart":
		var seen *chart.Chart
		var opt chart.Options
		if opt, err = chartOptions(files, ref); err != nil {
			return nil, cal, err
		}
		correction, cal.Report, seen, err = chart.Fit(ctx, photo, *ref.Corners, opt)
		if err != nil {
			return nil, cal, err
		}
		cal.Warnings = seen.Warnings
	case "grey":
		var card camera.Sample
		if card, cal.Warnings, err = readCard(ctx, photo, ref); err != nil {
			return nil, cal, err
		}
		cal.Card = card.Want.L
		correction, cal.Report, err = camera.FitAs(photo.Light(), []camera.Sample{card})
	case "neutral":
		slips, _ := ref.Slips()
		var seen []evenlight.SeenSlip
		if seen, err = evenlight.ReadSlips(ctx, photo, slips); err != nil {
			return nil, cal, err
		}
		if cal.Warnings, err = evenlight.CheckGrey(ctx, photo, seen); err != nil {
			return nil, cal, err
		}
		correction, cal.Report, _, err = evenlight.FitSlips(photo, seen)
	default:
		cal.Relative = true
		cal.Warnings = []fault.Note{fault.Say(relativeOnly)}
		correction, cal.Report, err = camera.FitAs(photo.Light(), nil)
	}
	return correction, cal, err
}

// chartOptions are the values of the chart's patches, as the reference has them.
func chartOptions(files Files, ref piece.Reference) (opt chart.Options, err error) {
	opt.Edition = ref.ChartEdition()
	if ref.ChartValues != "" {
		opt.Values, err = readChartValues(files, ref.ChartValues)
	}
	return opt, err
}

// readCard reads a grey card or a sheet of paper as a surface of known lightness and no hue. Where its lightness is not said it is that of
// white paper or of a mid-grey card, by how bright it is.
func readCard(ctx context.Context, photo *imageio.Photo, ref piece.Reference) (camera.Sample, []fault.Note, error) {
	patch, err := sample.ReadPatch(ctx, photo, *ref.Grey)
	if err != nil {
		return camera.Sample{}, nil, err
	}
	var warnings []fault.Note
	doubt, err := sample.CheckGrey(ctx, photo, patch)
	if err != nil {
		return camera.Sample{}, nil, err
	}
	if !doubt.Empty() {
		warnings = append(warnings, doubt)
	}
	paper, err := sample.LooksLikePaper(ctx, photo, patch)
	if err != nil {
		return camera.Sample{}, nil, err
	}
	if ref.GreyLightness == 0 {
		kind := "card"
		if paper {
			kind = "paper"
		}
		warnings = append(warnings, fault.Say("reading.card-taken", "kind", kind, "lightness", ref.CardLightness(paper)))
	}
	if patch.Unevenness > unevenCard {
		warnings = append(warnings, fault.Say("reading.uneven-card", "share", patch.Unevenness))
	}
	return camera.Sample{Name: "card", Camera: patch.Mean, Want: colour.Lab{L: ref.CardLightness(paper)}}, warnings, nil
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

// findChart is a reference whose chart was looked for where its corners were not given. With
// "chart" it must be there; with "auto" a photo without one goes on as it is, a chart that
// cannot be used is a warning, and one of several that was not named is an error.
func findChart(ctx context.Context, files Files, photo *imageio.Photo, r piece.Reference) (ref piece.Reference, found bool,
	warnings []fault.Note, err error) {
	if !r.Searches() {
		return r, false, nil, nil
	}
	opt, err := chartOptions(files, r)
	if err != nil {
		return r, false, nil, err
	}
	seen, err := chart.Find(ctx, photo, chart.Search{At: r.ChartAt, Options: opt})
	if err == nil {
		r.Kind, r.Corners = "chart", &seen.Corners
		return r, true, nil, nil
	}
	refused := fault.Of(err)
	switch {
	case r.Kind == "chart" || r.ChartAt != nil || refused == nil, refused.Code == chart.Several, refused.Code == chart.EitherWay:
		return r, false, nil, err
	case refused.Code == chart.None:
		return r, false, nil, r.NeedsChart()
	}
	why := fault.Note{Code: refused.Code, Values: refused.Values}
	switch {
	case r.NeedsChart() != nil:
		return r, false, nil, err
	case refused.Code == chart.Another:
		return r, false, []fault.Note{why}, nil
	}
	return r, false, []fault.Note{fault.Say("chart.not-used", "why", why)}, nil
}
