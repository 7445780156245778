package workshop

import (
	"context"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"huewright/blend/learn"
	"huewright/colour"
	"huewright/imageio"
	"huewright/internal/fault"
	"huewright/internal/piece"
)

// leastOwn is the least 95 % radius that a reading has for itself, ΔE00.
const leastOwn = 0.1

// What colours from elsewhere than a photo are taken to be worth: radii in ΔE00 that hold 95
// times in 100. Both are starting values of our own: an instrument's repeatability on wood,
// and a label's printed colour against what is in the tin.
const (
	typedLabPlusMinus = 1.0
	typedHexPlusMinus = 4.0
)

// A Spot is a colour as it was read, from wherever the piece says that it is.
type Spot struct {
	Measured learn.Measured
	Grain    *Grain // nil where it is from no outline of its own
	// Systematic is the part of the uncertainty that all readings of the photo share: a 95 % radius.
	Systematic   float64
	Spread       float64    // standard deviation of L*; 0 not known
	Pixels       int        // 0 from no photo
	SquareMetres float64    // of the outline; 0 where nothing tells
	Views        []AreaView // what each photo says of an area, where several show it
	State        string     // that it was read in, one of piece.States; "" is dry
}

// A Grain is the lightest and the darkest quarter of an area's grain, as its first photo shows them.
type Grain struct{ Light, Dark learn.Measured }

// An AreaView is one photo's reading of an area that several show.
type AreaView struct {
	Photo string
	Lab   colour.Lab
	// DeltaE is how far it is from the reading of the area's first photo, and PlusMinus what
	// the two may differ by at 95 %, both ΔE00; 0 for the first itself.
	DeltaE, PlusMinus float64
}

// typedSpot is a colour that was given in figures, with how far off it is said to be or usual.
func typedSpot(key string, lab colour.Lab, said, usual float64) Spot {
	if said > 0 {
		return Spot{Measured: learn.Measured{Key: fmt.Sprintf("%s ± %v", key, said), Lab: lab, PlusMinus: said}}
	}
	return Spot{Measured: learn.Measured{Key: key, Lab: lab, PlusMinus: usual}}
}

// readSource reads a colour wherever the piece says it is, as it was there, dry or wet. name is what messages call it.
func readSource(ctx context.Context, photos *Photos, name string, s piece.ColourSource) (Spot, []fault.Note, error) {
	spot, warnings, err := readColour(ctx, photos, name, s)
	if s.Area == "" {
		spot.State = s.State
	}
	return spot, warnings, err
}

func readColour(ctx context.Context, photos *Photos, name string, s piece.ColourSource) (Spot, []fault.Note, error) {
	switch {
	case s.Outline != "":
		return readOutline(ctx, photos, name, s.Photo, s.Outline)
	case s.Lab != nil:
		key := fmt.Sprintf("lab %v", s.Lab)
		lab := colour.Lab{L: s.Lab[0], A: s.Lab[1], B: s.Lab[2]}
		return typedSpot(key, lab, s.PlusMinus, typedLabPlusMinus), nil, nil
	case s.Hex != "":
		c, err := colour.ParseHex(s.Hex)
		if err != nil {
			return Spot{}, nil, err
		}
		key := "hex " + strings.ToLower(strings.TrimPrefix(s.Hex, "#"))
		return typedSpot(key, c.Linear().Lab(), s.PlusMinus, typedHexPlusMinus), nil, nil
	case s.Area != "":
		i := slices.IndexFunc(photos.piece.Areas, func(a piece.Area) bool { return a.Name == s.Area })
		if i < 0 {
			return Spot{}, nil, noArea(photos.piece, s.Area)
		}
		area, warnings, err := readArea(ctx, photos, &photos.piece.Areas[i])
		return Spot{Measured: area.Measured, State: area.State}, warnings, err
	}
	return readOutline(ctx, photos, name, s.Photo, s.Outline)
}

// readOutline reads an outline in a photo of the piece.
func readOutline(ctx context.Context, photos *Photos, name, photo, outline string) (Spot, []fault.Note, error) {
	s, err := photos.named(photo)
	if err != nil {
		return Spot{}, nil, err
	}
	parsed, err := imageio.ParseOutline(outline)
	if err != nil {
		return Spot{}, nil, fault.In(err, fault.Place{Area: name})
	}
	reading, err := s.sample(ctx, name, parsed)
	if err != nil {
		return Spot{}, nil, err
	}
	key := s.name + " " + parsed.String()
	measured := func(of string, c colour.Lab) learn.Measured {
		m := learn.Measured{Key: key + of, Lab: c, PlusMinus: reading.PlusMinus, Photo: s.name}
		if photos.joint != nil {
			m.Own = max(reading.Sampling, leastOwn)
		}
		return m
	}
	var warnings []fault.Note
	for _, w := range reading.Warnings {
		warnings = append(warnings, w.In(fault.Place{Area: name}))
	}
	return Spot{
		Measured: measured("", reading.Mean), Grain: &Grain{measured(" light", reading.Ground), measured(" dark", reading.Figure)},
		Systematic: reading.Systematic, Spread: reading.Spread[0], Pixels: reading.Pixels, SquareMetres: squareMetres(s.scale, parsed),
	}, warnings, nil
}

// readArea reads an area in all photos that show it. The readings are averaged as that of the
// first photo, each counting by how sure it is beside that one.
func readArea(ctx context.Context, photos *Photos, area *piece.Area) (Spot, []fault.Note, error) {
	if typed := area.Typed(); typed != nil {
		spot, warnings, err := readSource(ctx, photos, area.Name, *typed)
		spot.Measured.Key = "area " + area.Name
		return spot, warnings, err
	}
	spot, warnings, err := readOutline(ctx, photos, area.Name, area.Photo, area.Outline)
	spot.State = area.State
	if err != nil || len(area.Also) == 0 {
		return spot, warnings, err
	}
	first := spot.Measured
	home, err := photos.named(first.Photo)
	if err != nil {
		return spot, nil, err
	}
	spot.Views = []AreaView{{Photo: first.Photo, Lab: first.Lab}}
	sum, weights := colour.Lab{}, 0.0
	take := func(c colour.Lab, radius float64) {
		w := 1 / (radius * radius)
		sum = colour.Lab{L: sum.L + w*c.L, A: sum.A + w*c.A, B: sum.B + w*c.B}
		weights += w
	}
	take(first.Lab, first.Own)
	for _, photo := range slices.Sorted(maps.Keys(area.Also)) {
		other, more, err := readOutline(ctx, photos, area.Name, photo, area.Also[photo])
		if err != nil {
			return spot, nil, err
		}
		s, err := photos.named(photo)
		if err != nil {
			return spot, nil, err
		}
		warnings = append(warnings, more...)
		m := other.Measured
		between := photos.apart(home, s, first.Lab, m.Lab)
		view := AreaView{photo, m.Lab, colour.DeltaE2000(first.Lab, m.Lab), math.Hypot(between, math.Hypot(first.Own, m.Own))}
		if view.DeltaE > view.PlusMinus {
			warnings = append(warnings, fault.Say("reading.photos-disagree", "first", first.Photo, "second", photo, "delta", view.DeltaE,
				"expected", view.PlusMinus).In(fault.Place{Area: area.Name}))
		}
		spot.Views = append(spot.Views, view)
		take(m.Lab, math.Hypot(between, m.Own))
	}
	systematic := math.Sqrt(max(0, first.PlusMinus*first.PlusMinus-first.Own*first.Own))
	mean := &spot.Measured
	mean.Key = "area " + area.Name
	mean.Lab = colour.Lab{L: sum.L / weights, A: sum.A / weights, B: sum.B / weights}
	mean.Own = 1 / math.Sqrt(weights)
	mean.PlusMinus = math.Hypot(systematic, mean.Own)
	return spot, warnings, nil
}
