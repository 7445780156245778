package workshop

import (
	"context"
	"math"
	"slices"

	"huewright/colour"
	"huewright/colour/camera"
	"huewright/imageio"
	"huewright/imageio/chart"
	"huewright/imageio/sample"
	"huewright/imageio/slip"
	"huewright/internal/piece"
)

// A calibratedPhoto is an open photo with the correction, light field and scale that its reference allows. It is
// never changed once made.
type calibratedPhoto struct {
	at          int    // among the photos of its piece
	name        string // there; its path where there is no piece
	photo       *imageio.Photo
	correction  *camera.Correction
	light       imageio.Light // nil where it is not known
	scale       *chart.Scale  // nil where it is not known
	slips       []slip.Slip   // printed ones, that it shows once
	calibration Calibration
}

// calibratePhoto opens a photo, looks for a chart where none is given, and fits its correction and light field.
func calibratePhoto(ctx context.Context, files Files, path string, ref piece.Reference) (*calibratedPhoto, error) {
	if err := ref.Check(); err != nil {
		return nil, err
	}
	photo, err := files.OpenPhoto(ctx, path)
	if err != nil {
		return nil, err
	}
	ref, found, warnings, err := findChart(ctx, files, photo, ref)
	if err != nil {
		return nil, err
	}
	slips, err := slipsOf(ctx, files, path, photo, ref.SlipMarks)
	if err != nil {
		return nil, err
	}
	photo, white, doubts, err := balanceRaw(ctx, files, photo, ref, slips)
	if err != nil {
		return nil, err
	}
	correction, calibration, err := fitReference(ctx, files, photo, ref)
	if err != nil {
		return nil, err
	}
	calibration.White = white
	s := &calibratedPhoto{name: path, photo: photo, correction: correction, scale: scaleOf(ref), slips: slip.Once(slips)}
	if s.scale == nil {
		s.scale = scaleBySlips(slips)
	}
	for _, found := range s.slips {
		calibration.Slips = append(calibration.Slips, found.Design)
	}
	warnings = slices.Concat(warnings, doubts, calibration.Warnings)
	printed, numbers, err := s.slipPapers(ctx)
	if err != nil {
		return nil, err
	}
	light, err := readLight(ctx, files, photo, correction, calibration.Reference, ref, printed)
	if err != nil {
		return nil, err
	}
	if light != nil {
		if len(ref.Neutrals) == 0 {
			renumber(light.warnings, numbers)
		}
		s.light, calibration.Light = light.light, light.report
		warnings = append(warnings, light.warnings...)
	}
	calibration.Found, calibration.Facts = found, photo.Facts
	calibration.Warnings = slices.Concat(warnings, photo.Warnings, sayLight(photo))
	s.calibration = calibration
	return s, nil
}

func (s *calibratedPhoto) sample(ctx context.Context, name string, o imageio.Outline) (colour.Reading, error) {
	return sample.Read(ctx, s.photo, o, s.correction, sample.Options{Name: name, Light: s.light})
}

// scaleOf is the scale of a photo, by a marked length or else by the chart; nil without either.
func scaleOf(ref piece.Reference) *chart.Scale {
	var scale chart.Scale
	switch {
	case ref.Length != nil:
		scale = chart.ScaleByLength(ref.Length.From, ref.Length.To, ref.Length.MM)
	case ref.ChartWidth > 0 && ref.Corners != nil:
		scale = chart.ScaleByChart(*ref.Corners, ref.ChartWidth)
	default:
		return nil
	}
	return &scale
}

// squareMetres is the size of an outline; 0 where the scale is not known.
func squareMetres(scale *chart.Scale, o imageio.Outline) float64 {
	if scale == nil {
		return 0
	}
	size, ok := scale.SquareMetres(o)
	if !ok {
		return 0
	}
	return size
}

// pixelMM is how many millimetres one pixel is near a place; 0 where the scale is not known.
func pixelMM(scale *chart.Scale, at imageio.Point) float64 {
	const side = 20.0
	return 1000 * math.Sqrt(squareMetres(scale, imageio.Rect(at.X-side/2, at.Y-side/2, side, side))) / side
}
