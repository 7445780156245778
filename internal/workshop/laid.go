package workshop

import (
	"context"
	"fmt"
	"slices"

	"huewright/blend"
)

// laid takes in the coats that an area has had: each reading under them is evidence like a test
// coat, the last is what is planned on from, and the bare wood is what its grain is told against.
func (j *job) laid(ctx context.Context, plan *AreaPlan, asked *blend.AskArea, s *blend.Survey, bare grained, take func(blend.Measured) int) error {
	area := plan.Area
	asked.BareLight, asked.BareDark = asked.Light, asked.Dark
	ground, last := bare.mean, bare
	lastGround := ground // of the coats of one coating that lie uppermost
	for i, l := range area.Laid {
		k := slices.IndexFunc(j.piece.Coatings, func(c Coating) bool { return c.Name == l.Coating })
		name := fmt.Sprintf("%s after %d coats of %s", area.Name, l.Coats, l.Coating)
		seen, err := j.seen(ctx, name, l.After)
		if err != nil {
			return err
		}
		surface := blend.Sealed
		if n := len(asked.Laid); n > 0 && asked.Laid[n-1].Coating == k {
			asked.Laid[n-1].Coats += l.Coats
		} else {
			asked.Laid, lastGround = append(asked.Laid, blend.Laid{Coating: k, Coats: l.Coats}), ground
		}
		if len(asked.Laid) == 1 {
			surface = blend.Surface(area.Surface)
		}
		coats := asked.Laid[len(asked.Laid)-1].Coats
		s.Shelf[k].Evidence.Tests = append(s.Shelf[k].Evidence.Tests, blend.TestCoat{
			Ground: lastGround, Result: seen.mean, Coats: float64(coats), Surface: surface, OnPiece: true,
		})
		report := LaidReport{reading: seen.mean}
		for _, so := range asked.Laid {
			report.Coats = append(report.Coats, blend.CoatCount{Coating: j.piece.Coatings[so.Coating].Name, Count: so.Coats, Range: [2]int{so.Coats, so.Coats}})
		}
		plan.Laid = append(plan.Laid, report)
		j.keep(Read{Of: ReadArea, Name: name, Area: area.Name, Coats: report.Coats}, seen)
		ground, last = seen.mean, seen
		if i == len(area.Laid)-1 {
			plan.Start, plan.systematic = last.mean, last.systematic
			asked.Mean, asked.Light, asked.Dark = take(last.mean), blend.None, blend.None
			if last.light != (blend.Measured{}) {
				asked.Light, asked.Dark = take(last.light), take(last.dark)
			}
		}
	}
	return nil
}

// seen is a colour from wherever the piece says, with its grain where that is a photo.
func (j *job) seen(ctx context.Context, name string, s ColourSource) (grained, error) {
	if s.Outline != "" {
		return j.grained(ctx, name, s.Photo, s.Outline)
	}
	m, err := j.colour(ctx, name, s)
	return grained{mean: m}, err
}

// lookBack holds every reading under coats on the piece against what was to be expected of it by
// the chips and test coats alone.
func (j *job) lookBack(ctx context.Context, result *PlanResult, told *blend.Survey, ask *blend.Ask) error {
	if !slices.ContainsFunc(result.Areas, func(a AreaPlan) bool { return len(a.Laid) > 0 }) {
		return nil
	}
	untold := *told
	untold.Shelf = slices.Clone(told.Shelf)
	for k := range untold.Shelf {
		untold.Shelf[k].Evidence.Tests = slices.DeleteFunc(slices.Clone(untold.Shelf[k].Evidence.Tests), func(t blend.TestCoat) bool {
			return t.OnPiece && t.From == blend.OfThisPiece
		})
	}
	if slices.ContainsFunc(untold.Shelf, func(k blend.Known) bool { return k.Evidence.Chip == nil && len(k.Evidence.Tests) == 0 }) {
		return nil // a coating is known from the piece alone: nothing was foreseen
	}
	untold.Colours = slices.Clone(told.Colours)
	readings := map[blend.Measured]int{}
	for i := range result.Areas {
		for _, l := range result.Areas[i].Laid {
			readings[l.reading] = len(untold.Colours)
			untold.Colours = append(untold.Colours, l.reading)
		}
	}
	worlds, err := untold.Worlds(ctx, blend.WorldOptions{})
	if err != nil {
		return err
	}
	for i := range result.Areas {
		area := &result.Areas[i]
		bare := ask.Areas[i]
		bare.Mean, bare.Light, bare.Dark, bare.Laid = area.bare, blend.None, blend.None, nil
		for n := range area.Laid {
			report := &area.Laid[n]
			var coats []blend.Laid
			for _, c := range report.Coats {
				at := slices.IndexFunc(j.piece.Coatings, func(k Coating) bool { return k.Name == c.Coating })
				coats = append(coats, blend.Laid{Coating: at, Coats: c.Count})
			}
			report.Seen = blend.Foresee(ctx, worlds, bare, coats, readings[report.reading])
			report.Causes = report.Seen.Sentences()
		}
	}
	return nil
}
