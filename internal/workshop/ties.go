package workshop

import (
	"context"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"huewright/colour"
	"huewright/colour/camera"
	"huewright/imageio"
	"huewright/imageio/sample"
	"huewright/internal/piece"
)

// An Agreement says how far two photos of a piece may be trusted against one another.
type Agreement struct {
	Photos    [2]string
	Tied      bool    // by a tie, a chain of them, or a reference in each
	PlusMinus float64 // of the difference of one mid-brown wood seen in both: 95 % radius, ΔE00
}

// midWood is the colour that photos are asked about: between the woods of the trade.
var midWood = colour.Lab{L: 60, A: 10, B: 22}

// tieOff is how far, in ΔE00, a photo may show a tie from what the others let expect before it
// is worth a word. Our own choice.
const tieOff = 2.0

// viewsOf is what photos show of known colours and of ties.
func viewsOf(ctx context.Context, shots []*calibratedPhoto, ties []piece.Tie) ([]camera.PhotoView, error) {
	sights := make([]camera.PhotoView, len(shots))
	at := map[string]int{}
	for i, s := range shots {
		facts := s.photo.Facts
		sights[i] = camera.PhotoView{Name: s.name, Camera: facts.Make + " " + facts.Model, Known: s.correction.Samples()}
		at[s.name] = i
	}
	for _, tie := range ties {
		for _, name := range slices.Sorted(maps.Keys(tie.In)) {
			i, there := at[name]
			if !there {
				continue
			}
			seen, err := shots[i].tie(ctx, tie.Name, tie.In[name])
			if err != nil {
				return nil, fmt.Errorf("tie %q in photo %q: %w", tie.Name, name, err)
			}
			sights[i].Ties = append(sights[i].Ties, seen)
		}
	}
	return sights, nil
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

// agreeing is a photo with the correction that all photos agree on. Its colours are no longer relative
// where it is tied to one with a reference.
func (s *calibratedPhoto) agreeing(joint *camera.Joint, sights []camera.PhotoView) *calibratedPhoto {
	to := *s
	to.correction = joint.Correction(s.at)
	if !s.calibration.Relative {
		return &to
	}
	for i := range sights {
		if len(sights[i].Known) > 0 && joint.Tied(s.at, i) {
			kept := slices.DeleteFunc(slices.Clone(s.calibration.Warnings), func(w string) bool { return w == relativeOnly })
			to.calibration.Relative = false
			to.calibration.Warnings = append(kept, fmt.Sprintf("no reference in the photo: its colours come by ties from photo %q", sights[i].Name))
			break
		}
	}
	return &to
}

// agreements tells of every pair of photos, and names those that nothing ties.
func agreements(joint *camera.Joint, photos []camera.PhotoView) (all []Agreement, untied []string) {
	for a := range photos {
		for b := a + 1; b < len(photos); b++ {
			pair := Agreement{
				Photos: [2]string{photos[a].Name, photos[b].Name}, Tied: joint.Tied(a, b),
				PlusMinus: joint.PlusMinusBetween(a, midWood, b, midWood),
			}
			all = append(all, pair)
			if !pair.Tied {
				untied = append(untied, fmt.Sprintf("%s and %s (± %.0f ΔE00)", pair.Photos[0], pair.Photos[1], pair.PlusMinus))
			}
		}
	}
	return all, untied
}

func untiedWarning(pairs []string) string {
	return "nothing ties these photos, so one wood may look different in each and counts are wide of the mark: " + strings.Join(pairs, ", ") +
		"; next time leave a slip of paper beside the wood and one untouched spot of each wood in every picture, and outline them as [[tie]]; " +
		"best of all, put bare wood, test coats, chip and target in one picture"
}

func tieWarnings(joint *camera.Joint, photos []camera.PhotoView) (warnings []string) {
	for _, tie := range joint.Ties() {
		for i, off := range tie.Off {
			if off > tieOff {
				w := fmt.Sprintf("tie %q looks %.1f ΔE00 different in photo %q from what the other photos let expect: "+
					"see whether it was outlined amiss, lay in other light, or has changed", tie.Name, off, photos[tie.Photos[i]].Name)
				if !slices.Contains(warnings, w) {
					warnings = append(warnings, w)
				}
			}
		}
	}
	return warnings
}
