package plan

import (
	"context"
	"slices"

	"huewright/blend"
	"huewright/blend/learn"
	"huewright/colour"
	"huewright/colour/spectra"
	"huewright/internal/parallel"
	"huewright/internal/stat"
)

// A Plan is what to lay on each area of a piece.
type Plan struct {
	Areas []AreaPlan // in the order asked; those with a target
	Meet  *MeetPlan  // how the areas without one come together; nil where all have one
}

// An AreaPlan is what to lay on one area to bring it to a target.
type AreaPlan struct {
	Name   string
	Choice            // the one put forward: the balanced one where grain is known, else the closest
	Path   []Step     // the area as it is, then after each coat
	Target colour.Lab // as it will be seen
	Before float64    // ΔE00 to the target as it is
	After  float64    // and after the coats

	Reachable bool   // the closest that can be had is within tolerance
	Why       string // when it is not: what is left over, why, and what would help
	// Forbidden are the orders of two coatings that would come clearly nearer and do not hold,
	// nearest first; Why names the first.
	infeasible []infeasible
	OneMore    Step // what one coat more would do: of the last coating, or of the first of Options where none is laid

	Choices []Choice // closest first; none of them beats another in both nearness and grain
	Options []Option // the best of every coating by itself, those that may be laid first, nearest first; of equals, the one whose first coat strays least
}

// A Choice is one way to colour an area: how near it comes, and what grain it keeps.
type Choice struct {
	Kind string // one of ChoiceKinds
	// Coats are in order of application; empty when the area is best left as it is, and one of
	// count 0 where it may yet need some.
	Coats  []CoatCount
	DeltaE Spread  // to the target, after the coats
	Within float64 // chance of ending within tolerance, 0–1
	Grain  float64 // share of the contrast of the grain that is left, 1 for all; NaN where nothing is known of it
	// StopAfter is the coat after which to stop and look: the next could overshoot with more
	// than 20 % chance. It is the number of all coats where none of them could.
	StopAfter int
	Between   []string // what to do between one of Coats and the next, where there is something

	bestCounts [][]int // the best count of each of Coats, by world
}

// The kinds of choice: the nearest end; the nearest that keeps the least grain asked for; and the
// one that keeps most grain while it takes away half of the difference.
const (
	Closest   = "closest"
	Balanced  = "balanced"
	MostGrain = "most grain"
)

// A CoatCount is a coating and how many coats of it.
type CoatCount struct {
	Coating string
	Count   int
	Range   [2]int // of the count that is truly best, 80 times in 100; both Count where nothing is drawn
}

// A Spread is a figure with what 80 of 100 worlds say of it.
type Spread struct {
	Best      float64 // in the most probable world
	Low, High float64 // 10 and 90 %
}

// A Step is an area after so many coats in all, as it will be seen.
type Step struct {
	Coats     int
	Coating   string // of the uppermost coat; "" for the area as it is
	Lab       colour.Lab
	PlusMinus float64 // 95 % radius of Lab, ΔE00
	DeltaE    float64 // CIEDE2000 to the target
	Low, High float64 // of DeltaE, 10 and 90 %
	Grain     float64 // share of the contrast of the grain that is left; NaN where nothing is known of it
	Overshoot float64 // chance that the area ends further from the target with this coat than without it, 0–1
}

// An Option is the best that one coating can do by itself.
type Option struct {
	CoatCount
	Lab      colour.Lab
	DeltaE   float64
	Conflict string // why it may not be laid on what the area has already; "" when it may
}

// Make finds how many coats, of which coating on the shelf, bring each area nearest to its
// target, as it will be seen; areas without a target are brought to meet one another.
//
// The nearest end in the most probable world wins, but a coat more that gains no more than 0.1
// ΔE00 there, or leads away in the mean over all worlds, is not laid; coatings whose end was never
// seen are counted by that mean. Coatings one over another, up to three, are only proposed where no
// single one meets the target and each more gains at least 1.0. Coats are whole and all of the
// strength the coating stands for.
//
// It returns a *PlanError for an empty shelf, an impossible colour or impossible options.
func Make(ctx context.Context, w *learn.Samples, ask Problem) (*Plan, error) {
	if err := ask.check(w); err != nil {
		return nil, err
	}
	ask.Options.fill()
	p := newPlanner(w, &ask)
	plan := &Plan{}
	var meeting []int
	for i := range ask.Areas {
		a := &ask.Areas[i]
		mean := p.best.sample.Colours[a.Mean]
		if err := checkColour("area", mean.Lab()); err != nil {
			return nil, err
		}
		if a.Target == None {
			meeting = append(meeting, i)
			continue
		}
		target := p.best.sample.Colours[a.Target]
		if err := checkColour("target", target.Lab()); err != nil {
			return nil, err
		}
		area, err := p.area(ctx, a)
		if err != nil {
			return nil, err
		}
		plan.Areas = append(plan.Areas, area)
	}
	if len(meeting) > 0 {
		var err error
		if plan.Meet, err = p.meet(ctx, meeting); err != nil {
			return nil, err
		}
	}
	return plan, nil
}

// OneArea plans one area of colour ground for a target, as if all were known exactly. Both
// colours must be of the same state: a bare area is not compared with a finished sample. See
// PlanPiece.
func OneArea(ctx context.Context, ground, target colour.Lab, shelf []*blend.Coating, opt Options) (AreaPlan, error) {
	for _, c := range []struct {
		name string
		lab  colour.Lab
	}{{"area", ground}, {"target", target}} {
		if err := checkColour(c.name, c.lab); err != nil {
			return AreaPlan{}, err
		}
	}
	w := &learn.Samples{Best: learn.Sample{Colours: []spectra.Spectrum{spectra.Smoothest(ground), spectra.Smoothest(target)}}}
	for _, c := range shelf {
		w.Best.Coatings = append(w.Best.Coatings, *c)
		w.Best.BoardToPiece = append(w.Best.BoardToPiece, 1)
	}
	plan, err := Make(ctx, w, Problem{
		Areas:   []Area{{Surface: blend.Sealed, Mean: 0, Light: None, Dark: None, Target: 1}},
		Options: opt,
	})
	if err != nil {
		return AreaPlan{}, err
	}
	return plan.Areas[0], nil
}

// area plans one area for its target.
func (p *planner) area(ctx context.Context, a *Area) (AreaPlan, error) {
	all, err := p.singleCoatings(ctx, a)
	if err != nil {
		return AreaPlan{}, err
	}
	singles := p.options(a, all)
	stacks, err := p.stacks(ctx, a, all)
	if err != nil {
		return AreaPlan{}, err
	}
	all = append(all, stacks...)
	choices, err := p.choices(ctx, a, all)
	if err != nil {
		return AreaPlan{}, err
	}
	chosen := 0
	for i := range choices {
		if choices[i].Kind == Balanced {
			chosen = i
		}
	}
	plan := AreaPlan{Name: a.Name, Target: p.best.target(a), Options: singles}
	for i := range choices {
		plan.Choices = append(plan.Choices, choices[i].Choice)
	}
	plan.Choice = plan.Choices[chosen]
	next := p.place(singles[0].Coating)
	steps, err := p.steps(ctx, a, choices[chosen].course, next, func(v model) colour.Lab { return v.target(a) })
	if err != nil {
		return AreaPlan{}, err
	}
	last := len(steps) - 1
	plan.Path, plan.OneMore = steps[:last], steps[last]
	plan.Before, plan.After = plan.Path[0].DeltaE, plan.Path[last-1].DeltaE
	closest := &choices[0]
	plan.Reachable = closest.DeltaE.Best <= p.problem.Options.Tolerance
	if !plan.Reachable {
		plan.Why = p.shortfall(a, closest.course)
		if plan.infeasible, err = p.infeasibleOrders(ctx, a, closest.candidate); err != nil {
			return AreaPlan{}, err
		}
		if len(plan.infeasible) > 0 {
			plan.Why += "; " + plan.infeasible[0].String()
		}
	}
	return plan, nil
}

// steps are those of a course towards a target, and one coat more: of its last coating, or of
// next where nothing is laid.
func (p *planner) steps(ctx context.Context, a *Area, c layers, next int, target func(model) colour.Lab) ([]Step, error) {
	beyond := slices.Clone(c.bare())
	if len(beyond) == 0 {
		beyond = layers{{next, 0}}
	}
	beyond[len(beyond)-1].count++
	walks := make([][]appearance, len(p.drawn))
	targets, before := make([]colour.Lab, len(p.drawn)), make([]appearance, len(p.drawn))
	over := make([][]bool, len(p.drawn))
	if err := parallel.For(ctx, len(p.drawn), func(w int) {
		v := p.drawn[w]
		walks[w], targets[w], before[w] = v.appearances(a, beyond), target(v), v.baseline(a)
		over[w] = v.overshoots(a, beyond, walks[w], targets[w])
	}); err != nil {
		return nil, err
	}
	best, aim := p.best.appearances(a, beyond), target(p.best)
	names := []string{""}
	for _, l := range beyond {
		for range l.count {
			names = append(names, p.best.sample.Coatings[l.coating].Name)
		}
	}
	steps := make([]Step, len(best))
	for n, l := range best {
		s := &steps[n]
		s.Coats, s.Coating, s.Lab = n, names[n], l.mean
		s.DeltaE = colour.DeltaE2000(aim, l.mean)
		off, deltaE, grain, beyondIt := make([]float64, len(walks)), make([]float64, len(walks)), make([]float64, len(walks)), 0.0
		for w, walk := range walks {
			off[w], grain[w] = colour.DeltaE2000(l.mean, walk[n].mean), walk[n].keeps(&before[w])
			deltaE[w] = colour.DeltaE2000(targets[w], walk[n].mean)
			if over[w][n] {
				beyondIt++
			}
		}
		s.PlusMinus, s.Grain = stat.Quantile(off, 0.95), stat.Quantile(grain, 0.5)
		s.Low, s.High = stat.Quantile(deltaE, 0.10), stat.Quantile(deltaE, 0.90)
		s.Overshoot = beyondIt / float64(len(walks))
	}
	return steps, nil
}
