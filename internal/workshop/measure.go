package workshop

import (
	"context"

	"huewright/colour"
	"huewright/imageio"
	"huewright/internal/fault"
	"huewright/internal/parallel"
	"huewright/internal/piece"
)

// A MeasureRequest asks for the colours of areas in one photo.
type MeasureRequest struct {
	Photo     string          `json:"photo"`
	Reference piece.Reference `json:"reference"`
	Areas     []AreaOutline   `json:"areas"`
}

// An AreaOutline is a part of a photo with a name.
type AreaOutline struct {
	Name    string          `json:"name"`
	Outline imageio.Outline `json:"outline"`
}

// A MeasureResult is what one photo says of its areas.
type MeasureResult struct {
	Photo       string
	Calibration Calibration
	Areas       []AreaReading
}

// An AreaReading is the colour of one area.
type AreaReading struct {
	Name         string
	Reading      colour.Reading
	SquareMetres float64 // of the outline on the face the scale is of; 0 when nothing tells
}

// Measure reads the colour of each area of one photo.
func Measure(ctx context.Context, files Files, req MeasureRequest) (*MeasureResult, error) {
	result, _, err := measure(ctx, files, req)
	return result, err
}

// Calibrate is Measure without its areas.
func Calibrate(ctx context.Context, files Files, req MeasureRequest) (*MeasureResult, error) {
	s, err := calibratePhoto(ctx, files, req.Photo, req.Reference)
	if err != nil {
		return nil, err
	}
	return &MeasureResult{Photo: req.Photo, Calibration: s.calibration}, nil
}

func measure(ctx context.Context, files Files, req MeasureRequest) (*MeasureResult, *calibratedPhoto, error) {
	if len(req.Areas) == 0 {
		return nil, nil, fault.New(fault.Use, "piece.nothing-to-measure")
	}
	if most := limitsOf(files).Areas; len(req.Areas) > most {
		return nil, nil, fault.New(fault.Use, "piece.too-many-areas", "n", len(req.Areas), "most", most)
	}
	s, err := calibratePhoto(ctx, files, req.Photo, req.Reference)
	if err != nil {
		return nil, nil, err
	}
	result, err := s.read(ctx, req)
	return result, s, err
}

// read reads the areas asked for.
func (s *calibratedPhoto) read(ctx context.Context, req MeasureRequest) (*MeasureResult, error) {
	result := &MeasureResult{Photo: req.Photo, Calibration: s.calibration, Areas: make([]AreaReading, len(req.Areas))}
	err := parallel.Each(ctx, len(req.Areas), func(i int) error {
		area := req.Areas[i]
		reading, err := s.sample(ctx, area.Name, area.Outline)
		result.Areas[i] = AreaReading{area.Name, reading, squareMetres(s.scale, area.Outline)}
		return err
	})
	if err != nil {
		return nil, err
	}
	return result, nil
}
