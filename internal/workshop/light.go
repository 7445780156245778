package workshop

import (
	"context"
	"fmt"
	"math"
	"strconv"
	"strings"

	"huewright/colour"
	"huewright/imageio"
)

// A Neutral is a slip of paper or a card without hue, marked in a photo to tell of the light.
type Neutral struct {
	Outline   imageio.Outline `json:"outline"`
	Lightness float64         `json:"lightness,omitempty"` // L*; 0 means that of all neutrals of the photo
}

// defaultNeutralLightness is that of white paper: common practice, no source.
const defaultNeutralLightness = 94

// ParseNeutral reads an outline, "x,y,w,h" or "x,y x,y x,y …", before which the slip's own
// lightness may stand: "50: x,y,w,h".
func ParseNeutral(s string) (Neutral, error) {
	fail := func(err error) error {
		return &UseError{"neutral", "neutral: " + err.Error(), "as in \"820,140,120,90\", or with its own lightness \"50: 820,140,120,90\""}
	}
	var n Neutral
	if lightness, rest, found := strings.Cut(s, ":"); found {
		v, err := strconv.ParseFloat(strings.TrimSpace(lightness), 64)
		if err != nil || !isLightness(v) {
			return n, fail(fmt.Errorf("%q is not a lightness between 5 and 100", strings.TrimSpace(lightness)))
		}
		n.Lightness, s = v, rest
	}
	outline, err := imageio.ParseOutline(strings.TrimSpace(s))
	if err != nil {
		return n, fail(err)
	}
	n.Outline = outline
	return n, nil
}

func isLightness(v float64) bool { return v >= 5 && v <= 100 }

// slips are the neutrals with their lightness, and whether that was said rather than assumed.
func (r Reference) slips() (slips []imageio.Slip, said bool) {
	said = r.NeutralLightness != 0
	for _, n := range r.Neutrals {
		lightness := n.Lightness
		if lightness == 0 {
			lightness = r.NeutralLightness
		} else {
			said = true
		}
		if lightness == 0 {
			lightness = defaultNeutralLightness
		}
		slips = append(slips, imageio.Slip{Outline: n.Outline, Lightness: lightness})
	}
	return slips, said
}

// A LightReport says what is known of the light over a photo. Shares are of luminance.
type LightReport struct {
	By       string // what it is known by: neutrals or flat
	Found    float64
	Left     float64        // what may still be uneven once Found has been evened out, one standard deviation
	Neutrals []NeutralLight // one for each neutral, in their order
}

// NeutralLight is what one neutral says of the light.
type NeutralLight struct {
	Lightness float64
	LeftOut   float64 // share by which it is lighter than the others let expect; NaN where they say nothing of it
}

// muchLeft is the unevenness that is worth a warning: 5 % of luminance is about 1.3 ΔE00.
const muchLeft = 0.05

// light finds how much light falls on each place of the photo: by a photo of a blank sheet, by
// neutrals, or not at all. With both the sheet tells the light, and the neutrals how well.
func (s *shot) readLight(ctx context.Context, files Files, ref Reference) error {
	if len(ref.Neutrals) == 0 && ref.Flat == "" {
		return nil
	}
	slips, said := ref.slips()
	seen, err := s.photo.ReadSlips(ctx, slips)
	if err != nil {
		return err
	}
	opt := imageio.LightOptions{Reference: s.referencePlace(ref), LightnessKnown: said || s.calibration.Reference == "neutral"}
	bySlips := s.photo.FitLight(seen, s.correction, opt)
	report := &LightReport{By: "neutrals"}
	for i, slip := range seen {
		report.Neutrals = append(report.Neutrals, NeutralLight{slip.Lightness, math.Expm1(bySlips.LeftOut(i))})
	}
	spanned := slipPlaces(seen)
	if opt.Reference != nil {
		spanned = append(spanned, *opt.Reference)
	}
	s.light = bySlips
	if ref.Flat != "" {
		report.By = "flat"
		flat, err := s.readFlat(ctx, files, ref.Flat, seen, opt.Reference)
		if err != nil {
			return err
		}
		s.light = flat
		spanned = []imageio.Point{{}, {X: float64(s.photo.Width), Y: float64(s.photo.Height)}}
	} else {
		s.calibration.Warnings = append(s.calibration.Warnings, bySlips.Warnings...)
	}
	report.Found, report.Left = imageio.Unevenness(s.light, spanned)
	if report.Left > muchLeft {
		s.calibration.Warnings = append(s.calibration.Warnings, fmt.Sprintf("the light may still be %.0f %% uneven, about ΔE00 %.1f in a middle tone: %s", 100*report.Left, imageio.LightRadius(colour.Lab{L: 50}, report.Left)/1.96, leftAdvice(len(seen))))
	}
	s.calibration.Light = report
	return nil
}

func leftAdvice(neutrals int) string {
	if neutrals < 4 {
		return "tape four or more slips of one paper round the piece, flat on it, and mark them all"
	}
	return "see that all slips are of one paper, flat and out of shadow, or take a photo of a blank sheet in the same light"
}

func (s *shot) readFlat(ctx context.Context, files Files, path string, seen []imageio.SeenSlip, reference *imageio.Point) (*imageio.FlatLight, error) {
	photo, err := files.OpenPhoto(ctx, path)
	if err != nil {
		return nil, err
	}
	places := slipPlaces(seen)
	switch {
	case reference != nil:
		places = []imageio.Point{*reference}
	case len(places) == 0:
		places = []imageio.Point{{X: float64(s.photo.Width) / 2, Y: float64(s.photo.Height) / 2}}
	}
	flat, err := s.photo.ReadFlat(ctx, photo, s.correction, places...)
	if err != nil {
		return nil, err
	}
	flat.Check(seen, s.correction)
	return flat, nil
}

func slipPlaces(seen []imageio.SeenSlip) []imageio.Point {
	var places []imageio.Point
	for _, slip := range seen {
		places = append(places, slip.At)
	}
	return places
}

// referencePlace is where in the photo its correction holds; nil means the mean of the
// neutrals.
func (s *shot) referencePlace(ref Reference) *imageio.Point {
	var at imageio.Point
	switch {
	case s.calibration.Reference == "chart" && ref.Corners != nil:
		at = imageio.ChartCentre(*ref.Corners)
	case s.calibration.Reference == "grey" && ref.Grey != nil:
		at = ref.Grey.Centre()
	default:
		return nil
	}
	return &at
}

func (r Reference) checkLight() error {
	const advice = "an L* between 5 and 100: about 94 for white paper, 50 for a mid-grey card"
	if v := r.NeutralLightness; v != 0 && !isLightness(v) {
		return &UseError{"neutral_lightness", fmt.Sprintf("the neutrals' lightness is %v", v), advice}
	}
	for _, n := range r.Neutrals {
		if v := n.Lightness; v != 0 && !isLightness(v) {
			return &UseError{"neutral", fmt.Sprintf("a neutral's lightness is %v", v), advice}
		}
	}
	switch kind := r.resolve(); {
	case kind == "neutral" && len(r.Neutrals) == 0:
		return &UseError{"neutral", "no neutral is marked", "outline a slip of white paper: \"x,y,w,h\""}
	case r.ChartWidth != 0 && !(r.ChartWidth >= 10 && r.ChartWidth <= 2000):
		return &UseError{"chart_width", fmt.Sprintf("the chart's width is %v mm", r.ChartWidth), "measure the patch field along its rows of six, from outer edge to outer edge, in millimetres"}
	}
	if r.Corners == nil && !r.searches() {
		if err := r.needsChart(); err != nil {
			return err
		}
	}
	return r.Length.check()
}
