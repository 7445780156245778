package workshop

import (
	"context"
	"fmt"
	"slices"

	"huewright/colour/camera"
	"huewright/imageio/chart"
	"huewright/imageio/slip"
	"huewright/internal/fault"
)

// SlipsNote says which printed slips a photo shows; it says nothing where there are none.
func (c *Calibration) SlipsNote() fault.Note {
	if len(c.Slips) == 0 {
		return fault.Note{}
	}
	sameSet := !slices.ContainsFunc(c.Slips, func(d slip.Design) bool { return d.Set != c.Slips[0].Set })
	var names []string
	for _, d := range c.Slips {
		name := fmt.Sprint(d.Number)
		if !sameSet {
			name = fmt.Sprintf("%d (set %d)", d.Number, d.Set)
		}
		names = append(names, name)
	}
	return fault.Say("slip.found", "slips", names, "n", len(names))
}

// scaleBySlips is the scale by the slip that is seen largest; nil where there is none.
func scaleBySlips(slips []slip.Slip) *chart.Scale {
	if len(slips) == 0 {
		return nil
	}
	largest := slices.MaxFunc(slips, func(a, b slip.Slip) int { return int(a.Pixels() - b.Pixels()) })
	scale := chart.ScaleBySquare(largest.Corners, slip.Side)
	return &scale
}

// slipTies are the tie points of the printed slips of a photo, and to which slip each belongs.
func (s *calibratedPhoto) slipTies(ctx context.Context, of map[string]slip.Design) ([]camera.TiePoint, error) {
	var all []camera.TiePoint
	for _, found := range s.slips {
		ties, err := slip.TiePoints(ctx, s.photo, []slip.Slip{found}, s.light)
		if err != nil {
			return nil, err
		}
		for _, tie := range ties {
			of[tie.Name] = found.Design
		}
		all = append(all, ties...)
	}
	return all, nil
}

// slipWarnings warn of slips that look different in a photo from what the other photos show.
//
// Note: another printing of all slips is not found out: it looks like another camera.
func slipWarnings(joint *camera.Joint, photos []camera.PhotoView, of map[string]slip.Design) (warnings []fault.Note) {
	for _, tie := range joint.Ties() {
		design, is := of[tie.Name]
		if !is {
			continue
		}
		for i, off := range tie.Off {
			if off > tieOff {
				warnings = append(warnings, fault.Say("slip.looks-different", "slip", design.Number, "photo", photos[tie.Photos[i]].Name))
			}
		}
	}
	return fault.Once(warnings)
}
