package workshop

import (
	"context"
	"maps"
	"math"
	"slices"

	"huewright/colour"
	"huewright/colour/camera"
	"huewright/imageio"
	"huewright/imageio/sample"
	"huewright/imageio/slip"
	"huewright/internal/fault"
	"huewright/internal/piece"
)

// An Agreement is the uncertainty of a colour difference between two photos of a piece.
type Agreement struct {
	Photos    [2]string
	Tied      bool    // by a tie, a chain of them, or a reference in each
	PlusMinus float64 // of the difference of one mid-brown wood seen in both: 95 % radius, ΔE00
}

// midWood is the colour that Agreement.PlusMinus is stated for, between the woods of the trade.
var midWood = colour.Lab{L: 60, A: 10, B: 22}

// tieOff is the residual of a tie point, in ΔE00, above which a photo is warned of. Our own choice.
const tieOff = 2.0

// viewsOf are the known colours and tie points that each photo shows, as the joint fit takes them: those that are given, and those of
// printed slips, with the slip that each of these belongs to.
func viewsOf(ctx context.Context, photos []*calibratedPhoto, ties []piece.Tie) ([]camera.PhotoView, map[string]slip.Design, error) {
	views := make([]camera.PhotoView, len(photos))
	at := map[string]int{}
	for i, s := range photos {
		facts := s.photo.Facts
		views[i] = camera.PhotoView{Name: s.name, Camera: facts.Make + " " + facts.Model, Light: s.photo.Light(), Known: s.correction.Samples()}
		at[s.name] = i
	}
	for _, tie := range ties {
		for _, name := range slices.Sorted(maps.Keys(tie.In)) {
			i, there := at[name]
			if !there {
				continue
			}
			seen, err := photos[i].tie(ctx, tie.Name, tie.In[name])
			if err != nil {
				return nil, nil, fault.In(err, fault.Place{File: name, Area: tie.Name})
			}
			views[i].Ties = append(views[i].Ties, seen)
		}
	}
	bySlips := map[string]slip.Design{}
	for i, s := range photos {
		seen, err := s.slipTies(ctx, bySlips)
		if err != nil {
			return nil, nil, err
		}
		views[i].Ties = append(views[i].Ties, seen...)
	}
	return views, bySlips, nil
}

func (s *calibratedPhoto) tie(ctx context.Context, name, outline string) (camera.TiePoint, error) {
	parsed, err := imageio.ParseOutline(outline)
	if err != nil {
		return camera.TiePoint{}, err
	}
	patch, err := sample.ReadPatch(ctx, s.photo, parsed)
	if s.light != nil {
		// The light is known in luminance and taken out of what was recorded: the tone bend
		// between the two changes a few per cent of a few per cent.
		even := math.Exp(-s.light.Log(parsed.Centre()))
		patch.Mean = colour.LinearRGB{R: even * patch.Mean.R, G: even * patch.Mean.G, B: even * patch.Mean.B}
	}
	return camera.TiePoint{Name: name, Camera: patch.Mean}, err
}

// agreeing is the photo with its correction of the joint solution. Its colours are no longer relative where ties
// lead to a photo with a reference.
func (s *calibratedPhoto) agreeing(joint *camera.Joint, views []camera.PhotoView) *calibratedPhoto {
	to := *s
	to.correction = joint.Correction(s.at)
	if !s.calibration.Relative {
		return &to
	}
	for i := range views {
		if len(views[i].Known) > 0 && joint.Tied(s.at, i) {
			kept := slices.DeleteFunc(slices.Clone(s.calibration.Warnings), func(w fault.Note) bool { return w.Code == relativeOnly })
			to.calibration.Relative = false
			to.calibration.Warnings = append(kept, fault.Say("tie.by-ties", "photo", views[i].Name))
			break
		}
	}
	return &to
}

// agreements lists every pair of photos, and names those that nothing ties.
func agreements(joint *camera.Joint, photos []camera.PhotoView) (all []Agreement, untied []fault.Note) {
	for a := range photos {
		for b := a + 1; b < len(photos); b++ {
			pair := Agreement{
				Photos: [2]string{photos[a].Name, photos[b].Name}, Tied: joint.Tied(a, b),
				PlusMinus: joint.PlusMinusBetween(a, midWood, b, midWood),
			}
			all = append(all, pair)
			if !pair.Tied {
				untied = append(untied, fault.Say("tie.pair", "first", pair.Photos[0], "second", pair.Photos[1], "plus-minus", pair.PlusMinus))
			}
		}
	}
	return all, untied
}

func untiedWarning(pairs []fault.Note) fault.Note {
	return fault.Say("tie.untied", "pairs", pairs)
}

func tieWarnings(joint *camera.Joint, photos []camera.PhotoView, bySlips map[string]slip.Design) (warnings []fault.Note) {
	for _, tie := range joint.Ties() {
		if _, is := bySlips[tie.Name]; is {
			continue // see slipWarnings
		}
		for i, off := range tie.Off {
			if off > tieOff {
				w := fault.Say("tie.off", "name", tie.Name, "delta", off, "photo", photos[tie.Photos[i]].Name)
				if !slices.ContainsFunc(warnings, w.Equal) {
					warnings = append(warnings, w)
				}
			}
		}
	}
	return warnings
}
