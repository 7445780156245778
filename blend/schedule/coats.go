package schedule

import (
	"time"

	"huewright/blend"
	"huewright/internal/fault"
)

// A Bench says when somebody works, and in what air.
type Bench struct {
	Start  time.Time     // of the work, at the earliest; its location is the bench's
	Opens  time.Duration // after midnight; both 0 means from 8 to 20
	Closes time.Duration
	Room   Room
}

// A Coat is one coat of an area.
type Coat struct {
	Coating *blend.Coating
	Label   Label
	Inspect bool // stop and look before it

	barrier bool       // put in between two coats that must not touch
	why     fault.Note // why it is there, where that is not plain
	scuff   int        // grit to rub down with before it; 0 is not at all
}

const (
	assumedWait = 12 * time.Hour      // before the next coat where nothing is known: until the next day
	slot        = 15 * time.Minute    // steps start at multiples of it
	horizon     = 21 * 24 * time.Hour // how long after its earliest a step is tried
	mostTried   = 20_000              // starts tried for the coats of one area
)

// lead is how long what is done before a coat takes: looking at it, and rubbing down.
func (c *Coat) lead() (d time.Duration) {
	if c.Inspect {
		d += slot
	}
	if c.scuff > 0 {
		d += slot
	}
	return d
}

// A laidCoat is a coat and when it was laid; the zero value is none.
type laidCoat struct {
	at      time.Time
	coating *blend.Coating
	label   Label
}

// A window is when the next coat may follow.
type window struct {
	earliest, latest time.Time  // latest is zero where there is no end
	source           fault.Note // where the times come from
	assumed          bool       // nothing is known: assumedWait
}

// next returns the window of a coat of a coating over l.
func (l laidCoat) next(over *blend.Coating, b *Bench) window {
	if l.coating == nil {
		return window{earliest: b.Start}
	}
	d := dryingOf(l.coating, over, l.label, b.Room)
	w := window{earliest: l.at.Add(d.after), source: d.source}
	if !d.known() {
		w.earliest, w.assumed = l.at.Add(assumedWait), true
		w.source = fault.Say("schedule.unknown-wait")
	}
	if d.before > 0 {
		w.latest = l.at.Add(d.before)
	}
	return w
}

// layCoats lays out the coats of one area over one another, each as early as leaves room for those after it. It returns
// the steps, those before each coat too, or an error where there is no such order.
func (b *Bench) layCoats(area string, coats []Coat, under laidCoat) (steps []Step, err error) {
	for i := range coats {
		c := &coats[i]
		if l := c.Label; l.Before > 0 && l.Before < l.After {
			return nil, fault.New(fault.Use, "schedule.label-order", "coating", c.Coating.Name,
				"after", l.After.Hours(), "before", l.Before.Hours())
		}
	}
	s := search{bench: b, area: area, coats: coats, steps: make([]Step, len(coats))}
	if !s.lay(0, under) {
		return nil, fault.In(fault.New(fault.Use, "schedule.no-time"), fault.Place{Area: area})
	}
	for i := range coats {
		steps = append(append(steps, b.before(&coats[i], &s.steps[i])...), s.steps[i])
	}
	return steps, nil
}

// before are the steps before a coat: stopping to look, and rubbing down.
func (b *Bench) before(c *Coat, coat *Step) (all []Step) {
	at := b.leadFrom(coat.At, c.lead())
	add := func(w Work, grit int, why fault.Note) {
		all = append(all, Step{
			At: at, Work: w, Areas: coat.Areas, Coating: coat.Coating, Coat: coat.Coat, Clear: coat.Clear, Takes: slot, Grit: grit,
			Why: why, Earliest: coat.Earliest,
		})
		if at.Before(coat.At) {
			at = at.Add(slot)
		}
	}
	if c.Inspect {
		add(Stop, 0, fault.Say("timetable.why-stop"))
	}
	if c.scuff > 0 {
		add(Scuff, c.scuff, fault.Say("timetable.why-scuff"))
	}
	return all
}

// A search is a depth-first search for the times of an area's coats.
type search struct {
	bench *Bench
	area  string
	coats []Coat
	steps []Step
	tried int
}

// lay fills in the steps from coat i on, and reports whether there is room for them.
func (s *search) lay(i int, under laidCoat) bool {
	if i == len(s.coats) {
		return true
	}
	c := &s.coats[i]
	w := under.next(c.Coating, s.bench)
	from := s.bench.openAfter(w.earliest, c.lead())
	next := func(at time.Time) time.Time { return s.bench.openAfter(at.Add(slot-c.lead()), c.lead()) }
	for at := from; at.Sub(from) < horizon && (w.latest.IsZero() || !at.After(w.latest)); at = next(at) {
		if s.tried++; s.tried > mostTried {
			return false
		}
		step := Step{
			At: at, Work: LayCoat, Takes: coatTakes, Latest: w.latest, Areas: []string{s.area}, Coating: c.Coating.Name, Coat: 1,
			Inspect: c.Inspect, WaitSource: w.source, Assumed: w.assumed, Why: c.why,
		}
		if c.barrier {
			step.Work = SealCoat
		}
		if under.coating != nil {
			step.Earliest = w.earliest
		}
		if i > 0 && s.steps[i-1].Coating == step.Coating {
			step.Coat = s.steps[i-1].Coat + 1
		}
		s.steps[i] = step
		if s.lay(i+1, laidCoat{at, c.Coating, c.Label}) {
			return true
		}
		if c.Label.Before == 0 {
			return false // later is no better for what comes after
		}
	}
	return false
}

// openAfter returns the first slot at which the bench is open, and was so for a lead before it, begun at or after at.
func (b *Bench) openAfter(at time.Time, lead time.Duration) time.Time {
	at = b.open(at)
	if lead == 0 || b.Closes-b.Opens < lead {
		return at
	}
	if then := at.Add(lead); b.open(then).Equal(then) {
		return then
	}
	return b.open(at.Add(lead)).Add(lead)
}

// leadFrom is when a lead before a time begins: that time itself where the bench is open too short for it.
func (b *Bench) leadFrom(at time.Time, lead time.Duration) time.Time {
	if b.Closes-b.Opens < lead {
		return at
	}
	return at.Add(-lead)
}

// open returns the first slot at or after at in which the bench is open, by the clock on its wall.
func (b *Bench) open(at time.Time) time.Time {
	if up := at.Truncate(slot); !up.Equal(at) {
		at = up.Add(slot)
	}
	at = at.In(b.Start.Location())
	wall := func(day int, since time.Duration) time.Time {
		return time.Date(at.Year(), at.Month(), at.Day()+day, 0, int(since.Minutes()), 0, 0, at.Location())
	}
	switch {
	case at.Before(wall(0, b.Opens)):
		return wall(0, b.Opens)
	case at.After(wall(0, b.Closes)):
		return wall(1, b.Opens)
	}
	return at
}
