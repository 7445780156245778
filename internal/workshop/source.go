package workshop

import (
	"context"
	"fmt"
	"slices"

	"huewright/blend"
	"huewright/colour"
	"huewright/imageio"
)

// surfaceOf is the state a colour was seen in, as far as the piece says.
func (j *job) surfaceOf(s ColourSource) string {
	if s.Surface == "" && s.Area != "" {
		for _, a := range j.piece.Areas {
			if a.Name == s.Area {
				return a.Surface
			}
		}
	}
	return s.Surface
}

// compareStates warns where a finished colour is held against one that is not, and no clear coat
// to come makes up for it.
func (j *job) compareStates(area PieceArea, target string) {
	const finished = string(blend.ClearCoated)
	if j.piece.Clear != nil && area.Surface != finished {
		return
	}
	if area.Surface == "" || target == "" || (area.Surface == finished) == (target == finished) {
		return
	}
	j.warn(fmt.Sprintf("area %q is %s and its target is %s: a clear coat darkens wood and makes it stronger in colour, so this count is of two states that will not look alike; add [clear] for the clear coat to come, or measure both in the same state, wetting the one that has none", area.Name, area.Surface, target))
}

// What colours from elsewhere than a photo are taken to be worth: radii in ΔE00 that hold 95
// times in 100. Both are starting values of our own: an instrument's repeatability on wood,
// and a label's printed colour against what is in the tin.
const (
	typedLabPlusMinus = 1.0
	typedHexPlusMinus = 4.0
)

// colour finds a colour wherever the piece says it is.
func (j *job) colour(ctx context.Context, name string, s ColourSource) (blend.Measured, error) {
	switch {
	case s.Lab != nil:
		return blend.Measured{Lab: colour.Lab{L: s.Lab[0], A: s.Lab[1], B: s.Lab[2]}, PlusMinus: typedLabPlusMinus}, nil
	case s.Hex != "":
		c, err := colour.ParseHex(s.Hex)
		if err != nil {
			return blend.Measured{}, &UseError{"hex", err.Error(), "six hexadecimal digits after #"}
		}
		return blend.Measured{Lab: c.Linear().Lab(), PlusMinus: typedHexPlusMinus}, nil
	case s.Area != "":
		for _, a := range j.piece.Areas {
			if a.Name == s.Area {
				m, _, err := j.everyShot(ctx, a)
				return m, err
			}
		}
		return blend.Measured{}, &UseError{"area", fmt.Sprintf("there is no area %q", s.Area), "name one of the piece's areas"}
	}
	return j.outlined(ctx, name, s.Photo, s.Outline)
}

// outlined measures an outline in a photo of the piece.
func (j *job) outlined(ctx context.Context, name, photo, outline string) (blend.Measured, error) {
	g, err := j.grained(ctx, name, photo, outline)
	return g.mean, err
}

// A grained is an area as it was measured, and the lightest and darkest quarters of its grain.
// systematic is the part of their uncertainty that all readings of the photo share.
type grained struct {
	mean, light, dark blend.Measured
	systematic        float64
	reading           *colour.Reading // nil where it is from no photo
}

// about is a quarter of the grain moved along with the mean: the grain is that of one photo, the
// mean of all.
func (g *grained) about(mean, quarter blend.Measured) blend.Measured {
	quarter.Lab = colour.Lab{
		L: quarter.Lab.L + mean.Lab.L - g.mean.Lab.L,
		A: quarter.Lab.A + mean.Lab.A - g.mean.Lab.A,
		B: quarter.Lab.B + mean.Lab.B - g.mean.Lab.B,
	}
	return quarter
}

func (j *job) grained(ctx context.Context, name, photo, outline string) (g grained, err error) {
	s, err := j.shot(ctx, photo)
	if err != nil {
		return g, err
	}
	parsed, err := imageio.ParseOutline(outline)
	if err != nil {
		return g, fmt.Errorf("%s: %w", name, err)
	}
	reading, err := s.sample(ctx, AreaOutline{Name: name, Outline: parsed})
	if err != nil {
		return g, err
	}
	for _, w := range reading.Warnings {
		j.warn(name + ": " + w)
	}
	measured := func(c colour.Lab) blend.Measured {
		m := blend.Measured{Lab: c, PlusMinus: reading.PlusMinus, Photo: s.name}
		if j.joint != nil {
			m.Own = max(reading.Sampling, leastOwn)
		}
		return m
	}
	return grained{measured(reading.Mean), measured(reading.Ground), measured(reading.Figure), reading.Systematic, &reading}, nil
}

// sizeOf is the size of an area that has been measured, in square metres; 0 when its photo
// has no scale.
func (j *job) sizeOf(ctx context.Context, area PieceArea) float64 {
	s, err := j.shot(ctx, area.Photo)
	if err != nil {
		return 0
	}
	outline, err := imageio.ParseOutline(area.Outline)
	if err != nil {
		return 0
	}
	return s.squareMetres(outline)
}

// shot opens a photo of the piece; "" means the only one.
func (j *job) shot(ctx context.Context, name string) (*shot, error) {
	i := slices.IndexFunc(j.piece.Photos, func(p PiecePhoto) bool { return p.Name == name || name == "" && len(j.piece.Photos) == 1 })
	if i < 0 {
		return nil, &UseError{"photo", fmt.Sprintf("there is no photo %q", name), "add a [[photo]] of that name, or correct the name"}
	}
	photo := &j.piece.Photos[i]
	if s, done := j.shots[photo.Name]; done {
		return s, nil
	}
	ref, err := photo.reference()
	if err != nil {
		return nil, err
	}
	s, err := develop(ctx, j.files, photo.File, ref)
	if err != nil {
		return nil, err
	}
	s.at, s.name = i, photo.Name
	j.shots[photo.Name] = s
	return s, nil
}
