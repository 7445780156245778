package workshop

import (
	"context"
	"slices"

	"huewright/colour"
	"huewright/imageio"
	"huewright/imageio/region"
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

// An AreaOutline is a part of a photo with a name: its outline, or taps that are grown to all of the wood that they are on.
type AreaOutline struct {
	Name    string          `json:"name"`
	Outline imageio.Outline `json:"outline"`
	Taps    []region.Tap    `json:"taps,omitempty"`
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
	Outline      imageio.Outline // as it was given, or grown from taps
	Reading      colour.Reading
	SquareMetres float64 // of the outline on the face the scale is of; 0 when nothing tells
}

// Measure reads the colour of each area of one photo.
func Measure(ctx context.Context, files Files, req MeasureRequest) (*MeasureResult, error) {
	result, _, err := measure(ctx, files, req)
	return result, err
}

// Outlined is a request whose areas have the outlines that were measured, for what is drawn or kept of it.
func (r *MeasureResult) Outlined(req MeasureRequest) MeasureRequest {
	req.Areas = slices.Clone(req.Areas)
	for i := range r.Areas {
		req.Areas[i].Outline = r.Areas[i].Outline
	}
	return req
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
	areas := slices.Clone(req.Areas)
	if err := s.tapped(ctx, areas); err != nil {
		return nil, err
	}
	result := &MeasureResult{Photo: req.Photo, Calibration: s.calibration, Areas: make([]AreaReading, len(areas))}
	err := parallel.Each(ctx, len(areas), func(i int) error {
		area := &areas[i]
		reading, err := s.sample(ctx, area.Name, area.Outline)
		if len(area.Taps) > 0 {
			reading.Warnings = append(reading.Warnings, s.taken(area.Name, area.Outline))
		}
		result.Areas[i] = AreaReading{area.Name, area.Outline, reading, squareMetres(s.scale, area.Outline)}
		return err
	})
	if err != nil {
		return nil, err
	}
	return result, nil
}
