package workshop

import (
	"context"
	"fmt"

	"huewright/blend"
)

// survey measures all that the plan needs, and says what is to be planned of it. The areas of the
// result are filled in as far as they are measured.
func (j *job) survey(ctx context.Context, result *PlanResult) (*blend.Survey, *blend.Ask, error) {
	s := &blend.Survey{Shared: j.shared()}
	ask := &blend.Ask{Finished: result.Finished, Options: blend.PlanOptions{
		Tolerance: j.piece.Tolerance, MaxCoats: j.piece.MaxCoats, LeastGrain: j.piece.LeastGrain,
	}}
	if err := j.shelf(ctx, s); err != nil {
		return nil, nil, err
	}
	if err := j.clear(ctx, s); err != nil {
		return nil, nil, err
	}
	for _, area := range j.piece.Areas {
		planned, asked, err := j.area(ctx, area, s)
		if err != nil {
			return nil, nil, err
		}
		result.Areas = append(result.Areas, planned)
		ask.Areas = append(ask.Areas, asked)
	}
	return s, ask, nil
}

// shelf measures what is known of each coating of the piece.
func (j *job) shelf(ctx context.Context, s *blend.Survey) error {
	for _, k := range j.piece.Coatings {
		evidence, err := j.evidence(ctx, k)
		if err != nil {
			return err
		}
		s.Shelf = append(s.Shelf, blend.Known{
			Name: k.Name, Kind: blend.Kind(k.Kind), Family: blend.Family(k.Family), PutOn: k.putOn(), Evidence: evidence,
		})
	}
	return nil
}

// putOn is how a coating is put on: a stain is wiped where nothing else is said.
func (k *Coating) putOn() blend.PutOn {
	if k.PutOn == "" && k.Kind == "stain" {
		return blend.Wiped
	}
	return blend.PutOn(k.PutOn)
}

// clear measures the spots that tell of the clear coat.
func (j *job) clear(ctx context.Context, s *blend.Survey) error {
	if j.piece.Clear == nil {
		return nil
	}
	for i, t := range j.piece.Clear.Tests {
		name := fmt.Sprintf("spot %d under the clear coat", i+1)
		before, err := j.colour(ctx, "ground of "+name, t.Before)
		if err != nil {
			return err
		}
		after, err := j.colour(ctx, name, t.After)
		if err != nil {
			return err
		}
		s.Clear.Spots = append(s.Clear.Spots, blend.ClearSpot{Before: before, After: after})
	}
	if len(j.piece.Clear.Tests) == 0 {
		j.warn("nothing tells how the clear coat will change these woods: the plan allows for all that is usual; wet a spot of each with mineral spirits, or lay the clear coat on it, and add it as [[clear.test]]")
	}
	return nil
}

func (j *job) evidence(ctx context.Context, k Coating) (blend.Evidence, error) {
	e := blend.Evidence{Shared: j.shared()}
	if k.Chip != nil {
		chip, err := j.seen(ctx, "chip of "+k.Name, *k.Chip)
		if err != nil {
			return e, err
		}
		j.keep(Read{Of: ReadChip, Name: "chip of " + k.Name, Coating: k.Name}, chip)
		e.Chip = &chip.mean
	}
	for i, t := range k.Tests {
		name := fmt.Sprintf("test coat %d of %s", i+1, k.Name)
		ground, err := j.seen(ctx, "ground of "+name, t.Ground)
		if err != nil {
			return e, err
		}
		result, err := j.seen(ctx, name, t.Result)
		if err != nil {
			return e, err
		}
		surface := j.surfaceOf(t.Ground)
		j.keep(Read{Of: ReadGround, Name: "ground of " + name, Area: t.Ground.Area, Coating: k.Name, Test: i + 1, Surface: surface}, ground)
		j.keep(Read{Of: ReadResult, Name: name, Area: t.Ground.Area, Coating: k.Name, Test: i + 1, Surface: surface}, result)
		e.Tests = append(e.Tests, blend.TestCoat{
			Ground: ground.mean, Result: result.mean, Coats: t.Coats, Share: relativeShare(k.Dilution, t.Dilution),
			Surface: blend.Surface(surface),
		})
	}
	return e, nil
}

// relativeShare says how strong a test coat was beside the mix that is planned.
func relativeShare(planned, tested *Dilution) float64 {
	if tested == nil {
		return 1
	}
	return tested.Share() / planned.Share()
}

// area measures an area with its grain and its target, and puts them into the survey.
func (j *job) area(ctx context.Context, area PieceArea, s *blend.Survey) (AreaPlan, blend.AskArea, error) {
	plan := AreaPlan{Area: area}
	asked := blend.AskArea{Name: area.Name, Surface: blend.Surface(area.Surface), Light: blend.None, Dark: blend.None, Target: blend.None}
	grain, err := j.grained(ctx, area.Name, area.Photo, area.Outline)
	if err != nil {
		return plan, asked, err
	}
	plan.systematic = grain.systematic
	if plan.Start, plan.Shots, err = j.everyShot(ctx, area); err != nil {
		return plan, asked, err
	}
	if plan.Area.SizeM2 == 0 {
		plan.Area.SizeM2 = j.sizeOf(ctx, area)
	}
	take := func(m blend.Measured) int {
		s.Colours = append(s.Colours, m)
		return len(s.Colours) - 1
	}
	bare := grain
	bare.mean = plan.Start
	j.keep(Read{Of: ReadArea, Name: area.Name, Area: area.Name, Surface: area.Surface}, bare)
	grain.mean, grain.light, grain.dark = plan.Start, grain.about(plan.Start, grain.light), grain.about(plan.Start, grain.dark)
	asked.Mean, asked.Light, asked.Dark = take(grain.mean), take(grain.light), take(grain.dark)
	plan.bare = asked.Mean
	if len(area.Laid) > 0 {
		if err := j.laid(ctx, &plan, &asked, s, grain, take); err != nil {
			return plan, asked, err
		}
	}
	source := area.Target
	if source == nil {
		source = j.piece.Target
	}
	if source == nil {
		return plan, asked, nil
	}
	target, err := j.seen(ctx, "target", *source)
	if err != nil {
		return plan, asked, err
	}
	if area.Target == nil {
		j.keepOnce(Read{Of: ReadTarget, Name: "target", Surface: j.surfaceOf(*source)}, target)
	} else {
		j.keep(Read{Of: ReadTarget, Name: "target of " + area.Name, Area: area.Name, Surface: j.surfaceOf(*source)}, target)
	}
	plan.Target, asked.Target = &target.mean, take(target.mean)
	asked.TargetSeen = j.surfaceOf(*source) == string(blend.ClearCoated)
	j.compareStates(area, j.surfaceOf(*source))
	return plan, asked, nil
}
