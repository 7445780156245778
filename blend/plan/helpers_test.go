package plan

import (
	"context"

	"huewright/blend"
	"huewright/blend/learn"
	"huewright/colour"
	"huewright/colour/spectra"
	"huewright/internal/fault"
)

// cheap is a price of coats at which the nearest end is found.
const cheap = 1e-5

// planArea plans one sealed area of colour ground for a target, as if all were known exactly.
func planArea(ctx context.Context, ground, target colour.Lab, shelf []*blend.Coating, opt Options) (AreaPlan, error) {
	w := &learn.Samples{Best: learn.Sample{Colours: []spectra.Spectrum{anySpectrum(ground), anySpectrum(target)}}}
	for _, c := range shelf {
		w.Best.Coatings, w.Best.BoardToPiece = append(w.Best.Coatings, *c), append(w.Best.BoardToPiece, 1)
	}
	plan, err := Make(ctx, w, Problem{
		Areas:   []Area{{Surface: blend.Sealed, Mean: 0, Light: None, Dark: None, Target: 1}},
		Options: opt,
	})
	if err != nil {
		return AreaPlan{}, err
	}
	return plan.Choices[0].Areas[0], nil
}

// anySpectrum returns a spectrum of a colour; of one that no surface has, a grey of its L* by the linear part of
// the CIE's formula, which no surface has either.
func anySpectrum(c colour.Lab) (s spectra.Spectrum) {
	if (&learn.Measured{Lab: c}).Problem().Empty() {
		return spectra.Smoothest(c)
	}
	for i := range s {
		s[i] = c.L / 903.3
	}
	return s
}

// codes are those of notes.
func codes(notes []fault.Note) (all []string) {
	for _, n := range notes {
		all = append(all, string(n.Code))
	}
	return all
}
