package workshop

import (
	"context"
	"slices"

	"huewright/colour"
	"huewright/colour/camera"
	"huewright/imageio"
	"huewright/imageio/chart"
	"huewright/imageio/sample"
	"huewright/internal/piece"
)

// A calibratedPhoto is a photo whose colours have been corrected as far as its reference allows. It is never
// changed once it is made.
type calibratedPhoto struct {
	at          int    // among the photos of its piece
	name        string // there; its path where there is no piece
	photo       *imageio.Photo
	correction  *camera.Correction
	light       imageio.Light // nil when nothing tells of it
	scale       *chart.Scale  // nil when nothing tells
	calibration Calibration
}

// calibratePhoto opens a photo and fits its correction.
func calibratePhoto(ctx context.Context, files Files, path string, ref piece.Reference) (*calibratedPhoto, error) {
	if err := ref.Check(); err != nil {
		return nil, err
	}
	photo, err := files.OpenPhoto(ctx, path)
	if err != nil {
		return nil, err
	}
	ref, found, warnings, err := findChart(ctx, photo, ref)
	if err != nil {
		return nil, err
	}
	correction, calibration, err := fitReference(ctx, files, photo, ref)
	if err != nil {
		return nil, err
	}
	s := &calibratedPhoto{name: path, photo: photo, correction: correction, scale: scaleOf(ref)}
	warnings = slices.Concat(warnings, calibration.Warnings)
	light, err := readLight(ctx, files, photo, correction, calibration.Reference, ref)
	if err != nil {
		return nil, err
	}
	if light != nil {
		s.light, calibration.Light = light.light, light.report
		warnings = append(warnings, light.warnings...)
	}
	calibration.Found, calibration.Facts = found, photo.Facts
	calibration.Warnings = append(warnings, photo.Warnings...)
	s.calibration = calibration
	return s, nil
}

func (s *calibratedPhoto) sample(ctx context.Context, name string, o imageio.Outline) (colour.Reading, error) {
	return sample.Read(ctx, s.photo, o, s.correction, sample.Options{Name: name, Light: s.light})
}
