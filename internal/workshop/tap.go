package workshop

import (
	"context"
	"math"

	"huewright/imageio"
	"huewright/imageio/region"
	"huewright/internal/fault"
)

// insideEdge is how far a tapped area is drawn in from its edge before it is measured, as a share of the photo's longer side: edges are
// blurred, rounded and in shadow. Our own choice.
const insideEdge = 0.004

// tapped fills in the outlines of areas that were tapped and not drawn. Areas that were drawn, the chart and printed slips are none of
// them.
func (s *calibratedPhoto) tapped(ctx context.Context, areas []AreaOutline) error {
	var cells *region.Cells
	for i := range areas {
		a := &areas[i]
		if len(a.Taps) == 0 || len(a.Outline.Points) > 0 {
			continue
		}
		for _, t := range a.Taps {
			if t.At.X < 0 || t.At.Y < 0 || t.At.X >= float64(s.photo.Width) || t.At.Y >= float64(s.photo.Height) {
				f := fault.New(fault.Use, "tap.beyond", "x", t.At.X, "y", t.At.Y, "wide", s.photo.Width, "high", s.photo.Height)
				return fault.In(f, fault.Place{File: s.photo.Path, Area: a.Name})
			}
		}
		if cells == nil {
			var err error
			if cells, err = region.Divide(ctx, s.photo); err != nil {
				return err
			}
		}
		mask, err := cells.Take(ctx, a.Taps, s.notWood(areas))
		if err != nil {
			return err
		}
		inside := math.Round(insideEdge * float64(max(s.photo.Width, s.photo.Height)))
		if a.Outline = mask.Outline(inside); len(a.Outline.Points) == 0 {
			a.Outline = mask.Outline(0) // too narrow to be drawn in
		}
	}
	return nil
}

// notWood outlines what is known not to belong to a wood that is tapped.
func (s *calibratedPhoto) notWood(areas []AreaOutline) (all []imageio.Outline) {
	for _, a := range areas {
		if len(a.Taps) == 0 {
			all = append(all, a.Outline)
		}
	}
	if c := s.calibration.Corners; c != nil {
		all = append(all, imageio.Outline{Points: c[:]})
	}
	for i := range s.slips {
		all = append(all, imageio.Outline{Points: s.slips[i].Corners[:]})
	}
	return all
}

// taken says how much of the photo was taken for a tapped area.
func (s *calibratedPhoto) taken(a *AreaOutline) fault.Note {
	pixels := imageio.CountPixels(a.Outline.Spans(s.photo.Width, s.photo.Height))
	return fault.Say("tap.taken", "area", a.Name, "share", float64(pixels)/float64(s.photo.Width*s.photo.Height))
}
