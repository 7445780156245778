package workshop

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"time"

	"huewright/blend"
	"huewright/blend/plan"
	"huewright/blend/schedule"
	"huewright/internal/fault"
	"huewright/internal/piece"
)

// A Schedule is when each step of a plan is done, and what to be careful of.
type Schedule struct {
	schedule.Timetable
	Bench    schedule.Bench
	Cautions []schedule.Caution // those that matter here first
}

// clearCoats is how many are laid where the piece does not say. Common practice, no source.
const clearCoats = 2

// Schedule lays out the work of a plan in time, from start on, or, where that is zero, from when
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
	job := schedule.Job{Clear: r.clearTask(), Bench: s.Bench, Piece: r.circumstance()}
	for i := range r.Areas {
		job.Tasks = append(job.Tasks, r.taskOf(&r.Areas[i]))
	}
	s.Timetable = schedule.LayOut(job)
	if p.Room == nil || p.Room.Temperature == nil {
		s.Warnings = append(s.Warnings, fault.Say("schedule.room-unknown", "needs", 18))
	}
	var unknown []string
	for _, k := range s.Used {
		if k.Family == "" && !slices.Contains(unknown, k.Name) {
			unknown = append(unknown, k.Name)
		}
	}
	if len(unknown) > 0 {
		s.Warnings = append(s.Warnings, fault.Say("timetable.unknown-family", "coatings", unknown))
	}
	s.Cautions = schedule.Cautions(s.Known)
	return s, nil
}

// DryAfter is how long a coat of a coating of the piece dries before the next of it may go on; 0 where nothing is known.
func (s *Schedule) DryAfter(r *PlanResult, coating string) time.Duration {
	k := r.shelfPlace(coating)
	if k < 0 {
		return 0
	}
	return schedule.DryAfter(r.Coatings[k].Coating, r.Piece.Label(&r.Piece.Coatings[k].DryingLabel), s.Bench.Room)
}

// Laying is the circumstance of a coat of one coating of the piece, with all that it is mixed of. Of a coating that is not on the shelf
// it is the whole job's.
func (s *Schedule) Laying(r *PlanResult, coating string) schedule.Circumstance {
	at := r.shelfPlace(coating)
	if at < 0 {
		return s.Known
	}
	k := &r.Piece.Coatings[at]
	laid := []*blend.Coating{used(k)}
	for _, part := range k.Parts {
		in := r.shelfPlace(part.Coating)
		if in < 0 {
			return s.Known
		}
		laid = append(laid, used(&r.Piece.Coatings[in]))
	}
	return s.Known.Laying(laid...)
}

// used is what cautions ask of a coating.
func used(k *piece.Coating) *blend.Coating {
	return &blend.Coating{Kind: blend.Kind(k.Kind), Family: blend.Family(k.Family), PutOn: k.HowPutOn()}
}

// taskOf is what the suggested plan lays on an area.
func (r *PlanResult) taskOf(a *AreaPlan) schedule.Task {
	task := schedule.Task{Area: a.Area.Name, Surface: blend.Surface(a.Area.Surface)}
	if n := len(a.Area.Laid); n > 0 {
		if k := r.shelfPlace(a.Area.Laid[n-1].Coating); k >= 0 {
			task.Under = r.Coatings[k].Coating
		}
		for _, l := range slices.Backward(a.Area.Laid) {
			if l.Coating != a.Area.Laid[n-1].Coating {
				break
			}
			task.Laid += l.Coats
		}
	}
	if t := r.TouchUpOf(a.Area.Name); t != nil && len(t.Mix) > 0 {
		most := t.Mix[0] // a mix dries as what there is most of
		for _, part := range t.Mix[1:] {
			if part.Parts > most.Parts {
				most = part
			}
		}
		if k := r.shelfPlace(most.Coating); k >= 0 {
			task.TouchUp = r.Coatings[k].Coating
		}
	}
	n, stop := 0, a.Plan.StopAfter
	for _, c := range a.Plan.Coats {
		k := r.shelfPlace(c.Coating)
		coating, label := r.Coatings[k].Coating, r.Piece.Label(&r.Piece.Coatings[k].DryingLabel)
		for range c.Count {
			task.Coats = append(task.Coats, schedule.Coat{Coating: coating, Label: label, Inspect: n == stop && n > 0})
			n++
		}
	}
	return task
}

// ClearCoats is how many clear coats come over all, and of what; 0 where none comes.
func (r *PlanResult) ClearCoats() (n int, name string) {
	all := r.clearTask()
	if len(all) == 0 {
		return 0, ""
	}
	return len(all), all[0].Coating.Name
}

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
	coating := &blend.Coating{Name: name, Kind: schedule.Clear, Family: blend.Family(c.Family), PutOn: blend.PutOn(c.PutOn)}
	for range n {
		coats = append(coats, schedule.Coat{Coating: coating, Label: r.Piece.Label(&c.DryingLabel)})
	}
	return coats
}

// circumstance is what is known of the piece, and of all that stands on the shelf: a plan may change.
func (r *PlanResult) circumstance() schedule.Circumstance {
	p := &r.Piece
	c := schedule.Circumstance{YearMade: p.YearMade, Country: p.Country, OldFinish: p.OldFinish, Filled: len(p.Repairs) > 0}
	if p.Room != nil {
		c.Indoors, c.Children = p.Room.Indoors, p.Room.Children
	}
	for i := range r.Areas {
		a := &r.Areas[i]
		c.RedWood = c.RedWood || schedule.Red(a.Area.Wood)
		if a.Plan != nil {
			c.Bleached = c.Bleached || slices.ContainsFunc(a.Plan.Why, func(n fault.Note) bool { return n.Code == "plan.paler-paint-or-bleach" })
		}
	}
	for i := range p.Coatings {
		c.Use(used(&p.Coatings[i]))
	}
	return c
}

// batches reckons how much of each coating the plan put forward takes, all areas together.
func batches(r *PlanResult) (all []schedule.Batch) {
	for i := range r.Piece.Coatings {
		k := &r.Piece.Coatings[i]
		amounts := r.amounts(func(a *AreaPlan) int { return countOf(a.Plan.Coats, k.Name) })
		batch := schedule.NewBatch(k.Name, amounts, spreadOf(k), k.Dilution.Share(), r.Piece.Spare)
		if batch.Mix > 0 || len(batch.Unsized) > 0 {
			all = append(all, batch)
		}
	}
	return all
}

// MixBatches reckons how much a mix takes, one for each strength that it is thinned to, in the order of the areas. It goes as far as what
// is in it, the least and the most of them.
func (r *PlanResult) MixBatches(m *plan.MixPlan) (all []schedule.Batch) {
	paint := 0
	var rate schedule.SpreadRate
	for i, part := range m.Parts {
		k := spreadOf(r.Piece.CoatingNamed(part.Coating))
		if i == 0 {
			rate = k
		}
		rate = schedule.SpreadRate{Low: min(rate.Low, k.Low), High: max(rate.High, k.High), FromLabel: rate.FromLabel && k.FromLabel}
		paint += part.Parts
	}
	var waters []int
	for _, a := range m.Areas {
		if a.Coats > 0 && !slices.Contains(waters, a.Water) {
			waters = append(waters, a.Water)
		}
	}
	for _, water := range waters {
		coats := map[string]int{}
		for _, a := range m.Areas {
			if a.Water == water {
				coats[a.Name] = a.Coats
			}
		}
		amounts := r.amounts(func(a *AreaPlan) int { return coats[cmp.Or(a.Area.PartOf, a.Area.Name)] })
		all = append(all, schedule.NewBatch("", amounts, rate, float64(paint)/float64(paint+water), r.Piece.Spare))
	}
	return all
}

// amounts are what areas take of something, of which each gets so many coats.
func (r *PlanResult) amounts(coats func(*AreaPlan) int) (all []schedule.Amount) {
	for i := range r.Areas {
		a := &r.Areas[i]
		if a.Area.PartOf != "" && a.Area.SizeM2 == 0 {
			continue // it is counted with its wood
		}
		all = append(all, schedule.Amount{
			Area: a.Area.Name, SizeM2: a.Area.SizeM2, Coats: coats(a), Surface: blend.Surface(a.Area.Surface), Laid: len(a.Area.Laid) > 0,
		})
	}
	return all
}

// spreadOf is how far a coating goes: as its label says, or as is usual.
func spreadOf(k *piece.Coating) schedule.SpreadRate {
	if k.Spread > 0 {
		return schedule.SpreadRate{Low: k.Spread, High: k.Spread, FromLabel: true}
	}
	return schedule.UsualSpread(blend.Kind(k.Kind), k.HowPutOn())
}

func countOf(coats []plan.CoatCount, coating string) (n int) {
	for _, c := range coats {
		if c.Coating == coating {
			n += c.Count
		}
	}
	return n
}

// StepKeys tell the steps of a schedule apart, in their order. A schedule that is made again has the same steps at other times, so a step
// is known by what is done, to what, and how many coats lie there already; what comes before the first coat is done once.
func (r *PlanResult) StepKeys(s *Schedule) []string {
	seen, keys := map[string]int{}, make([]string, len(s.Steps))
	for i := range s.Steps {
		key := r.stepWords(&s.Steps[i])
		seen[key]++
		sum := sha256.Sum256(fmt.Appendf(nil, "%s, time %d", key, seen[key])) // names may be long
		keys[i] = hex.EncodeToString(sum[:8])
	}
	return keys
}

func (r *PlanResult) stepWords(step *schedule.Step) string {
	laid := 0
	if step.Coat > 0 || step.Work == schedule.Stop {
		for _, name := range step.Areas {
			if a := r.Named(name); a != nil {
				for _, l := range a.Area.Laid {
					laid += l.Coats
				}
			}
		}
	}
	return fmt.Sprintf("%s: coat %d of %q (clear: %t) on %q over %d", step.Work, step.Coat, step.Coating, step.Clear, step.Areas, laid)
}
