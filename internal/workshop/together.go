package workshop

import (
	"context"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"huewright/blend"
	"huewright/colour"
	"huewright/imageio"
)

// An Agreement says how far two photos of a piece may be trusted against one another.
type Agreement struct {
	Photos    [2]string
	Tied      bool    // by a tie, a chain of them, or a reference in each
	PlusMinus float64 // of the difference of one mid-brown wood seen in both: 95 % radius, ΔE00
}

// midWood is the colour that photos are asked about: between the woods of the trade.
var midWood = colour.Lab{L: 60, A: 10, B: 22}

// leastOwn is the least 95 % radius that a reading has for itself, ΔE00.
const leastOwn = 0.1

// tieOff is how far, in ΔE00, a photo may show a tie from what the others let expect before it
// is worth a word. Our own choice.
const tieOff = 2.0

// solveTogether replaces the corrections of all photos of the piece by those that agree best
// about their ties.
func (j *job) solveTogether(ctx context.Context) error {
	sights := make([]colour.PhotoSight, len(j.piece.Photos))
	for i, p := range j.piece.Photos {
		s, err := j.shot(ctx, p.Name)
		if err != nil {
			return err
		}
		facts := s.photo.Facts
		sights[i] = colour.PhotoSight{Name: p.Name, Camera: facts.Make + " " + facts.Model, Known: s.correction.Samples()}
	}
	for _, tie := range j.piece.Ties {
		for _, name := range slices.Sorted(maps.Keys(tie.In)) {
			s := j.shots[name]
			seen, err := s.tie(ctx, tie.Name, tie.In[name])
			if err != nil {
				return fmt.Errorf("tie %q in photo %q: %w", tie.Name, name, err)
			}
			sights[s.at].Ties = append(sights[s.at].Ties, seen)
		}
	}
	var err error
	if j.joint, err = colour.FitJoint(ctx, sights); err != nil {
		return err
	}
	for _, s := range j.shots {
		s.correction = j.joint.Correction(s.at)
		j.settleReference(s, sights)
	}
	j.warnOfTies()
	return nil
}

func (s *shot) tie(ctx context.Context, name, outline string) (colour.TieSight, error) {
	parsed, err := imageio.ParseOutline(outline)
	if err != nil {
		return colour.TieSight{}, err
	}
	patch, err := s.photo.ReadPatch(ctx, parsed)
	if s.light != nil {
		// The light is known in luminance and taken out of what was recorded: the tone bend
		// between the two changes a few per cent of a few per cent.
		even := math.Exp(-s.light.Log(parsed.Centre()))
		patch.Mean = colour.LinearRGB{R: even * patch.Mean.R, G: even * patch.Mean.G, B: even * patch.Mean.B}
	}
	return colour.TieSight{Name: name, Camera: patch.Mean}, err
}

// settleReference takes back that a photo's colours are relative, where it is tied to one with
// a reference.
func (j *job) settleReference(s *shot, sights []colour.PhotoSight) {
	if !s.calibration.Relative {
		return
	}
	for i := range sights {
		if len(sights[i].Known) > 0 && j.joint.Tied(s.at, i) {
			s.calibration.Relative = false
			s.calibration.Warnings = slices.DeleteFunc(s.calibration.Warnings, func(w string) bool { return w == relativeOnly })
			s.calibration.Warnings = append(s.calibration.Warnings, fmt.Sprintf("no reference in the photo: its colours come by ties from photo %q", sights[i].Name))
			return
		}
	}
}

// agreements tells of every pair of photos, and warns of those that nothing ties.
func (j *job) agreements() (all []Agreement) {
	photos := j.piece.Photos
	var untied []string
	for a := range photos {
		for b := a + 1; b < len(photos); b++ {
			pair := Agreement{
				Photos: [2]string{photos[a].Name, photos[b].Name}, Tied: j.joint.Tied(a, b),
				PlusMinus: j.joint.PlusMinusBetween(a, midWood, b, midWood),
			}
			all = append(all, pair)
			if !pair.Tied {
				untied = append(untied, fmt.Sprintf("%s and %s (± %.0f ΔE00)", pair.Photos[0], pair.Photos[1], pair.PlusMinus))
			}
		}
	}
	if len(untied) > 0 {
		j.warn("nothing ties these photos, so one wood may look different in each and counts are wide of the mark: " + strings.Join(untied, ", ") +
			"; next time leave a slip of paper beside the wood and one untouched spot of each wood in every picture, and outline them as [[tie]]; best of all, put bare wood, test coats, chip and target in one picture")
	}
	return all
}

func (j *job) warnOfTies() {
	for _, tie := range j.joint.Ties() {
		for i, off := range tie.Off {
			if off > tieOff {
				j.warn(fmt.Sprintf("tie %q looks %.1f ΔE00 different in photo %q from what the other photos let expect: see whether it was outlined amiss, lay in other light, or has changed", tie.Name, off, j.piece.Photos[tie.Photos[i]].Name))
			}
		}
	}
}

// shared is what the joint solution says two readings have wrong about them together; nil for
// a piece of one photo.
func (j *job) shared() func(a, b blend.Measured) [3][3]float64 {
	if j.joint == nil {
		return nil
	}
	return func(a, b blend.Measured) [3][3]float64 {
		return j.joint.Covariance(j.shots[a.Photo].at, a.Lab, j.shots[b.Photo].at, b.Lab)
	}
}

// An AreaShot is one photo's reading of an area that several show.
type AreaShot struct {
	Photo string
	Lab   colour.Lab
	// DeltaE is how far it is from the reading of the area's first photo, and PlusMinus what
	// the two may differ by at 95 %, both ΔE00; 0 for the first itself.
	DeltaE, PlusMinus float64
}

// everyShot reads an area in all photos that show it. The readings are averaged as that of the
// first photo, each counting by how sure it is beside that one.
func (j *job) everyShot(ctx context.Context, area PieceArea) (blend.Measured, []AreaShot, error) {
	first, err := j.outlined(ctx, area.Name, area.Photo, area.Outline)
	if err != nil || len(area.Also) == 0 {
		return first, nil, err
	}
	shots := []AreaShot{{Photo: first.Photo, Lab: first.Lab}}
	sum, weights := colour.Lab{}, 0.0
	take := func(c colour.Lab, radius float64) {
		w := 1 / (radius * radius)
		sum = colour.Lab{L: sum.L + w*c.L, A: sum.A + w*c.A, B: sum.B + w*c.B}
		weights += w
	}
	take(first.Lab, first.Own)
	for _, photo := range slices.Sorted(maps.Keys(area.Also)) {
		m, err := j.outlined(ctx, area.Name, photo, area.Also[photo])
		if err != nil {
			return first, nil, err
		}
		between := j.joint.PlusMinusBetween(j.shots[first.Photo].at, first.Lab, j.shots[photo].at, m.Lab)
		shot := AreaShot{photo, m.Lab, colour.DeltaE2000(first.Lab, m.Lab), math.Hypot(between, math.Hypot(first.Own, m.Own))}
		if shot.DeltaE > shot.PlusMinus {
			j.warn(fmt.Sprintf("%s: photos %q and %q disagree by %.1f ΔE00, more than the %.1f that can be expected: see that both outlines mark the same wood, in the same light", area.Name, first.Photo, photo, shot.DeltaE, shot.PlusMinus))
		}
		shots = append(shots, shot)
		take(m.Lab, math.Hypot(between, m.Own))
	}
	systematic := math.Sqrt(max(0, first.PlusMinus*first.PlusMinus-first.Own*first.Own))
	first.Lab = colour.Lab{L: sum.L / weights, A: sum.A / weights, B: sum.B / weights}
	first.Own = 1 / math.Sqrt(weights)
	first.PlusMinus = math.Hypot(systematic, first.Own)
	return first, shots, nil
}
