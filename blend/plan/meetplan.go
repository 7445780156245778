package plan

import (
	"context"
	"math"
	"slices"

	"huewright/colour"
	"huewright/internal/parallel"
	"huewright/internal/stat"
)

// An encounter is the courses of one scheme on all areas, in the most probable world.
type encounter struct {
	scheme layerOrder
	in     *meeting
	at     []int // courses, by area
	worst  float64
	kept   float64
}

// meet plans how the areas of those places come together.
func (p *planner) meet(ctx context.Context, places []int) (*MeetPlan, error) {
	areas := make([]*Area, len(places))
	for i, at := range places {
		areas[i] = &p.ask.Areas[at]
	}
	var all []*encounter
	plan := &MeetPlan{}
	cap := p.ground(areas)
	for _, s := range p.schemes() {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		m := p.meeting(p.best, areas, s)
		plan.Before, _ = m.worst(make([]int, len(areas)))
		for _, least := range p.leastGrains(m) {
			for _, lid := range []float64{cap, math.Inf(1)} {
				enough := func(i, c int) bool {
					return p.mayBegin(areas[i], m.courses[c]) && !(m.grain[i][c] < least-1e-9) && (m.ground(i, c) <= lid || i == p.darkest(areas))
				}
				if at := m.closest(enough); at != nil {
					e := &encounter{scheme: s, in: m, at: at, kept: m.kept(at)}
					e.worst, _ = m.worst(at)
					all = append(all, e)
				}
			}
		}
	}
	if err := p.chooseMeeting(ctx, plan, areas, all, cap); err != nil {
		return nil, err
	}
	return plan, nil
}

// schemes are every coating by itself, and every two in an order that they may lie in.
func (p *planner) schemes() (all []layerOrder) {
	for layers := 1; layers <= 2; layers++ {
		for _, o := range p.orders(layers) {
			all = append(all, layerOrder(o))
		}
	}
	return all
}

// leastGrains are the shares of grain for which meetings are sought: none, and steps from there to
// all of it.
func (p *planner) leastGrains(m *meeting) []float64 {
	if math.IsNaN(m.kept(make([]int, len(m.looks)))) {
		return []float64{0}
	}
	return []float64{0, p.ask.Options.LeastGrain, (1 + p.ask.Options.LeastGrain) / 2}
}

func (p *planner) darkest(areas []*Area) (darkest int) {
	least := math.Inf(1)
	for i, a := range areas {
		if l := p.best.look(p.best.start(a)).mean.L; l < least {
			darkest, least = i, l
		}
	}
	return darkest
}

// groundSlack is how much lighter, in L*, a ground may be and still count as no lighter.
const groundSlack = 1.0

// ground is the lightness that no area's ground should be above: that of the darkest area, where
// no coating on the shelf lightens it; +Inf otherwise.
func (p *planner) ground(areas []*Area) float64 {
	a := areas[p.darkest(areas)]
	start := p.best.look(p.best.start(a))
	if p.lightens(a, start.mean) {
		return math.Inf(1)
	}
	return max(start.mean.L, start.light.L) + groundSlack
}

func (m *meeting) ground(area, c int) float64 {
	return max(m.looks[area][c].mean.L, m.looks[area][c].light.L)
}

// chooseMeeting makes the closest, the balanced and the most grain of all encounters.
func (p *planner) chooseMeeting(ctx context.Context, plan *MeetPlan, areas []*Area, all []*encounter, cap float64) error {
	least := p.ask.Options.LeastGrain
	// The lid on grounds is kept where it costs little.
	lidded := func(e *encounter) bool {
		for i, c := range e.at {
			if i != p.darkest(areas) && e.in.ground(i, c) > cap {
				return false
			}
		}
		return true
	}
	pick := func(allowed func(*encounter) bool) *encounter {
		free := nearestMeeting(all, allowed)
		held := nearestMeeting(all, func(e *encounter) bool { return allowed(e) && lidded(e) })
		if held != nil && held.worst <= free.worst+stackGain {
			return held
		}
		return free
	}
	known := !math.IsNaN(all[0].kept)
	closest := pick(func(*encounter) bool { return true })
	choose := func(kind string, e *encounter, least float64) error {
		choice, err := p.meetChoice(ctx, kind, areas, e, least)
		if err != nil {
			return err
		}
		plan.Choices = append(plan.Choices, choice)
		return nil
	}
	if err := choose(Closest, closest, 0); err != nil {
		return err
	}
	chosen := closest
	if known {
		balanced := pick(func(e *encounter) bool { return e.kept >= least-1e-9 })
		if balanced.same(closest) {
			plan.Choices[0].Kind = Balanced
		} else {
			if err := choose(Balanced, balanced, least); err != nil {
				return err
			}
			plan.Chosen = 1
		}
		chosen = balanced
		if most := p.mostGrain(plan, all); most != nil && most.kept > balanced.kept+grainWorth && most.worst > balanced.worst {
			if err := choose(MostGrain, most, most.kept); err != nil {
				return err
			}
		}
	}
	plan.Together = chosen.worst <= p.ask.Options.Tolerance
	if !lidded(chosen) {
		plan.Lightest = areas[p.darkest(areas)].Name
	}
	return nil
}

func (e *encounter) same(f *encounter) bool {
	return slices.Equal(e.scheme, f.scheme) && slices.Equal(e.at, f.at)
}

// nearestMeeting is the encounter of least worst pair, and of those as near the one that keeps most
// grain; one of two coatings must gain what a further coating is worth. It is nil when none is
// allowed.
func nearestMeeting(all []*encounter, allowed func(*encounter) bool) (best *encounter) {
	cost := func(e *encounter) float64 { return max(e.worst, e.in.near) + stackGain*float64(e.coatings()-1) }
	for _, e := range all {
		if !allowed(e) {
			continue
		}
		if best == nil || cost(e) < cost(best)-worthACoat || cost(e) <= cost(best)+worthACoat && e.kept > best.kept {
			best = e
		}
	}
	return best
}

// coatings is how many coatings are laid anywhere, at least 1.
func (e *encounter) coatings() int {
	laid := make([]bool, len(e.scheme))
	for _, c := range e.at {
		for i, l := range e.in.courses[c] {
			laid[i] = laid[i] || l.count > 0
		}
	}
	n := 0
	for _, is := range laid {
		if is {
			n++
		}
	}
	return max(n, 1)
}

// mostGrain is the encounter that keeps most grain of those that take half of the difference away.
func (p *planner) mostGrain(plan *MeetPlan, all []*encounter) (best *encounter) {
	for _, e := range all {
		if e.worst <= halfWay*plan.Before && (best == nil || e.kept > best.kept) {
			best = e
		}
	}
	return best
}

// meetChoice tries an encounter in all worlds. least is the grain that its areas had to keep.
func (p *planner) meetChoice(ctx context.Context, kind string, areas []*Area, e *encounter, least float64) (MeetChoice, error) {
	worst := make([]float64, len(p.drawn))
	bests := make([][]int, len(p.drawn))
	apart := make([][]float64, len(p.drawn)) // every two areas, by world
	if err := parallel.For(ctx, len(p.drawn), func(w int) {
		m := p.meeting(p.drawn[w], areas, e.scheme)
		worst[w], _ = m.worst(e.at)
		apart[w] = m.everyTwo(e.at)
		bests[w] = m.closest(func(i, c int) bool { return p.mayBegin(areas[i], m.courses[c]) && !(m.grain[i][c] < least-1e-9) })
		if bests[w] == nil {
			bests[w] = e.at
		}
	}); err != nil {
		return MeetChoice{}, err
	}
	_, pair := e.in.worst(e.at)
	choice := MeetChoice{
		Kind: kind, Grain: e.kept, Pair: [2]string{areas[pair[0]].Name, areas[pair[1]].Name},
		Worst:  Spread{e.worst, stat.Quantile(worst, 0.1), stat.Quantile(worst, 0.9)},
		Common: e.common(),
		Pairs:  pairsOf(areas, e.in.everyTwo(make([]int, len(areas))), e.in.everyTwo(e.at), apart),
	}
	for i, a := range areas {
		c := e.in.courses[e.at[i]]
		area := MeetArea{Name: a.Name, Grain: e.in.grain[i][e.at[i]]}
		for layer, l := range c {
			counts := make([]int, len(bests))
			for w, at := range bests {
				counts[w] = e.in.courses[at[i]][layer].count
			}
			if r := rangeOf(counts, l.count); r[1] > 0 {
				area.Coats = append(area.Coats, CoatCount{p.best.world.Coatings[l.coating].Name, l.count, r})
				area.byWorld = append(area.byWorld, counts)
			}
		}
		steps, err := p.steps(ctx, a, c, e.scheme[0], func(view) colour.Lab { return choice.Common })
		if err != nil {
			return MeetChoice{}, err
		}
		last := len(steps) - 1
		area.Path, area.Beyond = steps[:last], steps[last]
		area.StopAfter = stopAfter(steps, c.coats())
		choice.Areas = append(choice.Areas, area)
	}
	return choice, nil
}

// common is the mean colour of all areas, each counting alike, averaged as light.
func (e *encounter) common() colour.Lab {
	var sum colour.XYZ
	for i, c := range e.at {
		x := e.in.looks[i][c].mean.XYZ()
		share := 1 / float64(len(e.at))
		sum.X += share * x.X
		sum.Y += share * x.Y
		sum.Z += share * x.Z
	}
	return sum.Lab()
}
