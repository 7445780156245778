package workshop

import (
	"time"

	"huewright/blend"
	"huewright/blend/plan"
	"huewright/blend/schedule"
	"huewright/internal/fault"
)

// A Schedule is when each coat of a plan goes on, and what to be careful of.
type Schedule struct {
	schedule.Timetable
	Bench    schedule.Bench
	Cautions []schedule.Caution // those that matter here first
	// Fit says what is known of how the coatings lie over one another: what must not, and what parts
	// them.
	Fit []fault.Note
}

// clearCoats is how many are laid where the piece does not say. Common practice, no source.
const clearCoats = 2

// Schedule lays out the coats put forward in time, from start on, or, where that is zero, from when
// the piece file says, or now.
func (r *PlanResult) Schedule(start, now time.Time) (*Schedule, error) {
	p := &r.Piece
	bench, err := p.Bench(now)
	if err != nil {
		return nil, err
	}
	s := &Schedule{Bench: bench}
	if !start.IsZero() {
		s.Bench.Start = start
	}
	var tasks []schedule.Task
	for i := range r.Areas {
		a := &r.Areas[i]
		tasks = append(tasks, schedule.Task{Area: a.Area.Name, Coats: r.taskCoats(a, s)})
	}
	s.Timetable = schedule.LayOut(tasks, r.clearTask(), s.Bench)
	if p.Room == nil || p.Room.Temperature == nil {
		s.Warnings = append(s.Warnings, fault.Say("schedule.room-unknown", "needs", 18))
	}
	s.Cautions = schedule.Cautions(r.circumstance())
	return s, nil
}

// taskCoats are the coats put forward for an area, with what comes between them.
func (r *PlanResult) taskCoats(a *AreaPlan, s *Schedule) (coats []schedule.Coat) {
	var under *blend.Coating
	if n := len(a.Area.Laid); n > 0 {
		if k := r.shelfPlace(a.Area.Laid[n-1].Coating); k >= 0 {
			under = r.Coatings[k].Coating
		}
	}
	n, stop := 0, a.Plan.StopAfter
	for _, c := range a.Plan.Coats {
		k := r.shelfPlace(c.Coating)
		coating, label := r.Coatings[k].Coating, r.Piece.Label(&r.Piece.Coatings[k].DryingLabel)
		if under != nil && under.Name != coating.Name && c.Count > 0 {
			if ok, why := blend.MayLie(under, coating); !ok {
				s.fit(why)
			}
			if seal := blend.SealBetween(under, coating); !seal.Empty() {
				s.fit(seal)
				coats = append(coats, schedule.Coat{Coating: sealer})
			}
		}
		for range c.Count {
			coats = append(coats, schedule.Coat{Coating: coating, Label: label, Inspect: n == stop && n > 0})
			n++
		}
		if c.Count > 0 {
			under = coating
		}
	}
	return coats
}

// sealer parts two coats. It dries like shellac, which parts almost any two families (common practice,
// no source).
var sealer = &blend.Coating{Name: "dewaxed shellac, a thin coat to seal", Kind: "paint", Family: blend.Alcohol}

func (s *Schedule) fit(n fault.Note) { s.Fit = fault.Once(append(s.Fit, n)) }

// clearTask are the clear coats to come.
func (r *PlanResult) clearTask() (coats []schedule.Coat) {
	c := r.Piece.Clear
	if c == nil {
		return nil
	}
	n := c.Coats
	if n == 0 {
		n = clearCoats
	}
	name := c.Name
	if name == "" {
		name = "clear coat"
	}
	coating := &blend.Coating{Name: name, Kind: "paint", Family: blend.Family(c.Family), PutOn: blend.PutOn(c.PutOn)}
	if c.Family == "" {
		coating.Kind = "glaze" // nothing is known of how it dries
	}
	for range n {
		coats = append(coats, schedule.Coat{Coating: coating, Label: r.Piece.Label(&c.DryingLabel)})
	}
	return coats
}

// circumstance is what is known of the piece and of what is used on it.
func (r *PlanResult) circumstance() schedule.Circumstance {
	p := &r.Piece
	c := schedule.Circumstance{YearMade: p.YearMade, OldFinish: p.OldFinish}
	if p.Room != nil {
		c.Indoors, c.Children = p.Room.Indoors, p.Room.Children
	}
	use := func(family, putOn, kind string) {
		switch blend.Family(family) {
		case blend.OilBorne:
			c.Oil, c.Solvent = true, true
		case blend.Alcohol:
			c.Alcohol = true
		case blend.Lacquer:
			c.Solvent = true
		case blend.WaterBorne:
			c.WaterBorne = true
		default:
			c.Unknown = true
		}
		c.Sprayed = c.Sprayed || putOn == string(blend.Sprayed) || kind == "toner"
		c.Wiped = c.Wiped || putOn == string(blend.Wiped)
	}
	for i := range p.Coatings {
		use(p.Coatings[i].Family, string(p.Coatings[i].HowPutOn()), p.Coatings[i].Kind)
	}
	if p.Clear != nil {
		use(p.Clear.Family, p.Clear.PutOn, "")
	}
	return c
}

// batches reckons how much of each coating the plan put forward takes, all areas together.
func batches(r *PlanResult) (all []schedule.Batch) {
	for i := range r.Piece.Coatings {
		k := &r.Piece.Coatings[i]
		rate := schedule.UsualSpread(blend.Kind(k.Kind), k.HowPutOn())
		if k.Spread > 0 {
			rate = schedule.SpreadRate{Low: k.Spread, High: k.Spread, FromLabel: true}
		}
		var amounts []schedule.Amount
		for _, a := range r.Areas {
			amounts = append(amounts, schedule.Amount{
				Area: a.Area.Name, SizeM2: a.Area.SizeM2, Coats: countOf(a.Plan.Coats, k.Name),
				Surface: blend.Surface(a.Area.Surface), Laid: len(a.Area.Laid) > 0,
			})
		}
		batch := schedule.NewBatch(k.Name, amounts, rate, k.Dilution.Share(), r.Piece.Spare)
		if batch.Mix > 0 || len(batch.Unsized) > 0 {
			all = append(all, batch)
		}
	}
	return all
}

func countOf(coats []plan.CoatCount, coating string) (n int) {
	for _, c := range coats {
		if c.Coating == coating {
			n += c.Count
		}
	}
	return n
}
