package camera

import (
	"fmt"
	"slices"

	"huewright/colour"
	"huewright/colour/sensor"
	"huewright/internal/fault"
)

// A PhotoView is what one photo of a piece shows that bears on its colours: surfaces that
// are known, and tie points. Either may be missing.
type PhotoView struct {
	Name string // for messages
	// Camera tells photos by one camera from those by another. Photos of one camera share
	// what it does to colours, but for a little; gains are each photo's own. Equal names are
	// one camera, so photos that do not say are taken to be by one.
	Camera string
	// Light is that of a raw photo; see [FitAs]. What cameras do is told of each kind of light apart.
	Light sensor.Light
	// Known are a chart's patches, cards, paper of known lightness. What has the same Name
	// and Want in two photos is taken to be one surface, off in both by the same.
	Known []Sample
	Ties  []TiePoint
}

// cameraName tells cameras apart, and for raw photos the lights that they were taken in: their matrices are each light's own.
func (p *PhotoView) cameraName() string { return fmt.Sprint(p.Camera, " ", int(p.Light)) }

// A TiePoint is something unchanged, of no known colour, as one photo shows it: a slip of
// paper, an untouched spot of wood, a handle.
type TiePoint struct {
	Name   string           // the same in every photo that shows it
	Camera colour.LinearRGB // averaged in linear light
	SD     float64          // of Camera, in units of L*, a* and b*; default and least 0.5
}

// A TieReport says how the photos agree about the colour of a tie point.
type TieReport struct {
	Name   string
	Photos []int     // that show it, by their place in what was fitted
	Off    []float64 // of each of them: ΔE00 between what it shows and the fitted colour
}

func checkTies(photos []PhotoView) error {
	for i := range photos {
		seen := map[string]bool{}
		for _, t := range photos[i].Ties {
			switch {
			case !isFinite(t.Camera):
				return fault.In(fault.New(fault.Photo, "colour.no-number", "name", t.Name), fault.Place{File: photos[i].Name})
			case seen[t.Name]:
				return fault.In(fault.New(fault.Use, "tie.twice", "name", t.Name), fault.Place{File: photos[i].Name})
			}
			seen[t.Name] = true
		}
	}
	return nil
}

// components numbers the connected components of photos that tie points link, and says in which of them something has a
// known colour.
func components(photos []PhotoView) (of []int, anchored map[int]bool) {
	of = make([]int, len(photos))
	for i := range of {
		of[i] = i
	}
	first := map[string]int{}
	for i := range photos {
		for _, t := range photos[i].Ties {
			k, seen := first[t.Name]
			if !seen {
				first[t.Name] = i
				continue
			}
			from, to := of[i], of[k]
			for n := range of {
				if of[n] == from {
					of[n] = to
				}
			}
		}
	}
	anchored = map[int]bool{}
	for i := range photos {
		if slices.ContainsFunc(photos[i].Known, func(s Sample) bool { return s.Skip.Empty() }) {
			anchored[of[i]] = true
		}
	}
	return of, anchored
}
